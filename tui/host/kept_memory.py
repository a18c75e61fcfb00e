"""Memory that arrays of draws give back, kept for the next ones."""

import numpy as np

KEPT_BYTES = 16 << 20
"""Half of the memory that is kept: more than the arrays of some rows' draws take at once."""


def keep_memory() -> None:
    """Have memory that arrays of draws give back kept for the next ones: fetched anew, it takes a third of their time.

    The C library of Linux keeps what lies free up to twice the largest block that it has seen given back (mallopt(3),
    M_MMAP_THRESHOLD and M_TRIM_THRESHOLD): one is given back here, which nothing was written to and so no memory stands
    behind. Elsewhere it does nothing.
    """
    np.empty(KEPT_BYTES, np.uint8)
