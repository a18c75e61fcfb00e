"""Times of day as runs.csv has them, in minutes."""

from __future__ import annotations

import re

_CLOCK = re.compile(r"\s*(\d{1,2})[:.h](\d{2})(?:[:.](\d{2}))?\s*([ap])?\.?m?\b", re.IGNORECASE)


def minutes_of(text: str) -> float | None:
    """Read a time of day in minutes after midnight.

    Parameters
    ----------
    text : str
        As written, "13:05", "1.05 pm" or "13h05". [1]

    Returns
    -------
    float or None
        Minutes after midnight; nothing where it is no time. [1]

    Notes
    -----
    Seconds count where they are written.

    Examples
    --------
    >>> minutes_of("13:05"), minutes_of("1:05 pm"), minutes_of("after lunch")
    (785.0, 785.0, None)
    """
    found = _CLOCK.match(text)
    if found is None:
        return None
    hours, minutes, seconds = (int(part or 0) for part in found.groups()[:3])
    half = (found[4] or "").casefold()
    if half:
        hours = hours % 12 + (12 if half == "p" else 0) if 1 <= hours <= 12 else 24
    return None if hours > 23 or minutes > 59 else 60.0 * hours + minutes + seconds / 60.0
