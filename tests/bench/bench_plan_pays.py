"""What it pays to run what is worth most for its minutes: paired over invented cars, with 95 % intervals.

    python tests/bench/bench_plan_pays.py [CARS]

Each rule has the same car, the same minutes and the same belief at the end, which chooses among what was run. The peers are
one factor at a time, the largest family first, and whatever comes. Printed is the true merit over the start of the choice,
the mean of the differences with its interval, and what the best of each car would gain.
"""

from __future__ import annotations

import sys

import numpy as np

from balance.compare.student import student_factor
from balance.decide.plan.configuration import configuration
from tests.plan_cars import EVERY, RULES, InventedCar, InventedDay, chosen, true_merit

SMALL = "--small" in sys.argv  # one car, and a short day
MINUTES = (60,) if SMALL else (100, 180, 360)
CARS = 2 if SMALL else int(sys.argv[1]) if len(sys.argv) > 1 else 40


def main() -> None:
    """Run the days, and print what each rule found."""
    gains = {(minutes, rule): [] for minutes in MINUTES for rule in RULES}
    could = []
    for seed in range(CARS):
        car = InventedCar(seed)
        begun = true_merit(car, configuration({}))
        could.append(max(true_merit(car, one) for one in EVERY[:: 20 if SMALL else 1]) - begun)
        for (minutes, rule), found in gains.items():
            day = InventedDay(car, np.random.default_rng([5, seed, minutes]))
            RULES[rule](day, 60.0 * minutes)
            choice = chosen(day.within(60.0 * minutes))
            found.append(true_merit(car, choice) - begun)
    print(f"{CARS} invented cars; the best of each gains {np.mean(could):.0f} N on average")
    for minutes in MINUTES:
        ours = np.array(gains[minutes, "by worth"])
        print(f"{minutes} minutes: by worth {ours.mean():.0f} N")
        for rule in RULES:
            if rule != "by worth":
                theirs = np.array(gains[minutes, rule])
                apart = ours - theirs
                half = float(student_factor(len(apart) - 1.0)) * apart.std(ddof=1) / np.sqrt(len(apart))
                print(
                    f"  against {rule}: {theirs.mean():.0f} N; difference {apart.mean():+.0f} ± {half:.0f} N, "
                    f"ratio {ours.mean() / theirs.mean():.2f}"
                )


if __name__ == "__main__":
    main()
