"""On the track: what the recommendation is worth there in seconds a lap, where it gains, and what drag is paid by."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from balance.decide.day.verdict import VerdictWord
from balance.decide.laps.corner_losses import corner_losses
from balance.tell.figures import capital
from balance.tell.laps.corner_table import corner_name, paces_of
from balance.tell.laps.track_text import length_text
from balance.tell.laps.worth_words import (
    NOT_A_LAP,
    ends_of,
    faster_words,
    friction_words,
    lap_words,
    rate_words,
    within_noise,
)
from balance.tell.report.blocks import Beside, Missing, Section
from balance.tell.report.pictures.track import track_picture
from balance.tell.report.plain_text import cut

if TYPE_CHECKING:
    from collections.abc import Iterator

    from balance.decide.laps.day_laps import DayLaps
    from balance.tell.report.report_data import ReportData

_LONG_NAME = 60
_STANDS = "Its verdict on page one stands, whatever its lap."


def track_section(report: ReportData) -> Section:
    """Show what the recommendation is worth on the customer's track, or why that cannot be told."""
    laps = report.laps
    if laps is None or isinstance(laps, str):
        return Section((Missing(what="laps", why=laps or "the car has no track, friction or power stated"),))
    position = laps.rows.index(report.answer)
    picture = track_picture(laps, position, report.show)
    return Section((Beside(picture=picture, lines=tuple(_lines(report, laps, position))),))


def _lines(report: ReportData, laps: DayLaps, position: int) -> Iterator[tuple[str, str]]:
    """Give the sentences beside the track, each with its word."""
    resting = f"simulated {friction_words(report.session.vehicle, laps.car)}"
    where = f"{cut(laps.track.name, _LONG_NAME)}, {length_text(laps.track.length, report.show)}"
    if position == laps.start:
        yield where, f"{lap_words(*ends_of(laps.worths.time, position))}, {resting}."
    else:
        worth = ends_of(laps.worths.against_start, position)
        seconds = capital(faster_words(*worth)).replace(" s a lap", " s")
        if within_noise(worth[1], worth[2]):
            seconds = seconds.replace("difference:", "difference to the start:")
        elif np.isfinite(worth[0]):
            seconds = seconds.replace(" (", " than the start (")
        stands = "" if report.table.ranges[report.answer].word is VerdictWord.IN_BALANCE else f" {_STANDS}"
        yield where, f"{seconds}, {resting}.{stands}"
    if (straight := _straight(report, laps, position)) is not None:
        yield "Straight", straight
    if position != laps.start and (corner := _corner(laps, position)) is not None:
        yield "Corner", corner
    yield "Drag", capital(rate_words(laps.rate(position), report.show.unit("force")))
    yield "Simulation", NOT_A_LAP


def _straight(report: ReportData, laps: DayLaps, position: int) -> str | None:
    """State the speed at the end of the longest straight, of recommendation and start."""
    paces = [one for one in laps.straights() if np.isfinite(one.fastest[position])]
    if not paces:
        return None
    longest = max(paces, key=lambda one: one.end - one.start)
    own, start = float(longest.fastest[position]), float(longest.fastest[laps.start])
    show = report.show
    said = f"{show.quantity('speed', own, decimals=1)} at the end of the longest"
    if position == laps.start:
        return f"{said}."
    return f"{said}; the start reaches {show.bare('speed', start, decimals=1)}."


def _corner(laps: DayLaps, position: int) -> str | None:
    """State in which corner the recommendation gains most, or that it gains in none."""
    losses = [ends_of(one) for one in corner_losses(laps, position)]
    paces = paces_of(laps)
    known = [k for k, one in enumerate(losses) if np.isfinite(one[0])]
    if not known:
        return None
    best = min(known, key=lambda k: losses[k][0])
    value, low, high = losses[best]
    if value >= 0.0 or within_noise(low, high):
        return "In no corner is time gained beyond noise."
    seconds = faster_words(value, low, high).replace(" s a lap faster", " s")
    return f"Most gained in corner {corner_name(paces[best].corner)}: {seconds}."
