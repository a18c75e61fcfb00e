"""The running order of a facility in which several cars took turns, so that a drift of its balance is told by all of them."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from balance.model.arrays import read_only
from balance.reduce.clock_time import minutes_of
from balance.reduce.fits import coded, fits_of_session
from balance.reduce.joined_fits import side_by_side
from balance.reduce.readings import reduce_session

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from balance.model.records import Run, Session
    from balance.reduce.fits import FitLayout, Fits
    from balance.reduce.readings import Readings

_IN_NONE = -1
"""Stands for the block of what was read before the first run of a block of the day, or after its last."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Turns:
    """The readings of a day and of the cars that ran in turn with it, those of the day first.

    Attributes
    ----------
    readings : Readings
        Of all cars; those of the others restated so that a force of theirs is one of this day.
    layout : FitLayout
        Their fits; no configuration or block of one car is one of another.
    order : numpy.ndarray
        (readings,) place of each in the order in which the facility ran them, void runs counted. [1]
    beside : numpy.ndarray
        (readings,) block of the day during which each was read, between its first run and its last; -1 where in none. [1]
    returned : numpy.ndarray
        (readings,) whether it is one of a configuration of another car that came back after something else ran. [1]
    """

    readings: Readings
    layout: FitLayout
    order: NDArray[np.float64]
    beside: NDArray[np.int_]
    returned: NDArray[np.bool_]


def turns_of(session: Session, fits: Fits) -> Turns | None:
    """Lay the runs of the cars that shared a facility out by the clock.

    Parameters
    ----------
    session : Session
        The session, with the days of other cars beside it. [1]
    fits : Fits
        Its readings by fit. [1]

    Returns
    -------
    Turns or None
        Nothing where no other car ran in turn with this one, a run that counts has no time of day, or time runs backward. [1]

    Notes
    -----
    A void run without a time stands where the run before it does. What drifts is a force of the facility, the same for
    every car.
    """
    if not session.alongside or fits.readings.column is not None:
        return None
    clocks = [_clock(one) for one in (session, *session.alongside)]
    if any(clock is None for clock in clocks):
        return None
    times = np.concatenate([clock for clock in clocks if clock is not None])
    places = np.empty(times.size)
    places[np.argsort(times, kind="stable")] = np.arange(times.size)
    pressure = float(fits.readings.force_pressure.mean())
    every, order, start = [fits], [], 0
    for k, one in enumerate((session, *session.alongside)):
        label_at = {run.label: start + place for place, run in enumerate(one.runs)}
        start += len(one.runs)
        if k:
            alone = replace(one, repeatability=None, alongside=())
            own = fits_of_session(alone, reduce_session(alone))
            every.append(replace(own, readings=_at(own.readings, pressure)))
        order += [places[label_at[label]] for label in every[k].readings.labels]
    readings, layout = side_by_side(
        every, [[(k, group) for group in one.groups.tolist()] for k, one in enumerate(every)]
    )
    placed = np.array(order)
    beside = _blocks_beside(fits, layout, placed)
    if np.all(beside[len(fits.readings.runs) :] == _IN_NONE):
        return None
    apart = coded([f"{one} {other}" for one, other in zip(layout.blocks, beside, strict=True)])
    layout = layout._replace(blocks=apart)
    return Turns(
        readings=readings,
        layout=layout,
        order=placed,
        beside=beside,
        returned=_came_back(layout, len(fits.readings.runs)),
    )


def _blocks_beside(fits: Fits, layout: FitLayout, order: NDArray[np.float64]) -> NDArray[np.int_]:
    """Find during which block of the day each reading was made; a fit of another car stays whole.

    What the facility did before a block's first run or after its last says nothing of a drift within it.
    """
    own = fits.blocks.size
    in_order = np.argsort(order[:own], kind="stable")
    beside = np.empty(order.size, int)
    beside[:own] = fits.blocks
    for rows in layout.fits:
        if rows[0] >= own:
            before = int(np.searchsorted(order[in_order], order[rows[0]])) - 1
            block = fits.blocks[in_order[max(before, 0)]]
            inside = before >= 0 and order[rows[0]] < order[:own][fits.blocks == block].max()
            beside[list(rows)] = block if inside else _IN_NONE
    return beside


def _clock(session: Session) -> NDArray[np.float64] | None:
    """Return the time of every run in minutes; nothing where one that counts has none, or they run backward."""
    found: list[float] = []
    for run in session.runs:
        minutes = minutes_of(run.time)
        if minutes is None:
            if run.status != "void":
                return None
            minutes = found[-1] if found else _first(session.runs)
        found.append(minutes)
    times = np.array(found)
    return times if times.size and np.all(np.diff(times) >= 0.0) else None


def _first(runs: tuple[Run, ...]) -> float:
    return next((minutes for run in runs if (minutes := minutes_of(run.time)) is not None), 0.0)


def _at(readings: Readings, pressure: float) -> Readings:
    """State readings as if all had been read at one dynamic pressure, each force as it was."""
    scale = (readings.force_pressure / pressure)[:, None]
    return replace(
        readings,
        areas=read_only(readings.areas * scale),
        resolution=read_only(readings.resolution * scale),
        force_pressure=read_only(np.full_like(readings.force_pressure, pressure)),
    )


def _came_back(layout: FitLayout, own: int) -> NDArray[np.bool_]:
    """Find readings of other cars whose configuration was fitted again in its block."""
    found = np.zeros(layout.groups.size, bool)
    fitted: dict[tuple[int, int], list[tuple[int, ...]]] = {}
    for rows, counts in zip(layout.fits, layout.counts.tolist(), strict=True):
        if counts and rows[0] >= own:
            fitted.setdefault((int(layout.groups[rows[0]]), int(layout.blocks[rows[0]])), []).append(rows)
    for several in fitted.values():
        if len(several) > 1:
            found[[row for rows in several for row in rows]] = True
    return found
