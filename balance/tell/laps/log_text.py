"""What was made of a driver's log, in words: its columns, the laps used and left out, how well the track is known."""

from __future__ import annotations

from typing import TYPE_CHECKING

from balance.files.tables.logs.log_words import COLUMNS
from balance.model.errors import quoted
from balance.tell.figures import number
from balance.tell.import_text import dropped_lines
from balance.tell.laps.track_text import closure_line, curvature_noise, length_text, track_line

if TYPE_CHECKING:
    from collections.abc import Sequence

    from balance.decide.laps.logged_laps import TracedLog
    from balance.decide.laps.trace import LeftOut, TracedTrack
    from balance.files.tables.logs.log_reading import ReadLog
    from balance.tell.figures import Show

_MOST_LISTED = 12


def log_sections(read: ReadLog) -> list[tuple[str, list[str]]]:
    """State how a log was read: columns, what was understood and assumed, rows left out."""
    columns = [
        f"{COLUMNS[name].words}: {quoted(header)}{f' in {unit}' if unit else ''}"
        for name, header, unit in read.columns
    ]
    sections = [
        ("Columns", columns),
        ("Understood", list(read.understood)),
        ("Assumed", list(read.assumed)),
        ("Rows left out", list(dropped_lines(read.dropped))),
    ]
    return [(title, lines) for title, lines in sections if lines]


def laps_section(
    used: Sequence[str], left_out: Sequence[LeftOut], doubts: Sequence[LeftOut] = ()
) -> tuple[str, list[str]]:
    """State which laps were used, which of them in part only, and why others were not."""
    listed = ", ".join(used[:_MOST_LISTED]) + (" …" if len(used) > _MOST_LISTED else "")
    lines = [f"{len(used)} used: {listed}" if used else "none used"]
    lines += [
        f"! {one.lap} used, though {_bare(one)}: there is no whole lap; look at the track there"
        for one in doubts
    ]
    lines += [f"{one.lap} left out: {_bare(one)}" for one in left_out]
    return "Laps", lines


def _bare(one: LeftOut) -> str:
    """Write a reason without the lap that it speaks of."""
    return one.reason.removeprefix(f"lap {one.lap}: ")


def usual_reason(left_out: Sequence[LeftOut]) -> str:
    """State why most laps were left out, and one of them."""
    reasons = [_bare(one) for one in left_out]
    if not reasons:
        return "none was given"
    usual = max(reasons, key=reasons.count)
    return f"{left_out[reasons.index(usual)].lap}: {usual}"


def traced_lines(made: TracedLog, show: Show) -> list[str]:
    """State what was traced: length and corners, whether the ends meet, the noise of the curvature."""
    traced = made.traced
    smoothing = length_text(traced.smoothing, show)
    return [
        track_line(traced.track, show),
        closure_line(traced.track, show, traced.closure),
        noise_words(traced),
        f"Smoothed over {smoothing} along the line, never over time; a shorter bend is flattened.",
    ]


def noise_words(traced: TracedTrack) -> str:
    """State how well one lap tells the curvature, and the mean of all."""
    if traced.track.curvature_std is None:
        return "One lap alone: how well its curvature is known cannot be told."
    of_mean = curvature_noise(traced.track) or 0.0
    return (
        f"Curvature: sd {number(traced.noise, 5)} 1/m in one lap, sd {number(of_mean, 5)} 1/m in the mean of "
        f"{len(traced.used)} laps, root mean square along the line."
    )


def way_question(made: TracedLog) -> tuple[str, str]:
    """Ask which way round a lap goes, or which side is positive: the question, and the option that answers it."""
    track = made.traced.track
    if track.direction:
        return (
            f"which way round is the lap? With a turn to the left counted positive it goes {track.direction}",
            "--direction clockwise|anticlockwise",
        )
    return "to which side do the log's figures count a turn positive?", "--positive left|right"


def side_words(made: TracedLog, *, placed: bool) -> str:
    """State which side the log counts positive, and how that is known."""
    if placed:
        return "left and right are those of the places on the map"
    return f"a turn to the {made.side} is positive in the log"
