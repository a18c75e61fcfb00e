"""Orders of three parts on and off, and what a trend does to their contrasts.

C. Daniel, F. Wilcoxon, "Factorial 2^(p-q) plans robust against linear and quadratic trends", Technometrics 8 (1966): in
standard order a contrast of q letters is free of trends of a degree below q; the sums over (0, 1, 2, …) are hand
arithmetic. The count of changes in Gray's order (7) and in standard order (11) is hand arithmetic too.
"""

import itertools
import math

import numpy as np
import pytest

from balance.decide.plan.configuration import configuration
from balance.decide.plan.part_contrasts import drift_shared, part_contrasts
from balance.decide.plan.run_order import Changes, cheapest_order, protected_order

STANDARD = list(itertools.product((0, 1), repeat=3))  # the last letter changes fastest
PARTS = ("c", "b", "a")


def configurations(corners):
    return [
        configuration({name: "on" for name, on in zip(PARTS, corner, strict=True) if on})
        for corner in corners
    ]


def one_a_change(runs):
    between = np.array([[len(one.changed(other)) for other in runs] for one in runs], float)
    none = np.zeros(len(runs))
    return Changes(opening=none, legs=np.stack([between] * len(runs)), closing=none)


@pytest.mark.parametrize(("part", "total"), [("a", 4.0), ("b", 8.0), ("c", 16.0)])
def test_linear_trend_in_standard_order(part, total):
    # the sum of c t over t = 0..7 with c = ±1: 4 for A (the paper's table); twice and four times that for B and C
    runs = configurations(STANDARD)
    shared = {one.name: one for one in drift_shared(part_contrasts(runs, runs[0]))}
    length = math.sqrt(8.0) * math.sqrt(42.0)  # of the contrast, and of 0..7 about their mean
    assert shared[part].correlation == pytest.approx(total / length, abs=1e-12)
    assert shared[part].confused == (total / length > 0.3)


def test_fewest_changes_of_all_orders():
    runs = configurations(STANDARD)
    changes = one_a_change(runs)
    assert changes.time(range(8)) == 11.0  # 7 + 3 + 1
    assert cheapest_order(changes).time == 7.0  # Gray's order: 4 + 2 + 1


def test_two_more_changes_cancel_most_of_a_drift():
    runs = configurations(STANDARD)
    changes = one_a_change(runs)
    contrasts = part_contrasts(runs, runs[0])
    weights = np.array([one.weights / np.linalg.norm(one.weights) for one in contrasts])
    places = np.arange(8.0) - 3.5
    places /= np.linalg.norm(places)

    def disturbed(order):
        position = np.empty(8)
        position[list(order)] = places
        return float(np.sum(np.square(weights @ position)))

    found = protected_order(changes, weights, places, np.zeros(3), allowed=9.0)
    assert found.time <= 9.0
    assert disturbed(found.order) < 0.1 * disturbed(cheapest_order(changes).order)
