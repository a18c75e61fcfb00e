"""Every command that writes, killed at random moments: what was there is whole, or what is new is whole."""

import json
import subprocess
import sys
from pathlib import Path

import pytest

from tests.files.tables.driven import Driven, written

KILLING = Path(__file__).with_name("killing.py")
STATED = """\
[repeatability]
front = "7 N"
rear = "7 N"
drag = "4 N"
degrees_of_freedom = 20
"""
THEIRS = "Run;Configuration;Lift F;Lift R;Drag\n1;base;84,5;260;1150\n2;splitter;-140;275;1162\n"


@pytest.fixture
def killed(axletrim, desk, tmp_path):
    """Kill each command so often, and count what was found."""

    def run(kills, seed, *commands):
        session = (desk.session / "session.toml").read_text(encoding="utf-8")
        desk.write(session=session + STATED)
        model = tmp_path / "model"
        model.mkdir()
        desk.car.rename(model / "car")
        (model / "theirs.csv").write_text(THEIRS, encoding="utf-8")
        written(model / "laps.csv", Driven(laps=2).columns())
        for place in ("page.html", "loads.svg", "day.csv", "day.xlsx", "car/day/report.html"):
            (model / place).write_text("as it was before\n", encoding="utf-8")
        (model / "car" / "day" / "what_if.toml").write_text(
            '[[what_if]]\nname = "first"\nfrom = "1"\non = ["2"]\n', encoding="utf-8"
        )
        done = subprocess.run(
            [sys.executable, KILLING, model, tmp_path / "place", str(kills), str(seed), *commands],
            capture_output=True, text=True, check=False, cwd=tmp_path, env=axletrim.environment,
        )  # fmt: skip
        assert done.returncode == 0, done.stderr[-3000:]
        return json.loads(done.stdout)

    return run


@pytest.mark.thorough
def test_a_few_kills_leave_whole_files(killed):
    told = killed(
        4, 1, "new car", "new session", "new track", "track import", "import", "what-if", "compare", "export", "demo"
    )  # fmt: skip
    assert [counts["kills"] for counts in told.values()] == [4] * 9


@pytest.mark.slow
def test_hundreds_of_kills_leave_whole_files(killed):
    told = killed(60, 2)
    assert sum(counts["kills"] for counts in told.values()) >= 480
    assert sum(counts["leftovers"] for counts in told.values()) > 0
    for name in told.keys() - {"brief"}:  # of a page most of the time goes by before it is written
        assert told[name]["old"] > 0, name
        assert told[name]["new"] > 0, name
