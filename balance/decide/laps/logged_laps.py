"""Laps of a driver's log as it was read, each closed by the first sample of the next."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Literal

import numpy as np

from balance.decide.laps.log import LogLap
from balance.decide.laps.trace import SMOOTHING, LeftOut, trace_track
from balance.model.errors import DomainError
from balance.model.tracks import track_of_rows

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from balance.decide.laps.trace import TracedTrack
    from balance.model.driven_log import DrivenLog
    from balance.model.tracks import Track

    Array = NDArray[np.float64]
    Way = Literal["clockwise", "anticlockwise"]

_LENGTH_SLACK = 0.05  # of the track's length: a lap that is off by more is of another track
_ALIKE = 0.6  # correlation of a lap's curvature with the track's
_CELLS = 800


def laps_of_log(log: DrivenLog) -> tuple[LogLap, ...]:
    """Split a log into its laps.

    Parameters
    ----------
    log : DrivenLog
        The log as read. [1]

    Returns
    -------
    tuple of LogLap
        One a piece, whatever it is: what cannot be used is left out, with its reason, where laps are used. [1]

    Notes
    -----
    The first sample of the next piece ends a lap, where nothing is missing between.

    References
    ----------
    Common practice, no source.
    """
    made = []
    count = len(log.time)
    for one in log.pieces:
        beyond = one.beyond
        follows = beyond < count and 0.0 <= log.time[beyond] - log.time[beyond - 1] < 2.0
        part = slice(one.first, beyond + 1 if follows else beyond)
        distance = None if log.distance is None else log.distance[part].copy()
        if distance is not None and follows and not distance[-1] >= distance[-2]:
            span = float(log.time[beyond] - log.time[beyond - 1])
            distance[-1] = distance[-2] + span * float(log.speed[beyond - 1])  # it started anew
        made.append(
            LogLap(
                name=one.name,
                time=log.time[part],
                speed=log.speed[part],
                distance=distance,
                yaw_rate=_cut(log.yaw_rate, part),
                lateral_acceleration=_cut(log.lateral_acceleration, part),
                roll=_cut(log.roll, part),
                x=_cut(log.x, part),
                y=_cut(log.y, part),
            )
        )
    return tuple(made)


def mirrored(laps: Sequence[LogLap]) -> tuple[LogLap, ...]:
    """Count the other side positive: of a log whose figures were positive to the right.

    Parameters
    ----------
    laps : sequence of LogLap
        Laps of a log. [1]

    Returns
    -------
    tuple of LogLap
        The same laps with left and right in each other's place. [1]

    Notes
    -----
    Of places one axis is turned round.

    References
    ----------
    Common practice, no source.
    """
    return tuple(
        replace(
            lap,
            yaw_rate=_other_side(lap.yaw_rate),
            lateral_acceleration=_other_side(lap.lateral_acceleration),
            roll=_other_side(lap.roll),
            y=_other_side(lap.y),
        )
        for lap in laps
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TracedLog:
    """A track traced from a log, and which side its figures count positive.

    ``side`` is empty where nobody has said it and the log cannot tell: left is taken then. ``laps`` are those of the
    log, left positive.
    """

    traced: TracedTrack
    side: Literal["left", "right", ""]
    laps: tuple[LogLap, ...]


def trace_log(
    log: DrivenLog,
    name: str,
    *,
    smoothing: float = SMOOTHING,
    closed: bool = True,
    direction: Way | None = None,
    positive: Literal["left", "right"] | None = None,
) -> TracedLog:
    """Trace a track from a driver's log.

    Parameters
    ----------
    log : DrivenLog
        The log as read. [1]
    name : str
        Of the track. [1]
    smoothing : float, optional
        Length over which curvature is smoothed, 2 m to 200 m. [m]
    closed : bool, optional
        Whether the end of a lap is the start of the next. [1]
    direction : str, optional
        Which way round the lap goes, clockwise or anticlockwise: tells which side is positive. [1]
    positive : str, optional
        The side on which figures are positive, left or right, where it is known. [1]

    Returns
    -------
    TracedLog
        The track with rows to the millimetre and curvature to 1e-7 1/m, and the side. [1]

    Raises
    ------
    DomainError
        If no lap can be used, or a direction is said of a line that goes round neither way.

    Notes
    -----
    Places on the map know left from right; a sensor's sign may be either.

    References
    ----------
    Common practice, no source.
    """
    laps = laps_of_log(log)
    traced = trace_track(name, laps, smoothing=smoothing, closed=closed)
    side: Literal["left", "right", ""] = "left" if log.placed else positive or ""
    turned = traced.track.turned
    if direction is not None:
        if not closed or abs(turned) <= np.pi:
            raise DomainError(
                f"direction: found {direction} of a line that turns {abs(np.degrees(turned)):.0f}° in all, expected one "
                "that goes round; say which side is positive instead"
            )
        side = "left" if (turned > 0.0) == (direction == "anticlockwise") else "right"
    if side == "right":
        laps = mirrored(laps)
        traced = trace_track(name, laps, smoothing=smoothing, closed=closed)
    return TracedLog(traced=replace(traced, track=_written(traced.track, log.name)), side=side, laps=laps)


def _written(track: Track, log: str) -> Track:
    """Round a traced line to what is worth writing down, and say which log it is of."""
    rows = np.round(track.edges, 3)
    curvature = np.append(track.curvature[:, 0], track.curvature[-1, 1])
    return track_of_rows(
        track.name,
        rows,
        np.round(curvature, 7),
        curvature_std=None if track.curvature_std is None else np.round(track.curvature_std, 7),
        closed=track.closed,
        direction=track.direction,
        note=track.note.replace("a log", log),
    )


def _other_side(values: Array | None) -> Array | None:
    return None if values is None else -values


def laps_of_track(
    track: Track, laps: Sequence[LogLap]
) -> tuple[tuple[LogLap, ...], tuple[LeftOut, ...], TracedTrack]:
    """Choose the laps of a log that are laps of a track.

    Parameters
    ----------
    track : Track
        The track. [1]
    laps : sequence of LogLap
        Laps of a log. [1]

    Returns
    -------
    tuple
        The laps that can be used, those left out with their reasons, and what they trace. [1]

    Raises
    ------
    DomainError
        If no lap can be used at all.

    Notes
    -----
    A lap whose length is off by 5 %, or that does not turn where the track does, is of another track, or begins
    elsewhere. Which side is positive does not matter.

    References
    ----------
    Common practice, no source.
    """
    traced = trace_track(track.name, laps, closed=track.closed)
    left_out, used = list(traced.left_out), []
    where = (np.arange(_CELLS) + 0.5) / _CELLS
    theirs = track.sampled("curvature", where * track.length)
    mine = traced.track.sampled("curvature", where * traced.track.length)
    alike = (
        abs(float(np.corrcoef(theirs, mine)[0, 1])) if np.std(theirs) > 0.0 and np.std(mine) > 0.0 else 1.0
    )
    for lap in laps:
        if lap.name not in traced.used:
            continue
        length = traced.lengths[traced.used.index(lap.name)]
        if abs(length - track.length) > _LENGTH_SLACK * track.length:
            reason = f"{length:,.0f} m long where the track is {track.length:,.0f} m"
            left_out.append(LeftOut(lap=lap.name, reason=reason))
        elif alike < _ALIKE:
            reason = "it does not turn where the track does: another track, or a lap that begins elsewhere"
            left_out.append(LeftOut(lap=lap.name, reason=reason))
        else:
            used.append(lap)
    return tuple(used), tuple(left_out), traced


def _cut(values: Array | None, part: slice) -> Array | None:
    return None if values is None else values[part]
