"""What parts did to the handling, and in which order they rank."""

import tracemalloc

import numpy as np
import pytest

from balance.decide.day.assessment import assess
from balance.decide.day.day import reduce_day
from balance.decide.day.verdict import VerdictWord
from balance.decide.parts.parts import RankBy, assess_parts, rank_parts
from balance.model.errors import DomainError
from balance.model.records import Target

READINGS = [
    (300.0, 300.0, 600.0),  # base
    (310.0, 900.0, 640.0),  # big wing
    (305.0, 450.0, 603.0),  # small wing, cheap
    (450.0, 290.0, 604.0),  # splitter
    (301.0, 301.0, 601.0),  # nothing that can be told
]
FIELDS = [{}, *[{"baseline": "1"}] * 4]


@pytest.fixture(scope="module")
def day(make_session, make_vehicle):
    vehicle = make_vehicle(front_share=0.5, target=Target(grip_surplus=0.02))
    return reduce_day(make_session(READINGS, vehicle=vehicle, runs=FIELDS, degrees=60.0), draws=4000)


def test_changes_are_the_differences_of_the_table(day):
    """Where nothing was repeated, a part's two sides are two rows of the table."""
    parts, table = assess_parts(day, speed=60.0), assess(day, speed=60.0)
    surplus = table.handling.grip_surplus.value
    balance = table.handling.aero_balance.value
    for row, pair in enumerate(parts.increments.pairs):
        part = parts[row]
        assert float(part.grip_surplus.value) == pytest.approx(surplus[pair.run] - surplus[pair.baseline])
        assert float(part.aero_balance.value) == pytest.approx(balance[pair.run] - balance[pair.baseline])
        assert part.grip_surplus.low < part.grip_surplus.value < part.grip_surplus.high
        assert part.before.word is table.handling.verdicts[pair.baseline].word
        assert part.after.word is table.handling.verdicts[pair.run].word


def test_a_wing_can_make_the_rear_overpower_the_front(day):
    parts = assess_parts(day, speed=70.0)
    wing = parts[[p.run for p in parts.increments.pairs].index(1)]
    assert (wing.before.word, wing.after.word) == (VerdictWord.IN_BALANCE, VerdictWord.REAR_OVERPOWERS)
    assert wing.toward_target < 0.0


def test_the_common_baseline_makes_the_change_better_known_than_two_separate_readings(day):
    """Surplus of two sides, drawn apart, would add; drawn together what they share cancels."""
    parts, table = assess_parts(day), assess(day)
    std = table.handling.grip_surplus.std
    row = [p.run for p in parts.increments.pairs].index(4)
    assert float(parts.grip_surplus.std[row]) < 1.05 * np.hypot(std[0], std[4])
    np.testing.assert_array_equal(parts.grip_surplus.std, assess_parts(day).grip_surplus.std)


@pytest.mark.parametrize(
    ("by", "expected"),
    [
        (RankBy.DOWNFORCE, ["2", "3", "4", "5"]),
        (RankBy.DRAG, ["2", "4", "3", "5"]),
        (RankBy.REAR, ["2", "3", "5", "4"]),
        (RankBy.FRONT, ["4", "2", "3", "5"]),
        (RankBy.TARGET, ["3", "5", "4", "2"]),
        (RankBy.DOWNFORCE_PER_DRAG, ["2"]),
    ],
)
def test_ranking(day, by, expected):
    """Only the big wing's drag is resolved, so only it has a ratio."""
    parts = assess_parts(day)
    assert [parts[row].increment.run for row in rank_parts(parts, by)] == expected


def test_balance_is_not_given_where_it_means_nothing_on_either_side(make_session):
    readings = [(-100.0, -200.0, 600.0), (300.0, 500.0, 640.0)]
    parts = assess_parts(reduce_day(make_session(readings, runs=FIELDS[:2]), draws=200))
    assert np.all(np.isnan(parts.aero_balance.value))
    assert np.all(np.isnan(parts.aero_balance.std))
    assert np.all(np.isfinite(parts.grip_surplus.low))


def test_with_unknown_scatter_changes_stand_without_interval(make_session):
    session = make_session(READINGS[:2], runs=FIELDS[:2], deviation=(None, None, None))
    part = assess_parts(reduce_day(session, draws=200))[1]
    assert np.isfinite(part.grip_surplus.value)
    assert np.isnan(part.grip_surplus.std)
    assert not part.after.certain


def test_more_parts_than_one_chunk_holds_are_as_one_by_one(make_session):
    readings = [(300.0, 300.0, 600.0)] + [(300.0 + k, 320.0 + 5 * k, 601.0 + k) for k in range(45)]
    session = make_session(readings, runs=[{}] + [{"baseline": "1"}] * 45)
    parts = assess_parts(reduce_day(session, draws=500))
    front = parts.increments.changes.change[:, 0]
    assert len(parts.after) == len(parts) == len(front)
    few = assess_parts(reduce_day(make_session(readings[:3], runs=FIELDS[:3], title="any day"), draws=500))
    rows = [[p.run for p in some.increments.pairs].index(2) for some in (parts, few)]
    values = [float(some.grip_surplus.value[row]) for some, row in zip((parts, few), rows, strict=True)]
    assert values[0] == pytest.approx(values[1], rel=1e-12)


def test_a_day_of_one_run_has_no_parts(make_session):
    parts = assess_parts(reduce_day(make_session(READINGS[:1]), draws=200))
    assert len(parts) == 0
    assert rank_parts(parts, RankBy.DOWNFORCE) == ()


def test_a_speed_of_nothing_is_refused(day):
    with pytest.raises(DomainError, match="speed: found 0 m/s, expected above 0"):
        assess_parts(day, speed=0.0)


def test_a_long_day_with_nothing_to_compare_takes_little_memory(make_session):
    # 4,000 equal runs, pairwise, would be 16 million pairs; the answer is that there are no parts
    count = 4000
    session = make_session(
        [(300.0, 500.0, 600.0)] * count, configurations=["base"] * count, runs=[{}] * count
    )
    day = reduce_day(session, draws=200)
    tracemalloc.start()
    parts = assess_parts(day)
    _, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert len(parts) == 0
    assert peak < 100e6


def test_parts_alike_stand_in_the_order_of_running_and_each_comparison_once(make_session):
    """Runs 2 and 3 gain alike; runs 4 and 5 are one car and averaged, 20 N less; run 1 against itself is none."""
    readings = [(300.0, 300.0, 600.0), (350.0, 300.0, 600.0), (350.0, 300.0, 600.0)]
    readings += [(320.0, 300.0, 600.0), (340.0, 300.0, 600.0), (302.0, 300.0, 600.0)]
    names = ["base", "a", "b", "c", "c", "base"]
    session = make_session(readings, configurations=names, runs=[{}, *[{"baseline": "1"}] * 5])
    parts = assess_parts(reduce_day(session, draws=200))
    ranked = [parts[row].increment for row in rank_parts(parts, RankBy.FRONT)]
    assert [one.run for one in ranked] == ["2", "3", "4"]
    assert [one.front_downforce.change for one in ranked] == pytest.approx([49.0, 49.0, 29.0])


def test_a_part_that_loses_downforce_has_no_rank_by_downforce_per_drag(make_session):
    """Both ratios are resolved: 400 N for 50 N, and 400 N less for 50 N less."""
    readings = [(300.0, 300.0, 600.0), (300.0, 700.0, 650.0), (100.0, 100.0, 550.0)]
    parts = assess_parts(reduce_day(make_session(readings, runs=FIELDS[:3]), draws=200))
    assert [parts[row].increment.run for row in rank_parts(parts, RankBy.DOWNFORCE_PER_DRAG)] == ["2"]
    assert parts[[p.run for p in parts.increments.pairs].index(2)].increment.ratio.value == pytest.approx(8.0)


@pytest.mark.parametrize(("target", "moved"), [(0.0, -0.05), (0.1, 0.05), (0.02, -0.03 + 0.02)])
def test_how_much_nearer_to_the_target_a_part_brings_the_car(make_session, make_vehicle, target, moved):
    """Exponent 1 and 5000 N on either axle: 250 N at the rear are 5 % of surplus, from 0 %."""
    car = make_vehicle(
        mass=1e4 / 9.80665, front_share=0.5, grip=(1.0, 1.0), exact=True, target=Target(grip_surplus=target)
    )
    readings = [(0.0, 0.0, 600.0), (0.0, 250.0, 640.0)]
    parts = assess_parts(reduce_day(make_session(readings, runs=FIELDS[:2], vehicle=car), draws=200))
    row = [p.run for p in parts.increments.pairs].index(1)
    assert parts.toward_target[row] == pytest.approx(moved)
