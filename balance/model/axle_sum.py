"""Whether a total that was read is the sum of its axles, as every table that has one is held to."""

from __future__ import annotations

WITHIN_STDS = 4.0
"""Standard deviations of one reading within which a total is the sum of its axles, where they are known."""
_TOTAL_OF_AXLE = 0.02
"""How far a total may be from its axles, as a part of the larger, where no scatter is known. Common practice, no source."""


def total_parts(front: float, rear: float, total: float, sign: str, *, allowed: float | None = None) -> bool:
    """Return whether a total is not the sum of its axles.

    Examples
    --------
    >>> total_parts(-100.0, -400.0, -700.0, "down"), total_parts(100.0, 400.0, -500.0, "up")
    (True, False)
    """
    slack = _TOTAL_OF_AXLE * max(abs(front), abs(rear)) if allowed is None else allowed
    readings = {"up": (-total,), "down": (total,)}.get(sign, (total, -total))
    return all(abs(front + rear - one) > slack for one in readings)
