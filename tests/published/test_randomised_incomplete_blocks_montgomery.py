"""Treatments in incomplete blocks, each block with a level of its own: D. C. Montgomery, Design and Analysis of Experiments.

Section 4.4, the catalyst experiment (table 4.22 of the fifth edition; from memory, its adjusted totals Q = -9/3, -7/3, -4/3,
20/3 being those of the readings below): four catalysts in four batches, three in each. A batch stands for a day, a catalyst
for a configuration; nothing is run twice on a day, so that the residuals of the whole alone say how readings scatter.
"""

from dataclasses import replace

import numpy as np
import pytest

from balance.decide.over_days.joined import join_days, joined_figures
from tests.properties.conftest import build_session

BATCHES = (
    {"1": 73.0, "3": 73.0, "4": 75.0},
    {"1": 74.0, "2": 75.0, "3": 75.0},
    {"2": 67.0, "3": 68.0, "4": 72.0},
    {"1": 71.0, "2": 72.0, "4": 75.0},
)
EFFECTS = {"1": -9.0 / 8.0, "2": -7.0 / 8.0, "3": -4.0 / 8.0, "4": 20.0 / 8.0}
MEAN_SQUARE, DEGREES = 0.65, 5
DIFFERENCE_STD = (2.0 * 3.0 * MEAN_SQUARE / (2.0 * 4.0)) ** 0.5
"""sqrt(2 k MS / (lambda a)) with k = 3 in a batch, lambda = 2 batches for each pair, a = 4 catalysts."""
AT = {"speed": 50.0, "air_density": 1.2}


@pytest.fixture
def joined():
    days = []
    for k, batch in enumerate(BATCHES):
        day = build_session(
            [(load, load, load) for load in batch.values()],
            configurations=list(batch),
            deviation=(None, None, None),
            title=f"batch {k + 1}",
        )
        days.append(replace(day, facility=replace(day.facility, name="one laboratory")))
    return join_days(days)


def test_the_effects_of_treatments_with_the_blocks_taken_out(joined):
    for reference, its in EFFECTS.items():
        found = joined_figures(joined, joined.named(reference), **AT).against
        for name, effect in EFFECTS.items():
            expected = effect - its
            assert found.change[joined.named(name), 0] == pytest.approx(expected, abs=1e-9)


def test_the_standard_error_of_a_difference(joined):
    found = joined_figures(joined, joined.named("1"), **AT).against
    others = [joined.named(name) for name in "234"]
    assert found.std[others, 0] == pytest.approx(DIFFERENCE_STD, rel=0, abs=5e-4)
    assert np.all(found.degrees[others] == DEGREES)


def test_the_mean_square_of_what_is_left(joined):
    ((_, fits),) = joined.fits.alike
    assert fits.repeatability.deviation[0] ** 2 == pytest.approx(MEAN_SQUARE, rel=0, abs=5e-3)
