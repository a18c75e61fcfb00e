"""What is loaded by the time the first picture stands, in a fresh interpreter."""

import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[3]
PROGRAM = """
import asyncio, sys
from tui.app.app import AxletrimApp

async def main():
    app = AxletrimApp()
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        assert type(app.screen).__name__ == "Chooser"
        print(*sorted({name.partition(".")[0] for name in sys.modules}))

asyncio.run(main())
"""

WITH_FIGURES = """
import asyncio, sys
from threading import Event

from textual.widgets import Static

import tui.host.workers
from tui.app.app import AxletrimApp

async def main():
    # nothing is begun once the day was read: what follows the first picture is not of it
    first = tui.host.workers.begin
    app = AxletrimApp(sys.argv[1])
    app._first.result()
    tui.host.workers.begin = lambda work: first(Event().wait)
    async with app.run_test(size=(120, 40)) as pilot:
        await pilot.pause()
        assert app.state.pending and app.state.assessment is not None
        assert str(app.screen.query_one("#headline", Static).content)
        print(*sorted(sys.modules))
        app.exit()

asyncio.run(main())
"""


def loaded(program, *arguments):
    """Name every module that a program has loaded by its end."""
    done = subprocess.run(
        [sys.executable, "-c", program, *arguments], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
    return set(done.stdout.split())


def test_the_first_picture_needs_nothing_heavy():
    found = loaded(PROGRAM)
    assert "textual" in found
    assert not found & {"pint", "pandas", "scipy", "openpyxl", "matplotlib"}


def test_the_first_picture_of_a_day_loads_what_it_shows():
    found = loaded(WITH_FIGURES, "vehicles/brindlow_hatch/tunnel_day")
    assert {"balance.decide.day.assessment", "balance.tell.runs.card"} <= found
    later = (
        "balance.compare.increments",
        "balance.tell.runs.detail",
        "numpy.ma.core",
        "balance.decide.parts",
        "balance.decide.settings",
        "balance.tell.parts.part_table",
    )
    assert not {name for name in found if name.startswith(later)}
