"""Rows in order of a value."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence


def order_rows(
    rows: Sequence[int], value: Callable[[int], tuple[int, float | str]], *, falling: bool
) -> list[int]:
    """Order rows by a value, those without one last whichever way it goes.

    Examples
    --------
    >>> order_rows([0, 1, 2], {0: (0, 5.0), 1: (2, ""), 2: (0, 7.0)}.__getitem__, falling=True)
    [2, 0, 1]
    """
    keyed = [(value(row), row) for row in rows]
    present = sorted((item for item in keyed if item[0][0] != 2), key=lambda item: item[0], reverse=falling)
    return [row for _, row in present] + [row for key, row in keyed if key[0] == 2]
