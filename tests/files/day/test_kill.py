"""A process that saves in a loop is killed at random moments: the file is whole, and the journal has the rest."""

import json
import subprocess
import sys

import pytest

FORGE = '''
"""Forks a child that types and saves until it is killed; then looks at what is on the disk."""
import json, os, random, signal, sys, time
from pathlib import Path
from balance.files.day.journal import JOURNAL_FILE
from balance.files.loader import load_session
from balance.files.day.opening import open_day

folder, kills, chance = Path(sys.argv[1]), int(sys.argv[2]), random.Random(int(sys.argv[3]))
runs, base = folder / "runs.csv", (folder / "runs.csv").read_text()
PAD = "x" * 3000  # a note long enough for a save to be hit in its middle


def cells(number):
    return {"run": str(number), "configuration": f"part {number}", "front_lift": str(-number), "rear_lift": "1",
            "drag": "1100", "note": f"{PAD}{number}"}


def text(rows):
    return base + "".join(f"{n},part {n},{-n},1,1100,{PAD}{n}\\n" for n in range(3, rows + 1))


def child(told):
    day = open_day(folder)
    os.write(told, b"open\\n")
    number = len(day.sheet.runs)
    while True:
        number += 1
        day.half_typed.keep_run({"run": str(number)})
        os.write(told, f"draft {number}\\n".encode())
        day.change(f"run {number} added", day.sheet.appended(cells(number)), ends_draft=True)
        os.write(told, f"run {number}\\n".encode())


counts = {"kills": 0, "recovered": 0, "drafts": 0, "leftovers": 0}
load_session(folder)
while counts["kills"] < kills:
    runs.write_text(base)
    (folder / JOURNAL_FILE).unlink(missing_ok=True)
    for _ in range(4):
        ears, mouth = os.pipe()
        pid = os.fork()
        if pid == 0:
            os.close(ears)
            child(mouth)
        os.close(mouth)
        heard = os.read(ears, 5)
        time.sleep(chance.uniform(0.0, 0.05))
        os.kill(pid, signal.SIGKILL)
        os.waitpid(pid, 0)
        counts["kills"] += 1
        while piece := os.read(ears, 65536):
            heard += piece
        os.close(ears)
        lines = heard.decode().splitlines()
        saved = max([int(line.split()[1]) for line in lines if line.startswith("run ")], default=2)
        typed = max([int(line.split()[1]) for line in lines if line.startswith("draft ")], default=2)
        on_disk = runs.read_text()
        rows = on_disk.count("part ") + 2
        assert on_disk == text(rows), "neither the old file nor the new one"
        assert rows >= saved, "a run that was saved is gone"
        counts["leftovers"] += any(p.name.endswith("tmp") for p in folder.iterdir())
        day = open_day(folder)
        assert runs.read_text() == day.sheet.text == text(len(day.sheet.runs)), "not brought back"
        assert len(day.sheet.runs) >= saved, "a run that was typed is gone"
        if len(day.sheet.runs) < typed:
            assert day.half_typed.run == {"run": str(typed)}, "what was half typed is gone"
            counts["drafts"] += 1
        counts["recovered"] += bool(day.recovered)
        assert not any(p.name.endswith("tmp") for p in folder.iterdir())
        assert day.notes == () and day.conflict is None
        for _ in range(len(day.sheet.runs) - 2):
            assert day.can_undo == f"run {len(day.sheet.runs)} added"
            if chance.random() < 0.9:
                break
            day.undo()
            day.redo()
        day.close()
print(json.dumps(counts))
'''


def forge(desk, runs_text, kills, seed):
    lines = runs_text.splitlines()
    folder = desk.write(runs=f"{lines[0]},note\n{lines[1]},\n{lines[2]},\n")
    done = subprocess.run(
        [sys.executable, "-c", FORGE, str(folder), str(kills), str(seed)],
        capture_output=True, text=True, check=False, timeout=600,
    )  # fmt: skip
    assert done.stderr == ""
    return json.loads(done.stdout)


def test_sixty_kills_lose_nothing(desk, runs_text):
    counts = forge(desk, runs_text, 60, 1)
    assert counts["kills"] == 60
    assert counts["drafts"] > 0


@pytest.mark.slow
def test_five_hundred_kills_lose_nothing(desk, runs_text):
    counts = forge(desk, runs_text, 500, 2)
    assert counts["kills"] == 500
    assert counts["recovered"] > 0
    assert counts["leftovers"] > 0
