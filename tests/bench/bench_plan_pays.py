"""What it pays to run what is worth most for its minutes: paired over invented cars, with 95 % intervals.

    python tests/bench/bench_plan_pays.py [CARS]

Each rule has the same car, the same minutes and the same belief at the end, which chooses among what was run. The peers are
one factor at a time, the largest family first, and whatever comes. Printed is the true merit over the start of the choice,
and the mean of the differences with its interval: where the engineer stated before the day what such parts do, roughly, and
where nothing was stated. 40 cars take about 8 minutes of one processor; numpy's own threads are kept out, for they make
matrices as small as these slower, most of all where others use the machine too.
"""

from __future__ import annotations

import os
import sys
from dataclasses import replace
from pathlib import Path

os.environ["OPENBLAS_NUM_THREADS"] = os.environ["OMP_NUM_THREADS"] = "1"  # before numpy is loaded

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))
from balance.compare.student import student_factor
from balance.decide.plan.configuration import configuration
from tests.plan_cars import EXPECTED, PLAN, RULES, InventedCar, InventedDay, chosen, true_merit

SMALL = "--small" in sys.argv  # one car, and a short day
MINUTES = (60,) if SMALL else (100, 180, 360)
CARS = 2 if SMALL else int(sys.argv[1]) if len(sys.argv) > 1 else 40
PLANS = {"parts stated roughly": replace(PLAN, expected=EXPECTED), "nothing stated": PLAN}


def main() -> None:
    """Run the days, and print what each rule found."""
    gains = {(said, minutes, rule): [] for said in PLANS for minutes in MINUTES for rule in RULES}
    for seed in range(CARS):
        car = InventedCar(seed)
        begun = true_merit(car, configuration({}))
        for (said, minutes, rule), found in gains.items():
            day = InventedDay(car, np.random.default_rng([5, seed, minutes]))
            RULES[rule](day, 60.0 * minutes, PLANS[said])
            choice = chosen(day.within(60.0 * minutes), PLANS[said])
            found.append(true_merit(car, choice) - begun)
        print(f"car {seed + 1} of {CARS}", file=sys.stderr, flush=True)
    for said in PLANS:
        print(f"{CARS} invented cars, {said}")
        for minutes in MINUTES:
            ours = np.array(gains[said, minutes, "by worth"])
            print(f"  {minutes} minutes: by worth {ours.mean():.0f} N")
            for rule in RULES:
                if rule != "by worth":
                    theirs = np.array(gains[said, minutes, rule])
                    print(f"    against {rule}: {theirs.mean():.0f} N; {difference(ours, theirs)}")


def difference(ours, theirs) -> str:
    """Write the mean of paired differences with its 95 % interval, and the ratio of the means."""
    apart = ours - theirs
    half = float(student_factor(len(apart) - 1.0)) * apart.std(ddof=1) / np.sqrt(len(apart))
    return f"difference {apart.mean():+.0f} ± {half:.0f} N, ratio {ours.mean() / theirs.mean():.2f}"


if __name__ == "__main__":
    main()
