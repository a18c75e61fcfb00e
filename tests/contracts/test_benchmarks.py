"""Every benchmark runs from end to end, with little to do: none is found broken on the day when it is needed."""

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
BENCH = ROOT / "tests" / "bench"
RATIOS = {
    "bench_brief": r"ratio +\d",
    "bench_draws": r"product / plain numpy +\d",
    "bench_import": r"\d times pandas",
    "bench_laps": r"loop / product: \d+ times faster",
    "bench_library": r"warm opening .*\d times json",
    "bench_log": r"reading and tracing \d.*\d times pandas",
    "bench_parts": r"\d times faster",
    "bench_plan": r"list / scikit-learn \d",
    "bench_plan_judged": r"guard / doubts alone \d",
    "bench_plan_pays": r"difference [+-]\d+ ± \d+ N, ratio -?\d",
    "bench_screens": r"interface +\d+ ms, bare application [a-zA-Z ]+\d+ ms, ratio +\d",
    "bench_start": r"axletrim --help +\d+ ms +\d",
    "bench_what_if_screen": r"ratio \d",
    "bench_wing": r"one by one \d+ ms: \d+ times",
}
"""What each prints of its ratio to a peer measured in the same run."""


def test_every_benchmark_is_run_here():
    assert sorted(path.stem for path in BENCH.glob("bench_*.py")) == sorted(RATIOS)


@pytest.mark.skipif(os.name != "posix", reason="a terminal as on Unix")
@pytest.mark.parametrize(
    "name",
    [name if name == "bench_start" else pytest.param(name, marks=pytest.mark.thorough) for name in RATIOS],
)
def test_it_runs_to_its_end_and_prints_a_ratio(name, tmp_path):
    own = {f"XDG_{kind}_HOME": str(tmp_path / kind.lower()) for kind in ("STATE", "DATA", "CACHE")}
    done = subprocess.run(
        [sys.executable, str(BENCH / f"{name}.py"), "--small"],
        cwd=ROOT,
        env={**os.environ, **own},
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    assert re.search(RATIOS[name], done.stdout), done.stdout


@pytest.mark.thorough
@pytest.mark.skipif(os.name != "posix", reason="children are forked")
def test_the_sample_of_small_changes_is_made_and_tried():
    only = ("--only", "handling/tyre_rating.py", "--tests", "tests/published/test_tyre_ratings.py")
    done = subprocess.run(
        [sys.executable, str(BENCH / "mutants.py"), "--count", "5", "--seconds", "20", *only],
        cwd=ROOT,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        capture_output=True,
        text=True,
        timeout=600,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    assert re.search(r"5 changes drawn of \d+, seed 13: [1-5] noticed", done.stdout), done.stdout
