"""What a log tells of a car, as plain text for stdout."""

from __future__ import annotations

from typing import TYPE_CHECKING

from balance.tell.laps.fit_text import (
    corner_fits,
    fit_lines,
    fit_notes,
    offered_lines,
    offered_text,
    straight_fits,
)
from balance.tell.laps.log_text import laps_section, log_sections
from tui.printing.lines import folded, foot, listed, table_below

if TYPE_CHECKING:
    from collections.abc import Sequence

    from balance.decide.laps.fit_log import LogFit
    from balance.decide.laps.trace import LeftOut
    from balance.files.tables.logs.log_reading import ReadLog
    from balance.model.records import Vehicle
    from balance.model.tracks import Track
    from balance.tell.figures import Show


def print_fit(
    fit: LogFit,
    track: Track,
    read: ReadLog,
    show: Show,
    width: int,
    *,
    vehicle: Vehicle,
    driven: str,
    used: Sequence[str],
    left_out: Sequence[LeftOut],
    air_density: float,
    full: bool,
) -> str:
    """Write friction, power and exponent with what they rest on, and the lines that are offered."""
    head = (
        f"{vehicle.name} at {track.name} · driven with {driven} · air {show.quantity('density', air_density)}"
    )
    lines = folded(head, width)
    for text in fit_lines(fit, vehicle, show):
        lines += ["", *folded(text, width)]
    for table in (corner_fits(track, fit, show), straight_fits(fit, show)):
        lines += table_below(table, width)
    lines += ["", *listed(*laps_section(used, left_out), width)]
    if offered := offered_text(offered_lines(fit, vehicle)):
        lines += ["", "For vehicle.toml", *(f"  {text}" for text in offered)]
    notes = [*read.assumed, *fit_notes(fit, track)]
    others = [text for title, said in log_sections(read) if title != "Assumed" for text in said]
    return "\n".join([*lines, *foot(notes, others, width, full=full)])
