"""What the commands that write pages and pictures share: where to, and of what."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from balance.model.errors import InputError, quoted

if TYPE_CHECKING:
    from collections.abc import Collection, Sequence

    from balance.tell.report.matter import Matter


PAGE_FILE = "brief.html"
"""The customer's page in the session's folder, where no other name is given."""


def page_text(session: str, units: str | None) -> str:
    """Make the customer's page of the files on the disk."""
    from balance.tell.report.page import brief_page, page_html

    return page_html(brief_page(matter_of(session, units)))


def write_page(folder: Path) -> Path:
    """Write the customer's page into its session's folder, whole or not at all."""
    from balance.files.day.durable import write_atomically

    path = folder / PAGE_FILE
    write_atomically(path, page_text(str(folder), None).encode())
    return path


def output_path(text: str, endings: Sequence[str]) -> Path:
    """Check where a file is to be written, so that no session file is ever written over."""
    path = Path(text)
    if path.suffix.lower() not in endings:
        raise InputError(f"--output: found {quoted(text)}, expected a file ending in {' or '.join(endings)}")
    if path.is_dir():
        raise InputError(f"--output: found {quoted(text)}, a folder, expected a file; add its name")
    if not path.parent.is_dir():
        raise InputError(f"--output: found no folder {quoted(str(path.parent))}, expected one; make it first")
    return path


def matter_of(
    session: str,
    units: str | None,
    *,
    run: str | None = None,
    speed: float | None = None,
    alone: Collection[str | None] = (),
) -> Matter:
    """Read a session and what its engineer chose for the brief."""
    from balance.files.formats.report import read_brief
    from balance.tell.report.matter import Matter
    from tui.command_line.options import read_day, row_of, show_in

    day = read_day(session, alone=alone)
    choices = read_brief(day.session, Path(day.session.folder))
    if run is not None:
        choices = replace(choices, answer=day.readings.labels[row_of(day, run)])
    if speed is not None:
        choices = replace(choices, speed=speed)
    return Matter(day, choices, show_in(units or choices.units or "si"))
