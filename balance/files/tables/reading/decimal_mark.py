"""The decimal mark of a whole file: said, or such as its figures can only be read with, or asked for."""

from __future__ import annotations

from typing import TYPE_CHECKING

from balance.files.tables.reading.numerals import MARKS, Mark, marks, plain_numbers

if TYPE_CHECKING:
    from collections.abc import Sequence

    from balance.files.tables.importing.plan import Findings
    from balance.files.tables.reading.grid import Cell


def settle_decimal(
    figures: Sequence[Sequence[Cell]],
    rest: Sequence[Sequence[Cell]],
    findings: Findings,
) -> tuple[Mark | None, bool]:
    """Settle the decimal mark, or ask for it."""
    if findings.options.decimal:
        findings.understood.append(f"decimal {findings.options.decimal}, as given")
        return findings.options.decimal, True
    found = marks(cell for column in figures for cell in column)
    if not found.sure:
        also = marks(cell for column in rest if plain_numbers(column) for cell in column)
        found = found if found.open and not also.sure else also
    if len(found.sure) == 1:
        (mark,) = found.sure
        findings.understood.append(f"decimal {mark}")
        return mark, True
    if found.sure or found.open:
        text = (
            f"'{found.open}' can be read in two ways"
            if found.open
            else "some numbers have a decimal point, others a comma"
        )
        findings.ask_choice("decimal", f"which is the decimal mark? {text}", MARKS)
        return None, False
    return "point", False
