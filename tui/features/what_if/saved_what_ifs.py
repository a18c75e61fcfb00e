"""The what-ifs that are saved beside the session shown."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from balance.model.errors import AxletrimError

if TYPE_CHECKING:
    from balance.model.what_ifs import WhatIf
    from tui.host.host import Host


def saved_what_ifs(app: Host) -> tuple[WhatIf, ...]:
    """Read what_if.toml; say what is wrong with it where it cannot be read."""
    from balance.files.formats.what_if import read_what_ifs  # noqa: PLC0415 - only when asked

    day = app.state.day
    if day is None:
        return ()
    try:
        return read_what_ifs(day.session, Path(day.session.folder))
    except AxletrimError as fault:
        app.notify(str(fault), severity="error", markup=False, timeout=10)
        return ()
