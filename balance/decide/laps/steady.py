"""The speeds that a car can hold: in a corner, with drive or without, and on a level straight."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from balance.decide.laps.forces import FASTEST, LEVEL, SLOWEST, Ground, ground

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from balance.decide.laps.forces import Forces

    Array = NDArray[np.float64]

_STEPS = 80
_CLOSE = 1e-9  # m/s² of grip to spare, or of u itself
_NODES = 160
_MOST = 40_000  # corner speeds sought in one go, so that they stay in the processor's own memory


def top_speeds(forces: Forces, slope: float = 0.0) -> Array:
    """Find the speed at which power is used up on a straight.

    Parameters
    ----------
    forces : Forces
        The car. [1]
    slope : float, optional
        Of the road, positive uphill. [rad]

    Returns
    -------
    numpy.ndarray
        (configurations,), 150 m/s where nothing holds the car back below it. [m/s]

    Notes
    -----
    Bisection on power less resistance, from 1 m/s to 150 m/s.

    References
    ----------
    Common practice, no source.
    """
    level = LEVEL._replace(hold=float(np.cos(slope)), climb=float(np.sin(slope)))
    low, high = np.full(forces.drag.shape, SLOWEST), np.full(forces.drag.shape, FASTEST)
    for _ in range(50):
        middle = (low + high) / 2.0
        u = middle * middle
        faster = forces.pushed(u) > forces.resistance(u, level)
        low, high = np.where(faster, middle, low), np.where(faster, high, middle)
    return np.asarray((low + high) / 2.0)


def corner_speeds(forces: Forces, rows: Array, *, driving: bool) -> Array:
    """Find the highest steady speed on ground of one curvature, bank and slope.

    Parameters
    ----------
    forces : Forces
        The car. [1]
    rows : numpy.ndarray
        (rows, 3) curvature in 1/m, not negative, bank and slope in radians. [1]
    driving : bool
        Whether the tyres drive against drag and rolling resistance as well, to hold the speed. [1]

    Returns
    -------
    numpy.ndarray
        (rows, configurations) of the square of the speed: infinite where this is no corner for the car, 0 where it
        cannot be taken at any speed. [m^2/s^2]

    Notes
    -----
    Across: ``u k cos b - g sin b``, with u the square of the speed; each axle's limit less this is concave in u, so
    there is one root at most. It is bracketed between 0 and what power allows on the steepest way down, on the
    level between two of 160 speeds at which the sharpest curvature held is known, and closed in on by false
    position with the kept end halved (Illinois).

    References
    ----------
    M. Dowell, P. Jarratt, A modified regula falsi method for computing the root of an equation, BIT 11 (1971)
    168-174 (the Illinois step), from memory.
    """
    highest = np.square(top_speeds(forces, min(float(rows[:, 2].min()), 0.0)))
    found = np.full((len(rows), forces.drag.size), np.inf)
    bent = (rows[:, 0] > 0.0) | (rows[:, 1] != 0.0)
    level = bent & (rows[:, 1] == 0.0) & (rows[:, 2] == 0.0)
    held = None
    if np.any(level):
        held = _held(forces, highest, driving=driving)
        bent &= ~level | (
            rows[:, 0] >= 0.999 * held[1][-1].min()
        )  # the others are no corners for any car here
        level &= bent
    chunk = max(_MOST // forces.drag.size, 1)
    for kind in (level, bent & ~level):
        places = np.flatnonzero(kind)
        for start in range(0, places.size, chunk):
            here = places[start : start + chunk]
            low, high = (
                np.zeros((here.size, highest.size)),
                np.broadcast_to(highest, (here.size, highest.size)),
            )
            if kind is level and held is not None:
                low, high = _between(held, rows[here, 0])
            found[here] = _closed_in(forces, ground(rows[here][:, None, :]), low, high, driving=driving)
    return found


def _held(forces: Forces, highest: Array, *, driving: bool) -> tuple[Array, Array]:
    """Give the sharpest curvature that is held on the level at each of some u, both (nodes, configurations)."""
    u = np.square(np.linspace(0.0, 1.0, _NODES))[:, None] * highest
    limits = forces.lateral_limits(u, LEVEL, driving=driving)
    with np.errstate(divide="ignore", invalid="ignore"):
        turn = np.minimum(*limits) / u
    turn[0] = np.inf
    return u, np.asarray(np.minimum.accumulate(turn, axis=0))


def _between(held: tuple[Array, Array], turns: Array) -> tuple[Array, Array]:
    """Find the nodes between which each curvature is held, (rows, configurations) each."""
    u, sharpest = held
    low, high = np.empty((2, turns.size, u.shape[1]))
    for k in range(u.shape[1]):
        node = np.searchsorted(-sharpest[:, k], -turns, side="left")
        low[:, k] = u[
            np.maximum(node - 2, 0), k
        ]  # one node more on either side: rounding must not lose the root
        high[:, k] = u[np.minimum(node + 1, _NODES - 1), k]
    return low, high


def _closed_in(forces: Forces, on: Ground, low: Array, high: Array, *, driving: bool) -> Array:
    """Close in on the roots of one chunk between two sides; where the upper is not beyond one there is none."""
    at_low = np.asarray(forces.spare(low, on, driving=driving))
    at_high = np.asarray(forces.spare(high, on, driving=driving))
    free, never = at_high > 0.0, (at_low <= 0.0) & (low == 0.0)
    open_ = ~(free | never)
    kept = np.zeros(low.shape, np.int8)
    for _ in range(_STEPS):
        with np.errstate(divide="ignore", invalid="ignore"):
            u = low + (high - low) * (at_low / (at_low - at_high))
        u = np.where(open_, np.clip(u, low, high), low)
        value = forces.spare(u, on, driving=driving)
        up = value > 0.0
        at_high = np.where(up & (kept == 1), at_high / 2.0, at_high)
        at_low = np.where(~up & (kept == -1), at_low / 2.0, at_low)
        kept = np.where(up, 1, -1).astype(np.int8)
        low, at_low = np.where(up, u, low), np.where(up, value, at_low)
        high, at_high = np.where(up, high, u), np.where(up, at_high, value)
        if np.all((np.abs(value) <= _CLOSE) | (high - low <= _CLOSE * high) | ~open_):
            break
    best = np.where(np.abs(at_low) < np.abs(at_high), low, high)
    return np.where(never, 0.0, np.where(free, np.inf, best))
