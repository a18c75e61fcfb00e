"""Which libraries a command loads: what it does not need must not cost a start."""

import json
import os
import subprocess
import sys
from pathlib import Path

import click
import pytest

from tui.command_line.cli import axletrim

ROOT = Path(__file__).resolve().parents[2]
AFTER = """\
import atexit, json, os, sys
atexit.register(lambda: os.write(int(sys.argv.pop()), json.dumps(sorted(sys.modules)).encode()))
from tui.command_line.cli import main
main(sys.argv[1:-1])
"""
NEVER = {"pandas", "textual", "matplotlib", "openpyxl"}
STATED = '\n[repeatability]\nfront = "7 N"\nrear = "7 N"\ndrag = "4 N"\n'


def loaded_after(*arguments):
    """Name every module that a command has loaded by its end."""
    reading, writing = os.pipe()
    done = subprocess.Popen(
        [sys.executable, "-c", AFTER, *map(str, arguments), str(writing)],
        cwd=ROOT,
        pass_fds=[writing],
        stdout=subprocess.DEVNULL,
    )
    os.close(writing)
    with open(reading, "rb") as pipe:  # noqa: PTH123 - a pipe has no path
        modules = json.loads(pipe.read())
    assert done.wait() == 0
    return set(modules)


@pytest.fixture
def day(tmp_path):
    """Give the folder of a day with a repeated run, without a facility's figure."""
    (tmp_path / "vehicle.toml").write_text(
        'name = "invented"\n[mass]\ntotal = "1290 kg"\nfront_share = "54.2 %"\n[size]\nwheelbase = "2575 mm"\n'
    )
    (tmp_path / "day").mkdir()
    (tmp_path / "day" / "session.toml").write_text(
        'title = "invented"\nvehicle = "../vehicle.toml"\n[facility]\nspeed = "160 km/h"\n'
        'air_density = "1.225 kg/m^3"\n'
    )
    (tmp_path / "day" / "runs.csv").write_text(
        "run,configuration,front_lift [N],rear_lift [N],drag [N]\n"
        "1,base,84,260,1150\n2,splitter,-140,275,1162\n3,base,90,255,1148\n"
    )
    return tmp_path / "day"


@pytest.mark.parametrize(
    "arguments", [["--help"], ["table", "--help"], ["sweep", "--help"], ["--version"], ["explain"]]
)
def test_what_computes_nothing_loads_nothing_heavy(arguments):
    found = loaded_after(*arguments)
    assert not found & (NEVER | {"numpy", "pint", "scipy", "rich"})


@pytest.mark.parametrize("stated", ["", STATED], ids=["repeats", "facility and repeats"])
def test_a_table_loads_numbers_alone(day, stated):
    with (day / "session.toml").open("a") as file:
        file.write(stated)
    found = loaded_after("table", day)
    assert "numpy" in found
    assert not found & (NEVER | {"pint", "rich.console", "numpy.ma"})
    assert not {name for name in found if name.startswith("scipy")}


def test_a_command_loads_no_other_command(day):
    files = {name.removeprefix("tui.command_line.") for name in loaded_after("table", day)}
    assert {path.stem for path in (ROOT / "tui/command_line").glob("*.py")} & files == {
        "cli",
        "options",
        "table",
    }


def test_every_command_is_found_by_its_own_name():
    listed = axletrim.list_commands(click.Context(axletrim))
    assert listed == [axletrim.commands[name].name for name in listed]
    assert {*listed} < {*axletrim.commands}  # older names are found too, and not listed
    assert {axletrim.commands[name].name for name in axletrim.commands} == {*listed}


def test_an_unusual_unit_loads_the_unit_library(day):
    runs = day / "runs.csv"
    runs.write_text(runs.read_text().replace("drag [N]", "drag [poundal]"))
    assert "pint" in loaded_after("table", day)
