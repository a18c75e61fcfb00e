"""What a day says of its parts as areas: by hand from the readings, and against the day's own draws."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from balance.decide.library.day_effects import _covariance_of_sums, parts_of_day
from balance.decide.library.facility_scatter import _with_scatter, pool_scatter
from balance.model.errors import DomainError
from balance.model.records import Facility, Setting
from balance.reduce.draws import shared_draws
from balance.reduce.fits import fits_of_session
from balance.reduce.readings import reduce_session

PRESSURE = 0.5 * 1.2 * 50.0**2
SCATTER = np.array([7.0, 9.0, 4.0])
BASE = (300.0, 500.0, 600.0)


@pytest.fixture
def parts(make_session):
    """Give the parts of a day: each run's loads, its settings, and what else it says."""

    def build(runs, *, deviation=tuple(SCATTER), labels=None, **fields):
        session = make_session(
            [loads for loads, _ in runs],
            configurations=labels,
            deviation=deviation,
            runs=[
                {"settings": {name: as_setting(one) for name, one in settings.items()}}
                for _, settings in runs
            ],
        )
        several = tuple(
            replace(run, **{key: values[k] for key, values in fields.items()})
            for k, run in enumerate(session.runs)
        )
        session = replace(session, runs=several)
        return parts_of_day(session, fits_of_session(session, reduce_session(session)))

    return build


def as_setting(value):
    return Setting(value=value, unit="" if isinstance(value, str) else "mm")


def more(front, rear, drag):
    """Give the base car's loads with a part on."""
    return (BASE[0] + front, BASE[1] + rear, BASE[2] + drag)


def areas(front, rear, drag):
    return pytest.approx(np.array([front, rear, drag, front + rear]) / PRESSURE, rel=1e-12)


def test_one_part_against_the_baseline(parts):
    day = parts([(BASE, {}), (more(40.0, 60.0, 12.0), {"spoiler_height": 25.0})])
    (one,) = day.parts
    ((change),) = one.changes
    assert (change.name, change.value.text, change.before) == ("spoiler_height", "25 mm", None)
    assert one.effect == areas(40.0, 60.0, 12.0)
    # two independent readings, the total's scatter that of independent axles
    variances = 2.0 * np.append(SCATTER**2, np.sum(SCATTER[:2] ** 2)) / PRESSURE**2
    assert np.diagonal(one.covariance) == pytest.approx(variances, rel=1e-12)
    assert one.std == pytest.approx(np.sqrt(variances), rel=1e-12)
    # the total moves with each axle by that axle's own scatter
    assert one.covariance[3, :3] == pytest.approx([*variances[:2], 0.0], rel=1e-12)
    assert (one.runs, one.baseline_runs, one.readings, one.comparisons) == (("2",), ("1",), 2, 1)
    assert one.fitted_with == ()


def test_a_part_taken_off_is_the_part_with_its_sign_turned(parts):
    full = {"spoiler_height": 25.0, "splitter_length": 60.0}
    day = parts(
        [(more(340.0, 60.0, 12.0), full), (more(300.0, 0.0, 0.0), {"splitter_length": 60.0})],
        baseline=[None, "1"],
    )
    (one,) = day.parts
    assert one.changes[0].name == "spoiler_height"
    assert one.changes[0].before is None
    assert one.effect == areas(40.0, 60.0, 12.0)
    assert [(name, value.text) for name, value in one.fitted_with] == [("splitter_length", "60 mm")]
    assert (one.runs, one.baseline_runs) == (("1",), ("2",))


def test_a_part_on_two_cars_of_one_day_enters_once_and_leans_to_the_stated_one(parts):
    day = parts(
        [
            (BASE, {}),
            (more(0.0, 100.0, 12.0), {"spoiler_height": 25.0}),
            (more(300.0, 0.0, 10.0), {"splitter_length": 60.0}),
            (more(300.0, 120.0, 22.0), {"spoiler_height": 25.0, "splitter_length": 60.0}),
        ],
        baseline=[None, "1", "1", "3"],
    )
    spoiler, splitter = day.parts
    assert spoiler.changes[0].name == "spoiler_height"
    assert spoiler.comparisons == 2
    assert spoiler.fitted_with == ()
    # by hand: variances of the two, the second with 15 % of the mean effect besides, summed over the four channels
    noise = 2.0 * (2.0 * np.sum(SCATTER[:2] ** 2) + SCATTER[2] ** 2)
    mean = np.array([0.0, 110.0, 12.0, 110.0])
    second = noise / (2.0 * noise + np.sum((0.15 * mean) ** 2))
    assert 0.0 < second < 0.5
    assert spoiler.effect[1] * PRESSURE == pytest.approx(100.0 + 20.0 * second, rel=1e-9)
    rear = 2.0 * SCATTER[1] ** 2 * ((1 - second) ** 2 + second**2) + (0.15 * 110.0 * second) ** 2
    assert spoiler.covariance[1, 1] * PRESSURE**2 == pytest.approx(rear, rel=1e-9)
    assert splitter.effect == areas(300.0, 0.0, 10.0)


def test_sizes_are_told_apart_and_so_is_from_where_a_setting_was_moved(parts):
    day = parts(
        [
            (BASE, {}),
            (more(0.0, 60.0, 5.0), {"spoiler_height": 25.0}),
            (more(0.0, 90.0, 11.0), {"spoiler_height": 55.0}),
            (more(0.0, 95.0, 12.0), {"spoiler_height": 60.0}),
        ],
        baseline=[None, "1", "1", "3"],
    )
    found = [
        (one.changes[0].value.text, one.changes[0].before and one.changes[0].before.text) for one in day.parts
    ]
    assert found == [("25 mm", None), ("55 mm", None), ("60 mm", "55 mm")]
    assert day.parts[2].effect == areas(0.0, 5.0, 1.0)


def test_settings_changed_together_are_one_part(parts):
    day = parts(
        [(BASE, {}), (more(300.0, 400.0, 60.0), {"wing_angle": 8.0, "canards": "pair"})], baseline=[None, "1"]
    )
    (one,) = day.parts
    assert [(change.name, change.value.text) for change in one.changes] == [
        ("canards", "pair"),
        ("wing_angle", "8 mm"),
    ]


def test_what_a_label_alone_tells_apart_is_named_by_it(parts):
    day = parts(
        [(BASE, {}), (more(10.0, 0.0, 2.0), {})], labels=["as delivered", "vents taped"], baseline=[None, "1"]
    )
    ((change,),) = (one.changes for one in day.parts)
    assert (change.name, change.value.text, change.before.text) == (
        "configuration",
        "vents taped",
        "as delivered",
    )


def test_a_suspect_run_is_named(parts):
    day = parts([(BASE, {}), (more(40.0, 60.0, 12.0), {"spoiler_height": 25.0})], status=["good", "suspect"])
    assert day.parts[0].suspect == ("2",)


def test_blocks_that_nothing_ties_give_nothing(parts):
    runs = [(BASE, {}), (more(40.0, 60.0, 12.0), {"spoiler_height": 25.0})]
    assert parts(runs, block=["one", "two"], baseline=[None, "1"]).parts == ()
    assert len(parts(runs, block=["one", "one"], baseline=[None, "1"]).parts) == 1


def test_unknown_scatter_gives_the_effect_without_its_covariance(parts):
    day = parts(
        [(BASE, {}), (more(40.0, 60.0, 12.0), {"spoiler_height": 25.0})], deviation=(None, None, None)
    )
    (one,) = day.parts
    assert one.effect == areas(40.0, 60.0, 12.0)
    assert np.all(np.isnan(np.diagonal(one.covariance)))
    assert np.all(np.isnan(day.variance))


def test_floor_and_scatter_of_the_day(make_session):
    """Three fits of one car: the variance of a sample, with two degrees of freedom."""
    rears = [500.0, 512.0, 496.0]
    loads = [(300.0, rears[0], 600.0), (320.0, 560.0, 610.0), (306.0, rears[1], 597.0)]
    loads += [(322.0, 575.0, 612.0), (297.0, rears[2], 601.0)]
    session = make_session(loads, configurations=list("ABACA"), deviation=(None, None, None))
    session = replace(session, facility=Facility(speed=50.0, air_density=1.2, floor="moving"))
    day = parts_of_day(session, fits_of_session(session, reduce_session(session)))
    assert day.floor == "moving"
    assert day.repeats_degrees == 2.0
    expected = np.var(rears, ddof=1) / PRESSURE**2
    assert day.repeats_variance[1] == pytest.approx(expected, rel=1e-9)
    assert day.variance[1] == pytest.approx(expected, rel=1e-9)


def test_the_covariance_is_that_of_the_days_draws(make_session):
    """Two ways: sums of normal draws with the channels' correlation, and the covariance worked out."""
    rng = np.random.default_rng(1)
    mixing = np.array([[7.0, 0.0, 0.0], [4.0, 8.0, 0.0], [-1.0, 2.0, 3.0]])
    order = "ABACADAEAFABACADAEAF"
    level = {one: np.array(BASE) + 30.0 * k for k, one in enumerate("ABCDEF")}
    loads = [tuple(level[one] + mixing @ rng.standard_normal(3)) for one in order]
    session = make_session(loads, configurations=list(order), deviation=tuple(SCATTER), degrees=1e6)
    fits = fits_of_session(session, reduce_session(session))
    weights = np.zeros((3, len(order)))
    weights[0, [1, 0]], weights[1, [3, 0]], weights[2, [5, 2, 4]] = (1, -1), (1, -1), (1, -0.5, -0.5)
    found = _covariance_of_sums(weights, fits)
    drawn = fits.draws(weights, shared_draws(session, fits.repeatability, count=40_000))
    several = np.cov(drawn.transpose(2, 0, 1).reshape(9, -1)).reshape(3, 3, 3, 3)
    size = np.sqrt(np.einsum("iiaa->ia", found[:, :, :3, :3]))
    scale = size[:, None, :, None] * size[None, :, None, :]
    # correlations drawn 40,000 times are known to 0.005; five times that
    assert np.abs(several.transpose(0, 2, 1, 3) - found[:, :, :3, :3]).max() < 0.025 * scale.max()
    assert np.abs((several.transpose(0, 2, 1, 3) - found[:, :, :3, :3]) / scale).max() < 0.025


def test_the_total_moves_with_its_axles(make_session):
    session = make_session([BASE, more(1.0, 2.0, 3.0)], deviation=(3.0, 4.0, 2.0))
    correlation = fits_of_session(session, reduce_session(session)).repeatability.with_total
    # of independent axles of 3 and 4 the total has 5: 3/5 and 4/5
    assert correlation[3] == pytest.approx([0.6, 0.8, 0.0, 1.0], rel=1e-12)
    assert correlation == pytest.approx(correlation.T)


@given(
    variances=st.lists(st.floats(0.1, 100.0), min_size=1, max_size=6),
    degrees=st.lists(st.floats(1.0, 20.0), min_size=6, max_size=6),
)
def test_a_facilitys_scatter_lies_between_those_of_its_days(variances, degrees):
    count = len(variances)
    pooled, known = pool_scatter(["tunnel"] * count, np.array(variances)[:, None], degrees[:count])
    assert np.ptp(pooled) == pytest.approx(0.0, abs=1e-9)
    assert min(variances) <= pooled[0, 0] * (1 + 1e-9)
    assert pooled[0, 0] <= max(variances) * (1 + 1e-9)
    assert known[0, 0] == pytest.approx(sum(degrees[:count]))
    alone, _ = pool_scatter([None] * count, np.array(variances)[:, None], degrees[:count])
    assert alone[:, 0] == pytest.approx(variances)


def test_a_day_without_repeats_takes_its_facilitys_scatter():
    pooled, known = pool_scatter(
        ["tunnel", "tunnel", "road"], [[4.0, 1.0], [np.nan, np.nan], [np.nan, 2.0]], [4.0, 0.0, 3.0]
    )
    assert pooled[1].tolist() == [4.0, 1.0]
    assert known.tolist() == [[4.0, 4.0], [4.0, 4.0], [0.0, 3.0]]
    assert np.isnan(pooled[2, 0])
    assert pooled[2, 1] == 2.0
    restated = _with_scatter(np.diag([8.0, 2.0]), [2.0, 1.0], pooled[1])
    assert restated == pytest.approx(np.diag([16.0, 2.0]), rel=1e-12)


def test_scatter_that_does_not_belong_together_is_refused():
    with pytest.raises(DomainError, match="found 1 facilities"):
        pool_scatter(["tunnel"], [[1.0], [2.0]], [1.0, 1.0])
    with pytest.raises(DomainError, match="-1 degrees of freedom"):
        pool_scatter(["tunnel"], [[1.0]], [-1.0])
    with pytest.raises(DomainError, match="a variance of 0"):
        _with_scatter(np.eye(1), [0.0], [1.0])
