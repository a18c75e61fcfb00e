"""How long a key on the what-if screen keeps the interface's thread, and how soon the bands follow.

    python tests/bench/bench_what_if_screen.py

A session of 200 runs in this process. A key that moves a setting or a weight updates both axles, verdict and a chart of
100 speeds with nominal values at once; bands of 10,000 draws follow from a worker. Four figures: the model alone
(result and curve), beside the same arithmetic for one speed at a time in a loop, which is asserted to agree; the whole
work of a key on the interface's thread, tables and chart drawn; the time until the bands stand; and how long an answer
of the wing screen takes. Goals stand beside the figures; nothing is asserted of time.
"""

from __future__ import annotations

import asyncio
import os
import sys
import time
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory

import numpy as np

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

from balance.decide.settings.suggestion import suggest_setting  # noqa: E402 - the path comes first
from balance.decide.settings.trim_question import TrimQuestion  # noqa: E402
from balance.handling.axle_state import axle_state  # noqa: E402
from balance.model.what_ifs import WhatIf  # noqa: E402
from balance.reduce.air import dynamic_pressure  # noqa: E402
from tui.app.app import AxletrimApp  # noqa: E402
from tui.features.what_if.what_ifs import InputList, figures_for  # noqa: E402
from tui.host.loading import load  # noqa: E402
from tui.host.prepared_days import prepared_with  # noqa: E402
from tui.host.what_if_view import WhatIfWanted  # noqa: E402

SMALL = "--small" in sys.argv  # a few rounds of little, to see that it runs
RUNS, TURNS = (24, 1) if SMALL else (200, 21)
GOAL_KEY, GOAL_BANDS = 16.0, 200.0
VEHICLE = """\
name = "any car"
[mass]
total = "1290 kg"
front_share = "54.2 %"
[size]
wheelbase = "2575 mm"
[drive]
driven = "rear"
power = "230 kW"
top_speed = "245 km/h"
"""
SESSION = """\
title = "long day"
vehicle = "../vehicle.toml"
[facility]
speed = "160 km/h"
air_density = "1.225 kg/m^3"
forces = "as read"
[repeatability]
front = "7 N"
rear = "7 N"
drag = "4 N"
degrees_of_freedom = 20
[[places]]
name = "fast left"
speed = "185 km/h"
"""


def write_session(folder: Path) -> Path:
    """Write wing angles by flap and splitter, over and over, with scatter."""
    rng = np.random.default_rng(1)
    day = folder / "car" / "day"
    day.mkdir(parents=True)
    (day.parent / "vehicle.toml").write_text(VEHICLE, encoding="utf-8")
    (day / "session.toml").write_text(SESSION, encoding="utf-8")
    rows = ["run,configuration,splitter [mm],wing [deg],flap [mm],front_lift [N],rear_lift [N],drag [N]"]
    for k in range(RUNS):
        step, flap, splitter = k % 6, k // 6 % 2, k // 12 % 2
        rear = -200.0 - 60.0 * step + 2.0 * step**2 - 40.0 * flap + rng.normal(0.0, 7.0)
        front = -150.0 - 150.0 * splitter + 15.0 * step + rng.normal(0.0, 7.0)
        drag = 1100.0 + 9.0 * step + 10.0 * flap + rng.normal(0.0, 4.0)
        held = f"{60 if splitter else ''},{3 * step},{10 if flap else ''}"
        rows.append(f"{k + 1},car,{held},{front:.0f},{rear:.0f},{drag:.0f}")
    (day / "runs.csv").write_text("\n".join(rows) + "\n", encoding="utf-8")
    return day


def timed(work, *, turns: int = TURNS) -> float:
    """Give the median time of some turns in milliseconds, after one to warm up."""
    work(0)
    times = []
    for k in range(turns):
        start = time.perf_counter()
        work(k)
        times.append(time.perf_counter() - start)
    return median(times) * 1e3


def one_by_one(wanted: WhatIfWanted) -> np.ndarray:
    """Work out the nominal curve of the result for one speed at a time."""
    figures = figures_for(wanted, drawn=False)
    state = figures.result.result
    return np.array(
        [
            float(
                axle_state(
                    state.areas,
                    float(dynamic_pressure(float(speed), state.air_density)),
                    state.vehicle,
                    set_up=state.set_up,
                ).grip_surplus
            )
            for speed in figures.curve.speeds
        ]
    )


def model(day) -> None:
    """Time the model, and hold the curve against the same arithmetic in a loop."""

    def wanted(k: int) -> WhatIfWanted:
        what_if = WhatIf(start="3", settings=(("wing", 3.0 + 0.5 * (k % 20)),), mass=1200.0 + k)
        return WhatIfWanted(day, (), 50.0, what_if)

    curve = figures_for(wanted(3), drawn=False).curve.result.grip_surplus.value
    np.testing.assert_allclose(one_by_one(wanted(3)), curve, rtol=1e-9, atol=1e-12)
    ours, loop = timed(lambda k: figures_for(wanted(k), drawn=False)), timed(lambda k: one_by_one(wanted(k)))
    bands = timed(lambda k: figures_for(wanted(k), drawn=True), turns=min(7, TURNS))
    print(
        f"what-if of a day of {RUNS} runs, result and curve of 100 speeds: {ours:.1f} ms, goal below {GOAL_KEY:.0f}"
    )
    print(f"  the same speed by speed: {loop:.1f} ms, ratio {loop / ours:.1f}")
    print(f"  with bands of {day.shared.count} draws: {bands:.0f} ms, goal below {GOAL_BANDS:.0f}")
    prepared = prepared_with(day, ())
    question = TrimQuestion(run="3", setting="wing")
    answer = timed(lambda k: suggest_setting(prepared, question, speed=45.0 + 0.1 * k), turns=min(7, TURNS))
    print(f"  answer of the wing screen with curve, places, mounts: {answer:.0f} ms")


async def screen(path: Path) -> None:
    """Time the handler of a key on the screen, up to the state that is ready to be painted, and the bands."""
    app = AxletrimApp(str(path))
    async with app.run_test(size=(120, 40)) as pilot:

        async def settle() -> None:
            while True:
                await pilot.pause()
                running = [worker for worker in app.workers if not worker.is_finished]
                if not running:
                    return
                await app.workers.wait_for_complete(running)

        await settle()
        await pilot.press("down", "down", "5")
        await settle()
        await pilot.press("down")
        page = app.screen
        keys, bands = [], []
        for k in range(TURNS):
            await settle()
            start = time.perf_counter()
            (page.action_more if k % 2 == 0 else page.action_less)()
            keys.append(time.perf_counter() - start)
            while not page.figures.drawn:  # noqa: ASYNC110 - the screen sets no event
                await asyncio.sleep(0.002)
            bands.append(time.perf_counter() - start)
        print(
            f"a key on the screen, {page.query_one(InputList).picked.name}: {median(keys) * 1e3:.1f} ms of work, goal {GOAL_KEY:.0f}"
        )
        print(f"  until the bands stand: {median(bands) * 1e3:.0f} ms, goal {GOAL_BANDS:.0f}")


def main() -> None:
    """Run both."""
    with TemporaryDirectory() as folder:
        for name in ("STATE", "DATA", "CACHE"):
            os.environ[f"XDG_{name}_HOME"] = str(Path(folder) / name.lower())
        path = write_session(Path(folder))
        day = load(str(path)).day
        model(day)
        asyncio.run(screen(path))


if __name__ == "__main__":
    main()
