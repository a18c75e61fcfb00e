"""How soon the interface shows a session, and how long it is ever busy with a very long one.

Run it by hand::

    python tests/bench/bench_screens.py

First part: from the start of a process to the first picture with rows in its table, on a session of 200 runs, in a
terminal of its own, beside a bare Textual application that shows a DataTable of as many rows and columns. Processes
are measured in turn in each round, so that a machine which slows down slows both.

Second part: sessions of 5,000 and of 200 runs in this process, on the screen of runs, and of 200 on the screens of
parts and scatter, and on page 8: keys pressed while the plan stands, and keys pressed while it is worked out, which are not to
wait for it. A task that asks to be woken every 2 ms tells in each step for how long the interface's thread was
at work in one go, by its own processor time, and for how long it did not come round by the clock, kept waiting by
other threads or processes too.

Nothing is asserted of time.
"""

import asyncio
import csv
import fcntl
import gc
import os
import pty
import random
import select
import struct
import subprocess
import sys
import termios
from contextlib import suppress
from itertools import cycle
from pathlib import Path
from tempfile import TemporaryDirectory
from time import perf_counter, thread_time

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))
SMALL = "--small" in sys.argv  # a few rounds of little, to see that it runs
ROUNDS, RUNS, MANY = (1, 20, 40) if SMALL else (9, 200, 5_000)
COLUMNS, LINES = 120, 40
GOAL_START, GOAL_MANY, GOAL_FEW = 1.5, 100.0, 50.0
GOAL_INTERVALS = 1.5
"""Seconds by the clock from the start of the application until the intervals of a day of 200 runs stand."""
GOAL_PLAN = 16.0
"""Milliseconds that a key may wait for the plan: what it takes while the plan is worked out, less what it takes else."""
PLANNED = 40
"""Runs of the day that is planned: a hired day has hardly more."""
TURNS = 2 if SMALL else 100
"""Keys that are pressed while the plan stands, and while it is worked out."""
PLAN = """\
[hours]
start = "09:00"
end = "17:00"
[minutes]
reading = "5 min"
wing = "3 min"
splitter = "8 min"
[[wanted]]
splitter = "60 mm"
wing = "8 deg"
[[wanted]]
wing = "12 deg"
must = true
"""
MARK = "configuration 3"
"""Stands in the table alone, so that a picture whose table has no rows yet is none with data."""
VEHICLE = """\
name = "any car"
[mass]
total = "1290 kg"
front_share = "54.2 %"
[size]
wheelbase = "2575 mm"
[drive]
driven = "rear"
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
HEAD = (
    "run",
    "configuration",
    "splitter [mm]",
    "wing [deg]",
    "flap [mm]",
    "front_lift [N]",
    "rear_lift [N]",
    "drag [N]",
)
PEER = """
import csv, sys
from textual.app import App
from textual.widgets import DataTable

class Peer(App):
    def compose(self):
        yield DataTable()

    def on_mount(self):
        with open(sys.argv[1], encoding="utf-8", newline="") as file:
            head, *rows = csv.reader(file)
        table = self.query_one(DataTable)
        table.add_columns(*(name.replace("[", "(").replace("]", ")") for name in head), "total", "share", "verdict")
        table.add_rows([*row, row[-1], row[-2], "rear overpowers front"] for row in rows)

Peer().run()
"""


def write_session(folder, count):
    """Write a session of many runs, the baseline among them every twentieth time."""
    rng = random.Random(7)  # noqa: S311 - made-up readings
    day = folder / f"car_{count}" / "day"
    day.mkdir(parents=True)
    (day.parent / "vehicle.toml").write_text(VEHICLE, encoding="utf-8")
    (day / "session.toml").write_text(SESSION, encoding="utf-8")
    with (day / "runs.csv").open("w", encoding="utf-8", newline="") as file:
        rows = csv.writer(file)
        rows.writerow(HEAD)
        for k in range(count):
            if k % 20 == 0:
                front, rear, fitted = rng.gauss(84, 7), rng.gauss(260, 7), ("", "", "")
            else:
                front, rear = rng.uniform(-600, 100), rng.uniform(-1200, 280)
                fitted = (rng.randrange(40, 80, 5), rng.randrange(2, 16), rng.randrange(0, 30, 5))
            name = "baseline" if k % 20 == 0 else f"configuration {k}"
            rows.writerow(
                (
                    k + 1,
                    "first of all" if k == 0 else name,
                    *fitted,
                    f"{front:.0f}",
                    f"{rear:.0f}",
                    f"{rng.gauss(1150, 40):.0f}",
                )
            )
    return day


def seconds_to(mark, arguments, environment):
    """Start a process in a terminal of its own, until it writes some words: seconds of the clock, of the processor."""
    primary, secondary = pty.openpty()
    fcntl.ioctl(secondary, termios.TIOCSWINSZ, struct.pack("HHHH", LINES, COLUMNS, 0, 0))
    start = perf_counter()
    process = subprocess.Popen(
        [sys.executable, *arguments],
        stdin=secondary,
        stdout=secondary,
        stderr=secondary,
        cwd=ROOT,
        env=environment,
        start_new_session=True,
    )
    os.close(secondary)
    written = b""
    while mark.encode() not in written:
        ready, _, _ = select.select([primary], [], [], 60.0)
        if not ready:
            process.kill()
            raise SystemExit(f"{arguments}: never wrote {mark!r}")
        written += os.read(primary, 65536)
    took = perf_counter() - start
    process.kill()
    _, process.returncode, used = os.wait4(process.pid, 0)
    with suppress(OSError):
        os.close(primary)
    return took, used.ru_utime + used.ru_stime


def first_paint(folder):
    """Compare the first pictures with data."""
    day = write_session(folder, RUNS)
    kept = {k: v for k, v in os.environ.items() if k not in ("PYTHONDONTWRITEBYTECODE", "NO_COLOR")}
    own = {f"XDG_{name}_HOME": str(folder / name.lower()) for name in ("STATE", "DATA", "CACHE")}
    environment = {**kept, **own, "TERM": "xterm-256color", "COLORTERM": "truecolor"}
    peer = folder / "peer.py"
    peer.write_text(PEER, encoding="utf-8")
    ways = {"interface": ["-m", "tui", "open", str(day)], "peer": [str(peer), str(day / "runs.csv")]}
    for arguments in ways.values():
        seconds_to(MARK, arguments, environment)  # compiles modules and fills the cache of units
    rounds = [{name: seconds_to(MARK, way, environment) for name, way in ways.items()} for _ in range(ROUNDS)]
    print(
        f"start to first picture with data, {RUNS} runs: least of {ROUNDS} rounds; goal: at most {GOAL_START}"
    )
    for k, clock in enumerate(("by the clock", "of the processor")):
        ours, theirs = (min(r[name][k] for r in rounds) * 1e3 for name in ways)
        print(
            f"  {clock:16}  interface {ours:4.0f} ms, bare application with a DataTable {theirs:4.0f} ms, "
            f"ratio {ours / theirs:5.2f}"
        )


class Pulse:
    """Measures for how long the loop did not come round: by its thread's processor time, and by the clock."""

    def __init__(self):
        self.longest = self.waited = 0.0

    async def beat(self):
        while True:
            start, worked = perf_counter(), thread_time()
            await asyncio.sleep(0.002)
            self.longest = max(self.longest, thread_time() - worked)
            self.waited = max(self.waited, perf_counter() - start - 0.002)

    def take(self):
        longest, waited, self.longest, self.waited = self.longest, self.waited, 0.0, 0.0
        return f"{longest * 1e3:6.0f} ms {waited * 1e3:8.0f} ms"


async def settle(pilot):
    """Wait until nothing is being worked out."""
    quiet = 0
    while quiet < 2:
        await pilot.pause()
        busy = pilot.app.at_work > 0 or any(not worker.is_finished for worker in pilot.app.workers)
        quiet = 0 if busy else quiet + 1


async def intervals_stand(pilot):
    """Wait until the figures of all runs are on the screen with their intervals."""
    while pilot.app.state.assessment is None or pilot.app.state.pending:
        await pilot.pause(0.01)
    await pilot.pause()


RUNS_STEPS = {
    "unfold": ["f"],
    "move": ["down"] * 10,
    "scroll by pages": ["pagedown"] * 10,
    "to the end": ["end"],
    "sort by the next column": ["s"],
    "turn the order": ["S"],
    "change of unit": ["u"],
    "next quantity": ["c"],
    "filter, letter by letter": ["slash", *"wing 12", "escape"],
    "next speed": ["plus"],
    "detail": ["d", "escape"],
    "notes": ["n", "escape"],
    "fold": ["f"],
}
PARTS_STEPS = {
    "parts": ["2"],
    "move": ["down"] * 10,
    "scroll by pages": ["pagedown"] * 5,
    "order by the next quantity": ["s"],
    "change of unit": ["u"],
    "next speed": ["plus"],
    "one part": ["enter", "escape"],
    "scatter": ["3"],
    "scatter, change of unit": ["u"],
    "back to parts": ["2"],
}


async def busy_steps(folder, runs, steps, goal):
    """Go through a session, and say how long each step kept the interface."""
    os.environ.update({f"XDG_{name}_HOME": str(folder / name.lower()) for name in ("STATE", "DATA", "CACHE")})
    from tui.app.app import AxletrimApp
    from tui.command_line.opening import keep_for_good

    day = write_session(folder / f"{runs} runs", runs)
    gc.disable()  # until the first intervals stand, as the command does
    pulse, start = Pulse(), perf_counter()
    app = AxletrimApp(str(day), at_rest=keep_for_good)
    async with app.run_test(size=(COLUMNS, LINES)) as pilot:
        beating = asyncio.create_task(pulse.beat())
        print(f"longest time the interface's thread was busy, {runs} runs; goal: at most {goal:.0f} ms")
        print(f"  {'':28} {'at work':>9} {'by the clock':>11}")
        await intervals_stand(pilot)
        stand = perf_counter() - start
        await settle(pilot)
        print(f"  {'open':28} {pulse.take()}")
        aim = f", goal {GOAL_INTERVALS} s" if runs == RUNS else ""
        print(
            f"  by the clock: the intervals of all runs stand after {stand:.1f} s{aim}; "
            f"nothing is at work after {perf_counter() - start:.1f} s"
        )
        for name, keys in list(steps.items())[: 2 if SMALL else None]:
            await settle(pilot)
            pulse.take()
            await pilot.press(*keys)
            await settle(pilot)
            print(f"  {name:28} {pulse.take()}")
        beating.cancel()


async def planned_keys(folder):
    """Press keys on page 8 while the plan stands and while it is worked out, and say how long each kept waiting."""
    from textual.events import Key

    from tui.app.app import AxletrimApp
    from tui.command_line.opening import keep_for_good

    day = write_session(folder, PLANNED)
    (day / "plan.toml").write_text(PLAN, encoding="utf-8")
    app = AxletrimApp(str(day), at_rest=keep_for_good)

    async def pressed(key):
        """Press an arrow key, and wait until the cursor was moved and drawn: seconds by the clock, and of the thread."""
        table, done = app.focused, asyncio.Event()
        before, start, worked = table.cursor, perf_counter(), thread_time()
        app.post_message(Key(key, None))
        while table.cursor == before:
            await pilot.pause(0)
        app.screen.call_after_refresh(done.set)
        await done.wait()
        return perf_counter() - start, thread_time() - worked

    async with app.run_test(size=(COLUMNS, LINES)) as pilot:
        await settle(pilot)
        await pilot.press("8")
        await settle(pilot)
        keys = cycle(("down", "up"))
        standing = [await pressed(next(keys)) for _ in range(TURNS)]
        under_way, turn = [], 0
        while len(under_way) < TURNS:
            turn += 1
            (day / "plan.toml").write_text(
                f"{PLAN}# {turn}\n", encoding="utf-8"
            )  # which the page looks for every second
            while app.at_work == 0:
                await pilot.pause(0.005)
            while app.at_work and len(under_way) < TURNS:
                took = await pressed(next(keys))
                under_way += [took] if app.at_work else []
            await settle(pilot)
    print(
        f"a key on page 8, {PLANNED} runs, {len(standing)} times each by the clock; goal: waits at most {GOAL_PLAN:.0f} ms"
    )
    print(f"  {'':28} {'median':>9} {'of 95 in 100':>13} {'longest':>11} {'of the thread, longest':>24}")
    found = []
    for name, taken in (("the plan stands", standing), ("while it is worked out", under_way)):
        clock, own = (sorted(one[k] * 1e3 for one in taken) for k in (0, 1))
        found.append((clock[len(clock) // 2], clock[len(clock) * 95 // 100], clock[-1]))
        print(f"  {name:28} {figures(found[-1])} {own[-1]:21.1f} ms")
    print(
        f"  {'waits for the plan':28} {figures(after - before for before, after in zip(*found, strict=True))}"
    )


def figures(some):
    return " ".join(f"{one:9.1f} ms" for one in some)


def main():
    if "--plan" in sys.argv:  # this part alone
        with TemporaryDirectory() as folder:
            os.environ.update(
                {f"XDG_{name}_HOME": str(Path(folder) / name.lower()) for name in ("STATE", "DATA", "CACHE")}
            )
            asyncio.run(planned_keys(Path(folder)))
        return
    with TemporaryDirectory() as folder:
        first_paint(Path(folder))
        asyncio.run(busy_steps(Path(folder), MANY, RUNS_STEPS, GOAL_MANY))
        asyncio.run(busy_steps(Path(folder) / "runs", RUNS, RUNS_STEPS, GOAL_FEW))
        asyncio.run(busy_steps(Path(folder) / "parts", RUNS, PARTS_STEPS, GOAL_FEW))
        asyncio.run(planned_keys(Path(folder) / "plan"))


if __name__ == "__main__":
    main()
