"""A row of a file that becomes a run."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Mapping

    from balance.files.tables.reading.grid import Row


@dataclass(slots=True, kw_only=True)
class RunRow:
    """A row that becomes a run: its figures by column as plain text, its texts, and its own units if they changed."""

    row: Row
    label: str
    configuration: str
    status: str
    figures: dict[int, str]
    units: Mapping[int, str] = field(default_factory=dict)
