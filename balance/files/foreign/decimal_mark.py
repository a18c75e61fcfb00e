"""The decimal mark of a whole file: said, or such as its figures can only be read with, or asked for."""

from __future__ import annotations

from typing import TYPE_CHECKING

from balance.files.foreign.numerals import Mark, marks

if TYPE_CHECKING:
    from collections.abc import Iterable

    from balance.files.foreign.grid import Cell
    from balance.files.foreign.plan import Findings, ImportOptions


def settle_decimal(
    figures: Iterable[Cell], rest: Iterable[Cell], options: ImportOptions, findings: Findings
) -> Mark | None:
    """Settle the decimal mark, or ask for it.

    Parameters
    ----------
    figures : iterable of str or float
        Cells that should be numbers: readings and conditions.
    rest : iterable of str or float
        Cells that may be numbers, looked at where those settle nothing.
    options : ImportOptions
        The person's answers.
    findings : Findings
        Gets what was understood, or the question.

    Returns
    -------
    {'point', 'comma'} or None
        The mark, a point where no figure has one; None where it had to be asked for.
    """
    if options.decimal:
        findings.understood.append(f"decimal {options.decimal}, as given")
        return options.decimal
    found = marks(figures)
    if not found.sure:
        also = marks(rest)
        found = found if found.open and not also.sure else also
    if len(found.sure) == 1:
        (mark,) = found.sure
        findings.understood.append(f"decimal {mark}")
        return mark
    if found.sure or found.open:
        text = (
            f"'{found.open}' can be read in two ways"
            if found.open
            else "some numbers have a decimal point, others a comma"
        )
        findings.ask(
            "decimal",
            f"which is the decimal mark? {text}",
            "--decimal point|comma",
            "decimal",
            ("point", "comma"),
        )
        return None
    return "point"
