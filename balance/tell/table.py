"""A table, the same on the screen, in print and on paper: columns that give way in order, and ready cells."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from collections.abc import Mapping

Cell = tuple[str, str]
"""Ready text and its role: "", "muted", "good", "warn", "danger" or "strong"."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """One column: what stands over it, how wide it is, and how readily it gives way (a higher priority goes first).

    ``width`` is the least width in cells, widened to hold title and unit. ``decimals`` is the most characters
    after the decimal point, for cells aligned on it. A flexible column takes what width is left over. ``term`` is the
    key of the glossary entry that explains it.
    """

    key: str
    title: str
    unit: str = ""
    align: Literal["left", "right", "decimal"] = "left"
    width: int = 1
    priority: int = 0
    group: str = ""
    decimals: int = 0
    flexible: bool = False
    term: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class PlainTable:
    """A heading, columns, and rows: cells by the columns' keys."""

    heading: str
    columns: tuple[Column, ...]
    rows: tuple[Mapping[str, Cell], ...]
