"""Arrays of results, which nobody changes once they are made."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray


def read_only(array: NDArray[np.float64]) -> NDArray[np.float64]:
    """Lock an array, the same and no copy: writing to it raises ``ValueError`` from now on."""
    array.flags.writeable = False
    return array
