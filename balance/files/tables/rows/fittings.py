"""The other columns: what differs between runs becomes a setting, what is measured or never differs a record."""

from __future__ import annotations

import re
from dataclasses import dataclass
from difflib import SequenceMatcher
from typing import TYPE_CHECKING

from balance.files.formats.cells import NOT_FITTED_SINCE, not_fitted
from balance.files.tables.header.meanings import words_of
from balance.files.tables.header.unit_words import spelled
from balance.files.tables.reading.grid import UNSTORED, cell_text, spans, unmarked
from balance.files.tables.reading.junk import ditto
from balance.files.tables.reading.numerals import Mark, missing, number_text
from balance.files.tables.rows.measures import converted, given_unit
from balance.model.columns import FORMAT, columns
from balance.units.text import dimension_of, known_unit

if TYPE_CHECKING:
    from collections.abc import Sequence

    from balance.files.tables.header.head import HeadColumn
    from balance.files.tables.importing.plan import Findings, ImportOptions
    from balance.files.tables.reading.grid import Cell, RunRow
    from balance.model.kinds import Kind

_MEASURED = ("force", "speed", "density", "power", "temperature")
_NEAR = 0.8


@dataclass(frozen=True, slots=True, kw_only=True)
class Fitting:
    """A column that is neither text of ours nor a channel: its name and unit in runs.csv, and its cells.

    ``total`` says that it is what both axles read together.
    """

    column: HeadColumn
    name: str
    unit: str
    recorded: bool
    cells: tuple[str, ...]
    why: str
    total: bool = False

    @property
    def header(self) -> str:
        """The header in runs.csv."""
        return f"{self.name} [{self.unit}]" if self.unit else self.name


def fit_columns(
    others: Sequence[HeadColumn],
    recorded: Sequence[HeadColumn],
    run_rows: Sequence[RunRow],
    decimal: Mark,
    findings: Findings,
    *,
    own: bool,
    file_format: int = FORMAT,
) -> list[Fitting]:
    """Decide for each other column what it becomes."""
    taken: set[str] = set()
    fittings = []
    for column in sorted((*others, *recorded), key=lambda c: c.index):
        cells = cells_under(column, run_rows)
        if all(cell == "" or (isinstance(cell, str) and not cell.strip()) for cell in cells) and not own:
            continue
        measured = any(column is one for one in recorded)
        name = column.name if own else _own_name(column, taken, measured=measured)
        taken.add(name)
        unit = unit_of(column, name, findings.options)
        as_read = cells = filled_down(column, run_rows, cells, findings)
        if not measured and file_format >= NOT_FITTED_SINCE:
            cells = as_fitted(cells)
        texts, numeric = texts_of(cells, decimal, bare=own and not unit)
        if numeric:
            texts = brought(column, name, unit, run_rows, texts, findings)
        if unit and not numeric:
            findings.assumed.append(f"'{column.header}' has cells that are no numbers: kept as text")
            name, unit = f"{name}_{words_of(unit).replace(' ', '_')}".rstrip("_"), ""
        elif numeric and unit and unit != "1" and (not known_unit(unit) or "]" in unit or "[" in unit):
            if measured:
                unit = ""
            else:
                findings.ask(
                    f"unit.{name}", f"'{column.header}' has the unknown unit '{cell_text(unit)}'",
                    f"--unit {name}=deg (1 for a plain number)", "units", ("deg", "mm", "1"),
                )  # fmt: skip
        if not own and not measured:
            blanks(column.header, run_rows, as_read, findings, numeric=numeric)
        why = _why(column, unit, texts, findings.options, measured=measured, own=own)
        if not why and not own and numeric and not unit:
            findings.assumed.append(
                f"'{column.header}': numbers without a unit, kept as text; --unit {name}=deg gives them one"
            )
        fittings.append(
            Fitting(column=column, name=name, unit=unit, recorded=bool(why), cells=tuple(texts), why=why)
        )
    return fittings


def cells_under(column: HeadColumn, run_rows: Sequence[RunRow]) -> list[str | float]:
    """Return the cells of a column, without the apostrophe that keeps a text from being taken for a formula."""
    index = column.index
    return [unmarked(one.row.cell(index)) for one in run_rows]


def as_fitted(cells: Sequence[str | float]) -> list[str | float]:
    """Empty the cells of a setting that say in words that the part is not fitted."""
    return ["" if isinstance(cell, str) and not_fitted(cell) else cell for cell in cells]


def filled_down(
    column: HeadColumn,
    run_rows: Sequence[RunRow],
    cells: list[str | float],
    findings: Findings,
) -> list[str | float]:
    """Put what stands above where a cell says that it is the same, if the person says so."""
    out: list[str | float] = []
    if not any(isinstance(cell, str) and ditto(cell_text(cell)) for cell in set(cells)):
        return cells
    for one, cell in zip(run_rows, cells, strict=True):
        if not isinstance(cell, str) or not ditto(cell_text(cell)):
            out.append(cell)
        elif findings.options.fill_down and out:
            out.append(out[-1])
        else:
            text = f"'{cell_text(cell)}' under '{column.header}': does it mean the one above?"
            option = f"--fill-down if so, or --drop-rows 'line {one.row.line}'"
            findings.ask_of_row("blank", one.row.line, text, option, "fill_down")
            out.append(cell)
    return out


def brought(
    column: HeadColumn, name: str, unit: str, run_rows: Sequence[RunRow], texts: list[str], findings: Findings
) -> list[str]:
    """Bring figures whose unit changes midway to the first one, or ask."""
    if not any(column.index in one.units for one in run_rows):
        return texts
    out = []
    for one, text in zip(run_rows, texts, strict=True):
        later = spelled(one.units.get(column.index, unit))
        same_kind = known_unit(later) and known_unit(unit) and dimension_of(later) == dimension_of(unit)
        if later == unit or not text:
            out.append(text)
        elif same_kind and (kind := dimension_of(unit)) is not None:
            out.append(converted(text, later, unit, kind))
        else:
            findings.ask(
                f"unit.{name}",
                f"line {one.row.line}: '{column.header}' changes its unit to {cell_text(later)}",
                "--lines, part by part",
                "lines",
            )
            out.append(text)
    return out


def unit_of(column: HeadColumn, name: str, options: ImportOptions, kind: Kind | None = None) -> str:
    """Return the unit of a column as our files write it: the one that somebody has said, else its own."""
    given = given_unit(column, (name,), options)
    written = column.unit if given is None else given
    if written.casefold() in ("text", "yes/no", "string", "#", "hh:mm", "h:m"):
        return ""
    unit = spelled(written, kind)
    return unit if unit != "1" or given or written == "1" else ""


def texts_of(cells: Sequence[str | float], decimal: Mark, *, bare: bool) -> tuple[list[str], bool]:
    """Return the cells as they go into runs.csv, and whether they are all numbers."""
    if bare:
        return [cell_text(cell) for cell in cells], False
    numbers = [
        ""
        if missing(cell)
        else number_text(cell.removesuffix("%") if isinstance(cell, str) else cell, decimal)
        for cell in cells
    ]
    if any(numbers) and None not in numbers:
        return [number or "" for number in numbers], True
    return [cell_text(cell) for cell in cells], False


def _why(
    column: HeadColumn, unit: str, texts: Sequence[str], options: ImportOptions, *, measured: bool, own: bool
) -> str:
    """State why a column is a record; nothing where it is a setting."""
    if measured:
        return "measured, not set"
    names = {words_of(column.header), words_of(column.name)}
    if own or any(words_of(name) in names for name in options.settings):
        return ""
    if unit and known_unit(unit) and dimension_of(unit) in _MEASURED:
        return f"measured, not set: it is {dimension_of(unit)}"
    return "" if len(set(texts)) > 1 or len(texts) == 1 else "the same in every run"


def _own_name(column: HeadColumn, taken: set[str], *, measured: bool) -> str:
    """Make a name that is plain, not taken, and not near one of ours."""
    plain = words_of(column.name).encode("ascii", "ignore").decode()
    name = plain.strip().replace(" ", "_").replace("#", "no").replace("%", "pct")
    name = re.sub(r"_+", "_", name).strip("_") or f"column_{column.index + 1}"
    near = any(SequenceMatcher(None, name, known).ratio() >= _NEAR for known in columns())
    if near and (measured or name not in ("front_lip", "rear_lip")):
        name = f"other_{name}"
        while (
            any(SequenceMatcher(None, name, known).ratio() >= _NEAR for known in columns()) and not measured
        ):
            name = f"other_{name}"
    unique, count = name, 2
    while unique in taken or unique in columns():
        unique, count = f"{name}_{count}", count + 1
    return unique


def blanks(
    header: str, run_rows: Sequence[RunRow], cells: Sequence[Cell], findings: Findings, *, numeric: bool
) -> None:
    """State in which rows a setting is taken for not fitted, and by which words."""
    none = {cell for cell in set(cells) if missing(cell) and cell_text(cell) in _NOTHING}
    lines = [one.row.line for one, cell in zip(run_rows, cells, strict=True) if cell in none]
    words = dict.fromkeys(
        cell_text(cell)
        for cell in dict.fromkeys(cells)
        if cell not in none and ((numeric and missing(cell)) or (isinstance(cell, str) and not_fitted(cell)))
    )
    if lines and numeric:
        findings.assumed.append(
            f"'{header}' is blank, so not fitted: line{'s' * (len(lines) > 1)} {spans(lines)}"
        )
    if words:
        listed = ", ".join(f"'{word}'" for word in list(words)[:_MOST_LISTED])
        findings.assumed.append(f"'{header}': {listed} is taken for not fitted")


_NOTHING = frozenset(("", "-", "–", "—", UNSTORED))
_MOST_LISTED = 6
