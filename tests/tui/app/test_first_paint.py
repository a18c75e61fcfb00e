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


def test_the_first_picture_needs_nothing_heavy():
    done = subprocess.run(
        [sys.executable, "-c", PROGRAM], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
    assert "textual" in done.stdout.split()
    assert not set(done.stdout.split()) & {"pint", "pandas", "scipy", "openpyxl", "matplotlib"}
