"""plan.toml: what is written is read back, comments stay, and every fault is said with its line."""

import shutil
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from balance.files.formats.plan import PLAN_FILE, plan_from, read_plan
from balance.files.formats.plan_edit import (
    checked_plan,
    edited_plan,
    library_change,
    look_at_plan,
    with_wanted,
)
from balance.files.loader import load_session
from balance.files.text_file import clean_text, text_at_hand
from balance.files.toml.document import read_toml
from balance.model.errors import FileFaults, OutsideChange
from balance.model.plans import Choose, DayPlan, Hours, Know, WantedRun
from balance.model.records import HALF_95

DEMO = Path(__file__).resolve().parents[3] / "vehicles" / "brindlow_hatch"
PRESSURE = 0.5 * 1.2 * (160 / 3.6) ** 2  # of the invented day
WHOLE = """\
# mine
[hours]
start = "09:00"            # sharp
end = "17:00"
breaks = [["12:30", "13:15"]]

[minutes]
reading = "5 min"
wing = "10 min"
wing_angle = "180 s"
splitter_length = "0.5 h"

[order]
baseline_every = 6

[aim]
choose = { drag_worth = 4.0 }
enough = "40 N"

[[wanted]]
configuration = "steep"
wing_angle = "9 deg"
vents = "bonnet louvres"
must = true

[[wanted]]
configuration = "as delivered"
wing_angle = "off"

[expected.splitter_length]
"50 mm" = { front = "+300 N ± 150 N", drag = "20 N sd 10 N" }
"7 cm" = { rear = "-20(5) N at 80 km/h" }
[expected.vents]
"side" = { front = "0.02 m^2" }
"""


def saved(session, folder, text, *, seen):
    _, new = checked_plan(session, folder, text, seen=seen)
    (folder / PLAN_FILE).write_bytes(new.encode())
    return read_plan(session, folder)


@pytest.fixture
def folder(tmp_path):
    shutil.copytree(DEMO, tmp_path / "car", ignore=shutil.ignore_patterns(PLAN_FILE))
    return tmp_path / "car" / "tunnel_day"


@pytest.fixture
def session(folder):
    return load_session(folder)


@pytest.fixture
def faults_of(session, folder):
    def read(text):
        (folder / PLAN_FILE).write_text(text, encoding="utf-8")
        with pytest.raises(FileFaults) as caught:
            read_plan(session, folder)
        return str(caught.value).splitlines()

    return read


def test_everything_is_read(session, folder):
    (folder / PLAN_FILE).write_text(WHOLE, encoding="utf-8")
    plan = read_plan(session, folder)
    assert plan.hours == Hours(start=9 * 3600.0, end=17 * 3600.0, breaks=((45000.0, 47700.0),))
    assert plan.reading == 300.0
    assert dict(plan.changes) == {"wing": 600.0, "wing_angle": 180.0, "splitter_length": 1800.0}
    assert plan.baseline_every == 6
    assert plan.aim == Choose(drag_worth=4.0)
    assert plan.enough == 40.0
    first, second = plan.wanted
    assert (first.configuration, first.must) == ("steep", True)
    assert dict(first.settings) == {"wing_angle": 9.0, "vents": "bonnet louvres"}
    assert (dict(second.settings), second.must) == ({}, False)


def test_what_is_expected_is_kept_as_areas(session, folder):
    (folder / PLAN_FILE).write_text(WHOLE, encoding="utf-8")
    one, two, three = read_plan(session, folder).expected
    assert (one.setting, one.value) == ("splitter_length", 50.0)
    assert one.mean == pytest.approx((300.0 / PRESSURE, None, 20.0 / PRESSURE))
    assert one.std == pytest.approx((150.0 / HALF_95 / PRESSURE, None, 10.0 / PRESSURE))
    assert two.value == 70.0  # 7 cm in the column's mm
    assert two.mean[1] == pytest.approx(-4.0 * 20.0 / PRESSURE)  # at half the speed
    assert two.std[1] == pytest.approx(4.0 * 5.0 / PRESSURE)
    assert (three.value, three.mean, three.std) == ("side", (0.02, None, None), (None, None, None))


def test_no_file_is_a_plan_that_states_nothing(session, folder):
    assert replace(read_plan(session, folder), units={}) == DayPlan()
    assert read_plan(session, folder).units["wing_angle"] == "deg"
    found = look_at_plan(session, folder)
    assert (found.plan.wanted, found.faults) == ((), ())
    assert found.text.startswith("#")


def test_what_is_to_be_known(session, folder):
    (folder / PLAN_FILE).write_text('[aim]\nknow = { downforce = "15 N", drag = "1 kgf" }\n', "utf-8")
    assert read_plan(session, folder).aim == Know(downforce=15.0, drag=9.80665)


def test_a_gain_of_a_lap_is_a_time(session, folder):
    (folder / PLAN_FILE).write_text('[aim]\nchoose = { track = "club" }\nenough = "50 ms"\n', "utf-8")
    plan = read_plan(session, folder)
    assert (plan.aim, plan.enough) == (Choose(track="club"), 0.05)


def test_a_setting_that_no_run_has_may_be_wanted(session, folder):
    (folder / PLAN_FILE).write_text(
        '[minutes]\nroof_rake = "4 min"\n[[wanted]]\nroof_rake = "2 cm"\n[[wanted]]\nroof_rake = "30 mm"\n'
        '[[wanted]]\nwheel_covers = "flat"\n',
        encoding="utf-8",
    )
    plan = read_plan(session, folder)
    assert [dict(one.settings) for one in plan.wanted] == [
        {"roof_rake": 2.0},
        {"roof_rake": 3.0},
        {"wheel_covers": "flat"},
    ]
    assert plan.units["roof_rake"] == "cm"
    assert dict(plan.changes) == {"roof_rake": 240.0}


def test_every_fault_is_said_with_its_line(faults_of):
    said = faults_of(
        '[hours]\nstart = "9 o\'clock"\nend = "17:00"\nbreaks = ["12:30"]\n'
        '[minutes]\nreading = 5\nwing_angel = "3 min"\nwing_angle = "3 mm"\n'
        "[order]\nbaseline_every = 0\n"
        '[aim]\nchoose = { drag_worth = 5.0, track = "club" }\nenough = "40 kg"\n'
        '[[wanted]]\nwing_angle = "9"\nwing_angel = "9 deg"\nmust = "yes"\n'
        '[expected.wing_angle]\n"8 deg" = { front = "40 N ± 0 N", frnt = "1 N" }\n"8 mm" = { front = "1 N" }\n'
    )
    assert [int(line.split(":")[1]) for line in said] == [2, 4, 6, 7, 8, 10, 12, 13, 15, 16, 17, 19, 19, 20]
    assert 'expected a time of day from 00:00 to 23:59; write start = "09:00"' in said[0]
    assert "found 5 without a unit" in said[2]
    assert 'write reading = "5 min"' in said[2]
    assert "did you mean 'wing_angle'?" in said[3]
    assert "expected one of the two" in said[6]
    assert 'write wing_angle = "9 deg"' in said[8]
    assert "did you mean 'wing_angle'?" in said[9]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ('[hours]\nstart = "17:00"\nend = "09:00"\n', "expected an end after 17:00"),
        (
            '[hours]\nstart = "09:00"\nend = "17:00"\nbreaks = [["08:00", "08:30"]]\n',
            "expected breaks within the hours",
        ),
        ('[hours]\nstart = "09:00"\n', "hours.end: found nothing"),
        ('[[wanted]]\nvents = "a"\n[[wanted]]\nvents = "a"\n', "the same settings twice"),
        ("[[wanted]]\nmust = true\n", "a run without anything"),
        ('[aim]\nknow = { drag = "6 N" }\nchoose = { drag_worth = 5.0 }\n', "leave out one of them"),
        ("[aim]\nchoose = {}\n", "neither drag_worth nor track"),
        ("[aim]\nknow = {}\n", "nothing to know"),
        ('[aim]\nknow = { drag = "6 N" }\nenough = "3 N"\n', "it beside choose alone"),
        ('[aim]\nchoose = { track = "x" }\nenough = "40 N"\n', 'write enough = "0.1 s"'),
        ('[aim]\nknow = { drag = "6 N ± 1 N" }\n', "leave out the uncertainty"),
        ("expected = 3\n", "a table of settings"),
        ('[expected]\nwing_angle = "much"\n', "a table of its values"),
        ('[expected.wing_angel]\n"8 deg" = { front = "1 N" }\n', "did you mean 'wing_angle'?"),
        ('[expected.wing_angle]\n"off" = { front = "1 N" }\n', "a value that is fitted"),
        ('[expected.wing_angle]\n"8 deg" = { front = "1 N exactly" }\n', "nothing is certain"),
        ("[wanted]\n", "tables"),
    ],
)
def test_what_cannot_be_is_refused(faults_of, text, said):
    assert said in "\n".join(faults_of(text))


def test_changed_keys_alone_change(session, folder):
    (folder / PLAN_FILE).write_text(WHOLE, encoding="utf-8")
    seen = look_at_plan(session, folder).text
    text = edited_plan(
        seen,
        {
            ("hours", "start"): "08:30",
            ("minutes", "vents"): "4 min",
            ("wanted", 1): None,
            ("aim", "enough"): None,
        },
    )
    plan = saved(session, folder, text, seen=seen)
    assert plan == read_plan(session, folder)
    assert (plan.hours.start, plan.changes["vents"], plan.enough) == (30600.0, 240.0, None)
    assert [one.configuration for one in plan.wanted] == ["steep"]
    assert 'start = "08:30"            # sharp' in text
    gone = {'start = "09:00"            # sharp', 'configuration = "as delivered"', 'wing_angle = "off"'}
    assert set(WHOLE.splitlines()) - set(text.splitlines()) == gone | {'enough = "40 N"'}


@pytest.mark.parametrize("end", ["\n", "\r\n"])
@pytest.mark.parametrize("mark", ["", "\ufeff"])
def test_a_wanted_run_is_added_behind_the_others_and_read_back(session, folder, end, mark):
    raw = (mark + WHOLE.replace("\n", end)).encode()
    (folder / PLAN_FILE).write_bytes(raw)
    found = look_at_plan(session, folder)
    wanted = WantedRun(configuration="more", settings={"wing_angle": 12.5, "vents": "a"}, must=True)
    text = with_wanted(found.text, len(found.plan.wanted), wanted, found.plan.units)
    plan = saved(session, folder, text, seen=found.text)
    assert plan.wanted[-1].configuration == "more"
    assert dict(plan.wanted[-1].settings) == {"wing_angle": 12.5, "vents": "a"}
    assert plan.wanted[:-1] == found.plan.wanted
    assert (folder / PLAN_FILE).read_bytes().startswith(raw[: raw.index(b"[expected")].rstrip())


def test_a_first_save_writes_a_file_that_explains_itself(session, folder):
    seen = look_at_plan(session, folder).text
    text = edited_plan(
        with_wanted(seen, 0, WantedRun(settings={"wing_angle": 8.0}), {"wing_angle": "deg"}), {}
    )
    text = edited_plan(text, {("minutes", "reading"): "4.7 min", ("minutes", "wing_angle"): "2.5 min"})
    plan = saved(session, folder, text, seen=seen)
    assert (plan.reading, dict(plan.changes)) == (282.0, {"wing_angle": 150.0})
    assert dict(plan.wanted[0].settings) == {"wing_angle": 8.0}
    assert text.startswith("# What this day is to decide")


def test_a_change_made_outside_is_never_written_over(session, folder):
    seen = look_at_plan(session, folder).text
    (folder / PLAN_FILE).write_text(WHOLE, encoding="utf-8")
    with pytest.raises(OutsideChange):
        saved(session, folder, "[order]\nbaseline_every = 3\n", seen=seen)
    assert (folder / PLAN_FILE).read_text("utf-8") == WHOLE


def test_a_fault_is_not_saved(session, folder):
    (folder / PLAN_FILE).write_text(WHOLE, encoding="utf-8")
    with pytest.raises(FileFaults, match="expected a whole number of runs"):
        saved(session, folder, edited_plan(WHOLE, {("order", "baseline_every"): 0}), seen=WHOLE)
    assert (folder / PLAN_FILE).read_text("utf-8") == WHOLE


def test_faults_do_not_keep_a_plan_from_being_looked_at(session, folder):
    (folder / PLAN_FILE).write_text("[order]\nbaseline_every = 0\n", encoding="utf-8")
    found = look_at_plan(session, folder)
    assert (found.plan, len(found.faults)) == (None, 1)
    assert found.text == "[order]\nbaseline_every = 0\n"


def test_a_day_told_apart_by_labels_alone_wants_labels(desk):
    session = desk.load()
    (desk.session / PLAN_FILE).write_text(
        '[[wanted]]\nconfiguration = "wing"\n[[wanted]]\nconfiguration = "base"\n', encoding="utf-8"
    )
    wing, base = read_plan(session, desk.session).wanted
    assert (dict(wing.settings), dict(base.settings)) == ({"configuration": "wing"}, {})


def test_what_a_library_is_to_say_is_read_without_it(session, folder):
    (folder / PLAN_FILE).write_text(
        '[expected.splitter_length]\n"60 mm" = "from library"\n"7 cm" = { from_library = "Splitter, „long“ 🏁" }\n',
        encoding="utf-8",
    )
    plan = read_plan(session, folder)
    assert [(one.value, one.library.part) for one in plan.expected] == [
        (60.0, ""),
        (70.0, "Splitter, „long“ 🏁"),
    ]
    assert plan.believed == ()
    assert not any(one.known for one in plan.expected)


@pytest.mark.parametrize(
    ("line", "fault"),
    [
        (
            '"60 mm" = "from the library"',
            (
                "plan.toml:3: expected.splitter_length.60 mm: found 'from the library', expected a table of front, rear, drag, "
                'or "from library"; as { front = "+400 N ± 150 N" }'
            ),
        ),
        (
            '"60 mm" = { from_library = 3 }',
            (
                "plan.toml:3: expected.splitter_length.60 mm.from_library: found 3, expected text; "
                'write from_library = "Splitter, 60 mm"'
            ),
        ),
        (
            '"60 mm" = { from_library = "" }',
            (
                "plan.toml:3: expected.splitter_length.60 mm.from_library: found nothing, expected text; "
                'write from_library = "Splitter, 60 mm"'
            ),
        ),
        (
            '"60 mm" = { from_library = "x", front = "400 N ± 9 N" }',
            (
                "plan.toml:3: expected.splitter_length.60 mm.front: found front beside from_library, expected one of the two; "
                "leave out front, or from_library"
            ),
        ),
    ],
)
def test_faults_of_what_a_library_is_to_say(faults_of, line, fault):
    assert faults_of(f"\n[expected.splitter_length]\n{line}\n") == [fault]


NAMES = (
    st.text(
        st.characters(exclude_categories=("C", "Z")) | st.sampled_from(" '\"\\#[]={}🏁\u05d0\u0634"),
        min_size=1,
        max_size=200,
    )
    .map(str.strip)
    .filter(bool)
)
SETTINGS = [("splitter_length", 60.0), ("wing_angle", 7.25), ("vents", "bonnet louvres")]


@settings(deadline=None, max_examples=60)
@given(NAMES, st.sampled_from(SETTINGS), st.sampled_from(["# empty\n", WHOLE, WHOLE.replace("\n", "\r\n")]))
def test_any_name_of_a_part_goes_into_the_plan_and_out_again(name, setting, text):
    """Names of parts are free text: quotation marks, emoji, right to left, 200 characters."""
    session = load_session(DEMO / "tunnel_day")
    plan = plan_from(_parsed(text), session)
    held = [one for one in plan.expected if (one.setting, one.value) != setting]
    with_part = edited_plan(text, library_change(session, plan, text, *setting, name))
    read = plan_from(_parsed(with_part), session)
    (one,) = [one for one in read.expected if (one.setting, one.value) == setting]
    assert one.library.part == clean_text(name)
    assert [one for one in read.expected if (one.setting, one.value) != setting] == held
    without = edited_plan(with_part, library_change(session, read, with_part, *setting, None))
    assert list(plan_from(_parsed(without), session).expected) == held
    assert all(line in without.replace("\r\n", "\n") for line in ("# mine", "# sharp") if line in text)


def test_a_value_that_stands_there_in_another_unit_is_the_same_one(session):
    plan = plan_from(_parsed(WHOLE), session)
    assert library_change(session, plan, WHOLE, "splitter_length", 70.0, "x") == {
        ("expected", "splitter_length", "7 cm"): {"from_library": "x"}
    }


def _parsed(text):
    document = read_toml(text_at_hand(text, PLAN_FILE), shown_as=PLAN_FILE, what="a plan")
    assert not document.faults
    return document
