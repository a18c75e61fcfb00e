"""How long laps of many configurations take, beside the same passes written as a plain Python loop over one.

Run it by hand::

    python tests/bench/bench_laps.py

Both ways are measured in turn in each round, so that a machine which slows down slows both. The loop has its corner speeds by
bisection, the product by false position; times must agree to 1e-6. Nothing is asserted of time.
"""

import math
import sys
from pathlib import Path
from statistics import median
from time import perf_counter

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[2]))

from balance.decide.laps.lap import simulate_lap
from balance.decide.laps.lap_car import LapCar
from balance.decide.laps.lap_table import lap_table
from balance.model.tracks import track_of_segments

SMALL = "--small" in sys.argv  # a few rounds of little, to see that it runs
CONFIGURATIONS, ROUNDS, TIMES = (50, 1, 1) if SMALL else (1_000, 5, 3)
GOAL, GOAL_TIME, GOAL_TABLE = 40.0, 2.0, 1.0
GRAVITY, AIR, SLOWEST = 9.80665, 1.2, 0.5
LENGTHS = [
    620.0,
    60.0,
    200.0,
    90.0,
    500.0,
    120.0,
    150.0,
    70.0,
    400.0,
    157.0,
    180.0,
    50.0,
    520.0,
    200.0,
    683.0,
]
TURNS = [0.0, 1 / 40, 0.0, 1 / 60, 0.0, 1 / 90, 0.0, -1 / 30, 0.0, 1 / 50, 0.0, -1 / 45, 0.0, 1 / 150, 0.0]
MASS, SHARE, FRICTION, EXPONENT, POWER, ROLLING = 1290.0, 0.54, 1.15, 0.86, 202_400.0, 0.015


def build_car():
    return LapCar(
        mass=MASS,
        front_share=SHARE,
        friction=FRICTION,
        front_exponent=EXPONENT,
        rear_exponent=EXPONENT,
        power=POWER,
        driven="rear",
        wheelbase=2.575,
        rolling_resistance=ROLLING,
    )


class Plain:
    """One configuration in plain Python: level, rear driven, no load moved."""

    def __init__(self, front, rear, drag):
        weight = MASS * GRAVITY
        self.front = front * AIR / 2.0 / (weight * SHARE)
        self.rear = rear * AIR / 2.0 / (weight * (1.0 - SHARE))
        self.drag = drag * AIR / 2.0 / MASS
        self.rolling = ROLLING * GRAVITY
        self.power = POWER / MASS

    def grips(self, u):
        most = FRICTION * GRAVITY
        return (
            most * max(1.0 + self.front * u, 0.0) ** EXPONENT,
            most * max(1.0 + self.rear * u, 0.0) ** EXPONENT,
        )

    def slowed(self, u):
        return self.drag * u + self.rolling

    def spare(self, u, turn, driving):
        front, rear = self.grips(u)
        if driving:
            rear = math.sqrt(max(rear**2 - (self.slowed(u) / (1.0 - SHARE)) ** 2, 0.0))
        return min(front, rear) - u * turn

    def top(self):
        low, high = SLOWEST, 150.0
        for _ in range(50):
            middle = (low + high) / 2.0
            if self.power / middle > self.slowed(middle * middle):
                low = middle
            else:
                high = middle
        return ((low + high) / 2.0) ** 2

    def corner(self, turn, driving, highest):
        if turn == 0.0 or self.spare(highest, turn, driving) > 0.0:
            return math.inf
        low, high = 0.0, highest
        for _ in range(60):
            middle = (low + high) / 2.0
            if self.spare(middle, turn, driving) > 0.0:
                low = middle
            else:
                high = middle
        return (low + high) / 2.0

    def gain(self, u, turn):
        rear = (1.0 - SHARE) * math.sqrt(max(self.grips(u)[1] ** 2 - (u * turn) ** 2, 0.0))
        return min(self.power / math.sqrt(u), rear) - self.slowed(u)

    def loss(self, u, turn):
        front, rear = self.grips(u)
        least, across = min(front, rear), u * turn
        if across >= least:
            return self.slowed(u)
        left = math.sqrt(1.0 - (across / least) ** 2)
        return (SHARE * front + (1.0 - SHARE) * rear) * left + self.slowed(u)

    def lap(self, steps, turns):
        """Lap a closed track that begins on a straight; steps and turns of its cells."""
        highest, floor, count = self.top(), SLOWEST**2, len(steps)
        found = {
            turn: [self.corner(turn, driving, highest) for driving in (True, False)] for turn in set(turns)
        }
        sides = [(turns[k - 1], turns[k % count]) for k in range(count + 1)]
        limit = [min(found[a][0], found[b][0]) for a, b in sides]
        brakes = [min(found[a][1], found[b][1], highest) for a, b in sides]
        first = min(range(count), key=brakes.__getitem__)
        order = [(first + k) % count for k in range(count)]
        here = brakes[first]
        for _ in range(2):
            for k in reversed(order):
                middle = here + steps[k] * self.loss(here, turns[k])
                here = min(here + 2.0 * steps[k] * self.loss(middle, turns[k]), brakes[k])
                brakes[k] = here
        brakes[count] = brakes[0]
        here = min(brakes[first], limit[first])
        speeds = [0.0] * (count + 1)
        for _ in range(2):
            for k in order:
                coasting = here - 2.0 * steps[k] * self.slowed(here)
                there = brakes[k + 1]
                if coasting < there:
                    most = max(limit[k + 1], coasting)
                    nearly = max(min(here + steps[k] * self.gain(here, turns[k]), most), floor)
                    driven = min(here + 2.0 * steps[k] * self.gain(nearly, turns[k]), limit[k + 1])
                    there = min(max(driven, coasting), there)
                here = max(there, floor)
                speeds[k + 1] = here
        speeds[0] = speeds[count]
        speeds = [math.sqrt(u) for u in speeds]
        return sum(2.0 * steps[k] / (speeds[k] + speeds[k + 1]) for k in range(count))


def main():
    track, car = track_of_segments("bench", LENGTHS, TURNS), build_car()
    rng = np.random.default_rng(3)
    areas = np.stack([rng.uniform(lo, hi, CONFIGURATIONS) for lo, hi in ((0.0, 0.5), (0.0, 0.7), (0.6, 0.9))])

    def product():
        return simulate_lap(
            track, car, front_area=areas[0], rear_area=areas[1], drag_area=areas[2], air_density=AIR
        )

    def table():
        return lap_table(track, car, areas, air_density=AIR)

    lap = product()
    steps, turns = lap.stations.step.tolist(), lap.stations.middle[:, 0].tolist()
    took = {"product": [], "loop": [], "table": []}
    for _ in range(ROUNDS):
        begun = perf_counter()
        product()
        took["product"].append(perf_counter() - begun)
        begun = perf_counter()
        times = [Plain(*areas[:, k].tolist()).lap(steps, turns) for k in range(TIMES)]
        took["loop"].append((perf_counter() - begun) / TIMES)
        begun = perf_counter()
        table()
        took["table"].append(perf_counter() - begun)
        np.testing.assert_allclose(lap.time[:TIMES], times, rtol=1e-6)
    whole, one, tabled = (median(took[name]) for name in ("product", "loop", "table"))
    ratio = one / (whole / CONFIGURATIONS)
    print(f"{CONFIGURATIONS:,} laps of {track.length:,.0f} m, {lap.stations.cells:,} steps: {whole:.2f} s")
    print(f"one lap as a plain loop: {1e3 * one:.0f} ms")
    print(f"a configuration, loop / product: {ratio:.0f} times faster (goal {GOAL:.0f})")
    print(
        f"table of laps: {tabled:.2f} s (goals here: {GOAL_TIME:.0f} s for the laps, {GOAL_TABLE:.0f} s for the table)"
    )


main()
