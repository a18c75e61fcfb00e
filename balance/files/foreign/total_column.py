"""The total of a file that has both axles as well: kept as the total of runs.csv, and held against their sum."""

from __future__ import annotations

from typing import TYPE_CHECKING

from balance.columns import TOTALS
from balance.files.foreign.fittings import Fitting, brought, cells_under, texts_of, unit_of
from balance.files.foreign.meanings import words_of
from balance.units import dimension_of, known_unit

if TYPE_CHECKING:
    from collections.abc import Sequence

    from balance.files.foreign.head import HeadColumn
    from balance.files.foreign.kept import Kept
    from balance.files.foreign.numerals import Mark
    from balance.files.foreign.plan import Findings, ImportOptions
    from balance.records import Form


def total_fitting(
    recorded: Sequence[HeadColumn],
    kept: Sequence[Kept],
    form: Form,
    decimal: Mark,
    options: ImportOptions,
    findings: Findings,
) -> Fitting | None:
    """Find the total among the columns that are measured.

    Parameters
    ----------
    recorded : sequence of HeadColumn
        Columns that are neither words nor channels.
    kept : sequence of Kept
        The rows that become runs.
    form : str
        That of the axles, which the total has to have too.
    decimal : {'point', 'comma'}
        The decimal mark of the file.
    options : ImportOptions
        The person's answers: what they call a record stays one.
    findings : Findings
        Gets a question where a unit changes midway and cannot be brought to the first.

    Returns
    -------
    Fitting or None
        The column of runs.csv; None where no column says by its words that it is the total, and which way it counts.
    """
    names = {"up": "total_lift", "down": "total_downforce"}
    said = {words_of(name) for name in options.recorded}
    for column in recorded:
        name = names.get(column.meaning.sign, "")
        if column.meaning.quantity != "total" or column.meaning.coefficient or name not in TOTALS:
            continue
        if said & {words_of(column.header), words_of(column.name)}:
            continue
        unit = unit_of(column, name, options, "force")
        if not known_unit(unit) or dimension_of(unit) != form:
            continue
        cells = cells_under(column, kept)
        texts, numeric = texts_of(cells, decimal, bare=False)
        if numeric:
            return Fitting(
                column=column,
                name=name,
                unit=unit,
                recorded=False,
                cells=tuple(brought(column, name, unit, kept, texts, findings)),
                why="held against the sum of the axles",
                total=True,
            )
    return None
