"""Text of a user as it may stand in a page or a picture."""

from __future__ import annotations

_DIRECTIONS = dict.fromkeys(
    [
        *range(0x9),
        *range(0x0E, 0x20),
        0x7F,
        0x061C,
        0x200E,
        0x200F,
        *range(0x202A, 0x202F),
        *range(0x2066, 0x206A),
    ]
)


def cut(text: str, most: int) -> str:
    """Cut a long text, and show that it was.

    Examples
    --------
    >>> cut("splitter and wing", 10)
    'splitter…'
    """
    return text if len(text) <= most else f"{text[: most - 1].rstrip()}…"


def undirected(text: str) -> str:
    r"""Drop marks that turn the direction of writing, and control characters; words of any script stay.

    Examples
    --------
    >>> undirected("wing\u200f \u202e5")
    'wing 5'
    """
    return text.translate(_DIRECTIONS)
