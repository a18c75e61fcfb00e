"""How far a stated change may be off: as it was stated, or a tenth of it where nobody said."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from balance.what_ifs import StatedChange

_ASSUMED = 0.1  # of a stated change, as its standard uncertainty: common practice, no source
_CHANNELS = ("front", "rear", "drag")


def stated_stds(stated: Sequence[StatedChange]) -> NDArray[np.float64]:
    """Give the standard uncertainties of stated changes.

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
    >>> from balance.what_ifs import StatedChange
    >>> stated_stds([StatedChange(front=0.5, rear=0.0, assumed=("front", "rear"))]).tolist()
    [[0.05, 0.05, 0.0]]
    """
    values = np.array([[getattr(one, name) for name in _CHANNELS] for one in stated]).reshape(-1, 3)
    own = np.array([[getattr(one, f"{name}_std") for name in _CHANNELS] for one in stated]).reshape(-1, 3)
    assumed = np.array([[name in one.assumed for name in _CHANNELS] for one in stated], bool).reshape(-1, 3)
    sizes = np.abs(values)
    usual = _ASSUMED * np.where(sizes > 0.0, sizes, sizes.max(initial=0.0))
    return np.where(assumed, usual, own)
