"""The order of runs: the least of all orders, never worse than typed, and what falls off the end of the hours."""

import itertools
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from balance.compare.resolution import smallest_detectable_difference
from balance.decide.day.day import reduce_day
from balance.decide.plan.belief import ReadingNoise
from balance.decide.plan.clock import planned_order
from balance.decide.plan.configuration import configuration
from balance.decide.plan.day_belief import belief_before, belief_of_day
from balance.decide.plan.part_contrasts import drift_shared, part_contrasts, smallest_detectable_parts
from balance.decide.plan.run_order import Changes, cheapest_order, protected_order
from balance.model.plans import DayPlan, Hours, WantedRun
from balance.model.records import Setting

HOUR = 3600.0
NOISE = ReadingNoise(fit=np.full(3, 3e-5), reading=np.full(3, 1e-5))


def changes_of(count, seed, *, every=None, ends=False, since=0):
    """Times of changes between points on a plane, so that going round is possible and never shorter than straight."""
    rng = np.random.default_rng(seed)
    places = rng.uniform(0.0, 600.0, (count + 2, 2))
    far = np.linalg.norm(places[:, None] - places, axis=2)
    runs, base, here = slice(0, count), count, count + 1
    via = np.zeros(count, bool)
    if every:
        via[:] = [(place + since) % every == 0 and place + since > 0 for place in range(count)]
    by_way_of_it = far[runs, base][:, None] + far[base, runs]
    return Changes(
        opening=far[here, base] + far[base, runs] if via[0] else far[here, runs],
        legs=np.where(via[:, None, None], by_way_of_it, far[runs, runs]),
        closing=far[runs, base] if ends else np.zeros(count),
    )


def by_force(changes):
    return min(changes.time(order) for order in itertools.permutations(range(changes.count)))


@settings(max_examples=25)
@given(
    st.integers(1, 7), st.integers(0, 10**6), st.sampled_from([None, 2, 3]), st.booleans(), st.integers(0, 2)
)
def test_it_is_the_least_of_all_orders(count, seed, every, ends, since):
    changes = changes_of(count, seed, every=every, ends=ends, since=since)
    found = cheapest_order(changes)
    assert sorted(found.order) == list(range(count))
    assert found.time == pytest.approx(by_force(changes), rel=1e-12)
    assert found.time == pytest.approx(changes.time(found.order), rel=1e-12)


def test_it_is_the_least_of_all_40320_orders_of_eight():
    changes = changes_of(8, 5, every=3, ends=True)
    orders = np.array(list(itertools.permutations(range(8))))
    assert cheapest_order(changes).time == pytest.approx(changes.times(orders).min(), rel=1e-12)


@settings(max_examples=10)
@given(st.integers(13, 24), st.integers(0, 10**6), st.sampled_from([None, 5]))
def test_beyond_twelve_it_is_never_worse_than_typed(count, seed, every):
    changes = changes_of(count, seed, every=every, ends=True)
    found = cheapest_order(changes)
    assert sorted(found.order) == list(range(count))
    assert found.time <= changes.time(range(count)) + 1e-9


def test_beyond_twelve_it_stays_near_the_least():
    """Runs on a line, from its end: there and no way back is the least, by geometry."""
    at = np.random.default_rng(3).permutation(20).astype(float)
    legs = np.broadcast_to(np.abs(at[:, None] - at), (20, 20, 20))
    changes = Changes(opening=at, legs=legs, closing=np.zeros(20))
    assert cheapest_order(changes).time == pytest.approx(19.0)


@settings(max_examples=20)
@given(st.integers(2, 10), st.integers(0, 10**6), st.floats(1.0, 1.5))
def test_protection_keeps_to_its_time_and_never_disturbs_more(count, seed, more):
    changes = changes_of(count, seed)
    shares = np.random.default_rng(seed).standard_normal((3, count))
    shares -= shares.mean(axis=1, keepdims=True)
    places = np.arange(count) - (count - 1) / 2.0

    def disturbed(order):
        position = np.empty(count)
        position[list(order)] = places
        return float(np.sum(np.square(shares @ position)))

    cheapest = cheapest_order(changes)
    found = protected_order(changes, shares, places, np.zeros(3), allowed=more * cheapest.time)
    assert found.time <= more * cheapest.time + 1e-6
    assert disturbed(found.order) <= disturbed(cheapest.order) + 1e-9


# --- contrasts


@pytest.mark.parametrize(("allowed", "order"), [(10.0, (1, 0)), (9.0, (0, 1))])
def test_two_runs_are_turned_round_too_where_that_disturbs_less(allowed, order):
    """9 s one way and 10 s the other; of places -1 and 1 a weight of 1 on the first shares the less with 1 the later it is."""
    legs = np.broadcast_to([[0.0, 5.0], [5.0, 0.0]], (2, 2, 2))
    two = Changes(opening=np.array([4.0, 5.0]), legs=legs, closing=np.zeros(2))
    places, fixed = np.array([-1.0, 1.0]), np.array([-0.9])
    found = protected_order(two, np.array([[1.0, 0.0]]), places, fixed, allowed=allowed)
    assert found.order == order
    assert cheapest_order(two).order == (0, 1)


def test_a_part_between_two_baselines_shares_nothing_with_a_drift():
    base, wing = configuration({}), configuration({"wing": 5.0})
    (shared,) = drift_shared(part_contrasts([base, wing, base], base))
    assert shared.correlation == pytest.approx(0.0, abs=1e-12)
    (later,) = drift_shared(part_contrasts([base, base, wing, wing], base))
    # by hand: (-1, -1, 1, 1) against (-3, -1, 1, 3)/2: 4/(2 sqrt 5)
    assert later.correlation == pytest.approx(2.0 / np.sqrt(5.0), abs=1e-12)
    assert later.confused
    assert not shared.confused


def test_parts_that_were_only_run_together_are_shown_by_neither():
    base, both = configuration({}), configuration({"wing": 5.0, "vents": "open"})
    assert part_contrasts([base, both, base, both], base) == ()


def test_a_number_that_is_never_absent_is_shown_by_its_span():
    low, high = configuration({"height": 30.0}), configuration({"height": 40.0})
    (part,) = part_contrasts([low, high, low, high], low)
    assert part.weights == pytest.approx([-0.5, 0.5, -0.5, 0.5])


def test_the_smallest_detectable_part_is_that_of_two_means():
    base, wing = configuration({}), configuration({"wing": 5.0})
    (found,) = smallest_detectable_parts([base, wing, base, wing], base, NOISE, 20.0)
    # 2 fits a side with one reading each: s sqrt(1/2 + 1/2) with 20 degrees stated and 2 of the repeats
    one = float(np.sqrt(4e-5))
    wanted = float(smallest_detectable_difference(one, 22.0, 2, 2))
    assert found.difference[:3] == pytest.approx([wanted] * 3)
    assert found.difference[3] == pytest.approx(np.sqrt(2.0) * wanted)
    (blind,) = smallest_detectable_parts([base, wing], base, NOISE, 0.0)
    assert np.all(np.isnan(blind.difference))


def test_readings_of_one_fit_share_its_scatter():
    base, wing = configuration({}), configuration({"wing": 5.0})
    (one,) = smallest_detectable_parts([base, wing, base], base, NOISE, 20.0)
    (four,) = smallest_detectable_parts([base, wing, wing, wing, wing, base], base, NOISE, 20.0)
    # by hand: the wing's fit keeps 3e-5, and of the 1e-5 of a reading a quarter is left; the baseline has two fits
    ratio = np.sqrt((3e-5 + 0.25e-5 + 0.5 * 4e-5) / (4e-5 + 0.5 * 4e-5))
    assert four.difference / one.difference == pytest.approx([ratio] * 4)


# --- the clock


def day_of(make_session, rows):
    runs = [
        {
            "settings": {
                name: Setting(value=value, unit="" if isinstance(value, str) else "deg")
                for name, value in fitted.items()
            },
            "time": time,
        }
        for fitted, time in rows
    ]
    forces = [(-80.0 + 10.0 * k, -280.0, 1150.0) for k in range(len(rows))]
    labels = [f"fitting {fitted}" for fitted, _ in rows]
    return reduce_day(make_session(forces, configurations=labels, runs=runs), draws=100)


FACTORS = tuple(
    WantedRun(
        configuration=f"{a}{b}{c}",
        settings={name: "on" for name, on in (("a", a), ("b", b), ("c", c)) if on},
        must=c == 1 and a + b == 0,
    )
    for a, b, c in itertools.product((0, 1), repeat=3)
)


@pytest.fixture
def fresh(make_session):
    return day_of(make_session, [({}, "09:00")])


def plan_with(**more):
    times = {"a": 600.0, "b": 600.0, "c": 600.0}
    return DayPlan(reading=300.0, changes=times, wanted=FACTORS, **more)


def ordered(day, plan, **more):
    return planned_order(belief_of_day(day, plan), plan, **more)


def test_what_was_made_is_not_planned_again_though_its_label_differs(fresh):
    found = ordered(fresh, plan_with())
    runs = [slot.label for slot in found.cheapest.slots]
    assert sorted(runs) == ["001", "010", "011", "100", "101", "110", "111"]
    assert found.cheapest.changes == 7  # Gray's order, from the baseline on
    assert found.typed.changes == 11
    assert found.cheapest.change_time <= found.typed.change_time


def test_the_clock_runs_without_gaps_and_a_break_is_kept(fresh):
    hours = Hours(start=9 * HOUR, end=17 * HOUR, breaks=((9.5 * HOUR, 10.25 * HOUR),))
    found = ordered(fresh, plan_with(hours=hours, baseline_every=4), now=9 * HOUR + 300.0).cheapest
    kinds = [slot.kind for slot in found.slots]
    assert kinds.count("break") == 1
    assert found.slots[kinds.index("break") + 1].kind == "baseline"  # after a break
    assert kinds[-1] == "baseline"  # last
    for one, other in itertools.pairwise(found.slots):
        assert other.start == pytest.approx(one.end) or other.kind == "break"
        assert not (one.kind != "break" and one.end > 9.5 * HOUR + 1e-6 and one.start < 9.5 * HOUR)
    since = 0
    for slot in found.slots:
        since = 0 if slot.kind == "baseline" else since + (slot.kind == "run")
        assert since <= 4


def test_what_must_be_made_falls_off_last(fresh):
    hours = Hours(start=9 * HOUR, end=10 * HOUR)
    found = ordered(fresh, plan_with(hours=hours), now=9 * HOUR)
    kept = {slot.label for slot in found.cheapest.slots}
    assert found.cheapest.end <= hours.end
    assert "001" in kept
    assert {job.label for job in found.dropped} | kept == {one.configuration for one in FACTORS[1:]}
    assert not {job.label for job in found.dropped} & kept
    assert found.typed.end > hours.end


def test_nothing_is_planned_where_no_time_is_left(fresh):
    found = ordered(fresh, plan_with(hours=Hours(start=9 * HOUR, end=10 * HOUR)), now=11 * HOUR)
    assert found.cheapest.slots == ()
    assert len(found.dropped) == 7


def test_the_protected_order_disturbs_less_for_few_more_changes(fresh):
    found = ordered(fresh, plan_with())
    disturbed = [sum(one.correlation**2 for one in some.shared) for some in (found.cheapest, found.protected)]
    assert disturbed[1] < 0.3 * disturbed[0]
    assert found.cheapest.changes < found.protected.changes <= found.cheapest.changes + 2


def test_a_day_not_begun_begins_with_the_baseline(make_session, make_vehicle):
    session = make_session([(1.0, 2.0, 900.0)], vehicle=make_vehicle(frontal_area=2.0))
    hours = Hours(start=9 * HOUR, end=17 * HOUR)
    plan = plan_with(hours=hours, baseline_every=3)
    found = planned_order(belief_before(session, plan), plan)
    assert (found.cheapest.slots[0].kind, found.cheapest.slots[0].start) == ("baseline", hours.start)
    assert len(found.detectable) == 3
    assert all(np.all(one.difference > 0.0) for one in found.detectable)


def test_the_clock_and_the_search_count_baselines_alike(fresh):
    """The least over all orders typed is what the search finds, baselines by count in between."""
    some = FACTORS[1:5]
    times = [
        ordered(fresh, replace(plan_with(baseline_every=2), wanted=wanted)).typed.change_time
        for wanted in itertools.permutations(some)
    ]
    found = ordered(fresh, replace(plan_with(baseline_every=2), wanted=some))
    assert found.cheapest.change_time == pytest.approx(min(times))
    assert max(times) > min(times)


@pytest.mark.parametrize("every", [1, 2, 3])
@pytest.mark.parametrize("seed", range(4))
def test_the_least_of_all_typed_orders_is_found_whatever_changes_cost(fresh, every, seed):
    """Baselines by count in between, and parts that take quite unlike times: every order typed, by the clock."""
    rng = np.random.default_rng(seed)
    some = tuple(FACTORS[k] for k in 1 + rng.permutation(7)[:4])
    changes = dict(zip("abc", (float(one) for one in rng.uniform(60.0, 1800.0, 3)), strict=True))
    plan = replace(plan_with(baseline_every=every), changes=changes)
    stand = belief_of_day(fresh, plan)
    times = [
        planned_order(stand, replace(plan, wanted=wanted)).typed.change_time
        for wanted in itertools.permutations(some)
    ]
    found = planned_order(stand, replace(plan, wanted=some)).cheapest
    assert found.change_time == pytest.approx(min(times))
