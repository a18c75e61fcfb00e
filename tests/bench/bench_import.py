"""How long a long table takes from its bytes to a session on disk, beside pandas reading the same file.

Run it by hand::

    python tests/bench/bench_import.py

Both ways in turn in each round, so that a machine which slows down slows both. Planning is understanding the file
without writing; importing is planning, writing and reading the session back. Nothing is asserted of time; the
readings must be those of the file.
"""

import sys
import tempfile
from pathlib import Path
from statistics import median
from time import perf_counter

import numpy as np
import pandas as pd

sys.path.insert(0, str(Path(__file__).parents[2]))

from balance.files.tables.importing.plan import ImportOptions
from balance.files.tables.importing.planning import plan_import
from balance.files.tables.importing.writing import write_import

SMALL = "--small" in sys.argv  # a few rounds of little, to see that it runs
ROWS, ROUNDS = (200, 1) if SMALL else (50_000, 3)
GOAL_SECONDS = 10.0
VEHICLE = """\
name = "Larkspur coupe (invented)"
[mass]
total = "1290 kg"
front_share = "54.2 %"
[size]
wheelbase = "2575 mm"
"""
ANSWERS = ImportOptions(speed="160 km/h", air_density="1.225 kg/m^3", forces="as read", zero_means="reading")


def long_table():
    """Build a table of many runs with settings, conditions and notes."""
    rng = np.random.default_rng(3)
    wing, flap = rng.integers(0, 15, ROWS), rng.integers(0, 4, ROWS) * 5
    return pd.DataFrame(
        {
            "Run": [f"R{k}" for k in range(ROWS)],
            "Configuration": [
                f"wing {angle}, flap {height}" for angle, height in zip(wing, flap, strict=True)
            ],
            "Front lift [N]": rng.normal(-100.0, 200.0, ROWS).round(1),
            "Rear lift [N]": rng.normal(-200.0, 200.0, ROWS).round(1),
            "Drag [N]": rng.normal(1200.0, 60.0, ROWS).round(1),
            "Wing angle [deg]": wing,
            "Flap height [mm]": flap,
            "Speed [km/h]": rng.normal(160.0, 0.1, ROWS).round(1),
            "Temperature [degC]": rng.normal(18.0, 2.0, ROWS).round(1),
            "Pressure [hPa]": rng.normal(1009.0, 2.0, ROWS).round(1),
            "Remarks": ["" if k % 7 else "tufts on the wing reversed" for k in range(ROWS)],
        }
    )


def timed(work):
    """Give the seconds that some work takes, and its result."""
    start = perf_counter()
    result = work()
    return perf_counter() - start, result


def measure(folder, name, read):
    """Measure one file in turn with pandas, and print medians and ratios."""
    times = []
    for turn in range(ROUNDS):
        peer, frame = timed(lambda: read(folder / name))
        planning, plan = timed(
            lambda: plan_import(folder / name, vehicle=folder / "vehicle.toml", options=ANSWERS)
        )
        writing, session = timed(lambda plan=plan, turn=turn: write_import(plan, folder / f"{name} {turn}"))
        assert [run.reading.drag for run in session.runs] == frame["Drag [N]"].tolist()
        times.append((peer, planning, planning + writing))
    peer, planning, whole = (median(column) for column in zip(*times, strict=True))
    size = (folder / name).stat().st_size / 1e6
    print(f"{name}, {ROWS} rows, {size:.1f} MB: pandas {peer:.2f} s")
    print(f"  planning  {planning:5.2f} s, {planning / peer:5.1f} times pandas")
    print(f"  importing {whole:5.2f} s, {whole / peer:5.1f} times pandas; the goal is {GOAL_SECONDS:.0f} s")


def main():
    """Measure text and XLSX."""
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        (folder / "vehicle.toml").write_text(VEHICLE, encoding="utf-8")
        table = long_table()
        table.to_csv(folder / "runs.csv", index=False)
        table.to_excel(folder / "runs.xlsx", index=False)
        measure(folder, "runs.csv", pd.read_csv)
        measure(folder, "runs.xlsx", pd.read_excel)


if __name__ == "__main__":
    main()
