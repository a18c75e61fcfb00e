"""All increments, intervals, ratio sets and interactions of 200 runs against the same through `uncertainties` objects.

    python tests/bench/bench_parts.py

Both sides start from the same readings, pairs and corners; the figures are asserted to agree before the ratio of
times, measured in turn in one run, is printed. The peer forms means of repeats, differences, quotients and interactions
as objects; Student's intervals and Fieller's set, which it does not have, are plain floats on top.
"""

from __future__ import annotations

import math
import sys
import time
from itertools import product
from statistics import median

import numpy as np
from uncertainties import ufloat

from balance.compare.contrasts import combined_weights, contrast_changes
from balance.compare.increments import find_increments, pair_weights
from balance.compare.interactions import find_interactions
from balance.compare.ratios import cost_ratios
from balance.compare.student import student_factor
from balance.model.records import (
    Column,
    Facility,
    LoadExponent,
    OptionalTriple,
    Run,
    Session,
    Setting,
    StatedRepeatability,
    Triple,
    Vehicle,
)
from balance.reduce.fits import fits_of_session
from balance.reduce.readings import reduce_session

SMALL = "--small" in sys.argv  # a few rounds of little, to see that it runs
RUNS, TURNS = (60, 1) if SMALL else (200, 7)
PRESSURE = 0.5 * 1.2 * 50.0**2


def session_of_many_runs() -> Session:
    """Build 8 x 3 x 2 settings, run over and over, with a speed of each run's own."""
    rng = np.random.default_rng(1)
    settings = list(product(range(8), range(3), range(2)))
    runs = []
    for k in range(RUNS):
        wing, flap, splitter = settings[k % len(settings)]
        speed = 45.0 * (1.0 + 0.005 * rng.standard_normal())
        q = speed**2 / 45.0**2
        loads = np.array(
            [200 - 6 * wing + 150 * splitter, 300 + 40 * wing + 30 * flap, 600 + 9 * wing + 4 * flap]
        )
        front, rear, drag = q * loads + np.array([7.0, 7.0, 4.0]) * rng.standard_normal(3)
        names = {"wing": wing, "flap": flap, "splitter": splitter}
        runs.append(
            Run(
                label=str(k + 1),
                configuration="car",
                reading=Triple(front=float(front), rear=float(rear), drag=float(drag)),
                resolution=Triple(front=0.5, rear=0.5, drag=0.5),
                settings={n: Setting(value=float(v), unit="mm") for n, v in names.items() if v},
                speed=speed,
                baseline=str(k) if k % len(settings) else None,
            )
        )
    exponent = LoadExponent(front=0.8, rear=0.8, assumed=True)
    return Session(
        title="many runs",
        vehicle=Vehicle(
            name="any car",
            mass=1200.0,
            front_share=0.5,
            wheelbase=2.5,
            stiffness_exponent=exponent,
            grip_exponent=exponent,
        ),
        facility=Facility(speed=45.0, air_density=1.2),
        runs=tuple(runs),
        columns={c: Column(name=c, unit="N", form="force") for c in ("front", "rear", "drag")},
        repeatability=StatedRepeatability(
            deviation=OptionalTriple(front=7.0, rear=7.0, drag=4.0), degrees_of_freedom=20.0
        ),
    )


class Task:
    """One session's pairs and corners, and two ways to the same figures."""

    def __init__(self):
        self.session = session_of_many_runs()
        self.readings = reduce_session(self.session)
        self.fits = fits_of_session(self.session, self.readings)
        self.scatter = self.fits.repeatability
        table = self.whole()[0]
        self.fitted, self.all_pairs = table.fitted, table.pairs
        self.pairs = [(p.runs, p.baseline_runs) for p in table.pairs]
        self.correlation = table.changes.correlation
        self.corner_rows = find_interactions(table).corners
        self.corners = [[self.fitted.sets[row] for row in quad] for quad in self.corner_rows]

    def whole(self):
        table = find_increments(self.session, self.fits, dynamic_pressure=PRESSURE)
        return table, table.ratios, table.classes, find_interactions(table)

    def arrays(self):
        weights = pair_weights(self.fits, self.fitted, self.all_pairs)
        bare, first, second, both = self.fitted.set_of[self.corner_rows.T]
        means = self.fits.means(self.fitted.distinct)
        corners = combined_weights(means, [both, bare], [first, second])
        changes, beyond = (
            contrast_changes(w, self.fits, dynamic_pressure=PRESSURE) for w in (weights, corners)
        )
        return changes, cost_ratios(changes), beyond

    def mean(self, areas, rows):
        return sum(areas[r] for r in rows) / len(rows)

    def objects(self):
        areas = np.column_stack([self.readings.areas, self.readings.areas[:, :2].sum(axis=1)])
        deviations = self.scatter.deviation / self.readings.force_pressure[:, None]
        channels = [
            [ufloat(*pair) for pair in zip(areas[:, k], deviations[:, k], strict=True)] for k in range(4)
        ]
        factors = student_factor(self.scatter.degrees_of_freedom)
        increments = []
        for run, base in self.pairs:
            changes = [PRESSURE * (self.mean(a, run) - self.mean(a, base)) for a in channels]
            ends = [
                (c.n - f * c.s, c.n + f * c.s, c.n, c.s)
                for c, f in zip(changes, factors.tolist(), strict=True)
            ]
            drag, total = changes[2], changes[3]
            ratio = total / drag
            shared = self.correlation * total.s * drag.s
            increments.append((ends, fieller_alone(total, drag, shared, float(max(factors[2:]))), ratio.n))
        beyond = []
        for o, a, b, ab in self.corners:
            sums = [
                PRESSURE * (self.mean(c, ab) - self.mean(c, a) - self.mean(c, b) + self.mean(c, o))
                for c in channels
            ]
            beyond.append([(x.n, x.s) for x in sums])
        return increments, beyond


def fieller_alone(x, y, shared, t):
    """Solve the quadratic of one ratio in plain floats; ends where it has two roots."""
    a, b, c = y.n**2 - (t * y.s) ** 2, x.n * y.n - t * t * shared, x.n**2 - (t * x.s) ** 2
    inside = b * b - a * c
    if inside <= 0.0:
        return math.nan, math.nan
    roots = (b - math.sqrt(inside)) / a, (b + math.sqrt(inside)) / a
    return min(roots), max(roots)


def assert_agreement(task: Task) -> None:
    """Hold every figure of one side against the other's."""
    (changes, ratios, beyond), (increments, peer) = task.arrays(), task.objects()
    ends = np.array([i[0] for i in increments])
    for column, ours in enumerate((changes.low, changes.high, changes.change, changes.std)):
        np.testing.assert_allclose(ours, ends[:, :, column], rtol=1e-9, atol=1e-8)
    sets = np.array([i[1] for i in increments])
    np.testing.assert_allclose(ratios.low, sets[:, 0], rtol=1e-6, atol=1e-8)
    np.testing.assert_allclose(ratios.high, sets[:, 1], rtol=1e-6, atol=1e-8)
    nominal = np.array([i[2] for i in increments])
    given = np.isfinite(ratios.value)
    np.testing.assert_allclose(ratios.value[given], nominal[given], rtol=1e-9)
    np.testing.assert_allclose(beyond.change, np.array(peer)[:, :, 0], rtol=1e-9, atol=1e-8)
    np.testing.assert_allclose(beyond.std, np.array(peer)[:, :, 1], rtol=1e-9)


def main() -> None:
    """Compare, and print the ratios."""
    task = Task()
    assert_agreement(task)
    times = {work: [] for work in (task.arrays, task.whole, task.objects)}
    for _ in range(TURNS):
        for work, taken in times.items():
            start = time.perf_counter()
            work()
            taken.append(time.perf_counter() - start)
    arrays, whole, objects = (median(taken) for taken in times.values())
    print(f"{len(task.pairs)} increments, {len(task.corners)} interactions of {RUNS} runs; the figures agree")
    print(f"through objects of uncertainties: {1e3 * objects:.1f} ms")
    print(f"the same figures here: {1e3 * arrays:.2f} ms, {objects / arrays:.0f} times faster")
    print(
        f"with pairing, drift, classes, search for corners: {1e3 * whole:.1f} ms, {objects / whole:.0f} times"
    )


if __name__ == "__main__":
    main()
