"""What was chosen by hand for the columns of a watched file, in words."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from balance.files.formats.runs_header import ColumnPlan
    from balance.files.tables.header.file_column import FileColumn


def column_words(plan: ColumnPlan, column: FileColumn) -> str:
    """Say what a column of the session is in the file."""
    words = [f"the file's '{column.name}'"]
    if column.unit:
        restated = column.restated(plan)
        words.append(f"{column.unit}, brought to {plan.unit}" if restated else column.unit)
    elif column.scale != "1":
        words.append(f"times {column.scale}")
    if column.positive:
        turned = column.sign_reversed(plan)
        words.append(f"positive {column.positive}" + (", its sign turned" if turned else ""))
    return ", ".join(words)


def chosen_words(
    plans: Sequence[ColumnPlan], called: Mapping[str, FileColumn], header: Sequence[str]
) -> tuple[str, ...]:
    """Say of each column that was chosen by hand what it is."""
    lines = []
    for plan in plans:
        if plan.name in called and called[plan.name].header:
            column = called[plan.name]
            gone = "" if column.header in header or not header else ", WHICH IS NOT THERE"
            lines.append(f"{plan.name} is {column_words(plan, column)}{gone}: chosen by you")
    return tuple(lines)
