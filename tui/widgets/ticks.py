"""Round numbers along an axis and their labels."""

from __future__ import annotations

from itertools import count
from math import ceil, floor, log10


def round_ticks(low: float, high: float, most: int) -> list[float]:
    """Choose round numbers in a range, in steps of 1, 2 or 5 times a power of ten.

    Examples
    --------
    >>> round_ticks(-2.2, 6.4, 5)
    [-2.0, 0.0, 2.0, 4.0, 6.0]
    """
    first = floor(log10((high - low) / max(1, most)))
    steps = (factor * 10.0**power for power in count(first) for factor in (1, 2, 5))
    tolerance = 1e-9
    for step in steps:
        lowest, highest = ceil(low / step - tolerance), floor(high / step + tolerance)
        if highest - lowest + 1 <= max(1, most):
            return [index * step for index in range(lowest, highest + 1)]
    raise AssertionError  # pragma: no cover - steps never end


def tick_labels(ticks: list[float], *, minus: str = "−") -> list[str]:
    """Write ticks with the decimals that tell them apart.

    Examples
    --------
    >>> tick_labels([-0.5, 0.0, 0.5])
    ['−0.5', '0.0', '0.5']
    """
    step = ticks[1] - ticks[0] if len(ticks) > 1 else max((abs(tick) for tick in ticks), default=1.0) or 1.0
    decimals = max(0, -floor(log10(step) + 1e-6))
    largest = max(map(abs, ticks), default=0.0)
    style = f".{decimals}f" if decimals <= 5 and largest < 1e7 else ".4g"
    return [f"{tick + 0.0:{style}}".replace("-", minus) for tick in ticks]
