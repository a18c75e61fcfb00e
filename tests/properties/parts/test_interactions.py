"""Two parts together against the sum of each alone, and the way from a base to a final configuration."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from balance.compare.increments import find_increments
from balance.compare.interactions import find_interactions
from balance.compare.waterfall import build_waterfall
from balance.model.errors import InputError, UnknownName
from balance.model.records import Setting
from balance.reduce.fits import fits_of_session
from balance.reduce.readings import reduce_session

PRESSURE = 0.5 * 1.2 * 50.0**2
STEPS = [{}, {"wing": 5.0}, {"splitter": 60.0}, {"wing": 5.0, "splitter": 60.0}]
LOADS = [500.0, 900.0, 650.0, 1100.0]


def compare(make_session, steps=STEPS, loads=LOADS, fields=(), *, across_blocks=False):
    own = [dict(fields[k]) if k < len(fields) else {} for k in range(len(steps))]
    for run, step in zip(own, steps, strict=True):
        run["settings"] = {name: Setting(value=v, unit="mm") for name, v in step.items()}
    session = make_session(
        [(load, 2 * load, load + 100.0) for load in loads],
        configurations=["car"] * len(steps),
        runs=own,
        degrees=1e9,
    )
    fits = fits_of_session(session, reduce_session(session), across_blocks=across_blocks)
    return find_increments(session, fits, dynamic_pressure=PRESSURE)


def test_together_less_the_sum_of_parts_counts_every_corner_once(make_session):
    found = find_interactions(compare(make_session))
    assert len(found) == 1
    (one,) = found
    assert (one.first, one.second) == ("wing", "splitter")
    assert (one.base_runs, one.first_runs, one.second_runs, one.together_runs) == (
        ("1",),
        ("2",),
        ("3",),
        ("4",),
    )
    assert found.interaction.change[0, 0] == pytest.approx(1100.0 - 900.0 - 650.0 + 500.0)
    assert found.interaction.std[0, 2] == pytest.approx(4.0 * np.sqrt(4.0), rel=1e-6)
    parts = found.first.change + found.second.change + found.interaction.change
    np.testing.assert_allclose(parts, found.together.change, rtol=0, atol=1e-9)


@given(st.permutations(range(4)))
def test_the_order_of_running_names_the_parts_and_moves_nothing_else(make_session, order):
    found = find_interactions(compare(make_session, [STEPS[k] for k in order], [LOADS[k] for k in order]))
    (one,) = found
    assert one.first == ("wing" if order.index(1) < order.index(2) else "splitter")
    assert one.base_runs == (str(order.index(0) + 1),)
    assert found.interaction.change[0, 0] == pytest.approx(50.0)


def test_interactions_do_not_cross_a_change_of_block_unless_told(make_session):
    fields = [{"block": "am"}, {"block": "am"}, {"block": "am"}, {"block": "pm"}]
    assert len(find_interactions(compare(make_session, fields=fields))) == 0
    assert len(find_interactions(compare(make_session, fields=fields, across_blocks=True))) == 1


def test_one_part_or_three_settings_apart_make_no_interaction(make_session):
    steps = [{}, {"wing": 5.0}, {"wing": 8.0}, {"wing": 5.0, "splitter": 60.0, "flap": 10.0}]
    assert len(find_interactions(compare(make_session, steps))) == 0


def test_a_package_is_taken_apart_into_its_parts_and_an_interaction(make_session):
    fields = [{}, {"baseline": "1"}, {"baseline": "1"}, {"baseline": "1"}]
    waterfall = build_waterfall(compare(make_session, fields=fields), "4")
    assert (waterfall.base, waterfall.final) == ("1", "4")
    assert [(b.kind, b.run, b.baseline) for b in waterfall.bars] == [
        ("part", "2", "1"),
        ("part", "3", "1"),
        ("interaction", "4", "1"),
    ]
    assert waterfall.changes.change[:, 0] == pytest.approx([400.0, 150.0, 50.0])
    np.testing.assert_allclose(waterfall.changes.change.sum(axis=0), waterfall.whole.change[0], atol=1e-9)
    assert waterfall.ends.change[:, 0] == pytest.approx([500.0, 1100.0])


def test_a_package_with_a_part_not_run_alone_is_one_bar(make_session):
    steps = [{}, {"wing": 5.0}, {"wing": 5.0, "splitter": 60.0}]
    fields = [{}, {"baseline": "1"}, {"baseline": "1"}]
    waterfall = build_waterfall(compare(make_session, steps, LOADS[:3], fields), "3")
    assert [(b.kind, b.differs) for b in waterfall.bars] == [("package", ("wing", "splitter"))]


def test_the_way_follows_the_baselines_or_the_runs_that_are_named(make_session):
    fields = [{}, {"baseline": "1"}, {"baseline": "1"}, {"baseline": "3"}]
    increments = compare(make_session, fields=fields)
    assert [b.run for b in build_waterfall(increments, "4").bars] == ["3", "4"]
    named = build_waterfall(increments, "4", base="1", through=["2"])
    assert [(b.run, b.baseline, b.differs) for b in named.bars] == [
        ("2", "1", ("wing",)),
        ("4", "2", ("splitter",)),
    ]
    with pytest.raises(InputError, match="found no chain of baselines to run '2'"):
        build_waterfall(increments, "4", base="2")
    with pytest.raises(UnknownName):
        build_waterfall(increments, "7")


def test_from_a_run_to_itself_there_are_no_bars(make_session):
    waterfall = build_waterfall(compare(make_session), "1", base="1")
    assert waterfall.bars == ()
    assert waterfall.whole.change[0] == pytest.approx([0.0] * 4)
