"""Memory that arrays of draws give back stays with the process, in a fresh interpreter."""

import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[3]
PROGRAM = """
import resource
from concurrent.futures import ThreadPoolExecutor

from balance.decide.day.assessment import assess
from tui.host.loading import load

def fetched(day):
    before = resource.getrusage(resource.RUSAGE_SELF).ru_minflt
    assess(day)
    return resource.getrusage(resource.RUSAGE_SELF).ru_minflt - before

with ThreadPoolExecutor(1) as worker:
    first = worker.submit(load, "vehicles/brindlow_hatch/tunnel_day").result().day
    others = [worker.submit(load, "vehicles/brindlow_hatch/tunnel_day").result().day for _ in range(4)]
    print(worker.submit(fetched, first).result(), min(worker.submit(fetched, day).result() for day in others))
"""


def test_draws_of_a_day_take_no_new_memory_once_another_was_drawn():
    done = subprocess.run(
        [sys.executable, "-c", PROGRAM], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
    first, again = map(int, done.stdout.split())
    assert again < first / 10
