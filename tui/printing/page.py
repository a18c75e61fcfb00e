"""The customer's page of a session's folder, made of the files on the disk."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from balance.model.errors import UnknownName

if TYPE_CHECKING:
    from balance.decide.day.day import Day
    from balance.tell.report.report_data import ReportData

PAGE_FILE = "report.html"
"""The customer's page in the session's folder, where no other name is given."""


def page_text(
    session: str | Path, units: str | None, depth: str | None = None, library: str | None = None
) -> str:
    """Make the customer's report of the files on the disk."""
    from balance.decide.day.day import reduce_day
    from balance.files.loader import load_session
    from balance.tell.report.page import brief_page, page_html

    report = matter_of(reduce_day(load_session(session)), units, depth=depth, library=library)
    return page_html(brief_page(report))


def write_page(folder: Path) -> Path:
    """Write the customer's page into its session's folder, whole or not at all."""
    from balance.files.day.durable import write_atomically

    path = folder / PAGE_FILE
    write_atomically(path, page_text(folder, None).encode())
    return path


def matter_of(
    day: Day,
    units: str | None,
    *,
    run: str | None = None,
    speed: float | None = None,
    depth: str | None = None,
    library: str | None = None,
) -> ReportData:
    """Gather what a page or a picture is made of: a day, and what its engineer chose for the report."""
    from balance.files.formats.report import read_brief
    from balance.tell.figures import show_of
    from balance.tell.report.report_data import ReportData

    choices = read_brief(day.session, Path(day.session.folder))
    if run is not None:
        if run not in day.readings.labels:
            raise UnknownName("run", run, day.readings.labels)
        choices = replace(choices, answer=run)
    if speed is not None:
        choices = replace(choices, speed=speed)
    if depth is not None:
        choices = replace(choices, depth="full" if depth == "full" else "short")
    return ReportData(day, choices, show_of(day.session, units or choices.units), library)
