"""What seconds, exchange rates and packages must hold, against laps run outright."""

from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest

import balance
from balance.compare.increments import side_weights
from balance.decide.day.assessment import assess
from balance.decide.day.day import reduce_day
from balance.decide.day.verdict import VerdictWord
from balance.decide.laps.day_laps import fastest_in_balance, lap_day
from balance.decide.laps.lap import simulate_lap
from balance.decide.laps.lap_car import LapCar, lap_car
from balance.decide.laps.lap_table import lap_table
from balance.decide.laps.packages import Buying, PricedPart, Trimming, _on_front, price_packages
from balance.decide.laps.worth import _rates, exchange_rate, lap_worths, with_draws
from balance.decide.parts.parts import assess_parts
from balance.model.errors import DomainError, InputError, UnknownName
from balance.model.records import Target
from balance.model.tracks import track_of_segments

AIR = 1.2


@pytest.fixture(scope="module")
def track():
    lengths = [300.0, 60.0, 200.0, 90.0, 500.0, 120.0, 150.0, 70.0, 400.0, 157.0]
    turns = [0.0, 1 / 40, 0.0, 1 / 60, 0.0, 1 / 90, 0.0, -1 / 30, 0.0, 1 / 50]
    return track_of_segments("loop", lengths, turns)


def car(**figures):
    stated = {
        "mass": 1290.0,
        "front_share": 0.54,
        "friction": 1.15,
        "front_exponent": 0.86,
        "rear_exponent": 0.86,
    }
    stated |= {"power": 230e3, "losses": 0.12, "driven": "rear", "wheelbase": 2.575, "cg_height": 0.48}
    return LapCar(**{**stated, **figures})


def timed(track, lapped, areas, **options):
    return simulate_lap(
        track, lapped, front_area=areas[0], rear_area=areas[1], drag_area=areas[2], air_density=AIR, **options
    ).time  # fmt: skip


def balanced(lapped, load=0.5):
    share = lapped.front_share
    return np.array([share * load, (1.0 - share) * load, 0.7])


@pytest.mark.parametrize("driven", ["front", "rear", "both"])
@pytest.mark.parametrize("exponents", [(0.86, 0.86), (0.90, 0.85)])
def test_a_front_only_part_at_a_balanced_car_is_right_both_ways(track, driven, exponents):
    """The kink: what is added and what is taken away, within 5 % of laps run outright, from the table itself."""
    lapped = car(driven=driven, front_exponent=exponents[0], rear_exponent=exponents[1], cg_height=None)
    start = balanced(lapped)
    parts = np.array([[0.12, 0.0, 0.0], [-0.12, 0.0, 0.0], [0.0, 0.15, 0.01], [0.0, -0.15, 0.0]]).T
    areas = np.concatenate([start[:, None], start[:, None] + parts], axis=1)
    table = lap_table(track, lapped, areas, air_density=AIR)
    read, run = table.read(areas), timed(track, lapped, areas)
    difference = run[1:] - run[0]
    assert np.all(np.abs(read[1:] - read[0] - difference) <= 0.05 * np.abs(difference) + 0.004)
    assert difference[1] > 2.0 * abs(difference[0])  # less front costs much more than more front brings


def test_the_table_is_exact_at_its_own_nodes(track):
    lapped = car()
    table = lap_table(track, lapped, np.array([[0.1, 0.4], [0.0, 0.5], [0.6, 0.8]]), air_density=AIR)
    weight = table.front_weight + table.rear_weight
    load, beyond = table.loads[3], table.balances[2]
    difference = beyond + table.together[3]
    share = table.front_weight / weight
    front = (load - (1.0 - share) * difference) * table.front_weight
    rear = (load + share * difference) * table.rear_weight
    assert table.read(np.array([front, rear, table.drags[1]])) == pytest.approx(
        table.times[3, 2, 1], rel=1e-9
    )
    assert timed(track, lapped, (front, rear, table.drags[1])) == pytest.approx(
        table.times[3, 2, 1], rel=1e-7
    )
    assert 0.0 in table.balances.tolist()


def test_intervals_are_those_of_laps_run_for_every_draw(track):
    rng = np.random.default_rng(5)
    lapped = car()
    areas = np.stack([balanced(lapped), [0.32, 0.25, 0.71], [0.2, 0.55, 0.78]], axis=1)
    draws = areas[:, None, :] + rng.normal(0.0, 0.008, (3, 400, 3))
    common, apart = rng.uniform(0.8, 0.95, 400), rng.uniform(-0.025, 0.025, 400)
    known = {
        "friction": 1.15 + rng.normal(0.0, 0.025, 400),
        "power": 230e3 * (1.0 + rng.normal(0.0, 0.02, 400)),
        "front_exponent": common - apart,
        "rear_exponent": common + apart,
    }
    worths = lap_worths(track, lapped, areas, draws, air_density=AIR, car_draws=known)
    run = timed(track, with_draws(lapped, known, 400), draws)
    difference = run - run[:, [0]]
    for k in (1, 2):
        wide = np.quantile(difference[:, k], 0.975) - np.quantile(difference[:, k], 0.025)
        assert worths.against_start.low[k] == pytest.approx(
            np.quantile(difference[:, k], 0.025), abs=0.15 * wide
        )
        assert worths.against_start.high[k] == pytest.approx(
            np.quantile(difference[:, k], 0.975), abs=0.15 * wide
        )
    assert np.all(worths.against_start.std[1:] < 0.3 * worths.time.std[1:])  # what is common cancels
    assert worths.against_start.value[0] == 0.0
    part = worths.between([2], [1])
    assert part.value[0] == pytest.approx(worths.lap.time[2] - worths.lap.time[1])
    assert part.low[0] < part.value[0] < part.high[0]


def test_without_scatter_there_are_seconds_and_no_interval(track):
    lapped = car()
    worths = lap_worths(track, lapped, np.stack([balanced(lapped)] * 2, axis=1), air_density=AIR)
    assert np.isfinite(worths.time.value).all()
    assert np.isnan(worths.time.low).all()
    assert worths.draws is None
    with pytest.raises(DomainError, match="start"):
        lap_worths(track, lapped, balanced(lapped)[:, None], air_density=AIR, start=4)


def test_the_rate_is_the_laps_own(track):
    """A small change times its gradient is the difference of laps; a newton paid for by its rate changes nothing."""
    lapped = car()
    start = balanced(lapped) + np.array([0.05, 0.0, 0.0])  # more front than rear: the rear limits
    found = exchange_rate(track, lapped, start, air_density=AIR)
    small = timed(track, lapped, np.stack([start, start + np.array([0.0, 0.01, 0.0])], axis=1))
    assert small[1] - small[0] == pytest.approx(0.01 * found.rear_slope.added, rel=0.03)
    paid = start + 0.02 * np.array([0.0, 1.0, float(found.rear.value)])
    both = timed(track, lapped, np.stack([start, paid], axis=1))
    assert both[1] - both[0] == pytest.approx(0.0, abs=1e-3)
    assert 0.0 <= found.front.value < 0.3 * found.rear.value
    assert found.front.value < found.balanced.value < found.rear.value
    assert found.drag_slope.added > 0.0


def test_an_axle_that_limits_nothing_pays_for_nothing():
    """Round a circle there is no braking, which takes all tyres: the stronger axle that is not driven limits nothing."""
    circle = track_of_segments("circle", [2.0 * np.pi * 60.0], [1.0 / 60.0])
    found = exchange_rate(
        circle, car(driven="front", cg_height=None), np.array([0.1, 0.7, 0.7]), air_density=AIR
    )
    assert found.rear.value == 0.0
    assert found.front.value > 0.5


def test_where_drag_costs_no_time_there_is_no_rate():
    rates = _rates(
        np.array([[-1.0, -1.0, 0.5], [-0.5, 0.0, 0.5], [-0.7, -0.7, 0.5]]), np.array([2.0, 0.0, -1.0])
    )
    assert rates[:, 0] == pytest.approx([0.5, 0.25, 0.35])
    assert np.isnan(rates[:, 1:]).all()


# ---------------------------------------------------------------------------------------------- packages


def buying(track, **given):
    lapped = car()
    parts = (
        PricedPart(name="splitter", price=400.0, effect=np.array([0.15, -0.02, 0.01])),
        PricedPart(name="wing", price=900.0, effect=np.array([-0.06, 0.22, 0.05]), mass=4.0),
        PricedPart(name="Gurney", price=30.0, effect=np.array([-0.01, 0.04, 0.012]), needs=("wing",)),
        PricedPart(name="floor", price=2000.0, effect=np.array([0.08, 0.08, -0.02]), excludes=("splitter",)),
    )
    stated = {
        "track": track,
        "car": lapped,
        "areas": np.array([0.10, 0.09, 0.70]),
        "parts": parts,
        "air_density": AIR,
    }
    return Buying(**{**stated, "target": Target(), "places": (30.0, 50.0), **given})


def surplus_at(areas, speed, lapped):
    from balance.decide.laps.packages import _figures
    from balance.handling.decisive_surplus import surpluses

    q = AIR * speed**2 / 2.0
    return float(
        surpluses(*(np.array(one * q) for one in areas), _figures(lapped), driven_axle=lapped.driven).decisive
    )


def test_the_front_is_that_of_going_through_all_packages(track):
    asked = buying(track)
    found = price_packages(asked)
    start = float(timed(track, asked.car, asked.areas))
    every = []
    for count in range(5):
        for some in combinations(asked.parts, count):
            names = {one.name for one in some}
            if ("Gurney" in names and "wing" not in names) or {"floor", "splitter"} <= names:
                continue
            areas = asked.areas + sum((one.effect for one in some), np.zeros(3))
            surplus = [surplus_at(areas, speed, asked.car) for speed in asked.places]
            inside = all(-0.015 <= one <= 0.03 for one in surplus)
            heavier = replace(asked.car, mass=asked.car.mass + sum(one.mass for one in some))
            seconds = float(timed(track, heavier, areas)) - start
            off = np.floor(max(map(abs, surplus)) / 0.005)
            every.append((frozenset(names), sum(one.price for one in some), seconds, off, inside))
    assert found.permitted == len(every) == 9
    good = [one for one in every if one[4]]
    assert found.outside == len(every) - len(good)
    best = {
        one[0]
        for one in good
        if not any(
            other[1] <= one[1] and other[2] <= one[2] and other[3] <= one[3] and other[1:4] != one[1:4]
            for other in good
        )
    }
    assert {frozenset(one.parts) for one in found.front} == best
    for one in found.front:
        (same,) = (other for other in every if other[0] == frozenset(one.parts))
        assert one.seconds == pytest.approx(same[2], abs=1e-6)
        assert one.price == same[1]
    assert [one.price for one in found.front] == sorted(one.price for one in found.front)


def test_safety_is_not_for_sale(track):
    """The fastest package is outside the band, and never on the list; nor is one that only looks safe on the mean."""
    rng = np.random.default_rng(2)
    fast = PricedPart(name="fast", price=1.0, effect=np.array([0.5, 0.3, -0.2]))
    asked = buying(track, parts=(*buying(track).parts, fast))
    found = price_packages(asked)
    assert ("fast",) not in [one.parts for one in found.front]
    assert found.outside > 0
    for one in found.front:
        assert all(-0.015 <= surplus_at(one.areas, speed, asked.car) <= 0.03 for speed in asked.places)
    vague = PricedPart(
        name="vague", price=1.0, effect=np.array([0.05, 0.045, -0.05]), draws=np.array([0.05, 0.045, -0.05])[:, None] + rng.normal(0.0, 0.15, (3, 2000))
    )  # fmt: skip
    start = buying(track).areas[:, None] + rng.normal(0.0, 0.004, (3, 2000))
    found = price_packages(buying(track, parts=(vague,), draws=start))
    assert found.risky == 1
    assert [one.parts for one in found.front] == [()]


def test_a_start_outside_the_band_is_told_and_not_listed(track):
    found = price_packages(buying(track, areas=np.array([0.30, 0.09, 0.70])))
    assert found.start_outside
    assert () not in [one.parts for one in found.front]


def test_intervals_and_what_was_run_together(track):
    rng = np.random.default_rng(3)
    start = np.array([0.10, 0.09, 0.70])
    parts = tuple(
        replace(one, draws=one.effect[:, None] + rng.normal(0.0, 0.006, (3, 2000)))
        for one in buying(track).parts
    )
    asked = buying(
        track,
        parts=parts,
        draws=start[:, None] + rng.normal(0.0, 0.006, (3, 2000)),
        tested=frozenset({frozenset({"splitter", "wing"})}),
    )
    found = price_packages(asked)
    for one in found.front:
        assert one.run_together == (set(one.parts) == {"splitter", "wing"})
        if one.parts:
            assert one.seconds_low < one.seconds < one.seconds_high
            assert 0.0 <= one.in_band <= 1.0


def test_trimming_brings_packages_to_the_target(track):
    wing = Trimming(
        name="wing_angle",
        values=np.array([0.0, 4.0, 8.0]),
        effects=np.array([[0.0, -0.02, -0.04], [0.0, 0.1, 0.18], [0.0, 0.02, 0.05]]),
    )
    plain, trimmed = price_packages(buying(track)), price_packages(buying(track, trimming=wing))
    assert trimmed.outside < plain.outside
    assert all(0.0 <= one.trimmed_to <= 8.0 for one in trimmed.front)
    (splitter,) = (one for one in trimmed.front if one.parts == ("splitter",))
    assert abs(splitter.surplus) < 0.005
    # a setting that a part brings is trimmed only where that part is
    carried = price_packages(buying(track, trimming=replace(wing, part="wing")))
    assert carried.front
    assert all((one.trimmed_to is not None) == ("wing" in one.parts) for one in carried.front)
    with pytest.raises(UnknownName):
        price_packages(buying(track, trimming=replace(wing, part="flap")))


def test_two_parts_that_work_together(track):
    bonus = np.array([0.02, 0.02, -0.05])
    found = price_packages(buying(track, together={("splitter", "wing"): bonus}))
    (both,) = (one for one in found.front if one.parts == ("splitter", "wing"))
    alone = {one.name: one.effect for one in buying(track).parts}
    start = np.array([0.10, 0.09, 0.70])
    assert both.areas == pytest.approx(start + alone["splitter"] + alone["wing"] + bonus)


def test_what_cannot_be_asked_is_refused(track):
    one = PricedPart(name="x", price=1.0, effect=np.zeros(3), needs=("y",))
    with pytest.raises(UnknownName, match="y"):
        price_packages(buying(track, parts=(one,)))
    with pytest.raises(DomainError, match="at most 20"):
        price_packages(buying(track, parts=tuple(replace(one, name=str(k), needs=()) for k in range(21))))
    with pytest.raises(DomainError, match="places"):
        price_packages(buying(track, places=()))


def test_a_front_by_hand():
    """Small enough to see: the second is beaten by the first, the fourth is nearer the target than all."""
    price = np.array([0.0, 10.0, 20.0, 30.0])
    seconds = np.array([0.0, 0.1, -0.5, 0.2])
    assert _on_front(price, seconds, np.array([1.0, 1.0, 1.0, 0.0])).tolist() == [True, False, True, True]


def test_a_day_is_lapped_with_its_own_draws(make_session, make_vehicle, track):
    readings = [
        (100.0, 120.0, 1050.0),
        (104.0, 118.0, 1052.0),
        (260.0, 110.0, 1065.0),
        (150.0, 330.0, 1120.0),
    ]
    vehicle = make_vehicle(power=230e3, driven="rear", front_share=0.54, mass=1290.0, friction=1.15)
    session = make_session(readings, vehicle=vehicle, configurations=["base", "base", "splitter", "wing"])
    day = reduce_day(session, draws=2000)
    increments = assess_parts(day).increments
    laps = lap_day(day, track, increments=increments)
    rows, seconds = len(laps.rows), laps.worths.against_start
    assert laps.lap.time == pytest.approx(timed(track, laps.car, day.areas(laps.rows)), rel=1e-3)
    assert np.all(seconds.low[1:rows] < seconds.value[1:rows])
    assert np.all(seconds.value[1:rows] < seconds.high[1:rows])
    assert any("12 %" in words for words in laps.car.assumed)
    assert [laps.day.readings.labels[increments.pairs[part.increment].run] for part in laps.parts] == [
        "3",
        "4",
    ]
    for part in laps.parts:  # the difference of the laps of its two sides
        run, base = side_weights(day.fits, increments.pairs[part.increment]) @ day.readings.areas
        apart = timed(track, laps.car, run) - timed(track, laps.car, base)
        assert float(part.seconds.value) == pytest.approx(float(apart), rel=1e-3)
        assert part.seconds.low < part.seconds.value < part.seconds.high
    ranges = dict(zip(laps.rows, assess(day, rows=laps.rows).ranges, strict=True))
    out = replace(ranges[laps.rows[0]], word=VerdictWord.REAR_OVERPOWERS)
    good = replace(out, word=VerdictWord.IN_BALANCE)
    # the fastest of those in balance, never a faster one that is not
    assert fastest_in_balance(laps, dict.fromkeys(laps.rows, good)) == int(np.argmin(laps.lap.time))
    assert fastest_in_balance(laps, {**dict.fromkeys(laps.rows, out), laps.rows[0]: good}) == 0
    assert fastest_in_balance(laps, dict.fromkeys(laps.rows, out)) is None
    rate = laps.rate(0)
    assert rate.balanced.low <= rate.balanced.value <= rate.balanced.high


def test_a_car_without_friction_or_power_has_no_lap(make_vehicle, track):
    with pytest.raises(InputError, match=r"friction.*power"):
        simulate_lap(track, make_vehicle(), front_area=0.1, rear_area=0.1, drag_area=0.7, air_density=AIR)
    with pytest.raises(InputError, match=r"\[drive\] power"):
        lap_car(make_vehicle(friction=1.1))
    curve = lap_car(make_vehicle(friction=1.1, power_curve=((20.0, 90e3), (50.0, 150e3))))
    assert curve.power == 150e3
    assert curve.power_curve == ((20.0, 0.6), (50.0, 1.0))
    full = lap_car(make_vehicle(power=150e3, friction=1.1))
    assert timed(track, curve, (0.1, 0.1, 0.7)) > timed(track, full, (0.1, 0.1, 0.7))
    assert balance.simulate_lap is simulate_lap


def test_a_track_that_the_car_does_not_get_round_is_told_with_the_place():
    """Air does nothing for a car that hardly moves: a climb beyond it stops every configuration alike."""
    steep = track_of_segments(
        "steep", [400.0, 120.0, 300.0, 90.0], [0.0, 1 / 60, 0.0, 1 / 40], gradient=[0.0, 0.0, 0.9, 0.0]
    )
    lapped = car(driven="front", friction=0.9)
    areas = np.stack([balanced(lapped), [-0.5, 0.3, 0.9]], axis=1)
    with pytest.raises(DomainError, match=r"does not get past [67]\d\d m"):
        lap_worths(steep, lapped, areas, air_density=AIR)
    with pytest.raises(DomainError, match=r"does not get past [67]\d\d m"):
        lap_table(steep, lapped, areas, air_density=AIR)
