"""Make the README's picture of the home screen anew, by the interface itself: `python -m tests.picture`."""

import asyncio
import os
import sys
import tempfile
from pathlib import Path

FILE = Path(__file__).with_name("home.svg")
SESSION = Path(__file__).parent.parent / "vehicles" / "brindlow_hatch" / "tunnel_day"


async def drawn() -> str:
    """Open the demo on a terminal of 120 by 40 and give its picture."""
    from tui.app import AxletrimApp
    from tui.pictures import picture

    app = AxletrimApp(str(SESSION))
    async with app.run_test(size=(120, 40)) as pilot:
        while app.state.assessment is None or app.state.pending:
            await pilot.pause(0.05)
        for _ in range(9):
            await pilot.press("down")
        await app.workers.wait_for_complete()
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
