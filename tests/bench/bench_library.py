"""How long a library of a thousand days takes to open, beside reading the same records as plain JSON.

Run it by hand::

    python tests/bench/bench_library.py

Each day has 24 runs of a car of its own with a wing and a spoiler. Four openings: the first, with nothing but the folders
of the days, reads and reduces every day; one without the index makes it again of the records; a warm one finds nothing
changed; one after a changed day reads that day again. The peer reads every record with `json` in the same round. Nothing
is asserted of time; every opening must give the same days.
"""

import json
import shutil
import sys
import tempfile
from pathlib import Path
from resource import RUSAGE_SELF, getrusage
from statistics import median
from time import perf_counter

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[2]))

from balance.decide.library.kept import effects_of_day
from balance.files.library.library import Library
from balance.files.library.parts_file import Confirmed, write_confirmed
from tests.small_session import SESSION, VEHICLE

SMALL = "--small" in sys.argv  # a few days, to see that it runs
DAYS, ROUNDS = (12, 1) if SMALL else (1000, 5)
RUNS = 24
HEAD = "run,configuration,front_lift [N],rear_lift [N],drag [N],wing [deg],spoiler [mm]\n"
GOALS = {"first": 60.0, "warm": 0.3, "changed": 0.2}
GOAL_MEMORY = 200.0


def write_day(folder, chance):
    """Write a day of 24 runs: baselines between wings and spoilers."""
    rows = []
    for k in range(RUNS):
        wing = ("", "", "2", "5", "8", "11")[k % 6]
        spoiler = "25" if k % 6 == 1 else ""
        rear = 260.0 - 12.0 * float(wing or 0) - 60.0 * bool(spoiler)
        noise = chance.normal(0.0, 4.0, 3)
        loads = np.array([84.0, rear, 1150.0 + 4.0 * float(wing or 0)]) + noise
        rows.append(f"{k + 1},set {k % 6},{loads[0]:.1f},{loads[1]:.1f},{loads[2]:.1f},{wing},{spoiler}\n")
    (folder / "runs.csv").write_text(HEAD + "".join(rows), encoding="utf-8")


def write_days(place):
    """Write cars and days, and a library that names them."""
    chance = np.random.default_rng(5)
    folders = []
    for k in range(DAYS):
        car = place / f"car_{k:04}"
        folder = car / "day"
        folder.mkdir(parents=True)
        (car / "vehicle.toml").write_text(VEHICLE.replace("Larkspur", f"Number {k}"), encoding="utf-8")
        (folder / "session.toml").write_text(SESSION.replace("Spring", f"Number {k}:"), encoding="utf-8")
        write_day(folder, chance)
        folders.append(str(folder))
    library = place / "library"
    library.mkdir()
    (library / "library.toml").write_text(f"days = {json.dumps(folders)}\n", encoding="utf-8")
    return library


def opened(library):
    """Open a library; give how long that took, and how many days and effects it holds."""
    start = perf_counter()
    with Library(library, effects_of_day) as found:
        took = perf_counter() - start
        assert not found.broken
        return took, (len(found.days), sum(day.head.effects for day in found.days))


def confirm_all(library):
    """Confirm every part of every day as what it is called."""
    with Library(library, effects_of_day) as found:
        each = {}
        for day, said in found.unconfirmed():
            name = ", ".join(f"{one.setting} {one.value} {one.before}" for one in said)
            each.setdefault(day.head.id, {})[said] = name
        cars = {day.head.id: day.head.car for day in found.days}
    write_confirmed(library, [Confirmed(day=day, car=cars[day], parts=parts) for day, parts in each.items()])


def read_as_json(library):
    """Read every record as plain JSON."""
    start = perf_counter()
    count = sum(
        len(json.loads(path.read_bytes())["effects"]) for path in sorted((library / "days").glob("*.json"))
    )
    return perf_counter() - start, count


def main():
    """Measure each kind of opening in turn with plain JSON, and print medians and ratios."""
    with tempfile.TemporaryDirectory() as place:
        library = write_days(Path(place))
        chance = np.random.default_rng(6)
        first, held = opened(library)
        confirm_all(library)
        opened(library)  # takes in what was confirmed
        times = []
        for k in range(ROUNDS):
            peer, effects = read_as_json(library)
            warm, again = opened(library)
            assert again == held == (DAYS, effects)
            write_day(Path(place) / f"car_{k:04}" / "day", chance)
            changed, again = opened(library)
            assert again == held
            (library / "index.sqlite").unlink()
            anew, again = opened(library)
            assert again == held
            times.append((peer, warm, changed, anew))
        size = (library / "index.sqlite").stat().st_size / 1e6
        shutil.rmtree(library)
    peer, warm, changed, anew = (median(column) for column in zip(*times, strict=True))
    memory = getrusage(RUSAGE_SELF).ru_maxrss / 1024.0
    print(
        f"{DAYS:,} days of {RUNS} runs, {held[1]:,} effects, index {size:.1f} MB: json reads all in {peer:.3f} s"
    )
    print(f"  first opening {first:7.2f} s, {first / peer:6.1f} times json; the goal is {GOALS['first']:g} s")
    print(f"  without index {anew:7.2f} s, {anew / peer:6.1f} times json")
    print(f"  warm opening  {warm:7.3f} s, {warm / peer:6.2f} times json; the goal is {GOALS['warm']:g} s")
    print(
        f"  a changed day {changed:7.3f} s, {changed / peer:6.2f} times json; the goal is {GOALS['changed']:g} s"
    )
    print(f"  peak memory   {memory:7.0f} MB; the goal is {GOAL_MEMORY:g} MB")


if __name__ == "__main__":
    main()
