"""A track traced from a driver's log: laps laid over one another along the line, and how far they scatter."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from balance.decide.laps.log import FINE, SLOWEST_READ, along_line, curvature_read, gridded
from balance.decide.laps.smoothing import smoothed
from balance.decide.laps.stations import Closure, closure, find_corners
from balance.model.errors import DomainError
from balance.model.tracks import track_of_rows

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from balance.decide.laps.log import LogLap
    from balance.model.tracks import Track

    Array = NDArray[np.float64]

SMOOTHING = 20.0
"""Length over which curvature is smoothed, unless another is stated. [m]"""
ROWS = 2.0
"""From one row of a traced line to the next, at most. [m]"""
_MOST_CELLS = 400_000
_LENGTH_SLACK = 0.03  # of the usual length: a lap that is off by more went another way
_MOST_SLOW = 0.02  # of the lap's length: more below reading speed is a stop, or the pits
_MOST_MISSING = 0.1  # of the lap's length without any sample
_HOLE, _FROZEN = 1.0, 3.0  # s without a sample, and of the same figures over and over while the car moves
_NEAR = 40.0  # m between a lap's corner and the one it is taken for
_LEAST_KEPT = 0.5


@dataclass(frozen=True, slots=True, kw_only=True)
class LeftOut:
    """A lap that was not used, and why in words."""

    lap: str
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TracedTrack:
    """A track traced from laps, and how it was got.

    ``spread`` is the standard deviation of one lap's curvature about the mean of all, (rows,);
    ``track.curvature_std`` that of the mean; both not a number, or absent, with one lap [1/m]. ``smoothing`` is the
    length of the local quadratic [m], ``lengths`` those of the laps used [m]. ``doubts`` are laps used although part of
    each was not recorded: there was no whole one.
    """

    track: Track
    used: tuple[str, ...]
    left_out: tuple[LeftOut, ...]
    lengths: tuple[float, ...]
    smoothing: float
    spread: Array
    closure: Closure
    doubts: tuple[LeftOut, ...] = ()

    @property
    def noise(self) -> float:
        """How well one lap tells the curvature: root mean square of the spread [1/m]."""
        return float(np.sqrt(np.mean(np.square(self.spread))))


def trace_track(
    name: str, laps: Sequence[LogLap], *, smoothing: float = SMOOTHING, closed: bool = True
) -> TracedTrack:
    """Trace a track from laps of a log.

    Curvature is read where the car is faster than 8 m/s, averaged along the line and smoothed by a local quadratic,
    never over time. Laps are brought to the median length evenly, which closes what drifted, and stretched between
    common corners; a stretched lap's curvature changes so that its corners turn as far as before. Their mean is the
    track, their spread its noise. A lap with a stop, through the pits, or of another length is left out; one with a
    hole of a second, or whose figures stand still for three while the car moves, only where there is a whole one.
    """
    if not 2.0 <= smoothing <= 200.0:
        raise DomainError(f"smoothing: found {smoothing:g} m, expected 2 m to 200 m")
    read, left_out, holed = _read(laps)
    if not read:
        told = "; ".join(f"{one.lap}: {one.reason}" for one in left_out[:3]) or "none was given"
        raise DomainError(
            f"laps to trace a track from: found none that can be used ({told}), expected at least one"
        )
    length = float(np.median([where[-1] for _, where, _ in read]))
    cells = int(np.clip(np.ceil(length / FINE), 64, _MOST_CELLS))
    lines = np.stack([gridded(where * (length / where[-1]), bent, length, cells) for _, where, bent in read])
    lines = lines * (np.array([where[-1] for _, where, _ in read]) / length)[:, None]
    step = length / cells
    flat = smoothed(lines, step, smoothing, closed=closed)
    if len(read) > 1:
        flat = _laid_over(flat, length, closed=closed)
    mean = flat.mean(axis=0)
    spread = flat.std(axis=0, ddof=1) if len(read) > 1 else np.full(cells, np.nan)
    middles = (np.arange(cells) + 0.5) * step
    rows = np.linspace(0.0, length, int(np.ceil(length / ROWS)) + 1)

    def at_rows(values: Array) -> Array:
        if closed:
            return np.interp(rows, middles, values, period=length)
        return np.interp(rows, middles, values)

    curvature = at_rows(mean)
    turned = float(np.sum(mean) * step)
    track = track_of_rows(
        name,
        rows,
        curvature,
        curvature_std=at_rows(spread) / np.sqrt(len(read)) if len(read) > 1 else None,
        closed=closed,
        direction=("anticlockwise" if turned > 0.0 else "clockwise")
        if closed and abs(turned) > np.pi
        else "",
        note=f"traced from {len(read)} lap{'s' if len(read) > 1 else ''} of a log, smoothed over {smoothing:g} m",
    )
    return TracedTrack(
        track=track,
        used=tuple(one[0] for one in read),
        left_out=tuple(left_out),
        lengths=tuple(float(one[1][-1]) for one in read),
        smoothing=smoothing,
        spread=at_rows(spread),
        closure=closure(track),
        doubts=tuple(LeftOut(lap=one[0], reason=holed[one[0]]) for one in read if one[0] in holed),
    )


def _read(laps: Sequence[LogLap]) -> tuple[list[tuple[str, Array, Array]], list[LeftOut], dict[str, str]]:
    """Read the laps that can be used: name, place and curvature of each; those left out; and those that have a hole."""
    read: list[tuple[str, Array, Array]] = []
    left_out, holed = [], {}
    for lap in laps:
        try:
            where, bent = along_line(lap), curvature_read(lap)
        except DomainError as error:
            left_out.append(LeftOut(lap=lap.name, reason=str(error)))
            continue
        if reason := _unusable(where, bent, lap):
            left_out.append(LeftOut(lap=lap.name, reason=reason))
            continue
        read.append((lap.name, where, bent))
        if hole := _hole(lap):
            holed[lap.name] = hole
    if not read:
        return read, left_out, holed
    usual = float(np.median([where[-1] for _, where, _ in read]))
    far = {name: where[-1] for name, where, _ in read if abs(where[-1] - usual) > _LENGTH_SLACK * usual}
    left_out += [
        LeftOut(lap=name, reason=f"{length:,.0f} m long where the others are {usual:,.0f} m")
        for name, length in far.items()
    ]
    read = [one for one in read if one[0] not in far]
    if any(name not in holed for name, _, _ in read):
        left_out += [LeftOut(lap=name, reason=holed[name]) for name, _, _ in read if name in holed]
        read = [one for one in read if one[0] not in holed]
    return read, left_out, holed


def _hole(lap: LogLap) -> str:
    """Say where a lap was not recorded, or its figures stood still while the car moved; nothing where it is whole."""
    time, speed = np.asarray(lap.time, float), np.asarray(lap.speed, float)
    turning = [lap.lateral_acceleration, lap.yaw_rate, lap.x, lap.y]
    told = [np.asarray(one, float) for one in turning if one is not None]
    there = np.flatnonzero(np.all(np.isfinite([speed, *told]), axis=0))
    if there.size < 2:
        return ""
    time, speed, told = time[there], speed[there], [one[there] for one in told]
    steps = np.diff(time)
    longest = int(np.argmax(steps))
    if steps[longest] > max(_HOLE, 5.0 * float(np.median(steps))):
        return f"nothing recorded for {steps[longest]:.1f} s from {time[longest] - lap.time[0]:.1f} s on"
    same = np.all([np.diff(one) == 0.0 for one in (speed, *told)], axis=0) & (speed[1:] > SLOWEST_READ)
    ends = np.flatnonzero(np.diff(np.concatenate(([False], same, [False])).astype(int)))
    for first, beyond in zip(ends[::2].tolist(), ends[1::2].tolist(), strict=True):
        if time[beyond] - time[first] > _FROZEN:
            return f"the same figures for {time[beyond] - time[first]:.1f} s from {time[first] - lap.time[0]:.1f} s on: frozen"
    return ""


def _unusable(where: Array, bent: Array, lap: LogLap) -> str:
    """Say why a lap cannot be used; nothing where it can."""
    length = float(where[-1])
    if length < 100.0:
        return f"{length:.0f} m long, expected 100 m or more"
    steps = np.diff(where)
    slow = np.asarray(lap.speed, float) <= SLOWEST_READ
    crawled = float(np.sum(steps[slow[1:]]))
    standing = float(np.sum(np.diff(np.asarray(lap.time, float))[slow[1:]]))
    if crawled > _MOST_SLOW * length or standing > 20.0:
        return f"slower than {SLOWEST_READ:g} m/s for {standing:.0f} s: a stop, or the pits"
    known = where[np.isfinite(bent)]
    if known.size < 10:
        return f"{known.size} samples that tell how it turns, expected 10 or more"
    gap = float(np.max(np.diff(np.concatenate((where[:1], known, where[-1:])))))
    if gap > _MOST_MISSING * length:
        return f"nothing recorded over {gap:,.0f} m"
    return ""


def _laid_over(lines: Array, length: float, *, closed: bool) -> Array:
    """Stretch laps between common corners, onto where the laps have them on the whole."""
    count = lines.shape[1]
    middles = (np.arange(count) + 0.5) * (length / count)
    first = find_corners(
        track_of_rows(
            "mean", np.concatenate(([0.0], middles, [length])), np.pad(lines.mean(axis=0), 1, mode="edge")
        )
    )
    if not first:
        return lines
    centres = np.array(
        [
            [_centre(line, middles, one.start, one.end, length, closed=closed) for one in first]
            for line in lines
        ]
    )
    near = np.abs(centres - np.nanmedian(centres, axis=0)) < _NEAR
    common = np.mean(near & np.isfinite(centres), axis=0) > _LEAST_KEPT
    stretched = []
    aim = np.array(
        [np.median(column[ok]) if ok.any() else np.nan for column, ok in zip(centres.T, near.T, strict=True)]
    )
    for line, mine, ok in zip(lines, centres, near, strict=True):
        use = ok & common & (aim > 0.0) & (aim < length) & (mine > 0.0) & (mine < length)
        order = np.argsort(aim[use])
        target = np.concatenate(([0.0], aim[use][order], [length]))
        source = np.concatenate(([0.0], mine[use][order], [length]))
        if np.any(np.diff(target) <= 0.0) or np.any(np.diff(source) <= 0.0):
            stretched.append(line)
            continue
        back = np.interp(middles, target, source)
        rate = (np.diff(source) / np.diff(target))[
            np.clip(np.searchsorted(target, middles) - 1, 0, len(target) - 2)
        ]
        stretched.append(np.interp(back, middles, line) * rate)
    return np.stack(stretched)


def _centre(line: Array, middles: Array, start: float, end: float, length: float, *, closed: bool) -> float:
    """Find the centre of a lap's turn about a corner that the laps have on the whole."""
    reach = _NEAR / 2.0
    inside = (middles >= start - reach) & (middles <= end + reach)
    if closed and end + reach > length:
        inside |= middles <= end + reach - length
        middles = np.where(middles <= end + reach - length, middles + length, middles)
    here = line[inside]
    side = np.sign(np.sum(here)) or 1.0
    weight = np.maximum(here * side, 0.0) ** 2
    total = float(np.sum(weight))
    return float(np.sum(weight * middles[inside]) / total) if total > 0.0 else np.nan
