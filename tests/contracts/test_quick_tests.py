"""What the quick run of the tests goes through is there by its name."""

import ast
import re
from pathlib import Path

import pytest

TUI = Path(__file__).resolve().parents[1] / "tui"
NAMES = [
    line for line in (TUI / "quick.txt").read_text(encoding="utf-8").splitlines() if not line.startswith("#")
]


@pytest.mark.parametrize("name", NAMES)
def test_a_quick_flow_is_there(name):
    file, _, function = name.partition("::")
    (path,) = TUI.rglob(file)
    defined = {getattr(one, "name", "") for one in ast.parse(path.read_text(encoding="utf-8")).body}
    assert function in defined


def test_none_stands_there_twice():
    assert len(NAMES) == len(set(NAMES))


def test_every_file_of_flows_has_a_quick_one():
    named = {name.partition("::")[0] for name in NAMES}
    starting = re.compile(r"^async def test_\w+\(.*\b(running|opened|snap_compare)\b", re.MULTILINE)
    flows = {
        path.name for path in TUI.rglob("test_*.py") if starting.search(path.read_text(encoding="utf-8"))
    }
    assert flows - named == {"test_brief_kept.py"}  # of the same screen and kind as test_brief_screen.py
