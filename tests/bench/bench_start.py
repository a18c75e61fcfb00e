"""How long a command takes from start to end, beside a bare interpreter that loads numpy.

Run it by hand::

    python tests/bench/bench_start.py

Every way is a process of its own, measured in turn in each round, so that a machine which slows down slows all of
them; compiled modules and the cache of units are warm. Nothing is asserted of time.
"""

import os
import subprocess
import sys
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory
from time import perf_counter

ROOT = Path(__file__).resolve().parents[2]
SMALL = "--small" in sys.argv  # a few rounds of little, to see that it runs
ROUNDS = 1 if SMALL else 11
FACILITY = "vehicles/brindlow_hatch/tunnel_day"
REPEATS = "vehicles/ostrel_two_seater/straight_morning"
PEER = "python -c 'import numpy'"
GOAL_HELP, GOAL_TABLE = 0.8, 4.0
WAYS = {  # name: arguments of the interpreter, goal as a ratio to the peer
    PEER: (["-c", "import numpy"], None),
    "axletrim --help": (["-m", "tui", "--help"], GOAL_HELP),
    "axletrim table, scatter from repeats": (["-m", "tui", "table", REPEATS], GOAL_TABLE),
    "axletrim table, scatter from facility and repeats": (["-m", "tui", "table", FACILITY], GOAL_TABLE),
    "axletrim table --json, the same": (["-m", "tui", "table", FACILITY, "--json"], GOAL_TABLE),
    "python -c 'import pint'": (["-c", "import pint"], None),
    "python -c 'import scipy.special'": (["-c", "import scipy.special"], None),
}


def seconds(arguments, environment):
    """Time one process."""
    start = perf_counter()
    subprocess.run(
        [sys.executable, *arguments],
        cwd=ROOT,
        env=environment,
        check=True,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    return perf_counter() - start


def main():
    with TemporaryDirectory() as cache:
        kept = {k: v for k, v in os.environ.items() if k != "PYTHONDONTWRITEBYTECODE"}
        environment = {**kept, "XDG_CACHE_HOME": cache}
        for arguments, _ in () if SMALL else WAYS.values():
            seconds(arguments, environment)  # compiles modules and fills the cache
        rounds = [
            {name: seconds(arguments, environment) for name, (arguments, _) in WAYS.items()}
            for _ in range(ROUNDS)
        ]
    print(f"medians of {ROUNDS} rounds; ratio to {PEER}")
    for name, (_, goal) in WAYS.items():
        ratio = median(one[name] / one[PEER] for one in rounds)
        time = median(one[name] for one in rounds)
        print(f"{name:50} {time * 1e3:6.0f} ms {ratio:6.2f}" + ("" if goal is None else f"   goal {goal:g}"))


if __name__ == "__main__":
    main()
