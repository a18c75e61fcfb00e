"""What stands beside the readings and may change what they mean, or was not used: asked about, or said."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from balance.files.tables.header.head import header_above, placed
from balance.files.tables.header.header_words import header_words
from balance.files.tables.header.meanings import words_of
from balance.files.tables.header.roles import CHANNEL_WORDS
from balance.files.tables.header.unit_words import spelled
from balance.files.tables.reading.grid import UNSTORED, Dressed, cell_text
from balance.files.tables.rows.measures import reading_name
from balance.model.columns import LINKS
from balance.units.text import dimension_of, known_unit

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from balance.files.tables.header.head import Head, HeadColumn
    from balance.files.tables.header.roles import Roles
    from balance.files.tables.importing.plan import Findings
    from balance.files.tables.reading.grid import Cell, Grid, Row, RunRow
    from balance.files.tables.rows.fittings import Fitting
    from balance.files.tables.rows.measures import Measure

_UNIT_HEADERS = header_words("marks")["units"]
_LISTED = 6


def doubt_columns(
    head: Head,
    roles: Roles,
    run_rows: Sequence[RunRow],
    measures: Iterable[Measure],
    findings: Findings,
) -> None:
    """Ask about cells of the kept rows that say something of their figures, and tell of columns without a header."""
    figures = {one.column.index: one for one in measures}
    used = {c.index for c in (*roles.texts.values(), *roles.recorded, *roles.others)} | figures.keys()
    for index in sorted(used):
        _unstored(index, head, run_rows, findings)
    for measure in figures.values():
        _other_unit_shown(measure.column, measure.unit, run_rows, findings)
    for column in (*roles.others, *roles.recorded):
        _other_unit_shown(column, column.unit, run_rows, findings)
        readings = {
            m.unit
            for m in figures.values()
            if m.form == "force" and m.quantity in ("front", "rear", "drag", "total")
        }
        _unit_column(column, run_rows, readings, findings)
    _without_header(head, used, run_rows, findings)


def ask_header_above(grid: Grid, head: Head, findings: Findings) -> None:
    """Ask about another header above the one found, with figures of its own."""
    above = header_above(grid, head)
    if above is not None:
        line = grid.rows[head.first].line
        findings.ask(
            f"header.{above.line}",
            f"lines {above.line} and {line}: two headers with figures under each; import the parts one by one",
            f"--lines {above.line}-{line - 1}, then --lines {line}-",
            "lines",
            (f"{above.line}-{line - 1}", f"{line}-"),
        )


_ONE_BY_ONE = 3
"""Names that are asked about one by one; more of them have one answer, as where a facility numbers its repeats."""


def settle_names(cells: Mapping[str, list[str]], settings: Sequence[str], findings: Findings) -> None:
    """Ask whether configurations of the same settings and other names are one, and name them by the answer."""
    names, options = cells["configuration"], findings.options
    if options.same_settings == "apart" or any(any(cells.get(column, ())) for column in LINKS):
        return
    void = [status == "void" for status in cells.get("status", [""] * len(names))]
    first: dict[tuple[str, ...], int] = {}
    alike: dict[str, tuple[int, int]] = {}
    for row, name in enumerate(names):
        fitted = tuple(cells[header][row] for header in settings)
        if any(fitted) and not void[row]:
            earlier = first.setdefault(fitted, row)
            if name != names[earlier] and name not in options.names:
                alike.setdefault(name, (earlier, row))
    if options.same_settings == "one":
        now = {name: names[earlier] for name, (earlier, _) in alike.items()}
        findings.options = replace(options, names={**options.names, **now})  # for rows that come later too
        names[:] = [now.get(name, name) for name in names]
        return
    told = [
        f"runs {cells['run'][earlier]} and {cells['run'][row]} have the same settings and other names, "
        f"'{names[earlier]}' and '{name}'"
        for name, (earlier, row) in alike.items()
    ]
    if len(alike) > _ONE_BY_ONE:
        more = f"{len(alike)} names stand for what another name stands for too; {told[0]}: one configuration each?"
        findings.ask_choice("same_settings", more, ("one", "apart"))
        return
    for text, (name, (earlier, _)) in zip(told, alike.items(), strict=True):
        findings.ask(
            f"names.{name}",
            f"{text}: one configuration?",
            f'--name "{name}={names[earlier]}", or --name "{name}={name}" if something else differed',
            "names",
            (names[earlier], name),
        )


def doubt_header(row: Row, head: Head, readings: Mapping[str, Measure], findings: Findings) -> None:
    """Ask, of each reading that the person has not placed, whether its column is one beside it."""
    named = set(findings.options.columns.values())
    headed = {c.index for c in head.columns if c.header}
    for quantity, measure in readings.items():
        index = measure.column.index
        if measure.column.header in named or placed(index) in named:
            continue
        beyond = next((i for i in range(index + 1, len(row.cells)) if i in headed), len(row.cells))
        target = "pitching_moment" if quantity == "moment" else reading_name(measure, quantity)
        choices = tuple(placed(i) for i in range(index, beyond))
        text = f"line {row.line}: '{row.start}' may be part of the header; which column is {target}: {', '.join(choices)}?"
        findings.ask_column(target, text, choices)


def _cells(index: int, run_rows: Sequence[RunRow]) -> list[Cell]:
    return [one.row.cell(index) for one in run_rows]


def _unstored(index: int, head: Head, run_rows: Sequence[RunRow], findings: Findings) -> None:
    for one, cell in zip(run_rows, _cells(index, run_rows), strict=True):
        if cell == UNSTORED:
            header = next((c.header for c in head.columns if c.index == index), placed(index))
            line = one.row.line
            option = (
                f"--drop-rows 'line {line}', or save the file from a spreadsheet program, which stores it"
            )
            findings.ask_of_row("formula", line, f"under '{header}' stands {UNSTORED}", option, "drop_rows")


def _other_unit_shown(column: HeadColumn, unit: str, run_rows: Sequence[RunRow], findings: Findings) -> None:
    """Ask where the format of a cell shows another unit than its column has."""
    if not unit:
        return
    for one, cell in zip(run_rows, _cells(column.index, run_rows), strict=True):
        shown = spelled(cell.unit) if isinstance(cell, Dressed) else ""
        if shown and known_unit(shown) and shown != spelled(unit):
            text = f"'{cell_text(cell)}' stands under '{column.header}', which is in {unit}"
            option = f"--drop-rows 'line {one.row.line}', or write the figure in {unit}"
            findings.ask_of_row("shown", one.row.line, text, option, "drop_rows")


def _unit_column(
    column: HeadColumn,
    run_rows: Sequence[RunRow],
    readings: set[str],
    findings: Findings,
) -> None:
    """Ask about a column that gives each row's unit, where the readings are not all in it."""
    if any(
        words_of(name) in (words_of(column.header), words_of(column.name))
        for name in findings.options.recorded
    ):
        return
    units = {cell_text(cell) for cell in _cells(column.index, run_rows)} - {""}
    named = words_of(column.name) in _UNIT_HEADERS
    forces = bool(units) and all(_of_force(unit) for unit in units)
    if (
        not units
        or not (named or forces)
        or (forces and {spelled(unit, "force") for unit in units} == readings)
    ):
        return
    listed = ", ".join(sorted(units)[:_LISTED])
    findings.ask(
        f"units.{words_of(column.header)}",
        f"'{column.header}' says {listed}: are those the units of the readings?",
        f'--lines A-B, part by part, if so; else --recorded "{column.header}"',
        "recorded",
        (column.header,),
    )


def _of_force(text: str) -> bool:
    unit = spelled(text, "force")
    return unit in ("lb", "kg") or (known_unit(unit) and dimension_of(unit) == "force")


def _without_header(head: Head, used: set[int], run_rows: Sequence[RunRow], findings: Findings) -> None:
    headed = {c.index for c in head.columns if c.header} | used
    widest = max(len(one.row.cells) for one in run_rows)
    for index in range(widest):
        said = [text for one in run_rows if (text := one.row.text(index))] if index not in headed else []
        if said:
            findings.assumed.append(
                f"{placed(index)} has no header and is left out: {', '.join(said[:3])[:40]}"
                + " …" * (len(said) > 3)
            )


def doubt_answers(
    head: Head,
    fittings: Sequence[Fitting],
    used: set[str],
    measures: Mapping[str, Measure],
    findings: Findings,
) -> None:
    """State which answers met nothing in the file: a slip of the pen leaves no trace otherwise."""
    columns = {words_of(n) for c in head.columns for n in (c.header, c.name, placed(c.index)) if n}
    columns |= {words_of(one.name) for one in fittings}
    ours = {
        "lift",
        "downforce",
        *CHANNEL_WORDS,
        *measures,
        "total",
        "moment",
        "total lift",
        "total downforce",
    }
    ours |= {"pitching moment", "pitching moment coefficient", "drag coefficient", "total lift coefficient"}
    ours |= {
        f"{axle} {kind}{c}"
        for axle in ("front", "rear")
        for kind in ("lift", "downforce")
        for c in ("", " coefficient")
    }
    for option, names, known in (
        ("--unit", findings.options.units, columns | ours),
        ("--recorded", findings.options.recorded, columns),
        ("--setting", findings.options.settings, columns),
    ):
        lost = [name for name in names if words_of(name) not in known]
        findings.assumed.extend(f"{option} '{name}' names no column of the file" for name in lost)
    for option, patterns in (
        ("--drop-rows", findings.options.drop_rows), ("--keep-rows", findings.options.keep_rows), ("--void-rows", findings.options.void_rows),
    ):  # fmt: skip
        findings.assumed.extend(f"{option} '{one}' meets no row" for one in patterns if one not in used)
