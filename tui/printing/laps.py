"""Laps of a day as plain text for stdout: configurations, corners, parts, and what drag is paid by."""

from __future__ import annotations

from typing import TYPE_CHECKING

from balance.tell.head import session_line
from balance.tell.laps.changed_words import step_words
from balance.tell.laps.corner_table import corner_table, straight_table
from balance.tell.laps.laps_table import best_words, fitted_names, laps_table, parts_table
from balance.tell.laps.price_table import price_heading, price_notes, price_table
from balance.tell.laps.track_page import LEGEND
from balance.tell.laps.track_text import track_doubts, track_line
from balance.tell.laps.worth_words import NOT_A_LAP, SURER, lap_notes, rate_words
from balance.tell.runs.range_words import range_sentence
from tui.printing.lines import folded, foot, printed

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from balance.decide.day.range_verdict import RangeVerdict
    from balance.decide.laps.buying import ForSale
    from balance.decide.laps.changed_laps import SettingSteps
    from balance.decide.laps.day_laps import DayLaps
    from balance.decide.laps.packages import Packages
    from balance.decide.laps.worth import ExchangeRate
    from balance.tell.figures import Show


def print_laps(
    laps: DayLaps,
    positions: Sequence[int],
    ranges: Mapping[int, RangeVerdict],
    show: Show,
    width: int,
    *,
    at: int,
    rate: ExchangeRate,
    steps: Sequence[SettingSteps],
    sold: tuple[ForSale, Packages | None] | None = None,
    full: bool,
) -> str:
    """Write laps of configurations, the corners of the one at which drag is priced, and what the parts are worth."""
    track, vehicle, names = laps.track, laps.day.session.vehicle, fitted_names(laps)
    lines = [
        *folded(session_line(laps.day.session), width),
        *folded(f"{track_line(track, show)} · {SURER}", width),
        *folded(f"Held against the start: {names[laps.start]}.", width),
        *(line for doubt in track_doubts(track, show) for line in folded(doubt, width)),
        *folded(best_words(laps, ranges), width),
        "",
        *printed(laps_table(laps, positions, ranges, show), width),
    ]
    corners = [corner_table(laps, at, show)]
    if full:
        corners.append(straight_table(laps, at, show))
    for table in corners:
        if table.rows:
            legend = f" ({LEGEND})" if table.key == "corners" else ""
            lines += ["", *folded(f"{table.key.capitalize()}, {names[at]}{legend}:", width)]
            lines += printed(table, width)
    if full and laps.parts:
        lines += ["", "What each part is worth a lap:", *printed(parts_table(laps), width)]
    if sold is not None:
        session, confidence = laps.day.session, laps.day.confidence
        lines += ["", *folded(f"{price_heading(*sold)}:", width)]
        if (table := price_table(session, *sold, confidence=confidence)).rows:
            lines += printed(table, width)
        lines += folded(price_notes(*sold), width)
    lines += ["", *folded(NOT_A_LAP, width)]
    dangers = [
        f"warning: {names[k]}: {range_sentence(ranges[laps.rows[k]], vehicle, show)}"
        for k in positions
        if ranges[laps.rows[k]].dangerous
    ]
    paid = rate_words(rate, show.unit("force"))
    notes = [
        *dangers,
        f"at {names[at]}: {paid}",
        *(f"at {names[at]}: {step_words(one)}" for one in steps),
        *(note for note in lap_notes(laps) if note != NOT_A_LAP),
    ]
    return "\n".join([*lines, *foot(notes, [], width, full=full)])
