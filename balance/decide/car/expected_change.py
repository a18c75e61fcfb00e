"""A part of a library put on a car: what is expected of it, how far that may be off, and its draws."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from balance.decide.day.own_draws import Source, own_normals
from balance.model.channels import CHANNELS, DRAG, FRONT, REAR
from balance.model.errors import InputError, quoted

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from balance.model.libraries import FromLibrary
    from balance.reduce.draws import SharedDraws

    Array = NDArray[np.float64]


def expected_change(one: FromLibrary) -> Array:
    """Return what is expected of a part.

    Parameters
    ----------
    one : FromLibrary
        What a library says of it. [1]

    Returns
    -------
    numpy.ndarray
        (3,) change of front downforce, rear downforce and drag. [m^2]

    Raises
    ------
    InputError
        If the library has too little to say, with its reason.

    Notes
    -----
    The middle of the range for the next car. As of `balance.decide.library.next_car`.
    """
    if one.mean is None or one.std is None:
        reason = one.why_not or "nothing that was read from a library"
        raise InputError(f"part {quoted(one.part)} from the library: found {reason}")
    return np.array(one.mean)


def expected_covariance(one: FromLibrary) -> Array:
    """Return how far a part may be off what is expected of it.

    Parameters
    ----------
    one : FromLibrary
        What a library says of it, known. [1]

    Returns
    -------
    numpy.ndarray
        (3, 3) of front, rear and drag. [m^4]

    Notes
    -----
    The axles go together as total downforce over the cars says; drag goes by itself. As of
    `balance.decide.library.next_car`.

    Examples
    --------
    >>> from balance.model.libraries import FromLibrary
    >>> known = FromLibrary(part="wing", cars=7, mean=(0.0, 0.1, 0.0), std=(2.0, 3.0, 1.0), front_rear=-0.5)
    >>> expected_covariance(known).tolist()
    [[4.0, -3.0, 0.0], [-3.0, 9.0, 0.0], [0.0, 0.0, 1.0]]
    """
    std = np.zeros(len(CHANNELS)) if one.std is None else np.array(one.std)
    correlation = np.eye(len(CHANNELS))
    correlation[FRONT, REAR] = correlation[REAR, FRONT] = one.front_rear
    return np.asarray(std[:, None] * correlation * std)


def expected_noise(shared: SharedDraws, number: int, one: FromLibrary) -> Array:
    """Draw how far a part is off what is expected of it.

    Parameters
    ----------
    shared : SharedDraws
        Seed and number of draws. [1]
    number : int
        Its place in the list of such parts, from 0. [1]
    one : FromLibrary
        What a library says of it, known. [1]

    Returns
    -------
    numpy.ndarray
        (3, draws) of front, rear and drag. [m^2]

    Notes
    -----
    Normal, with the covariance of `expected_covariance`; the same for the same place in the list.

    References
    ----------
    JCGM 101:2008, 6.4.8 (multivariate normal distribution).
    """
    normals = own_normals(shared, Source.LIBRARY, number, len(CHANNELS))
    drawn = np.empty_like(normals)
    drawn[FRONT], drawn[DRAG] = normals[FRONT], normals[DRAG]
    apart = np.sqrt(max(0.0, 1.0 - one.front_rear**2))
    drawn[REAR] = one.front_rear * normals[FRONT] + apart * normals[REAR]
    std = np.zeros(len(CHANNELS)) if one.std is None else np.array(one.std)
    return np.asarray(std[:, None] * drawn)
