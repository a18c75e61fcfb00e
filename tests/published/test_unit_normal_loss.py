"""What one loses by choosing without knowing: the unit normal loss, and a choice between two actions.

H. Raiffa, R. Schlaifer, Applied Statistical Decision Theory (1961): the table of the unit normal loss from memory; the
worth of runs in a choice between two actions is computed outside this project by its closed form.
"""

import math

import numpy as np
import pytest

import balance
from balance.decide.plan.expected_gain import log_unit_loss, unit_loss


@pytest.mark.parametrize(
    ("away", "loss", "half"),
    [
        (0.0, 0.398942, 5e-7),
        (0.5, 0.197797, 5e-7),
        (1.0, 0.0833155, 5e-8),
        (1.5, 0.0293068, 5e-8),
        (2.0, 0.0084907, 5e-8),
    ],
)
def test_unit_normal_loss(away, loss, half):
    assert float(unit_loss(np.array(-away))) == pytest.approx(loss, abs=half)
    assert float(np.exp(log_unit_loss(-away))) == pytest.approx(loss, abs=half)


@pytest.mark.parametrize(("runs", "worth"), [(1, 0.4192238), (2, 0.4829293), (4, 0.5235549)])
def test_two_actions(runs, worth):
    # the difference of two actions is believed to be normal of mean -0.5 and standard deviation 2; noise of a run 1.5
    moved = 4.0 / math.sqrt(4.0 + 1.5**2 / runs)
    assert balance.expected_gain([0.0, -0.5], [0.0, moved]) == pytest.approx(worth, abs=5e-8)


def test_two_actions_with_perfect_information():
    assert balance.expected_gain([0.0, -0.5], [0.0, 2.0]) == pytest.approx(0.5726894, abs=5e-8)
