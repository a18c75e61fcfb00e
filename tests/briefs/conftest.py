"""Days of every kind, and their pages, each written once."""

import runpy
from pathlib import Path

import pytest

_SHARED = runpy.run_path(str(Path(__file__).parent / "days.py"))


@pytest.fixture(scope="session")
def shared():
    """What days.py holds."""
    return _SHARED


@pytest.fixture(scope="session")
def page_of(tmp_path_factory):
    """Give the text of a day's page by the day's name and its depth."""
    made = {}

    def text(day, depth="short"):
        if (day, depth) not in made:
            folder = _SHARED["DAYS"][day](tmp_path_factory.mktemp("day"))
            made[day, depth] = _SHARED["written"](folder, depth=depth)
        return made[day, depth]

    return text
