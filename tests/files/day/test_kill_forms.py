"""A process that corrects the car and goes back and forth is killed at random moments: no file is half, nothing typed is gone."""

import json
import subprocess
import sys

import pytest

FORGE = '''
"""Forks a child that types into the car's form, saves and undoes until it is killed; then looks at the disk."""
import json, os, random, signal, sys, time
from pathlib import Path
from balance.files.day.journal import JOURNAL_FILE
from balance.files.day.opening import open_day
from balance.files.day.stated_disk import look_at_stated

folder, kills, chance = Path(sys.argv[1]), int(sys.argv[2]), random.Random(int(sys.argv[3]))
car = folder.parent / "vehicle.toml"
PAD = "#" * 30000 + "\\n"  # long enough for a save to be hit in its middle
base = car.read_text() + PAD


def text(mass):
    return base.replace("1290 kg", f"{mass} kg")


def child(told):
    day = open_day(folder)
    os.write(told, b"open\\n")
    mass = 1290
    while True:
        mass += 1
        day.half_typed.keep_form(day.name_of(car), {"mass.total": f"{mass} kg"})
        os.write(told, f"typed {mass}\\n".encode())
        day.edit(f"to {mass}", car, {"mass.total": f"{mass} kg"}, seen=look_at_stated(car).stamp)
        os.write(told, f"saved {mass}\\n".encode())
        day.undo()
        day.redo()
        os.write(told, f"moved {mass}\\n".encode())


counts = {"kills": 0, "forms": 0, "between": 0}
while counts["kills"] < kills:
    car.write_text(base)
    (folder / JOURNAL_FILE).unlink(missing_ok=True)
    ears, mouth = os.pipe()
    pid = os.fork()
    if pid == 0:
        os.close(ears)
        child(mouth)
    os.close(mouth)
    heard = os.read(ears, 5)
    time.sleep(chance.uniform(0.0, 0.1))
    os.kill(pid, signal.SIGKILL)
    os.waitpid(pid, 0)
    counts["kills"] += 1
    while piece := os.read(ears, 65536):
        heard += piece
    os.close(ears)
    last = {"typed": 1290, "saved": 1290, "moved": 1290}
    last |= {line.split()[0]: int(line.split()[1]) for line in heard.decode().splitlines()[1:]}
    found = car.read_text()
    known = [mass for mass in range(last["moved"], last["typed"] + 1) if text(mass) == found]
    assert known, "neither an old file nor a new one"
    day = open_day(folder)
    assert (day.notes, day.recovered, day.conflict) == ((), (), None)
    assert day.session.vehicle.mass == known[0]
    kept = day.half_typed.forms.get(day.name_of(car), {})
    if last["saved"] < last["typed"] != known[0]:
        assert kept == {"mass.total": f"{last['typed']} kg"}, "what was typed is gone"
        counts["forms"] += 1
    counts["between"] += bool(day.can_redo)
    while day.can_undo:
        day.undo()
    assert car.read_text() == base, "undo does not lead back"
    while day.can_redo:
        day.redo()
    assert car.read_text() in (text(known[0]), text(known[0] + 1)), "redo does not lead on"
    day.close()
    assert not any(path.name.endswith("tmp") for path in (*folder.iterdir(), *car.parent.iterdir()))
print(json.dumps(counts))
'''


def forge(desk, kills, seed):
    done = subprocess.run(
        [sys.executable, "-c", FORGE, str(desk.session), str(kills), str(seed)],
        capture_output=True, text=True, check=False, timeout=900,
    )  # fmt: skip
    assert done.stderr == ""
    return json.loads(done.stdout)


def test_forty_kills_lose_nothing(desk):
    counts = forge(desk, 40, 1)
    assert counts["kills"] == 40
    assert counts["forms"] > 0


@pytest.mark.slow
def test_hundreds_of_kills_lose_nothing(desk):
    counts = forge(desk, 500, 2)
    assert counts["kills"] == 500
    assert counts["forms"] > 0
    assert counts["between"] > 0
