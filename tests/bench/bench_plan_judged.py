"""How many wrong readings are asked about as they are entered, by run number, and how many right ones, on invented days.

    python tests/bench/bench_plan_judged.py [CARS | --small]

The guard holds a reading against what the runs before it expect; its peer are the doubts that look at it by itself and
beside the most alike run.
"""

import sys
from collections import defaultdict
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))
from balance.decide.doubts.entry_doubts import entry_doubts
from balance.decide.plan.entry_guard import guard_run
from balance.model.plans import DayPlan
from tests.plan_cars import EXPECTED, InventedCar, InventedDay, at_random, one_at_a_time, session_of

BUDGET = 200.0 * 60.0
STAGES = ((2, 3), (4, 7), (8, 11), (12, 99))
SPEED_TYPED = 1.12
"""Speed of the run over the speed that was typed."""


def errors(car, rows, place, rng):
    """Yield wrong readings of a run: its name, and what was typed."""
    fitted, front, rear, drag = rows[place]
    yield "sign of front", (-front, rear, drag)
    yield "sign of rear", (front, -rear, drag)
    yield "front and rear swapped", (rear, front, drag)
    yield "another speed", tuple(np.round(np.array((front, rear, drag)) * SPEED_TYPED**2))
    if rows[place - 1][0] != fitted:
        yield "figures of the run before", rows[place - 1][1:]
    parts = [pair for pair in fitted.settings if pair[0] != "vents"]
    if parts:
        name, value = parts[rng.integers(len(parts))]
        lost = 0.5 * car.effect(name, value)
        yield "part loose", tuple(np.round(np.array((front, rear, drag)) - lost))


def asked(rows, place, reading):
    """Tell which guards ask about a run."""
    session = session_of([*rows[:place], (rows[place][0], *map(float, reading))])
    label = str(place + 1)
    guarded = guard_run(session, label, DayPlan())
    return {
        "guard": guarded.asked,
        "guard, parts stated roughly": guard_run(session, label, DayPlan(expected=EXPECTED)).asked,
        "expected reading alone": guarded.judged.asked,
        "doubts alone": bool(entry_doubts(session, label)),
    }


def main(cars):
    hits, shown = defaultdict(list), defaultdict(list)
    for seed in range(cars):
        for rule in (one_at_a_time, at_random):
            rng = np.random.default_rng([seed, 5])
            day = InventedDay(InventedCar(seed), rng)
            rule(day, BUDGET)
            for place in range(1, min(len(day.rows), 20)):
                stage = next(s for s in STAGES if s[0] <= place + 1 <= s[1])
                right = asked(day.rows, place, day.rows[place][1:])
                for guard, did in right.items():
                    hits[guard, "right", stage].append(did)
                for kind, reading in errors(day.car, day.rows, place, rng):
                    for guard, did in asked(day.rows, place, reading).items():
                        hits[guard, kind, stage].append(did)
    kinds = list(dict.fromkeys(kind for _, kind, _ in hits))
    for guard in dict.fromkeys(guard for guard, _, _ in hits):
        print(
            f"{guard}, asked about in % of runs by run number {', '.join(f'{a} to {b}' for a, b in STAGES)}, all"
        )
        for kind in kinds:
            by = [np.array(hits[guard, kind, stage]) for stage in STAGES]
            every = np.concatenate(by)
            cells = "  ".join(f"{100.0 * one.mean():5.1f}" if one.size else "    ." for one in by)
            shown[guard, kind] = every.mean()
            half = 196.0 * np.sqrt(every.mean() * (1.0 - every.mean()) / every.size)
            print(f"  {kind:26} {cells}  {100.0 * every.mean():5.1f} ± {half:.1f}  (n {every.size})")
    wrong = [kind for kind in kinds if kind != "right"]
    mean = {g: np.mean([shown[g, kind] for kind in wrong]) for g in ("guard", "doubts alone")}
    print(
        f"wrong readings asked about: guard {100 * mean['guard']:.0f} %, doubts alone {100 * mean['doubts alone']:.0f} %, "
        f"guard / doubts alone {mean['guard'] / mean['doubts alone']:.2f}"
    )


if __name__ == "__main__":
    main(1 if "--small" in sys.argv else int((sys.argv[1:] or ["10"])[0]))
