"""Make the README's picture of the home screen anew, by the interface itself: `python -m tests.picture`."""

import asyncio
import os
import shutil
import sys
import tempfile
from pathlib import Path

FILE = Path(__file__).with_name("home.svg")
DEMO = Path(__file__).parent.parent / "vehicles" / "brindlow_hatch"


async def drawn() -> str:
    """Open a copy of the demo on a terminal of 120 by 40 and give its picture."""
    from tui.app.app import AxletrimApp, picture

    with tempfile.TemporaryDirectory() as folder:
        app = AxletrimApp(str(shutil.copytree(DEMO, Path(folder) / DEMO.name) / "tunnel_day"))
        async with app.run_test(size=(120, 40)) as pilot:
            while app.state.assessment is None or app.state.pending:
                await pilot.pause(0.05)
            for _ in range(9):
                await pilot.press("down")
            while app.at_work:
                await pilot.pause(0.05)
            await pilot.pause()
            return picture(app)


def main() -> None:
    """Write the picture."""
    os.environ.pop("NO_COLOR", None)
    with tempfile.TemporaryDirectory() as folder:
        os.environ["XDG_STATE_HOME"] = folder
        FILE.write_text(asyncio.run(drawn()), encoding="utf-8")
    sys.stdout.write(f"{FILE}\n")


if __name__ == "__main__":
    main()
