"""Labels that never overlap: on rows below an axis, and down a margin."""

from __future__ import annotations

from typing import NamedTuple

from tui.widgets.plain import cells

GAP = 2


class Placed(NamedTuple):
    """A text and where it begins."""

    x: int
    row: int
    text: str
    role: str


class LabelRows:
    """Rows of a given width that are filled from the top, each text on the first row with room."""

    def __init__(self, width: int, most: int) -> None:
        self.width = width
        self.most = most
        self.placed: list[Placed] = []

    @property
    def used(self) -> int:
        """Number of rows with a text."""
        return max((placed.row + 1 for placed in self.placed), default=0)

    def add(self, *choices: tuple[int, str], role: str = "") -> bool:
        """Place a text on the first row where one of its choices has room."""
        for row in range(self.most):
            for x, text in choices:
                if self._has_room(x, row, cells(text)):
                    self.placed.append(Placed(x, row, text, role))
                    return True
        return False

    def _has_room(self, x: int, row: int, length: int) -> bool:
        if x < 0 or x + length > self.width:
            return False
        return all(
            other.row != row or x >= other.x + cells(other.text) + GAP or x + length + GAP <= other.x
            for other in self.placed
        )


def spread(rows: list[int], height: int) -> list[int]:
    """Move rows apart so that each is taken once, as little as need be.

    Examples
    --------
    >>> spread([3, 3, 9], 10)
    [3, 4, 9]
    >>> spread([9, 9], 10)
    [8, 9]
    """
    taken: list[int] = []
    for row in rows:
        taken.append(max(row, taken[-1] + 1 if taken else 0))
    limit = height - 1
    for index in range(len(taken) - 1, -1, -1):
        taken[index] = min(taken[index], limit)
        limit = taken[index] - 1
    return taken
