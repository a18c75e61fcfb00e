"""A long day is worked out in pieces, so that it takes little memory: whatever their size, figures are those of the whole."""

from dataclasses import fields, is_dataclass, replace

import numpy as np
import pytest

from balance.compare import fitted
from balance.compare.increments import find_increments
from balance.decide.car.prepared_day import prepare_day
from balance.decide.day import assessment, overturned, range_seen
from balance.decide.day.assessment import assess
from balance.decide.day.day import reduce_day
from balance.decide.day.overturned import find_overturns
from balance.decide.parts import parts
from balance.decide.parts.parts import assess_parts
from balance.decide.settings import setting_curve as curves
from balance.decide.settings.setting_curve import setting_curve
from balance.decide.settings.trim_question import TrimQuestion, prepare_trim
from balance.decide.what_if import what_if
from balance.decide.what_if.what_if import evaluate_what_if, what_if_curve
from balance.model.records import Place, Setting
from balance.model.what_ifs import WhatIf
from balance.reduce.fits import fits_of_session
from balance.reduce.readings import reduce_session

DRAWS = 200


def same(one, other):
    """Hold two results against one another, field by field."""
    if isinstance(one, np.ndarray):
        np.testing.assert_allclose(one, other, rtol=1e-12, atol=1e-14)
    elif is_dataclass(one) and not isinstance(one, type):
        for field in fields(one):
            if field.name not in ("day", "shared"):
                same(getattr(one, field.name), getattr(other, field.name))
    elif isinstance(one, tuple | list):
        assert len(one) == len(other)
        for a, b in zip(one, other, strict=True):
            same(a, b)
    elif isinstance(one, float):
        assert one == pytest.approx(other, rel=1e-12, abs=1e-14, nan_ok=True)
    else:
        assert one == other


@pytest.fixture
def session(make_session, make_vehicle):
    """Eleven readings of a wing and a lip in all combinations, some twice, with scatter and places."""
    steps = [(wing, lip) for lip in (None, 5.0) for wing in (None, 2.0, 5.0, 8.0)] + [(None, None)] * 2
    steps += [(5.0, None)]
    runs, readings = [], []
    for k, (wing, lip) in enumerate(steps):
        held = {"wing": wing, "lip": lip}
        runs.append({"settings": {n: Setting(value=v, unit="deg") for n, v in held.items() if v is not None}})
        readings.append(
            (
                200.0 - 8.0 * (wing or 0.0) + 20.0 * (lip or 0.0) + 3.0 * (k % 3),
                150.0 + 40.0 * (wing or 0.0) - 2.0 * (k % 2),
                600.0 + 9.0 * (wing or 0.0) + k,
            )
        )
    car = make_vehicle(driven="rear", top_speed=75.0)
    made = make_session(readings, configurations=["car"] * len(steps), runs=runs, vehicle=car)
    return replace(made, places=(Place(name="slow", speed=25.0), Place(name="fast", speed=70.0)))


@pytest.fixture
def day_of(session):
    def make():
        return reduce_day(session, draws=DRAWS)

    return make


@pytest.mark.parametrize("size", [1, 2 * DRAWS, 3 * DRAWS])
def test_rows_of_a_table(monkeypatch, day_of, size):
    whole = assess(day_of())
    monkeypatch.setattr(assessment, "CHUNK", size)
    in_pieces = assess(day_of())
    for name in ("handling", "onsets", "ranges"):
        same(getattr(in_pieces, name), getattr(whole, name))


@pytest.mark.parametrize("cars", [1, 2, 3])
@pytest.mark.parametrize("drawn", [True, False])
def test_ranges_of_speeds(monkeypatch, day_of, cars, drawn):
    whole = assess(day_of(), drawn=drawn).ranges
    speeds = 48 + 2 + 2
    monkeypatch.setattr(range_seen, "_AT_ONCE", cars * speeds * (DRAWS if drawn else 1))
    same(assess(day_of(), drawn=drawn).ranges, whole)


@pytest.mark.parametrize("size", [1, 2, 3])
def test_parts(monkeypatch, day_of, size):
    whole = assess_parts(day_of())
    assert len(whole) >= 9
    monkeypatch.setattr(parts, "CHUNK", size)
    in_pieces = assess_parts(day_of())
    for name in (
        "aero_balance",
        "grip_surplus",
        "toward_target",
        "before",
        "after",
        "ranges_before",
        "ranges_after",
    ):
        same(getattr(in_pieces, name), getattr(whole, name))


@pytest.mark.parametrize("pairs", [1, 22, 33])
def test_proposals_of_baselines(monkeypatch, session, pairs):
    fits = fits_of_session(session, reduce_session(session))
    whole = find_increments(session, fits, dynamic_pressure=1500.0).pairs
    assert len(whole) >= 9
    monkeypatch.setattr(fitted, "_AT_ONCE", pairs)
    assert find_increments(session, fits, dynamic_pressure=1500.0).pairs == whole


@pytest.mark.parametrize("cases", [1, 3, 40])
def test_what_would_overturn_verdicts(monkeypatch, day_of, cases):
    day = day_of()
    rows = list(range(6))
    verdicts = assess(day, drawn=False, rows=rows).ranges
    stds = day.stds(rows)[:2]
    whole = find_overturns(day.session, day.areas(rows), stds, 1.2, verdicts)
    assert any(whole)
    monkeypatch.setattr(overturned, "_AT_ONCE", cases * 52)
    same(find_overturns(day.session, day.areas(rows), stds, 1.2, verdicts), whole)


def test_rows_at_an_edge_are_held_against_their_places(monkeypatch, day_of):
    whole = overturned.overturned(assess(day_of()))
    monkeypatch.setattr(overturned, "CHUNK", 2 * DRAWS)
    same(overturned.overturned(assess(day_of())), whole)


@pytest.mark.parametrize("size", [1, 2 * DRAWS, 3 * DRAWS])
def test_a_what_if_against_speed(monkeypatch, day_of, size):
    prepared, speeds = prepare_day(day_of()), np.array([20.0, 30.0, 50.0, 60.0, 70.0])
    result = evaluate_what_if(prepared, WhatIf(start="2", settings=(("wing", 5.0),)))
    whole = what_if_curve(prepared, result, speeds)
    monkeypatch.setattr(what_if, "_BAND_POINTS", size)
    same(what_if_curve(prepared, result, speeds), whole)


@pytest.mark.parametrize("size", [1, 2, 100])
def test_a_car_over_its_setting(monkeypatch, day_of, size):
    moved, *_ = prepare_trim(prepare_day(day_of()), TrimQuestion(run="2", setting="wing", offset=0.0))
    whole = setting_curve(moved, speed=50.0, air_density=1.2)
    monkeypatch.setattr(curves, "_AT_ONCE", size)
    same(setting_curve(moved, speed=50.0, air_density=1.2), whole)


def test_rows_picked_out_of_a_table_are_those_rows(day_of):
    day = day_of()
    table = assess(day)
    for rows in ((4, 1), (0,), tuple(range(10, -1, -1))):
        picked, alone = table.of(rows), assess(day, rows=rows)
        for name in ("handling", "onsets", "ranges", "rows", "labels"):
            same(getattr(picked, name), getattr(alone, name))
        same(picked.stds, alone.stds)
        for k, row in enumerate(rows):
            assert (picked.reading(k), picked.runs[k].label) == (row, str(row + 1))
            assert picked.configuration(k) == "car"
    assert table.of(table.rows) is table
    few = assess(day, rows=(1, 2))
    assert few.of((3,)).rows == (3,)
    assert (few.of((3,)).speed, few.of((3,)).air_density, few.dynamic_pressure) == (50.0, 1.2, 1500.0)


def test_what_is_not_drawn_yet_is_awaited_where_it_can_be(day_of, make_session):
    first = assess(day_of(), drawn=False)
    assert all(one.awaited for one in (*first.ranges, *first.handling.verdicts))
    whole = assess(day_of())
    assert not any(one.awaited for one in (*whole.ranges, *whole.handling.verdicts))
    unknown = reduce_day(make_session([(1.0, 2.0, 600.0)], deviation=(None, None, None)), draws=DRAWS)
    assert not any(one.awaited for one in assess(unknown, drawn=False).ranges)
