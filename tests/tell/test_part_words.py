"""What a part did is said by what is resolved, with figures, and with nothing that praises it."""

import re
from dataclasses import replace
from types import SimpleNamespace

import pytest

import balance
from balance.compare.classes import PartClass
from balance.compare.contrasts import Change
from balance.compare.ratios import CostRatio, RatioCase, RatioKind
from balance.decide.day.day_scatter import scatter_of_day
from balance.decide.parts.baselines import with_baselines
from balance.decide.parts.parts import assess_parts
from balance.model.errors import InputError, UnknownName
from balance.tell.export.records_csv import to_json
from balance.tell.figures import Show
from balance.tell.parts.change_text import ratio_words
from balance.tell.parts.effects import effect, effect_in_full
from balance.tell.parts.part_card import part_card
from balance.tell.parts.part_detail import part_detail
from balance.tell.parts.part_head import parts_banner, parts_remarks
from balance.tell.parts.part_names import part_name
from balance.tell.parts.part_table import PartTable
from balance.tell.parts.part_words import baseline_words, deed_words, part_notes, part_sentence
from balance.tell.parts.parts_json import parts_record
from balance.tell.repeatability.scatter_json import day_scatter_record
from balance.tell.repeatability.scatter_words import scatter_sections, scatter_summary
from balance.tell.table import Cell
from balance.units.shown import SI, US

VEHICLE = """name = "car (invented)"
[mass]
total = "1200 kg"
front_share = "55 %"
[size]
wheelbase = "2500 mm"
"""
SESSION = """title = "day (invented)"
vehicle = "vehicle.toml"
[facility]
speed = "160 km/h"
air_density = "1.2 kg/m^3"
"""
STATED = """[repeatability]
front = "3 N"
rear = "3 N"
drag = "2 N"
degrees_of_freedom = 30
"""
HEAD = (
    "run,configuration,wing_angle [deg],flap [mm],front_downforce [N],rear_downforce [N],drag [N],baseline\n"
)
PRAISE = re.compile(r"\b(better|best|good|worse|worst|bad|improve\w*|efficien\w*)\b", re.IGNORECASE)


def day_of(folder, rows, session=SESSION + STATED):
    (folder / "vehicle.toml").write_text(VEHICLE)
    (folder / "session.toml").write_text(session)
    (folder / "runs.csv").write_text(HEAD + rows)
    return balance.reduce_day(balance.load_session(folder), draws=500)


def change(value, half, detectable=None):
    size = 1.4 * half if detectable is None else detectable
    return Change(
        change=value, std=half / 2.0, low=value - half, high=value + half,
        resolved=abs(value) > half, detectable=size, refit_assumed=False,
    )  # fmt: skip


def ratio(value, low, high, case=RatioCase.MORE_FOR_MORE, kind=RatioKind.BOUNDED):
    return CostRatio(value=value, kind=kind, low=low, high=high, case=case)


ADDED, TAKEN = r"450 N \(438 to 462\) of downforce", r"30 N \(24 to 36\) of drag"
"""Amounts with their interval: 3 N and 2 N, sd of one reading, 30 degrees of freedom, each times the root of 2."""
NO_LOAD = r"downforce \+?[−0-9].* within noise, [0-9]+ N detectable"
NO_DRAG = r"drag \+?[−0-9].* within noise, [0-9]+ N detectable"


@pytest.mark.parametrize(
    ("front", "rear", "drag", "word", "deed", "effect"),
    [
        (300, 150, 30, "gains for a price", rf"adds {ADDED} and {TAKEN}, 15\.0 N gained per N", "+DF +drag"),
        (-300, -150, -30, "sheds for a saving", rf"takes off {ADDED} and {TAKEN}, 15\.0 N given up per N", "−DF −drag"),
        (300, 150, -30, "gains and saves", rf"adds {ADDED} and takes off {TAKEN};", "+DF −drag"),
        (-300, -150, 30, "loses and costs", rf"takes off {ADDED} and adds {TAKEN};", "−DF +drag"),
        (300, 150, 0, "gains at no measured cost", rf"adds {ADDED}; {NO_DRAG};", "+DF ~drag"),
        (-300, -150, 0, "loses at no measured saving", rf"takes off {ADDED}; {NO_DRAG};", "−DF ~drag"),
        (0, 0, 30, "costs for no measured gain", rf"adds {TAKEN}; {NO_LOAD};", "~DF +drag"),
        (0, 0, -30, "saves at no measured loss", rf"takes off {TAKEN}; {NO_LOAD};", "~DF −drag"),
        (100, -100, 0, "moves load forward", rf"moves load forward: front \+100 N .*; {NO_LOAD};", "load forward"),
        (-100, 100, 0, "moves load rearward", rf"moves load rearward: front −100 N .*; {NO_LOAD};", "load rearward"),
        (1, 1, 1, "less than this day can show", rf"stays within noise: {NO_LOAD}; {NO_DRAG};", "within noise"),
    ],
)  # fmt: skip
def test_each_class_has_its_sentence(tmp_path, front, rear, drag, word, deed, effect):
    rows = f"1,a,,,100,200,1000,\n2,b,5,,{100 + front},{200 + rear},{1000 + drag},1\n"
    parts = assess_parts(day_of(tmp_path, rows))
    row = [pair.run for pair in parts.increments.pairs].index(1)
    i = parts.increments[row]
    assert i.part_class == word  # of files and JSON; people read the two others
    said = part_sentence(parts, row, Show(SI))
    assert re.match(rf"At 160 km/h, wing angle 5° {deed}", said)
    assert PartTable(parts, Show(SI)).cell(row, "class")[0] == effect
    assert said.endswith(".")
    assert "verdict" in said
    assert not PRAISE.search(said)


def test_what_was_not_seen_names_the_size_that_would_have_been(tmp_path):
    day = day_of(tmp_path, "1,a,,,100,200,1000,\n2,b,5,,101,201,1001,1\n")
    parts = assess_parts(day)
    i = parts.increments[1]
    said = deed_words(i, Show(SI))
    assert said.startswith("stays within noise: downforce +2 N (")
    assert f") within noise, {i.downforce.detectable:.0f} N detectable; drag +1 N (" in said
    assert said.endswith(f") within noise, {i.drag.detectable:.0f} N detectable")


def test_an_axle_that_stands_for_the_total_is_named():
    i = SimpleNamespace(
        part_class=PartClass.GAINS_AT_NO_MEASURED_COST, by_axle="rear",
        front_downforce=change(-20.0, 25.0), rear_downforce=change(60.0, 25.0),
        downforce=change(40.0, 45.0), drag=change(3.0, 9.0),
    )  # fmt: skip
    assert deed_words(i, Show(SI)).startswith(
        "adds 60 N (35 to 85) of downforce at the rear; drag +3 N (−6 to 12) within noise"
    )


@pytest.mark.parametrize(
    ("given", "words"),
    [
        (ratio(20.7, 17.9, 24.4), "20.7 N gained per N of drag (17.9 to 24.4)"),
        (ratio(2.713, 0.73, 1014.37), "2.71 N gained per N of drag (0.73 to 1014)"),
        (ratio(0.667, 0.51, 0.91, RatioCase.LESS_FOR_LESS), "0.67 N given up per N saved (0.51 to 0.91)"),
        (ratio(None, -3.0, 0.8, kind=RatioKind.OUTSIDE), "within noise"),
        (ratio(None, None, None, kind=RatioKind.WHOLE_LINE), "within noise"),
        (ratio(None, None, None, kind=RatioKind.NONE), "within noise"),
        (ratio(None, -9.0, -4.0, RatioCase.MORE_AND_LESS), "no ratio: downforce rose and drag fell"),
        (ratio(None, -9.0, -4.0, RatioCase.LESS_AND_MORE), "no ratio: downforce fell and drag rose"),
    ],
)
def test_a_cost_ratio_is_a_figure_with_its_interval_or_words(given, words):
    assert ratio_words(given, Show(SI)) == words
    assert ratio_words(given, Show(US)) == words.replace(" N ", " lbf ")


def test_an_interval_that_just_misses_zero_does_not_read_as_touching_it():
    i = SimpleNamespace(
        part_class=PartClass.REPEAT, by_axle=None, front_downforce=change(0, 1), rear_downforce=change(0, 1),
        downforce=change(20.0, 19.8), drag=change(-20.0, 20.2),
    )  # fmt: skip
    assert "downforce +20 N (0.2 to 39.8), drag −20 N (−40.2 to 0.2)" in deed_words(i, Show(SI))


def test_a_package_is_named_with_all_that_differs(tmp_path):
    day = day_of(tmp_path, "1,a,2,,100,200,1000,\n2,b,5,10,110,500,1040,1\n3,c,,10,100,200,1000,2\n")
    parts = assess_parts(day)
    assert part_name(parts.increments, 0) == "package of wing angle 2 to 5° and flap 10 mm"
    assert "a package: what it did belongs to all its parts together" in part_notes(parts, 0)
    assert part_name(parts.increments, 1) == "wing angle 5° off"


def test_a_baseline_that_nobody_stated_is_marked(tmp_path):
    parts = assess_parts(day_of(tmp_path, "1,a,,,100,200,1000,\n2,b,5,,110,500,1040,\n"))
    row = [pair.run for pair in parts.increments.pairs].index(1)
    assert "(automatic: differs in one setting)" in baseline_words(parts.increments[row])
    assert "the baseline is automatic, nobody stated it" in part_sentence(parts, row, Show(SI))
    assert PartTable(parts, Show(SI)).cell(row, "baseline") == Cell("1 auto", "muted")
    assert any(
        text.startswith("auto: baseline chosen automatically") for text in parts_remarks(parts, Show(SI))
    )


def test_a_baseline_chosen_by_hand_stands_above_the_file(tmp_path):
    rows = "1,a,,,100,200,1000,\n2,b,5,,110,500,1040,1\n3,c,8,,110,600,1060,1\n"
    day = with_baselines(day_of(tmp_path, rows), {"3": "2"})
    increments = assess_parts(day).increments
    assert [(i.run, i.baseline, i.proposed) for i in increments if i.run == "3"] == [("3", "2", False)]
    with pytest.raises(UnknownName, match="run"):
        with_baselines(day, {"3": "9"})
    with pytest.raises(InputError, match="the run itself"):
        with_baselines(day, {"3": "3"})


def test_untouched_repeats_alone_resolve_nothing_and_say_so(tmp_path):
    rows = "1,a,,,100,200,1000,\n2,a,,,104,207,1003,\n3,a,,,98,203,999,\n4,b,5,,120,500,1040,1\n"
    day = day_of(tmp_path, rows, SESSION)
    parts = assess_parts(day)
    row = [pair.run for pair in parts.increments.pairs].index(3)
    assert not parts.increments[row].rear_downforce.resolved
    said = part_sentence(parts, row, Show(SI))
    assert "nothing was fitted twice: refit the baseline" in said
    assert "refitting assumed, nothing is called significant" in said
    assert any("refitting assumed, NOTHING IS CALLED SIGNIFICANT" in text for text in parts_banner(parts))
    assert any(
        text.startswith("Refitting assumed") for text in scatter_summary(scatter_of_day(day), Show(SI))
    )


def test_untouched_repeats_beside_a_larger_stated_figure_assume_nothing(tmp_path):
    """Repeats within 1 N of one another, refitting 2.5 times as far, are well inside the facility's figure."""
    rows = "1,a,,,100,200,1000,\n2,a,,,100.5,200.6,1000.4,\n3,a,,,100,200,999.9,\n4,b,5,,120,500,1040,1\n"
    day = day_of(tmp_path, rows)
    parts = assess_parts(day)
    assert parts.increments[-1].rear_downforce.resolved
    assert not any("assumed" in text for text in parts_banner(parts))
    assert not any("assumed" in text for text in scatter_summary(scatter_of_day(day), Show(SI)))


def test_with_nothing_known_nothing_is_resolved_and_the_way_out_is_said(tmp_path):
    day = day_of(tmp_path, "1,a,,,100,200,1000,\n2,b,5,,120,500,1040,1\n", SESSION)
    parts = assess_parts(day)
    assert not parts.increments.changes.resolved.any()
    said = part_sentence(parts, 1, Show(SI))
    assert "nothing is significant: run the baseline again" in said
    assert "±" not in said
    assert any("NOTHING IS SIGNIFICANT: run the baseline again" in text for text in parts_banner(parts))
    assert any("by the figures as typed" in line for line in part_card(parts, 1, Show(SI)).lines)
    (summary,) = scatter_summary(scatter_of_day(day), Show(SI))
    assert "run the baseline again" in summary
    assert "[repeatability] in session.toml" in summary


def test_the_car_s_own_ratio_and_the_part_s_are_told_apart(tmp_path):
    parts = assess_parts(day_of(tmp_path, "1,a,,,100,200,1000,\n2,b,5,,120,500,1040,1\n"))
    lines = [line for section in part_detail(parts, 1, Show(SI)) for line in section.lines]
    (part,) = (text for label, text in lines if label == "of the part")
    (car,) = (text for label, text in lines if label == "of the car")
    assert "gained per N of drag" in part
    assert car == "0.30 without, 0.60 with: of the whole car, not of the part"


def test_both_figures_stand_where_a_drift_can_be_taken_out(tmp_path):
    rows = "".join(
        f"{k},{name},{wing},,{100 + 6 * k},{rear},{1000},{base}\n"
        for k, (name, wing, rear, base) in enumerate(
            [("a", "", 200, ""), ("b", 5, 500, 1), ("a", "", 201, ""), ("c", 8, 600, 1), ("a", "", 199, ""), ("d", 6, 550, 1), ("a", "", 200, "")],
            1,
        )
    )  # fmt: skip
    day = day_of(tmp_path, rows)
    for corrected in (False, True):
        parts = assess_parts(day, correct_drift=corrected)
        row = [pair.run for pair in parts.increments.pairs].index(3)
        other = "With drift left in" if corrected else "With drift removed"
        assert any(line.startswith(other) for line in part_card(parts, row, Show(SI)).lines)
        assert any(("DRIFT REMOVED" if corrected else "NOT REMOVED") in text for text in parts_banner(parts))
    assert any(
        text.endswith(", significant")
        for section in scatter_sections(scatter_of_day(day), Show(SI))
        for _, text in section.lines
    )


@pytest.mark.parametrize(
    "rows",
    [
        "1,a,,,100,200,1000,\n",
        "1,a,,,100,200,1000,\n2,a,,,100,200,1000,\n",
        "1,a,,,100,200,1000,\n2,b,,,0,0,0,1\n3,a,,,100,200,1000,\n",
        "1,a,,,100,200,1000,\n2,b,,,9e4,-9e4,1e-3,1\n3,a,,,90,200,1000,\n",
    ],
)
@pytest.mark.parametrize("session", [SESSION, SESSION + STATED])
def test_any_day_has_words_and_records_without_numbers_that_are_none(tmp_path, rows, session):
    day = day_of(tmp_path, rows, session)
    parts = assess_parts(day)
    for show in (Show(SI), Show(US)):
        for row in range(len(parts)):
            texts = [part_sentence(parts, row, show), *part_card(parts, row, show).lines]
            texts += [text for section in part_detail(parts, row, show) for _, text in section.lines]
            assert not any(re.search(r"\b(nan|inf|None)\b", text) for text in texts)
        for section in scatter_sections(scatter_of_day(day), show):
            assert not any(re.search(r"\b(nan|inf|None)\b", text) for _, text in section.lines)
    to_json(parts_record(parts))
    to_json(day_scatter_record(scatter_of_day(day), Show(SI)))


def test_a_void_baseline_is_not_used_and_that_is_said(tmp_path):
    day = day_of(tmp_path, "1,a,,,100,200,1000,\n2,b,5,,120,500,1040,1\n3,a,,,101,203,1001,\n")
    runs = tuple(replace(run, status="void") if run.label == "1" else run for run in day.session.runs)
    void = balance.reduce_day(replace(day.session, runs=runs), draws=500)
    parts = assess_parts(void)
    row = [pair.run for pair in parts.increments.pairs].index(0)
    assert any("void" in note for note in part_notes(parts, row))


def test_a_part_that_changes_one_axle_alone_is_not_said_to_change_the_total():
    only = PartClass.GAINS_AT_NO_MEASURED_COST
    assert effect(only, "front") == "+front ~drag"
    assert effect(only, None) == effect(only, "both") == "+DF ~drag"
    assert effect_in_full(only, "rear") == "more downforce at the rear, total within noise, drag within noise"
