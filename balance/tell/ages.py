"""How long ago something was, in words."""

from __future__ import annotations


def age_words(seconds: float) -> str:
    """Say how long ago something was.

    Examples
    --------
    >>> age_words(20), age_words(3 * 3600), age_words(26 * 3600)
    ('just now', '3 hours ago', '1 day ago')
    """
    for unit, length in (("day", 86400), ("hour", 3600), ("minute", 60)):
        count = int(seconds // length)
        if count >= 1:
            return f"{count} {unit}{'s' if count > 1 else ''} ago"
    return "just now"
