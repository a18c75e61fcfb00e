"""Kills commands at random moments, and looks each time at what is on the disk. Run by test_killed_commands.py."""

import json
import os
import shutil
import signal
import sys
import time
from contextlib import suppress
from pathlib import Path

import numpy as np

from balance.files.day.opening import open_day
from balance.files.day.processes import MARK
from tui.command_line.cli import main

DAY = ("--title", "Spring day", "--speed", "100 mph", "--air-density", "1.225 kg/m^3")
COMMANDS = {
    "new car": (
        "new", "car", "second", "--name", "Larkspur (invented)", "--mass", "1290 kg", "--front-share", "54 %",
        "--wheelbase", "2575 mm",
    ),
    "new session": ("new", "session", "car/summer", *DAY),
    "new track": ("new", "track", "car", "Upper field loop"),
    "track import": (
        "track", "import", "laps.csv", "--car", "car", "--name", "Oval", "--direction", "clockwise",
    ),
    "import": (
        "import", "theirs.csv", "--vehicle", "car/vehicle.toml", "--to", "car/spring", "--unit", "drag=N",
        "--unit", "lift=N", "--speed", "160 km/h", "--air-density", "1.225 kg/m^3",
    ),
    "what-if": ("what-if", "car/day", "--set", "from=1", "--set", "on=2", "--save", "second"),
    "brief": ("brief", "car/day", "-o", "car/day/report.html"),
    "compare": ("compare", "car/day", "1", "2", "-o", "page.html"),
    "chart": ("chart", "car/day", "loads", "-o", "loads.svg"),
    "export": ("export", "car/day", "--xlsx", "day.xlsx", "--csv", "day.csv", "--overwrite"),
    "demo": ("demo", "--copy", "copies"),
}  # fmt: skip
"""Every command that writes; those of the second half replace what is there."""


class Killing:
    """One command in a folder that is made anew for each kill."""

    def __init__(self, name, model, place, chance):
        self.name, self.model, self.place, self.chance = name, model, place, chance
        self.counts = {"kills": 0, "old": 0, "between": 0, "new": 0, "leftovers": 0}
        self.afresh()
        self.act()  # so that whoever is forked has all it needs loaded
        self.afresh()
        self.old = self.seen()
        begun = time.monotonic()
        self.run(self.start())
        self.lasts = time.monotonic() - begun
        self.new = self.seen()
        assert self.new != self.old, "the command wrote nothing"
        self.afresh()
        process = self.start()
        self.wait_for_writing(process)
        begun = time.monotonic()
        self.run(process)
        self.writes = time.monotonic() - begun
        assert self.seen() == self.new, "the same command wrote something else"

    def afresh(self):
        shutil.rmtree(self.place, ignore_errors=True)
        shutil.copytree(self.model, self.place)
        self.untouched = self.looks()

    def looks(self):
        """Whatever changes as soon as something is written."""
        found = set()
        for folder, _, _ in os.walk(self.place):
            with suppress(FileNotFoundError):  # gone by now, which the folder above it shows
                found.add((folder, Path(folder).stat().st_mtime_ns))
        return found

    def wait_for_writing(self, process):
        """Wait until the command begins to write, or has ended."""
        while self.looks() == self.untouched:
            if os.waitid(os.P_PID, process, os.WEXITED | os.WNOHANG | os.WNOWAIT):
                return

    def seen(self):
        """Every file that is no leftover, and what it holds."""
        return {
            str(path.relative_to(self.place)): path.read_bytes()
            for path in self.place.rglob("*")
            if path.is_file() and MARK not in str(path) and not path.name.startswith(".axletrim-")
        }

    def leftovers(self):
        return [path for path in self.place.rglob("*") if path.name.endswith(MARK)]

    def act(self):
        """Do what the command does; give its exit code."""
        os.chdir(self.place)
        try:
            main(COMMANDS[self.name])
        except SystemExit as end:
            return int(end.code or 0)
        return 1

    def start(self):
        process = os.fork()
        if process == 0:
            os._exit(self.act())
        return process

    def run(self, process):
        assert os.waitstatus_to_exitcode(os.waitpid(process, 0)[1]) == 0, self.name

    def kill(self):
        """Kill it at any moment, or at any moment from when it begins to write."""
        self.afresh()
        process = self.start()
        if self.chance.random() < 0.25:
            time.sleep(self.chance.uniform(0.0, self.lasts))
        else:
            self.wait_for_writing(process)
            time.sleep(self.chance.uniform(0.0, self.writes))
        os.kill(process, signal.SIGKILL)
        os.waitpid(process, 0)
        self.counts["kills"] += 1
        self.counts["leftovers"] += bool(self.leftovers())
        self.judge()
        self.go_on()

    def judge(self):
        """Hold that each file is whole, old or new, and that what belongs together is there together."""
        found = self.seen()
        steps = [self.old, self.new]
        if self.name == "new session":
            steps.insert(1, {**self.old, "car/summer/runs.csv": self.new["car/summer/runs.csv"]})
        if self.name == "export":
            steps.insert(1, {**self.old, "day.csv": self.new["day.csv"]})
        assert found in steps, f"{self.name}: {sorted(found)}"
        which = steps.index(found)
        self.counts["old" if which == 0 else "new" if which == len(steps) - 1 else "between"] += 1

    def go_on(self):
        """Hold that nothing disturbs the same command, or opening the day, and that nothing stays behind."""
        begins = self.name in ("new car", "new session", "new track", "track import", "import", "demo")
        if not begins or self.seen() != self.new:
            self.run(self.start())
        assert self.seen() == self.new
        open_day(self.place / "car" / "day").close()
        assert self.seen() == self.new
        if begins and self.leftovers():  # the file is there, and so is its hidden twin
            os.waitpid(self.start(), 0)
        assert not self.leftovers(), self.name


if __name__ == "__main__":
    model, place, kills, seed = Path(sys.argv[1]), Path(sys.argv[2]), int(sys.argv[3]), int(sys.argv[4])
    told = {}
    answer = os.dup(1)
    os.dup2(os.open(os.devnull, os.O_WRONLY), 1)
    for number, name in enumerate(sys.argv[5:] or COMMANDS):
        killing = Killing(name, model, place, np.random.default_rng([seed, number]))
        for _ in range(max(kills // 5, 1) if name == "brief" else kills):  # a page takes its time
            killing.kill()
        told[name] = killing.counts
    os.write(answer, json.dumps(told).encode())
