"""The picture of a part over cars: each figure is that of the tables, and no row says more than the cars allow."""

import re

import pytest

from balance.model.errors import UnknownName
from balance.tell.figures import Show
from balance.tell.library.car_facts import ANY, Only
from balance.tell.library.library_text import effects_table, together_table
from balance.tell.library.part_drawing import draw_part
from balance.tell.library.part_picture import (
    drag_line,
    largest_channel,
    part_picture,
    picture_spans,
    picture_table,
)
from balance.tell.library.part_rows import part_rows
from balance.tell.report.blocks import Missing
from balance.units.shown import US
from tests.files.library.conftest import HEAD, Days

PART = "rear spoiler 25 mm"
SHOW = Show()
CARS = {"ash": 60.0, "birch": 75.0, "cedar": 40.0, "oak": 66.0, "yew": 52.0}


@pytest.fixture
def days(tmp_path):
    return Days(tmp_path)


def add(days, count):
    for car in list(CARS)[:count]:
        days.add(days.day(car, gain=CARS[car]), n1="same" if car != "ash" else "new")


def told(days, **conditions):
    with days.open() as library:
        return part_rows(library, PART, **conditions)


def column(table, key):
    return [row[key].text for row in table.rows]


@pytest.mark.parametrize("count", range(1, 6))
def test_so_many_cars_allow_so_many_rows(days, count):
    add(days, count)
    picture = part_picture(told(days))
    table = picture_table(picture, SHOW)
    assert (picture.mean is not None) == (
        count >= 3
    )  # the design: a mean from three cars on, the range from five
    assert (picture.next_car is not None) == (count >= 5)
    assert column(table, "car")[count:] == [f"mean of {count}" if count >= 3 else "mean", "next car"]
    assert column(table, "figure").count("too few cars") == (count < 3) + (count < 5)
    assert (drag_line(picture, SHOW) == "") == (count < 3)
    assert ("next car" in drag_line(picture, SHOW)) == (count >= 5)
    assert len(picture_spans(picture)) == len(table.rows)


@pytest.mark.parametrize("channel", ["front", "rear", "drag", "total"])
@pytest.mark.parametrize("system", [SHOW, Show(US)], ids=["si", "us"])
def test_each_figure_is_that_of_the_tables(days, channel, system):
    days.five()
    part = told(days, speed=50.0, air_density=1.2)
    table = picture_table(part_picture(part.kept(ANY, "car"), channel), system)
    together = column(together_table(part, system), channel)
    *cars, mean, following = column(table, "figure")
    if channel != "total":  # the table of days has no column of it
        assert sorted(cars) == sorted(column(effects_table(part, system), channel))
    assert mean == f"{together[0]} ({together[1]})"
    assert following == together[3]


def test_forces_follow_speed_and_density(days):
    days.five()
    part = told(days)
    slow, fast = (part_picture(part.at(speed, 1.2)) for speed in (30.0, 60.0))
    for one, other in zip(picture_spans(slow), picture_spans(fast), strict=True):
        assert [4.0 * end for end in one.ends] == pytest.approx(other.ends)  # by hand: twice the speed
    assert fast.scale == pytest.approx([4.0 * end for end in slow.scale])


def test_days_of_one_car_are_one_row(days):
    add(days, 2)
    days.add(days.day("ash", "autumn", gain=80.0), n1="same")
    picture = part_picture(told(days, by="car"))
    ash, birch = picture.cars
    assert (len(ash.days), len(birch.days)) == (2, 1)
    assert SHOW.bare("force", ash.span.value) == "70"  # by hand: the mean of 60 and 80
    assert ash.span.high - ash.span.low < birch.span.high - birch.span.low
    assert column(picture_table(picture, SHOW), "days")[:2] == ["2", "1"]


def test_the_channel_in_which_a_part_does_most_is_shown_unless_another_is_asked_for(days):
    runs = HEAD.replace("rear_spoiler", "splitter") + "1,a,84,260,1150,\n2,b,-90,270,1158,25\n"
    days.add(days.day("oak", runs=runs))
    with days.open() as library:
        part = part_rows(library, "splitter 25 mm")
    assert part_picture(part).quantity == "front downforce"
    assert part_picture(part, "drag").quantity == "drag"
    assert largest_channel(part.kept(Only(floor="road"))) == 1
    with pytest.raises(UnknownName, match="front"):
        part_picture(part, "yaw")


def test_rows_stand_in_the_order_asked_for(days):
    gains = days.five()
    part = told(days)
    by_effect = [car.name[:3] for car in part_picture(part, by_effect=True).cars]
    assert by_effect == [name[:3] for name in sorted(gains, key=lambda car: -gains[car])]
    by_name = [car.name for car in part_picture(part.kept(ANY, "car")).cars]
    assert by_name == sorted(by_name)


def test_a_fact_that_rows_are_sorted_by_has_a_column(days):
    for car, angle in (("ash", "40 deg"), ("birch", "25 deg")):
        days.add(
            days.day(car, kind="hatchback", rear_glass_angle=angle), n1="same" if car != "ash" else "new"
        )
    days.add(
        days.day("ash", "autumn", kind="hatchback", rear_glass_angle="40 deg", floor="moving"), n1="same"
    )
    table = picture_table(part_picture(told(days, by="rear_glass_angle")), SHOW)
    assert column(table, "rear_glass_angle")[:2] == ["25", "40"]
    drawn = draw_part(part_picture(told(days, by="rear_glass_angle")), SHOW)
    assert "rear glass 25°" in drawn.alternative
    assert "rear glass" not in draw_part(part_picture(told(days)), SHOW).alternative
    assert column(table, "body")[:2] == ["hatchback", "hatchback"]
    assert column(table, "floor")[:2] == ["fixed", "several"]


def test_rows_left_out_are_in_no_figure_and_that_is_said(days):
    for car, gain in CARS.items():
        kind = "saloon" if car in ("ash", "yew") else "hatchback"
        days.add(days.day(car, gain=gain, kind=kind), n1="same" if car != "ash" else "new")
    kept = told(days).kept(Only(body="hatchback"))
    assert (kept.over.cars, kept.all_cars) == (3, 5)
    picture = part_picture(kept)
    assert picture.next_car is None
    assert SHOW.bare("force", picture.mean.value) == "60"  # by hand: the mean of 75, 40 and 66, equally known
    assert "only hatchback" in draw_part(picture, SHOW).title


def test_unknown_repeatability_and_suspect_readings_are_marked(days):
    add(days, 2)
    session = days.place / "ash" / "spring" / "session.toml"
    text = session.read_text(encoding="utf-8")
    session.write_text(text[: text.index("[repeatability]")], encoding="utf-8")
    runs = days.place / "birch" / "spring" / "runs.csv"
    lines = runs.read_text(encoding="utf-8").splitlines()
    runs.write_text("\n".join([f"{lines[0]},status", f"{lines[1]},", f"{lines[2]},suspect"]) + "\n")
    ash, birch = column(picture_table(part_picture(told(days, by="car")), SHOW), "figure")[:2]
    assert ash == "60 ?"
    assert re.fullmatch(r"75 ± [0-9]+\*", birch)


def test_one_car_that_is_barely_known_does_not_press_the_others_together(days):
    days.five()
    runs = HEAD + "1,base,84,260,1150,\n2,spoiler,90,200,1158,25\n"
    folder = days.day("elm", runs=runs)
    session = folder / "session.toml"
    session.write_text(session.read_text(encoding="utf-8").replace('rear = "7 N"', 'rear = "700 N"'))
    days.add(folder, n1="same")
    picture = part_picture(told(days))
    values = [car.span.value for car in picture.cars] + [*picture.next_car.ends, 0.0]
    elm = next(car.span for car in picture.cars if car.name.startswith("elm"))
    low, high = picture.scale
    assert elm.low < low
    assert high < elm.high
    assert high - low <= 3.001 * (max(values) - min(values))


def test_cars_can_be_numbered_for_eyes_that_are_not_to_know_whose_they_are(days):
    days.five()
    picture = part_picture(told(days), named=False)
    names = column(picture_table(picture, SHOW), "car")[:5]
    assert sorted(names) == [f"car {k}" for k in range(1, 6)]
    drawn = draw_part(picture, SHOW)
    assert "invented" not in drawn.alternative
    assert "car 1" in drawn.alternative


def test_nothing_measured_is_nothing_to_draw(days):
    days.five()
    assert isinstance(draw_part(part_picture(told(days).kept(Only(floor="road"))), SHOW), Missing)
