"""What is said of a part: figures with unit and certainty, marks where they belong, no more than is known."""

import re
from dataclasses import replace

import pytest

from balance.tell.figures import Show
from balance.tell.library.library_record import part_record
from balance.tell.library.library_text import (
    allowed_words,
    effects_table,
    library_notes,
    part_line,
    parts_table,
    together_table,
)
from balance.tell.library.part_rows import part_rows
from balance.units.shown import US
from tests.files.library.conftest import HEAD, Days

PART = "rear spoiler 25 mm"
SHOW = Show()


@pytest.fixture
def days(tmp_path):
    return Days(tmp_path)


def told(days, **conditions):
    with days.open() as library:
        return part_rows(library, PART, **conditions)


def column(table, key):
    return [row[key].text for row in table.rows]


def test_each_car_has_its_force_and_half_of_its_interval(days):
    days.five()
    table = effects_table(told(days), SHOW)
    assert sorted(column(table, "rear")) == sorted(
        [text for text in column(table, "rear") if re.fullmatch(r"(40|52|60|66|75) ± [0-9]+", text)]
    )
    assert all(
        text.startswith("~−6 ± ") for text in column(table, "front")
    )  # 6 N, clearly less than the noise


def test_mean_and_range_stand_under_their_names(days):
    gains = days.five()
    table = together_table(told(days), SHOW)
    assert column(table, "what") == ["mean of 5", "its 95 % interval", "sd between cars", "next car, 95 %"]
    mean, interval, _, following = column(table, "rear")
    assert float(mean) == pytest.approx(sum(gains.values()) / 5, abs=1.0)  # of equal weights: the plain mean
    low, high = map(float, interval.split(" to "))
    lowest, highest = (float(end.replace("−", "-")) for end in following.split(" to "))
    assert lowest < low < float(mean) < high < highest


def test_units_are_those_asked_for(days):
    days.add(days.day())
    part = told(days)
    assert part_line(part, SHOW) == f"{PART} · spoiler · 1 car, 1 day · at 160 km/h, 1.225 kg/m³"
    assert "99 mph" in part_line(part, Show(US))
    (rear,) = column(effects_table(part, Show(US)), "rear")
    assert rear.startswith("13 ± ")  # 60 N are 13.5 lbf


def test_unknown_repeatability_is_told_and_not_pooled(days):
    days.five()
    for car in ("ash", "birch"):
        session = days.place / car / "spring" / "session.toml"
        text = session.read_text(encoding="utf-8")
        session.write_text(text[: text.index("[repeatability]")], encoding="utf-8")
    part = told(days)
    assert (part.over.cars, part.over.known) == (5, 3)
    assert sum(text.endswith(" ?") for text in column(effects_table(part, SHOW), "rear")) == 2
    words = " ".join(allowed_words(part))
    assert "Repeatability unknown on 2 cars: listed, and left out of what is said of several." in words
    assert "Three cars: a mean" in words
    assert column(together_table(part, SHOW), "what")[0] == "mean of 3"


def test_what_else_was_fitted_is_named(days):
    runs = (
        HEAD.replace("rear_spoiler", "wing [deg],rear_spoiler") + "1,a,84,260,1150,5,\n2,b,90,200,1158,5,25\n"
    )
    days.add(days.day(runs=runs))
    assert column(effects_table(told(days), SHOW), "with") == ["wing 5°"]


def test_the_list_says_what_each_figure_is(days):
    days.add(days.day("ash"))
    rows = []
    for car in ("birch", "cedar", "oak", "yew"):
        rows.append(parts_table([told(days)], SHOW).rows[0])
        days.add(days.day(car), n1="same")
    rows.append(parts_table([told(days)], SHOW).rows[0])
    assert [row["says"].text for row in rows] == ["one car", "two cars", "mean", "mean", "mean, range"]
    assert [row["rear"].text for row in rows] == ["60", "·", "60", "60", "60"]


def test_what_waits_is_told(days):
    days.five()
    days.day("elm")
    path = days.library / "library.toml"
    path.write_text(path.read_text(encoding="utf-8").replace("[", '["../elm/spring", '), encoding="utf-8")
    with days.open() as library:
        (note,) = library_notes(library)
    assert note.startswith(
        "1 effect of 1 day not yet confirmed as a part, and not counted: axletrim library add asks"
    )


def test_nothing_measured_is_said_so(days):
    days.five()
    part = told(days)
    nothing = replace(part, rows=(), over=replace(part.over, cars=0, known=0, pooled=(), ratio=None))
    assert allowed_words(nothing) == ["No day of the library measured it."]


def test_what_refitting_does_is_told_as_assumed(days):
    runs = (
        HEAD + "1,base,84,260,1150,\n2,base,86,255,1152,\n3,spoiler,90,200,1158,25\n"
    )  # read again, not fitted again
    session = days.day("ash", runs=runs) / "session.toml"
    text = session.read_text(encoding="utf-8")
    session.write_text(text[: text.index("[repeatability]")], encoding="utf-8")
    days.add(session)
    days.add(days.day("oak"), n1="same")
    words = " ".join(allowed_words(told(days)))
    assert "On 1 day nothing was fitted twice: what refitting does is assumed there." in words


def refitted(base, spoiler):
    """Runs of a day on which base and spoiler were each fitted twice, with so much lift at the rear."""
    rows = [f"{k},base,84,{lift},1150," for k, lift in zip((1, 3), base, strict=True)]
    rows += [f"{k},spoiler,90,{lift},1158,25" for k, lift in zip((2, 4), spoiler, strict=True)]
    return HEAD + "\n".join(sorted(rows)) + "\n"


def test_days_of_one_facility_share_their_repeatability(days):
    """By hand: rear sums of squares 8 + 18 and 2 + 8, two degrees of freedom each: 13 and 5 N², together 9 N² with 4."""
    facility = {"facility": "North tunnel", "repeatability": ""}
    days.add(days.day("oak", runs=refitted((260, 264), (200, 206)), **facility))
    days.add(days.day("yew", runs=refitted((260, 262), (195, 199)), **facility), n1="same")
    days.add(days.day("ash", runs=refitted((260, 268), (190, 190)), repeatability=""), n1="same")
    part = told(days)
    scaled = {day.car_name[:3]: effect.std[1] * part.pressure for day, effect in part.rows}
    known = {day.car_name[:3]: effect.degrees_of_freedom[1] for day, effect in part.rows}
    # the mean of two less the mean of two has the variance of one reading
    assert scaled == pytest.approx({"oak": 3.0, "yew": 3.0, "ash": 4.0}, rel=1e-9)
    assert known == {"oak": 4.0, "yew": 4.0, "ash": 2.0}
    words = " ".join(allowed_words(part))
    assert "Repeatability in 'North tunnel' pooled over 2 days: 4 degrees of freedom." in words
    assert "1 day without a name of the facility: each by its own repeatability." in words
    record = part_record(part)
    assert record["facilities"] == [{"facility_name": "North tunnel", "days": 2, "degrees_of_freedom": 4.0}]


def test_what_scatters_in_a_facility_is_a_force_whatever_the_speed_of_the_runs(days):
    """By hand: 13 and 5 N² as above, together 9 N² with 4; at 120 km/h, told at 160, it counts (160/120)² times."""
    facility = {"facility": "North tunnel", "repeatability": ""}
    days.add(days.day("oak", runs=refitted((260, 264), (200, 206)), **facility))
    head, *rows = refitted((260, 262), (195, 199)).splitlines()
    slow = "\n".join([f"{head},speed [km/h]", *(f"{row},120" for row in rows)]) + "\n"
    days.add(days.day("yew", runs=slow, **facility), n1="same")
    part = told(days)
    scaled = {day.car_name[:3]: effect.std[1] * part.pressure for day, effect in part.rows}
    assert scaled == pytest.approx({"oak": 3.0, "yew": 3.0 * (160.0 / 120.0) ** 2}, rel=1e-9)


def test_a_facility_known_by_one_day_alone_changes_nothing(days):
    days.add(
        days.day("oak", runs=refitted((260, 264), (200, 206)), facility="North tunnel", repeatability="")
    )
    days.add(days.day("yew", facility="South tunnel"), n1="same")  # nothing was fitted twice there
    part = told(days)
    assert part.facilities == ()
    assert [effect.std[1] * part.pressure for _, effect in part.rows] == pytest.approx(
        [13.0**0.5, 7.0 * 2.0**0.5], rel=1e-9
    )
    assert "pooled" not in " ".join(allowed_words(part))


def test_a_day_that_refitted_nothing_takes_what_others_of_its_facility_measured(days):
    days.add(
        days.day("oak", runs=refitted((260, 264), (200, 206)), facility="North tunnel", repeatability="")
    )
    untouched = f"{HEAD}1,base,84,260,1150,\n2,base,84,262,1150,\n3,spoiler,90,200,1158,25\n"
    days.add(days.day("yew", runs=untouched, facility="North tunnel", repeatability=""), n1="same")
    part = told(days)
    assert [effect.refit_assumed for _, effect in part.rows] == [False, False]
    assert not any("assumed there" in word for word in allowed_words(part))
