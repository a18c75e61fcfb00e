"""How long a driver's log takes from its bytes to a traced track, beside pandas reading the same file.

Run it by hand::

    python tests/bench/bench_log.py

Both ways in turn in each round, so that a machine which slows down slows both. The log is of an oval in closed form, 20
laps at 50 samples a second. Reading is from bytes to columns in SI with units, laps and checks; tracing lays the laps over
one another. Nothing is asserted of time; the speeds must be those of the file, and the track must have its length.
"""

import sys
import tempfile
from pathlib import Path
from statistics import median
from time import perf_counter

import numpy as np
import pandas as pd

sys.path.insert(0, str(Path(__file__).parents[2]))

from balance.decide.laps.logged_laps import trace_log
from balance.files.tables.importing.plan import ImportOptions
from balance.files.tables.logs.log_reading import read_log
from tests.files.tables.driven import Driven, written

SMALL = "--small" in sys.argv  # a few rounds of little, to see that it runs
LAPS, ROUNDS = (2, 1) if SMALL else (44, 5)  # laps of the oval take 43 s: as many samples as 20 laps of 95 s
RATE = 50.0
GOAL_SECONDS = 5.0


def main():
    """Measure reading and tracing in turn with pandas, and print medians and ratios."""
    driven = Driven(laps=LAPS, rate=RATE, noise=0.5)
    columns = {
        **driven.columns(),
        "Throttle [%]": ["50"] * driven.time.size,
        "Gear": ["3"] * driven.time.size,
    }
    times = []
    with tempfile.TemporaryDirectory() as place:
        path = written(Path(place) / "log.csv", columns)
        for _ in range(ROUNDS):
            start = perf_counter()
            frame = pd.read_csv(path)
            peer = perf_counter() - start
            start = perf_counter()
            log = read_log(path, ImportOptions()).log
            reading = perf_counter() - start
            traced = trace_log(log, "oval").traced
            whole = perf_counter() - start
            np.testing.assert_allclose(log.speed, frame["Speed [km/h]"] / 3.6, rtol=1e-12)
            np.testing.assert_allclose(traced.track.length, driven.length, rtol=5e-3)
            times.append((peer, reading, whole))
        size = path.stat().st_size / 1e6
    peer, reading, whole = (median(column) for column in zip(*times, strict=True))
    print(f"{driven.time.size:,} samples in {len(columns)} columns, {size:.1f} MB: pandas {peer:.2f} s")
    print(f"  reading            {reading:5.2f} s, {reading / peer:5.1f} times pandas")
    print(
        f"  reading and tracing {whole:4.2f} s, {whole / peer:5.1f} times pandas; the goal is {GOAL_SECONDS:.0f} s"
    )


if __name__ == "__main__":
    main()
