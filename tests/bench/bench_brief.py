"""How long a brief of the invented hatchback takes from a cold start, beside a start that loads its libraries alone.

Run by hand: python tests/bench/bench_brief.py
"""

import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
DEMO = ROOT / "vehicles" / "brindlow_hatch" / "tunnel_day"
SMALL = "--small" in sys.argv  # a few rounds of little, to see that it runs
ROUNDS = 1 if SMALL else 5
LIMIT_SECONDS, LIMIT_BYTES = 5.0, 3_000_000


def main() -> None:
    environment = {k: v for k, v in os.environ.items() if k != "PYTHONDONTWRITEBYTECODE"}
    with tempfile.TemporaryDirectory() as folder:
        page = Path(folder) / "report.html"
        jobs = {
            "brief": [sys.executable, "-m", "tui", "brief", str(DEMO), "-o", str(page)],
            "libraries": [
                sys.executable,
                "-c",
                "import numpy, scipy.special, pint, matplotlib.figure, jinja2",
            ],
        }
        taken = {name: [] for name in jobs}
        for _ in range(ROUNDS):
            for name, job in jobs.items():
                start = time.perf_counter()
                subprocess.run(job, cwd=ROOT, env=environment, check=True, stdout=subprocess.DEVNULL)
                taken[name].append(time.perf_counter() - start)
        size = page.stat().st_size
    best = {name: min(times) for name, times in taken.items()}
    print(f"brief from a cold start  {best['brief']:.2f} s   (aim: under {LIMIT_SECONDS:g} s)")
    print(f"its libraries alone      {best['libraries']:.2f} s")
    print(f"ratio                    {best['brief'] / best['libraries']:.2f}")
    print(f"size                     {size / 1e6:.2f} MB  (aim: under {LIMIT_BYTES / 1e6:g} MB)")


if __name__ == "__main__":
    main()
