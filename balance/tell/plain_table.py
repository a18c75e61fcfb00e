"""A small table in a page of text: columns, and rows of ready cells."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Mapping

    from balance.tell.run_table import Cell, TableColumn


@dataclass(frozen=True, slots=True, kw_only=True)
class PlainTable:
    """A heading, columns, and rows: text and role by the columns' keys."""

    heading: str
    columns: tuple[TableColumn, ...]
    rows: tuple[Mapping[str, Cell], ...]
