"""The trim solver on 10,000 draws against a root search per draw, and what a what-if costs at every keystroke.

    python tests/bench/bench_wing.py

Both sides of the first comparison solve the same draws of the same curves for the same target; their roots are asserted
to agree before the ratio of times, measured in turn in one run, is printed. The peer takes scipy's monotone cubic and
its bracketing root search, one draw at a time.
"""

from __future__ import annotations

import sys
import time
from itertools import product
from statistics import median

import numpy as np
from scipy.interpolate import PchipInterpolator
from scipy.optimize import brentq

from balance.compare.monotone_cubic import monotone_cubic
from balance.decide.car.prepared_day import prepare_day
from balance.decide.day.day import reduce_day
from balance.decide.settings.aims import drawn_aim
from balance.decide.settings.trim_question import TrimQuestion, answer_trim, prepare_trim
from balance.decide.settings.trim_roots import drawn_roots
from balance.decide.what_if.what_if import evaluate_what_if, what_if_curve
from balance.model.records import (
    Column,
    Facility,
    LoadExponent,
    OptionalTriple,
    PlacedMass,
    Run,
    Session,
    Setting,
    StatedRepeatability,
    Triple,
    Vehicle,
)
from balance.model.what_ifs import StatedChange, WhatIf

SMALL = "--small" in sys.argv  # a few rounds of little, to see that it runs
RUNS, DRAWS, TURNS = (96, 200, 1) if SMALL else (200, 10_000, 7)
SPEED = 50.0
PRESSURE = 0.5 * 1.2 * SPEED**2


def long_day() -> Session:
    """Build 200 runs: six wing angles by flap, splitter and vents, over and over, with scatter."""
    rng = np.random.default_rng(1)
    kinds = list(product(range(2), range(2), range(2), range(6)))
    runs = []
    for k in range(RUNS):
        flap, splitter, vents, step = kinds[k % len(kinds)]
        lift = 60.0 + 45.0 * step - 2.0 * step**2 + 40.0 * flap
        loads = np.array(
            [200.0 + 150.0 * splitter - 0.25 * lift + 15.0 * vents, 100.0 + 1.25 * lift, 650.0 + 8.0 * step]
        )
        front, rear, drag = (loads + np.array([4.0, 4.0, 2.0]) * rng.standard_normal(3)).tolist()
        held = {"wing_angle": Setting(value=3.0 * step, unit="deg")}
        held |= {"flap": Setting(value=10.0, unit="mm")} if flap else {}
        held |= {"splitter": Setting(value=60.0, unit="mm")} if splitter else {}
        held |= {"vents": Setting(value="open")} if vents else {}
        none = Triple(front=0.0, rear=0.0, drag=0.0)
        runs.append(
            Run(
                label=str(k + 1),
                configuration="car",
                reading=Triple(front=front, rear=rear, drag=drag),
                resolution=none,
                settings=held,
            )
        )
    exponent = LoadExponent(front=0.86, rear=0.86, assumed=True)
    vehicle = Vehicle(
        name="any car",
        mass=1200.0,
        front_share=0.52,
        wheelbase=2.5,
        stiffness_exponent=exponent,
        grip_exponent=exponent,
        driven="rear",
    )
    return Session(
        title="long day",
        vehicle=vehicle,
        facility=Facility(speed=SPEED, air_density=1.2),
        runs=tuple(runs),
        repeatability=StatedRepeatability(deviation=OptionalTriple(front=4.0, rear=4.0, drag=2.0)),
        columns={c: Column(name=c, unit="N", form="force") for c in ("front", "rear", "drag")},
    )


def timed(work, *, turns: int = TURNS) -> float:
    """Give the median time of some turns, in seconds, after one to warm up."""
    work()
    times = []
    for _ in range(turns):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return median(times)


def compare_solvers(prepared, target: dict[str, float]) -> None:
    """Time both solvers on the same draws."""
    question = TrimQuestion(run="9", setting="wing_angle", **target)
    moved, aim, _, _ = prepare_trim(prepared, question)
    (one, *_) = answer_trim(prepared, question).answer.solutions
    low, high = moved.response.useful
    drawn, rises = drawn_aim(aim, prepared.shared), aim.kind == "grip_surplus"
    knots, values, offset = moved.response.family.values, moved.response.drawn.values, moved.offset_draws

    def ours():
        curve = monotone_cubic(knots, values)
        return drawn_roots(drawn, curve, offset, (low, high), near=one.value, rises=rises)

    def peer():
        roots = np.full(DRAWS, np.nan)
        for k in range(DRAWS):
            own = drawn.of(np.array([k]))
            front, rear, drag = (PchipInterpolator(knots, values[channel, k]) for channel in range(3))

            def miss(at, own=own, front=front, rear=rear, drag=drag, k=k):
                return float(
                    np.squeeze(
                        own.miss(front(at) + offset[0, k], rear(at) + offset[1, k], drag(at) + offset[2, k])
                    )
                )

            if miss(low) * miss(high) < 0.0:
                roots[k] = brentq(miss, low, high, xtol=1e-10)
        return roots

    start = time.perf_counter()
    theirs = peer()
    slow = time.perf_counter() - start
    found = ours()
    both = np.isfinite(theirs)
    assert np.array_equal(both, np.isfinite(found))
    assert np.allclose(found[both], theirs[both], atol=1e-8)
    fast = timed(ours)
    name = ", ".join(f"{key} {value:g}" for key, value in target.items())
    print(
        f"solver, {DRAWS} draws, {name}: {1e3 * fast:.1f} ms; one by one {1e3 * slow:.0f} ms: {slow / fast:.0f} times"
    )


def time_what_if(prepared) -> None:
    """Time a what-if with its chart, as it is typed and with bands."""
    speeds = np.linspace(15.0, 70.0, 100)
    asked = WhatIf(
        start="9",
        on=("26",),
        settings=(("wing_angle", 7.4),),
        stated=(StatedChange(front=0.05, front_std=0.01),),
        masses=(PlacedMass(name="driver", mass=80.0, behind_front_axle=1.4),),
    )

    def typed():
        return what_if_curve(prepared, evaluate_what_if(prepared, asked, drawn=False), speeds, drawn=False)

    print(
        f"what-if and chart of 100 speeds without draws, {RUNS} runs: {1e3 * timed(typed):.1f} ms (goal 16)"
    )
    print(f"what-if with {DRAWS} draws: {1e3 * timed(lambda: evaluate_what_if(prepared, asked)):.1f} ms")
    result = evaluate_what_if(prepared, asked)
    bands = timed(lambda: what_if_curve(prepared, result, speeds), turns=3)
    print(f"bands of start and result at 100 speeds, {DRAWS} draws: {1e3 * bands:.0f} ms (goal 200)")


def main() -> None:
    """Print every figure."""
    day = reduce_day(long_day(), draws=DRAWS)
    start = time.perf_counter()
    prepared = prepare_day(day)
    print(f"a day of {RUNS} runs made ready: {1e3 * (time.perf_counter() - start):.0f} ms, once")
    compare_solvers(prepared, {"offset": -0.2})
    compare_solvers(prepared, {"surplus": 0.02})
    question = TrimQuestion(run="9", setting="wing_angle", offset=-0.2)
    print(f"whole answer with alternatives: {1e3 * timed(lambda: answer_trim(prepared, question)):.0f} ms")
    time_what_if(prepared)


if __name__ == "__main__":
    main()
