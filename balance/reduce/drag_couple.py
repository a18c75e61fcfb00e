"""Drag that is reacted above the ground: its couple on the axles, and how well the height is known."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from balance.model.channels import DRAG, FRONT, REAR
from balance.model.records import std_of

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

    from balance.model.records import Session
    from balance.reduce.stated_draws import StandardDraws

    Array = NDArray[np.float64]

REACTED_WITHIN = 0.05
"""Half the range of the height at which drag is reacted, where nothing is said of its uncertainty. [m]"""


def add_couple(areas: Array, lever: ArrayLike) -> Array:
    """Add the couple that drag makes over a lever to the axles: off the front, on to the rear.

    Parameters
    ----------
    areas : numpy.ndarray
        (3, ...): front downforce, rear downforce, drag; read as measured. [m^2]
    lever : array_like
        Height over the wheelbase; broadcasts against one channel. [1]

    Returns
    -------
    numpy.ndarray
        (3, ...). [m^2]

    Notes
    -----
    ``DFf - D h/L`` and ``DFr + D h/L``: the total does not change.

    References
    ----------
    Statics; common practice, no source.
    """
    return _moved(areas, np.asarray(areas[DRAG] * lever))


def _moved(areas: Array, couple: Array) -> Array:
    """Take a couple off the front and put it on the rear."""
    moved = areas.copy()
    moved[FRONT] -= couple
    moved[REAR] += couple
    return moved


def drawn_lever(session: Session, standard: StandardDraws) -> Array | None:
    """Draw how far the height at which drag is reacted is off, over the wheelbase.

    Parameters
    ----------
    session : Session
        The session, with that height. [1]
    standard : StandardDraws
        The session's. [1]

    Returns
    -------
    numpy.ndarray or None
        (draws, 1); nothing at ground level, which is where pads stand, or where the height was stated exactly. [1]

    Notes
    -----
    Uniform within 50 mm where the height was stated and nothing else; normal where its uncertainty was.

    References
    ----------
    JCGM 101:2008, 6.4.2 and 6.4.7; the range is common practice, no source.
    """
    height, said = session.facility.drag_reacted_at or 0.0, session.uncertainties
    if not height > 0.0:
        return None
    one = said.get("facility.drag_reacted_at")
    if one is None:
        return np.asarray(REACTED_WITHIN * standard.within / session.vehicle.wheelbase)
    return None if not one.std else np.asarray(one.std * standard.height / session.vehicle.wheelbase)


def lever_std(session: Session) -> float:
    """Return the standard uncertainty of the height at which drag is reacted, over the wheelbase.

    Parameters
    ----------
    session : Session
        The session. [1]

    Returns
    -------
    float
        0 at ground level, or where the height was stated exactly. [1]

    Notes
    -----
    That of a uniform distribution is half its range over the root of 3.

    References
    ----------
    JCGM 100:2008, 4.3.7.
    """
    if not (session.facility.drag_reacted_at or 0.0) > 0.0:
        return 0.0
    one = session.uncertainties.get("facility.drag_reacted_at")
    return (REACTED_WITHIN / np.sqrt(3.0) if one is None else std_of(one)) / session.vehicle.wheelbase


def at_ground_level(session: Session, areas: Array, drag_area: ArrayLike | None = None) -> Array | None:
    """Return the areas as they would be with drag reacted at ground level, as pads feel it.

    Parameters
    ----------
    session : Session
        The session, with the height that was stated. [1]
    areas : numpy.ndarray
        (3, ...): front downforce, rear downforce, drag, with the couple of that height. [m^2]
    drag_area : array_like, optional
        Drag that was measured, where some of it was stated; all of it if absent. [m^2]

    Returns
    -------
    numpy.ndarray or None
        (3, ...); nothing where ground level is what was stated or assumed. [m^2]

    Notes
    -----
    The couple of `add_couple`, taken off again.
    """
    height = session.facility.drag_reacted_at or 0.0
    if not height > 0.0:
        return None
    couple = np.asarray(areas[DRAG] if drag_area is None else drag_area, float)
    return _moved(areas, -(couple * height / session.vehicle.wheelbase))
