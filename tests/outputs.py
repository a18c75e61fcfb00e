"""Write down what the invented days give, to see what a change changes: of the two main ones all, of the short ones less.

    python -m tests.outputs before && (the change) && python -m tests.outputs after && diff -r before after

Printed tables in both systems of units, pages, pictures, JSON, CSV and the cells of workbooks, one file each.
"""

import contextlib
import io
import os
import shutil
import sys
import tempfile
from itertools import product
from pathlib import Path

import openpyxl

VEHICLES = Path(__file__).parent.parent / "vehicles"
MAIN = ("brindlow_hatch/tunnel_day", "ostrel_two_seater/straight_morning")
WIDTHS = ("80", "120", "160")
CHARTS = ("loads", "share", "surplus", "shift", "drag", "added", "parts", "way", "wing", "repeats")


def commands(day):
    """List the commands to run on a day, each with the name of its file."""
    from balance.files.loader import load_session

    fitted = {run.label: len(run.settings) for run in load_session(day).runs}
    runs = list(fitted)
    first, last, middle = runs[0], runs[-1], max(runs, key=lambda label: fitted[label])
    change = ["--from", middle, "--setting", "wing_angle", "--front-change", "60 N at 160 km/h"]
    tables = {
        "table": [],
        "parts": [],
        "parts-ratio": ["--rank", "ratio"],
        "parts-drift": ["--correct-drift"],
        "repeatability": [],
        "response": ["--setting", "wing_angle"],
        "trim": change,
        "compare": [first, middle],
        "speeds": [middle],
    }
    for (name, rest), units in product(tables.items(), ("si", "us")):
        command = name.split("-")[0]
        for width in WIDTHS:
            yield f"{name}-{units}-{width}.txt", [command, day, *rest, "--units", units, "--width", width]
        yield f"{name}.json", [command, day, *rest, "--json"]
    for command in ("table", "parts", "response"):
        yield f"{command}.csv", [command, day, *tables[command], "--csv"]
    for run in runs:
        yield f"speeds-{run}.json", ["speeds", day, run, "--json"]
    yield "check.txt", ["check", day]
    yield "speeds-chart.txt", ["speeds", day, last, "--chart"]
    yield "what-ifs.txt", ["what-if", day]
    for units in ("si", "us"):
        change = ["--set", f"from={middle}", "--set", "wing_angle=7 deg", "--units", units]
        yield f"what-if-{units}.txt", ["what-if", day, *change]
    yield "what-if.json", ["what-if", day, *change, "--json"]
    for units in ("si", "us"):
        yield f"page-{units}.txt", ["report", day, "-o", f"page-{units}.html", "--units", units]
    yield "two.txt", ["compare", day, first, middle, "-o", "two.html"]
    for kind in CHARTS:
        yield f"chart-{kind}.txt", ["chart", day, kind, "-o", f"chart-{kind}.svg"]
    yield "workbook.txt", ["export", day, "--xlsx", "day.xlsx"]
    yield "exported.txt", ["export", day, "--csv", "day.csv"]


def short_commands(day):
    """List the commands to run on a short day."""
    for name in ("table", "parts", "repeatability"):
        yield f"{name}.txt", [name, day, "--width", "120"]
        yield f"{name}.json", [name, day, "--json"]
    yield "check.txt", ["check", day]


def of_library(folder):
    """List what is asked of the library of all days."""
    for name in ("list", "parts"):
        yield f"{name}.txt", ["library", name, "--library", folder, "--width", "120"]
    yield "parts.json", ["library", "parts", "--library", folder, "--json"]
    for part in ("Low spoiler 25 mm", "Wing 5°"):
        yield (
            f"{part.lower().replace(' ', '-')}.txt",
            ["library", "show", part, "--library", folder, "--width", "120"],
        )


def cells(workbook):
    """List every cell of a workbook that holds something, a line each: formula, and value as last computed."""
    formulas, values = (openpyxl.load_workbook(workbook, data_only=only) for only in (False, True))
    for sheet in formulas:
        yield f"# {sheet.title}"
        for cell in (cell for row in sheet.iter_rows() for cell in row if cell.value is not None):
            yield f"{cell.coordinate}\t{cell.value!r}\t{values[sheet.title][cell.coordinate].value!r}\t{cell.number_format}"


def said(arguments):
    """Run a command as a process would, and give what it said on both streams, with its exit code."""
    from tui.command_line.cli import main

    out, err = (io.TextIOWrapper(io.BytesIO(), encoding="utf-8") for _ in range(2))
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        try:
            main(arguments)
            code = 0
        except SystemExit as end:
            code = end.code
        out.flush()
        err.flush()
    return b"%b== exit %d\n%b" % (out.buffer.getvalue(), code, err.buffer.getvalue())


def write(folder):
    """Run the commands on a copy of the days, each day in a folder of its own, and the library in one."""
    home = Path.cwd()
    with tempfile.TemporaryDirectory() as scratch:
        for name in ("XDG_STATE_HOME", "XDG_DATA_HOME", "XDG_CACHE_HOME"):
            os.environ[name] = scratch
        os.environ["TERM"] = "dumb"
        for car in sorted(path.parent for path in VEHICLES.glob("*/vehicle.toml")):
            for day in sorted(path.parent.name for path in car.glob("*/session.toml")):
                target = Path(folder) / car.name / day
                target.mkdir(parents=True)
                os.chdir(target)
                shutil.copytree(car, "car")
                listed = commands if f"{car.name}/{day}" in MAIN else short_commands
                for name, arguments in listed(f"car/{day}"):
                    Path(name).write_bytes(said(arguments))
                for workbook in Path().glob("*.xlsx"):
                    workbook.with_suffix(".xlsx.txt").write_text("\n".join(cells(workbook)), encoding="utf-8")
                    workbook.unlink()
                shutil.rmtree("car")
                os.chdir(home)
        target = Path(folder) / "library"
        target.mkdir(parents=True)
        os.chdir(target)
        shutil.copytree(VEHICLES, "cars", ignore=shutil.ignore_patterns("days", "index.sqlite*"))
        for name, arguments in of_library("cars/library"):
            Path(name).write_bytes(said(arguments).replace(str(target).encode(), b""))
        shutil.rmtree("cars")
        os.chdir(home)


if __name__ == "__main__":
    write(Path(sys.argv[1]).resolve())
