"""What a library expects of a part on one car: other cars alone count, and what it cannot say it gives a reason for."""

import shutil

import pytest

from balance.files.formats.plan import read_plan
from balance.files.loader import load_session
from balance.model.plans import DayPlan, ExpectedEffect
from balance.tell.library.other_cars import OtherCars, plan_with_library, said_of
from balance.tell.library.part_rows import part_rows
from balance.tell.plan.plan_names import Names, plan_sources
from tests.files.library.conftest import HEAD, Days

PART = "rear spoiler 25 mm"
TOO_FEW = (
    "assumed, for the library does not say ({} cars: too few for what a next car may do, which takes five)"
)
HERE = "; this day measured it: run 2"
PRESSURE = 0.5 * 1.225 * (160 / 3.6) ** 2  # of the invented days


@pytest.fixture
def days(tmp_path):
    return Days(tmp_path)


def planned(days, folder, source='"from library"', value="25 mm"):
    """Read a plan that expects a spoiler from the library."""
    (folder / "plan.toml").write_text(f'[expected.rear_spoiler]\n"{value}" = {source}\n', encoding="utf-8")
    session = load_session(folder)
    plan = plan_with_library(session, read_plan(session, folder), str(days.library))
    return session, plan


def said(session, plan):
    return plan_sources(plan, Names.of_plan(session, plan, {}))


@pytest.mark.parametrize("source", ['"from library"', f'{{ from_library = "{PART}" }}'])
def test_five_other_cars_are_the_belief(days, source):
    gains = days.five()
    session, plan = planned(days, days.day("fresh", gain=999.0), source)
    (one,) = plan.expected
    assert plan.believed == plan.expected
    assert (one.library.cars, one.library.own, one.library.part) == (5, 0, PART)
    assert one.mean[1] * PRESSURE == pytest.approx(
        sum(gains.values()) / 5, abs=1.0
    )  # of equal weights: the plain mean
    # by hand: cars from 40 to 75 N, each known to 10 N; the next one lies as far apart, and no nearer than a car is known
    assert 13.0 < one.std[1] * PRESSURE < 40.0
    assert said(session, plan) == [f"rear spoiler 25 mm ({PART}): expected, from 5 cars{HERE}"]
    assert one.library.measured == ("2",)


BARE = f"{HEAD}1,base,84,260,1150,\n"


def test_what_the_car_itself_showed_on_other_days_is_the_belief(days):
    days.five()
    days.add(days.day("fresh", gain=500.0), car="new", n1="same")
    days.add(days.day("fresh", "autumn", gain=480.0), n1="same")
    winter = days.day("fresh", "winter", runs=BARE)
    for folder, gain, source in (
        # each day without itself; two days as their plain mean
        (days.place / "fresh" / "spring", 480.0, f"day autumn of fresh{HERE}"),
        (days.place / "fresh" / "autumn", 500.0, f"day spring of fresh{HERE}"),
        (winter, 490.0, "days autumn of fresh, spring of fresh"),
    ):
        text = (folder / "session.toml").read_text(encoding="utf-8")
        assert "date" not in text  # else the dates name the days
        session, plan = planned(days, folder)
        (one,) = plan.expected
        assert one.mean[1] * PRESSURE == pytest.approx(gain)
        assert (one.library.cars, one.library.own) == (5, 0)
        assert said(session, plan) == [f"rear spoiler 25 mm ({PART}): expected, from this car's own {source}"]
    # by hand: 7 N a reading; the mean of two days of one reading against one, and one fit more: 7 √(2/2 + 1); twice 20
    # degrees of freedom: t = 2.021 (W. S. Gosset's t as in any table, 40 degrees, 95 %; from memory)
    assert one.std[1] * PRESSURE * 1.96 == pytest.approx(2.021 * 7.0 * 2.0**0.5, rel=0.01)


def test_one_car_is_enough_where_it_is_the_car_itself(days):
    days.add(days.day("fresh", gain=500.0), n1="new")
    session, plan = planned(days, days.day("fresh", "winter", runs=BARE))
    assert plan.believed == plan.expected
    assert "from this car's own day" in said(session, plan)[0]


def test_a_car_that_has_the_name_alone_is_not_the_car_itself(days):
    days.five()
    _, plan = planned(days, days.day("new", name="OAKOAKOAK (invented)"))
    assert plan.expected[0].library.own_dates == ()


def test_a_copy_of_a_day_is_the_same_car(days, tmp_path):
    days.five()
    shutil.copytree(days.place / "oak", tmp_path / "elsewhere")
    session, plan = planned(days, tmp_path / "elsewhere" / "spring")
    (one,) = plan.expected
    assert (one.library.cars, one.library.own, one.known) == (4, 1, False)
    (text,) = said(session, plan)
    assert text == f"rear spoiler 25 mm ({PART}): {TOO_FEW.format(4)}; 1 day of this car left out{HERE}"


def test_a_car_of_the_same_name_is_left_out_where_no_file_tells_them_apart(days):
    days.five()
    session, plan = planned(days, days.day("new", name="OAKOAKOAK (invented)"))
    assert plan.expected[0].library.own == 1
    other, plan = planned(days, days.day("other", name="another (invented)"))
    assert plan.expected[0].library.own == 0
    assert session.vehicle.name != other.vehicle.name


def test_too_few_cars_leave_what_is_assumed(days):
    days.add(days.day("ash"), n1="new")
    days.add(days.day("birch"), n1="same")
    session, plan = planned(days, days.day("fresh"))
    assert plan.believed == ()
    assert said(session, plan) == [f"rear spoiler 25 mm ({PART}): {TOO_FEW.format(2)}{HERE}"]


@pytest.mark.parametrize(
    ("source", "value", "why"),
    [
        (
            '{ from_library = "rear spoiler 25 m" }',
            "25 mm",
            "no part of that name; did you mean 'rear spoiler 25 mm'?",
        ),
        ('"from library"', "26 mm", "no part of the library is said so: name it, as { from_library = NAME }"),
    ],
)
def test_what_the_library_does_not_know_is_told(days, source, value, why):
    days.five()
    session, plan = planned(days, days.day("fresh"), source, value)
    assert plan.believed == ()
    assert said(session, plan)[0].endswith(f"assumed, for the library does not say ({why})")


def test_two_parts_that_are_said_alike_are_not_guessed_between(days):
    days.add(days.day("ash"), n1="new")
    days.add(days.day("birch"), n1="new")
    session, plan = planned(days, days.day("fresh"))
    assert (
        "2 parts of the library are said so (rear spoiler 25 mm; rear spoiler 25 mm (2)): name the one"
        in said(session, plan)[0]
    )
    # the day that was confirmed knows which it means
    session, plan = planned(days, days.place / "birch" / "spring")
    assert plan.expected[0].library.part == "rear spoiler 25 mm (2)"


def test_no_library_stops_nothing(days):
    session, plan = planned(days, days.day("fresh"))
    assert plan.believed == ()
    assert "found no library, expected a folder with a library.toml" in said(session, plan)[0]
    broken = days.library
    broken.mkdir()
    (broken / "library.toml").write_text("days = 3\n", encoding="utf-8")
    session, plan = planned(days, days.day("fresh"))
    assert "library.toml" in said(session, plan)[0]


def test_a_library_is_opened_only_where_it_is_asked(days):
    session = load_session(days.day("fresh"))
    plan = DayPlan(
        expected=(ExpectedEffect(setting="wing", value=1.0, mean=(1.0, 0.0, 0.0), std=(1.0, 1.0, 1.0)),)
    )
    assert plan_with_library(session, plan, "/nowhere at all") is plan


def test_a_line_changed_later_is_read_again(days):
    days.five()
    folder = days.day("fresh")
    before = planned(days, folder)[1].expected[0]
    runs = days.place / "oak" / "spring" / "runs.csv"
    runs.write_text(f"{HEAD}1,base,84,260,1150,\n2,spoiler,90,60,1158,25\n", encoding="utf-8")
    after = planned(days, folder)[1].expected[0]
    assert after.mean[1] > before.mean[1]
    assert after.std[1] > before.std[1]


def test_rows_of_other_cars_are_those_that_the_library_shows(days):
    days.five()
    session = load_session(days.day("fresh"))
    with days.open() as library:
        others = OtherCars(library, session)
        assert others.rows(PART).rows == part_rows(library, PART).rows
        assert others.part_of(said_of("rear_spoiler", 25.0, "mm")) == PART
        assert others.part_of(said_of("Rear Spoiler", 2.5, "cm")) == PART
        own = OtherCars(library, load_session(days.place / "oak" / "spring"))
        assert {day.car_name for day, _ in own.rows(PART).rows} == {
            f"{car * 3} (invented)" for car in ("ash", "birch", "cedar", "yew")
        }
        expected, left = others.expects(PART), own.expects(PART)
        assert (expected.cars, expected.own, left.cars, left.own) == (5, 0, 4, 0)
        assert expected.mean is not None
        assert left.mean is None
        assert left.measured == ("2",)
