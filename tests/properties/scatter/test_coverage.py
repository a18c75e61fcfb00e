"""How often 95 % intervals hold the truth: simulated days of known truth, the first seed chosen.

Every day goes through the code that a user's day goes through. With 2,000 days the standard error of a share of 95 % is
0.49 %, so a true 95 % comes out below 93 % once in 20,000 times; with 20,000 days it is 0.15 %.
"""

from dataclasses import replace

import numpy as np
import pytest
from scipy import stats

from balance.compare.contrasts import contrast_changes
from balance.compare.ratios import KINDS, RatioKind, cost_ratios
from balance.reduce.draws import coverage_interval, shared_draws
from balance.reduce.fits import fits_of_session
from balance.reduce.readings import reduce_session

pytestmark = pytest.mark.slow

SEED = 1
PRESSURE = 0.5 * 1.2 * 50.0**2
SCATTER = np.array([7.0, 9.0, 4.0])
BASE, PART = np.array([300.0, 500.0, 600.0]), np.array([340.0, 560.0, 612.0])
QUANTITIES = ("front", "rear", "drag", "total")
TRUE = np.append(PART - BASE, (PART - BASE)[:2].sum())


class Simulation:
    """Days of one order of running; capitals are fits, a letter twice in a row one fit of two readings."""

    def __init__(self, make_session, order, *, refit=0.0, stated=None, stated_degrees=20.0, blocks=None):
        self.rng = np.random.default_rng(SEED)
        self.order, self.refit, self.stated, self.stated_degrees = order, refit, stated, stated_degrees
        self.blocks = blocks or "x" * len(order)
        self.session = make_session(
            [tuple(BASE)] * len(order),
            configurations=list(order),
            deviation=(None, None, None) if stated is None else tuple(SCATTER),
            degrees=stated_degrees,
            runs=[{"block": block} for block in self.blocks],
        )
        self.readings = reduce_session(self.session)
        starts = [
            k == 0 or order[k] != order[k - 1] or self.blocks[k] != self.blocks[k - 1]
            for k in range(len(order))
        ]
        self.fit = np.cumsum(starts) - 1
        self.loads = np.array([PART if kind == "B" else BASE for kind in order])

    def day(self):
        """Draw one day: fits, readings, what the facility states, and what changed between blocks."""
        rng, count = self.rng, len(self.order)
        noise = rng.standard_normal((count, 3)) * SCATTER
        noise += rng.standard_normal((self.fit[-1] + 1, 3))[self.fit] * SCATTER * self.refit
        for block in sorted(set(self.blocks))[1:]:
            noise[[own == block for own in self.blocks]] += rng.standard_normal(3) * 40.0
        session = self.session
        if self.stated is not None:
            one = SCATTER * np.hypot(1.0, self.refit) * self.stated
            if self.stated_degrees < 1e5:
                one = one * np.sqrt(rng.chisquare(self.stated_degrees, 3) / self.stated_degrees)
            deviation = type(session.repeatability.deviation)(
                **dict(zip(("front", "rear", "drag"), one, strict=True))
            )
            session = replace(session, repeatability=replace(session.repeatability, deviation=deviation))
        readings = replace(self.readings, areas=(self.loads + noise) / PRESSURE)
        return fits_of_session(session, readings)

    def side(self, kind, block=None):
        """Return the readings of one configuration, in one block or in the first that has it."""
        rows = [k for k, one in enumerate(self.order) if one == kind]
        block = self.blocks[rows[0]] if block is None else block
        return [k for k in rows if self.blocks[k] == block]

    def changes(self, fits, base_block=None):
        """Return B less A as the product works it out."""
        run, base = fits.means([self.side("B"), self.side("A", base_block)])
        return contrast_changes(run - base, fits, dynamic_pressure=PRESSURE)


def covered(simulation, days, base_block=None):
    """Return the share of days whose interval holds the truth, by quantity, and whether any was called resolved."""
    inside, resolved = np.zeros(4), np.zeros(4)
    for _ in range(days):
        found = simulation.changes(simulation.day(), base_block)
        inside += (found.low[0] <= TRUE) & (found.high[0] >= TRUE)
        resolved += found.resolved[0]
    return inside / days, resolved / days


ORDERS = ["AABBAA", "AABA", "ABACADAEA", "AABBAACCAADD", "AAABBBAAA", "AABBCCAABB"]


@pytest.mark.parametrize("refit", [0.0, 1.0, 2.5])
@pytest.mark.parametrize("order", ORDERS)
def test_fits_and_readings_without_a_facilitys_figure(make_session, order, refit, record_property):
    held, _ = covered(Simulation(make_session, order, refit=refit), 2000)
    record_property("coverage", held.tolist())
    assert np.all(held >= 0.93), dict(zip(QUANTITIES, held, strict=True))


@pytest.mark.parametrize("degrees", [4.0, 20.0, 1e6])
@pytest.mark.parametrize("refit", [0.0, 1.0, 2.5])
@pytest.mark.parametrize("order", ORDERS)
def test_fits_and_readings_with_a_right_figure_of_the_facility(
    make_session, order, refit, degrees, record_property
):
    simulation = Simulation(make_session, order, refit=refit, stated=1.0, stated_degrees=degrees)
    held, _ = covered(simulation, 2000)
    record_property("coverage", held.tolist())
    assert np.all(held >= 0.93), dict(zip(QUANTITIES, held, strict=True))


@pytest.mark.parametrize("refit", [0.0, 1.0, 2.5])
@pytest.mark.parametrize("order", ORDERS)
def test_a_figure_that_is_thirty_percent_low_is_reported_and_not_passed(
    make_session, order, refit, record_property
):
    """What falls short is known: 88 to 93 % with strong refitting (axletrim's own simulation); nothing falls below 85 %."""
    held, _ = covered(Simulation(make_session, order, refit=refit, stated=0.7), 2000)
    record_property("coverage", held.tolist())
    assert np.all(held >= 0.85), dict(zip(QUANTITIES, held, strict=True))


@pytest.mark.parametrize("refit", [1.0, 2.0, 2.5])
@pytest.mark.parametrize("order", ["AABB", "AAABC", "AAAB", "AABBCC"])
def test_only_untouched_repeats_assume_what_refitting_does(make_session, order, refit, record_property):
    held, resolved = covered(Simulation(make_session, order, refit=refit), 2000)
    record_property("coverage", held.tolist())
    assert np.all(held >= 0.93), dict(zip(QUANTITIES, held, strict=True))
    assert not resolved.any()


@pytest.mark.parametrize("refit", [0.0, 1.0, 2.5])
@pytest.mark.parametrize(
    ("order", "blocks", "base_block"),
    [
        ("ACABADAEA", "xxxxxyyyy", None),  # the afternoon moved by 40 N: B and A both of the morning
        ("ACACBCBDBC", "xxxxyyyyyy", "x"),  # A of the morning against B of the afternoon, through C
        ("AACCABCCBB", "xxxxxyyyyy", "x"),
    ],
)
def test_blocks_are_fixed_effects(make_session, order, blocks, base_block, refit, record_property):
    held, _ = covered(Simulation(make_session, order, refit=refit, blocks=blocks), 2000, base_block)
    record_property("coverage", held.tolist())
    assert np.all(held >= 0.93), dict(zip(QUANTITIES, held, strict=True))


@pytest.mark.parametrize("refit", [0.0, 2.5])
@pytest.mark.parametrize("order", ["AABBAA", "ABACADAEA"])
def test_draws_hold_the_truth_as_often_as_contrasts_do(make_session, order, refit):
    simulation = Simulation(make_session, order, refit=refit)
    inside, days = np.zeros(3), 2000
    for _ in range(days):
        fits = simulation.day()
        shared = shared_draws(simulation.session, fits.repeatability, count=1000)
        run, base = fits.means([simulation.side("B"), simulation.side("A")])
        drawn = fits.draws((run - base)[None], shared)[:, :, 0].T * PRESSURE
        low, high = coverage_interval(drawn)
        inside += (low <= TRUE[:3]) & (high >= TRUE[:3])
    assert np.all(inside / days >= 0.93), inside / days


def ratio_held(changes):
    """Return whether the set of a ratio holds the true one."""
    ratio, true = cost_ratios(changes), TRUE[3] / TRUE[2]
    kind, low, high = KINDS[int(ratio.kind[0])], ratio.low[0], ratio.high[0]
    return (
        kind is RatioKind.WHOLE_LINE
        or (kind is RatioKind.BOUNDED and low <= true <= high)
        or (kind is RatioKind.OUTSIDE and not low < true < high)
    )


@pytest.mark.parametrize("order", ["ABACADAEAFA", "ABA", "ABABA", "ABABAB"])
def test_single_readings_are_exact_by_students_t_and_no_normal_quantile_would_do(make_session, order):
    """Two and three repeats of the baseline, and three a side, among them: 1 to 5 degrees of freedom."""
    simulation, days = Simulation(make_session, order), 20_000
    inside, normal, ratios = np.zeros(4), np.zeros(4), 0
    for _ in range(days):
        changes = simulation.changes(simulation.day())
        error = np.abs(changes.change[0] - TRUE)
        inside += error <= changes.high[0] - changes.change[0]
        normal += error <= stats.norm.ppf(0.975) * changes.std[0]
        ratios += ratio_held(changes)
    assert np.all((inside / days >= 0.944) & (inside / days <= 0.956)), inside / days
    assert np.all(normal / days < 0.93), normal / days
    assert ratios / days >= 0.944  # exact for one common scale, conservative for two
