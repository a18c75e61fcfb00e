"""Laps of a driver's log as it was read, each closed by the first sample of the next."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache
from typing import TYPE_CHECKING, Literal

import numpy as np

from balance.decide.laps.fit_log import fit_log
from balance.decide.laps.lap_car import lap_car
from balance.decide.laps.log import FINE, LogLap
from balance.decide.laps.smoothing import smoothed
from balance.decide.laps.stations import find_corners
from balance.decide.laps.trace import SMOOTHING, LeftOut, trace_track
from balance.model.errors import DomainError
from balance.model.records import HALF_95
from balance.model.tracks import track_of_rows

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from balance.decide.laps.fit_log import Fitted, LogFit
    from balance.decide.laps.lap_car import LapCar
    from balance.decide.laps.trace import TracedTrack
    from balance.model.driven_log import DrivenLog
    from balance.model.records import Vehicle
    from balance.model.tracks import Track

    Array = NDArray[np.float64]
    Way = Literal["clockwise", "anticlockwise"]

_LENGTH_SLACK = 0.05  # of the track's length: a lap that is off by more is of another track
_ALIKE = 0.6  # correlation of a lap's curvature with the track's
_CELLS = 800
# Over the fastest lap's time: a lap to the pits, and one that tells nothing of grip.
_SLOW, _OFF_PACE = 0.15, 0.03
_FIRST_FRICTION, _FIRST_POWER = 1.1, 150e3
_SIDED = ("yaw_rate", "lateral_acceleration", "roll", "y")
"""What of a log has a side that is positive."""
_TELLS = (*_SIDED, "x")


def laps_of_log(log: DrivenLog) -> tuple[LogLap, ...]:
    """Split a log into its laps.

    The first sample of the next piece ends a lap, where nothing is missing between.
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
        told = {name: column[part] for name in _TELLS if (column := getattr(log, name)) is not None}
        made.append(
            LogLap(name=one.name, time=log.time[part], speed=log.speed[part], distance=distance, **told)
        )
    return tuple(made)


def mirrored(laps: Sequence[LogLap]) -> tuple[LogLap, ...]:
    """Count the other side positive: of a log whose figures were positive to the right.

    Of places one axis is turned round.
    """
    return tuple(
        replace(lap, **{name: -column for name in _SIDED if (column := getattr(lap, name)) is not None})
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


@np.errstate(over="ignore", invalid="ignore")  # a log beyond reason is refused in words, not warned of
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

    Places on the map know left from right; a sensor's sign may be either.
    """
    laps = laps_of_log(log)
    traced = _traced_at_pace(name, laps, smoothing=smoothing, closed=closed)
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
        traced = _traced_at_pace(name, laps, smoothing=smoothing, closed=closed)
    return TracedLog(traced=replace(traced, track=_written(traced.track, log.name)), side=side, laps=laps)


def _traced_at_pace(
    name: str, laps: Sequence[LogLap], *, smoothing: float = SMOOTHING, closed: bool
) -> TracedTrack:
    """Trace a track from the laps that were driven and not rolled: none to or from the pits."""
    traced = trace_track(name, laps, smoothing=smoothing, closed=closed)
    usable = [lap for lap in laps if lap.name in traced.used]
    rolled = _slower(usable, _SLOW)
    if not rolled:
        return traced
    gone = {one.lap for one in rolled}
    again = trace_track(
        name, [lap for lap in usable if lap.name not in gone], smoothing=smoothing, closed=closed
    )
    return replace(again, left_out=(*traced.left_out, *again.left_out, *rolled))


def _slower(laps: Sequence[LogLap], share: float) -> list[LeftOut]:
    """List the laps that took longer than the fastest by more than a share of its time."""
    spans = {lap.name: float(lap.time[-1] - lap.time[0]) for lap in laps}
    fastest = min(spans.values(), default=0.0)
    return [
        LeftOut(lap=name, reason=f"{span:.1f} s where the fastest lap takes {fastest:.1f} s")
        for name, span in spans.items()
        if span > (1.0 + share) * fastest
    ]


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


def laps_of_track(
    track: Track, laps: Sequence[LogLap]
) -> tuple[tuple[LogLap, ...], tuple[LeftOut, ...], TracedTrack]:
    """Choose the laps of a log that are laps of a track.

    A lap whose length is off by 5 %, or that does not turn where the track does, is of another track, or begins
    elsewhere. One that took 3 % longer than the fastest tells nothing of what the car can do. Which side is positive
    does not matter.
    """
    traced = _traced_at_pace(track.name, laps, closed=track.closed)
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
    slow = _slower(used, _OFF_PACE)
    gone = {one.lap for one in slow}
    return tuple(lap for lap in used if lap.name not in gone), (*left_out, *slow), traced


@cache
def _beyond_a_bend() -> float:
    """Give how far a smoothed line overshoots where it bends from a slope of 1 to none, as a traced corner begins [m]."""
    line = np.minimum(np.arange(-4.0 * SMOOTHING, 4.0 * SMOOTHING, FINE), 0.0)
    return float(
        np.max((smoothed(line, FINE, SMOOTHING, closed=False) - line)[len(line) // 4 : -len(line) // 4])
    )


def car_to_fit(vehicle: Vehicle) -> LapCar:
    """Make a car of which a log is to tell friction and power.

    Neither is an assumption of what comes out: the search ends where the log is met.
    """
    power = vehicle.power if vehicle.power is not None or vehicle.power_curve else _FIRST_POWER
    friction = _FIRST_FRICTION if vehicle.friction is None else vehicle.friction
    return lap_car(replace(vehicle, friction=friction, power=power))


def fit_laps(
    track: Track, car: LapCar, laps: Sequence[LogLap], areas: Array, *, air_density: float
) -> LogFit:
    """Fit friction, power and grip exponent to laps, the friction with the exponent where the log tells that.

    Parameters
    ----------
    track : Track
        The track. [1]
    car : LapCar
        The car; its friction and power are where the search starts. [1]
    laps : sequence of LogLap
        Laps from the track's start on. [1]
    areas : numpy.ndarray
        (3,) front downforce, rear downforce and drag area of the configuration that was driven. [m^2]
    air_density : float
        Of that day. [kg/m^3]

    Returns
    -------
    LogFit
        Friction and power hold for the exponents of its car. [1]

    Raises
    ------
    DomainError
        If no lap was given, or the track has no corner.

    Notes
    -----
    An exponent that is offered is put into the car, and the rest is fitted again: the two are stated together. How
    well a traced track's curvature is known is common to all corners, so their spread does not show it: it is added.

    References
    ----------
    Common practice, no source.
    """
    found = fit_log(track, car, laps, areas, air_density=air_density)
    told = found.exponent
    if told is not None and told.offered:
        other = replace(found.car, front_exponent=told.value, rear_exponent=told.value)
        found = replace(fit_log(track, other, laps, areas, air_density=air_density), exponent=told)
    return replace(found, friction=_with_line(found.friction, track))


def _with_line(friction: Fitted | None, track: Track) -> Fitted | None:
    """Widen a friction by how well the curvature of a traced track is known in its corners: by noise and by smoothing."""
    if friction is None or track.curvature_std is None:
        return friction
    slopes = np.abs(np.diff(track.curvature, axis=1)[:, 0]) / np.diff(track.edges)
    middles = (track.edges[1:] + track.edges[:-1]) / 2.0
    beyond = _beyond_a_bend()
    noise, bends = [], []
    for one in find_corners(track):
        inside = ((middles >= one.start) & (middles <= one.end)) | (middles + track.length <= one.end)
        noise.append(one.radius * float(np.interp(one.apex, track.edges, track.curvature_std)))
        bends.append(one.radius * beyond * float(np.max(slopes[inside], initial=0.0)))
    common = float(np.sqrt(np.mean(np.square(noise)) + np.mean(np.square(bends))))
    half = float(np.hypot(np.log(friction.high / friction.value), HALF_95 * common))
    return replace(
        friction,
        std=friction.value * float(np.hypot(friction.std / friction.value, common)),
        low=friction.value * float(np.exp(-half)),
        high=friction.value * float(np.exp(half)),
    )
