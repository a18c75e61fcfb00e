"""A column of a file that is one of the session: as somebody has said, with its unit and its sign."""

from __future__ import annotations

from dataclasses import asdict, astuple, dataclass
from decimal import Decimal
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

from balance.files.formats.cells import read_cell
from balance.files.tables.header.meanings import meaning_of
from balance.files.tables.rows.measures import SCALES, converted
from balance.model.columns import CONDITIONS, columns
from balance.model.kinds import clean_number
from balance.units.text import dimension_of

if TYPE_CHECKING:
    from collections.abc import Mapping

    from balance.files.formats.runs_header import ColumnPlan
    from balance.model.kinds import Kind

_SCALES = ("1", *SCALES)


@dataclass(frozen=True, slots=True, kw_only=True)
class FileColumn:
    """What is known of a column of the file once somebody has said which one of the session it is.

    ``unit`` is that of its figures, as our files write it; ``positive`` says where positive figures point, ``up``
    or ``down``, ``rearward`` or ``forward``, empty where there is no such question; ``scale`` turns a figure into
    one of the unit.
    """

    header: str
    unit: str = ""
    positive: str = ""
    scale: str = "1"

    @property
    def name(self) -> str:
        """What the file calls it, without its unit."""
        return meaning_of(self.header)[1] if self.unit else self.header

    def sign_reversed(self, plan: ColumnPlan) -> bool:
        """Return whether its sign is the other one of the session's column."""
        if plan.role not in ("reading", "total"):
            return False
        return self.positive != positive_of(plan)

    def restated(self, plan: ColumnPlan) -> bool:
        """Return whether its figures are brought to another unit for the session's column."""
        kind = kind_of(plan)
        return self.scale != "1" or (kind is not None and self.unit != plan.unit)

    def cell(self, text: str, plan: ColumnPlan) -> str:
        """Bring a cell to the unit and the sign of the session's column."""
        reversed_sign = self.sign_reversed(plan)
        if not reversed_sign and not self.restated(plan):
            return text
        if read_cell(text) is None:
            return ""
        figure = Decimal(clean_number(text)) * Decimal(self.scale)
        kind = kind_of(plan) if self.unit != plan.unit else None
        plain = f"{-figure if reversed_sign else figure:f}"
        return plain if kind is None else converted(plain, self.unit, plan.unit, kind)


def positive_of(plan: ColumnPlan) -> str:
    """Return where positive figures of a column of readings point."""
    return "rearward" if plan.channel == "drag" else "up" if columns()[plan.name].positive_up else "down"


def kind_of(plan: ColumnPlan) -> Kind | None:
    """Return what the figures of a column measure; nothing where one unit is all that they can have."""
    if plan.role in ("reading", "total"):
        return None if plan.form == "coefficient" else "area" if plan.form == "area" else "force"
    if plan.role == "condition":
        return CONDITIONS[plan.name].measures
    return dimension_of(plan.unit) if plan.unit else None


def columns_record(called: Mapping[str, FileColumn]) -> dict[str, dict[str, str]]:
    """Return columns as plain values, for the journal."""
    return {name: asdict(column) for name, column in called.items()}


def columns_from(record: Mapping[str, Mapping[str, Any]]) -> dict[str, FileColumn]:
    """Read columns from plain values, as `columns_record` gives them; `TypeError` where they are none."""
    called = {name: FileColumn(**values) for name, values in record.items()}
    for column in called.values():
        if column.scale not in _SCALES or not all(isinstance(text, str) for text in astuple(column)):
            raise TypeError("a column that is not as it was written")
    return called


AS_THEY_ARE: Mapping[str, FileColumn] = MappingProxyType({})
"""Of a file of which nobody has said anything."""
