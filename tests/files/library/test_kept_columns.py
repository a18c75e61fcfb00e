"""What a library keeps of compared columns: written, read back, absent in older days, and every fault."""

import json
import math
from dataclasses import replace

import pytest

from balance.decide.library.kept import effects_of_day
from balance.files.library.day_record import day_text, read_day
from balance.files.loader import load_session
from balance.model.errors import FileFaults
from balance.model.libraries import KeptDay
from tests.cooled_day import COMPARED, RUNS, SESSION

RADIATOR = "radiator_pressure_drop"


@pytest.fixture
def kept(desk):
    """The cooled day, as a library keeps it."""
    session = load_session(
        desk.write(session=SESSION + COMPARED.replace("]", ', "intake_temperature"]'), runs=RUNS)
    )
    return KeptDay(
        id="cooled", folder="/cooled", title=session.title, date="", car="coupe", car_file="/vehicle.toml",
        facility="", facility_name="", floor="", speed=session.facility.speed,
        air_density=session.facility.air_density, runs=9, files=(("/vehicle.toml", ""),),
        effects=effects_of_day(session),
    )  # fmt: skip


def louvres(day):
    return next(one for one in day.effects.effects if one.changes[0].setting == "louvres")


def test_a_day_comes_back_with_what_it_compared(kept):
    raw = day_text(kept).encode()
    assert read_day(raw, shown_as="day.json") == kept
    names = [one.name for one in louvres(kept).columns]
    assert names == [RADIATOR, "intake_temperature"]
    radiator, intake = louvres(kept).columns
    # 431 less the mean of 412, 415, 411; variance 13.167/3 (1 + 1/3): tests/properties/parts/test_column_increments.py
    assert radiator.change == pytest.approx(431.0 - 1238.0 / 3.0)
    assert radiator.variance == pytest.approx(13.1667 / 3.0 * 4.0 / 3.0, rel=1e-5)
    assert (radiator.unit, radiator.scales, radiator.degrees_of_freedom) == ("Pa", True, 3.0)
    assert radiator.pressure == pytest.approx(0.5 * 1.225 * (160.0 / 3.6) ** 2)
    assert (intake.unit, intake.scales) == ("K", False)


def test_a_day_that_was_kept_before_has_none_and_is_read(kept):
    tree = json.loads(day_text(kept))
    for effect in tree["effects"]:
        del effect["columns"]
    read = read_day(json.dumps(tree).encode(), shown_as="day.json")
    assert [one.columns for one in read.effects.effects] == [()] * len(read.effects.effects)
    assert [replace(one, columns=()) for one in kept.effects.effects] == list(read.effects.effects)


def test_a_day_that_compares_nothing_is_written_as_before(desk):
    session = load_session(desk.write(session=SESSION, runs=RUNS))
    assert all(one.columns == () for one in effects_of_day(session).effects)


def test_what_is_not_known_is_null(kept):
    radiator = replace(louvres(kept).columns[0], variance=math.nan, degrees_of_freedom=math.nan)
    effects = replace(kept.effects, effects=(replace(louvres(kept), columns=(radiator,)),))
    tree = json.loads(day_text(replace(kept, effects=effects)))
    assert tree["effects"][0]["columns"][0]["variance"] is None
    (read,) = read_day(day_text(replace(kept, effects=effects)).encode(), shown_as="day.json").effects.effects
    assert math.isnan(read.columns[0].variance)
    assert read.columns[0].change == radiator.change


@pytest.mark.parametrize(
    ("columns", "fault"),
    [
        ("all", "effects.0.columns: found 'all', expected a list"),
        ([3], "effects.0.columns.0: found '3', expected a column that was compared"),
        ([{"name": 3, "unit": "Pa", "change": 1, "dynamic_pressure_Pa": 9}], "effects.0.columns.0.name: found '3', expected a text"),
        ([{"name": "a", "unit": "Pa", "dynamic_pressure_Pa": 9}], "effects.0.columns.0.change: found nothing, expected a finite number"),
        ([{"name": "a", "unit": "Pa", "change": 1, "variance": "x", "dynamic_pressure_Pa": 9}], "effects.0.columns.0.variance: found 'x', expected a finite number"),
    ],
)  # fmt: skip
def test_a_broken_record_is_named(kept, columns, fault):
    tree = json.loads(day_text(kept))
    tree["effects"][0]["columns"] = columns
    with pytest.raises(FileFaults) as caught:
        read_day(json.dumps(tree).encode(), shown_as="day.json")
    assert fault in str(caught.value)


def test_a_part_taken_off_is_the_part_with_its_sign_turned(desk):
    """The louvres shut as delivered and taken off later say the same as put on: by definition of the effect."""
    turned = (
        RUNS.replace(",louvres,open,", ",swap,,")
        .replace(",base,,,", ",louvres,open,,")
        .replace(",swap,,", ",base,,")
    )
    there, back = (
        effects_of_day(load_session(desk.write(session=SESSION + COMPARED, runs=runs)))
        for runs in (RUNS, turned)
    )
    one, other = (
        next(e for e in some.effects if e.changes[0].setting == "louvres").columns[0]
        for some in (there, back)
    )
    assert other.change == pytest.approx(-one.change)
    assert other.variance == pytest.approx(one.variance)
