"""Arrays of results, which nobody changes once they are made."""

from __future__ import annotations

from typing import TYPE_CHECKING, TypeVar

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    _Kind = TypeVar("_Kind", bound=np.generic)


def read_only(array: NDArray[_Kind]) -> NDArray[_Kind]:
    """Lock an array, the same and no copy: writing to it raises ``ValueError`` from now on."""
    array.flags.writeable = False
    return array
