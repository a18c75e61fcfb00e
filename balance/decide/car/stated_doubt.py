"""How far a stated change or force may be off: as it was stated, or a tenth of it where nobody said."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from balance.model.channels import CHANNELS
from balance.model.records import std_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from balance.model.what_ifs import PlacedForce, StatedChange

_ASSUMED = 0.1  # of a stated change, as its standard uncertainty: common practice, no source
_FIGURES = ("downforce", "drag", "behind_rear_axle", "height")


def stated_stds(stated: Sequence[StatedChange]) -> NDArray[np.float64]:
    """Return the standard uncertainties of stated changes.

    Parameters
    ----------
    stated : sequence of StatedChange
        Changes of one car. [1]

    Returns
    -------
    numpy.ndarray
        (changes, 3) of front downforce, rear downforce, drag. [m^2]

    Notes
    -----
    Where nothing was said of its uncertainty, that of a change is a tenth of itself, and that of a stated 0 a tenth of
    the largest of all these changes.

    References
    ----------
    Common practice, no source.

    Examples
    --------
    >>> from balance.model.what_ifs import StatedChange
    >>> stated_stds([StatedChange(front=0.5, rear=0.0, assumed=("front", "rear"))]).tolist()
    [[0.05, 0.05, 0.0]]
    """
    shape = (len(stated), len(CHANNELS))
    values = np.array([[getattr(one, name) for name in CHANNELS] for one in stated]).reshape(shape)
    own = np.array([[getattr(one, f"{name}_std") for name in CHANNELS] for one in stated]).reshape(shape)
    assumed = np.array([[name in one.assumed for name in CHANNELS] for one in stated], bool).reshape(shape)
    sizes = np.abs(values)
    usual = _ASSUMED * np.where(sizes > 0.0, sizes, sizes.max(initial=0.0))
    return np.where(assumed, usual, own)


def force_stds(force: PlacedForce) -> NDArray[np.float64]:
    """Return the standard uncertainties of a force at a place.

    Parameters
    ----------
    force : PlacedForce
        With what was said of its figures. [1]

    Returns
    -------
    numpy.ndarray
        (4,): of downforce and drag, as areas, and of the distance behind the rear axle and the height. [m]

    Notes
    -----
    As of `stated_stds` for downforce and drag; a place of which nothing was said is exact.
    """
    said = force.uncertainties
    usual = (_ASSUMED * abs(force.downforce), _ASSUMED * abs(force.drag), 0.0, 0.0)
    return np.array(
        [std_of(said[name]) if name in said else other for name, other in zip(_FIGURES, usual, strict=True)]
    )
