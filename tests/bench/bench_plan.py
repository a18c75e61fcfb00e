"""The list of next runs after 40 runs, of 200 candidates, against what a general Gaussian process takes for its belief alone.

    python tests/bench/bench_plan.py

The peer is scikit-learn's GaussianProcessRegressor: three channels fitted to the same 40 readings with a kernel of fixed
scales, the covariance of the same configurations, and 256 draws of them. It values nothing; the list does.
"""

from __future__ import annotations

import sys
import time
from statistics import median

import numpy as np
from sklearn.gaussian_process import GaussianProcessRegressor
from sklearn.gaussian_process.kernels import RBF, ConstantKernel

from balance.decide.day.day import reduce_day
from balance.decide.plan.clock import planned_order
from balance.decide.plan.day_belief import belief_of_day
from balance.decide.plan.next_run import next_runs
from tests.plan_cars import FAMILIES, PLAN, InventedCar, InventedDay, at_random, session_of

SMALL = "--small" in sys.argv  # a few rounds of little, to see that it runs
RUNS, TURNS = (12, 1) if SMALL else (40, 9)


def features(some):
    """Write configurations as numbers, nothing fitted as -1."""
    rows = []
    for one in some:
        values = [one.value(name) for name in FAMILIES]
        rows.append(
            [-1.0 if v is None else float(hash(v) % 7) if isinstance(v, str) else v / 10.0 for v in values]
        )
    return np.array(rows)


def main() -> None:
    """Compare, and print the ratio."""
    day = InventedDay(InventedCar(1), np.random.default_rng(1))
    while len(day.rows) < RUNS:
        at_random(day, day.spent + 1e5)
    rows = day.rows[:RUNS]
    reduced = reduce_day(session_of(rows), draws=100)
    stand = belief_of_day(reduced, PLAN)
    found = next_runs(stand, PLAN)
    some = [one.configuration for one in found.runs]
    at, new, areas = features([row[0] for row in rows]), features(some), reduced.readings.areas

    def the_list():
        return next_runs(belief_of_day(reduced, PLAN), PLAN)

    def the_order():
        return planned_order(stand, PLAN)

    def the_peer():
        for channel in range(3):
            kernel = ConstantKernel(0.04, "fixed") * RBF([1.0] * len(FAMILIES), "fixed")
            peer = GaussianProcessRegressor(kernel, alpha=2.5e-5, optimizer=None).fit(at, areas[:, channel])
            peer.predict(new, return_cov=True)
            peer.sample_y(new, 256, random_state=0)

    times = {work: [] for work in (the_list, the_order, the_peer)}
    for _ in range(TURNS):
        for work, taken in times.items():
            start = time.perf_counter()
            work()
            taken.append(time.perf_counter() - start)
    ours, order, peer = (1e3 * median(taken) for taken in times.values())
    print(f"{len(some)} candidates after {RUNS} runs; best of all {found.runs[0].worth_rate * 60:.2f} N/min")
    print(f"belief and list of next runs: {ours:.0f} ms; order of the day: {order:.0f} ms")
    print(
        f"scikit-learn, its belief and 256 draws alone: {peer:.0f} ms; list / scikit-learn {ours / peer:.2f}"
    )


if __name__ == "__main__":
    main()
