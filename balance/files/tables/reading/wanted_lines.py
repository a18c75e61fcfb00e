"""Which lines of a file are wanted, as somebody writes it: ``12-40``, or ``12-`` to its end."""

from __future__ import annotations

import re

from balance.model.errors import InputError, quoted

_LINES = re.compile(r"\s*(\d{1,9})\s*-\s*(\d{0,9})\s*", re.ASCII)
_END = 10**9
"""Beyond the last line of any file that is read."""


def wanted_lines(text: str) -> tuple[int, int]:
    """Read which lines are wanted.

    Examples
    --------
    >>> wanted_lines("12-40"), wanted_lines("12 -")[0]
    ((12, 40), 12)
    """
    match = _LINES.fullmatch(text)
    first, last = (int(match[1]), int(match[2] or _END)) if match else (1, 0)
    if first > last:
        raise InputError(f"found {quoted(text)}, expected two line numbers as 12-40, or 12- to the end")
    return first, last
