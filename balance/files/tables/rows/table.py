"""The rows that were kept, written as the cells of runs.csv."""

from __future__ import annotations

import contextlib
from dataclasses import replace
from decimal import Decimal
from typing import TYPE_CHECKING

from balance.files.tables.header.unit_words import moment_unit, spelled
from balance.files.tables.reading.grid import cell_text, unmarked
from balance.files.tables.reading.numerals import Mark, missing, number_text
from balance.files.tables.rows.measures import ask_drag_sign, ask_zero, converted, reading_name
from balance.model.baseline_names import named_baselines
from balance.model.columns import CONDITIONS, LINKS, TEXTS
from balance.model.errors import UnitError

if TYPE_CHECKING:
    from collections.abc import Collection, Mapping, Sequence

    from balance.files.tables.header.roles import Roles
    from balance.files.tables.importing.plan import Findings
    from balance.files.tables.reading.grid import RunRow
    from balance.files.tables.rows.fittings import Fitting
    from balance.files.tables.rows.measures import Measure
    from balance.files.tables.rows.moments import Resolving


def reading_header(measure: Measure, quantity: str, *, down: bool) -> str:
    """Write the header of a reading in runs.csv."""
    name = reading_name(replace(measure, down=down), quantity)
    return name if measure.form == "coefficient" else f"{name} [{measure.unit}]"


def reading_columns(
    run_rows: Sequence[RunRow],
    readings: Mapping[str, Measure],
    resolving: Resolving | None,
    findings: Findings,
) -> dict[str, list[str]]:
    """Write the three readings of each run."""
    cells = reading_cells(run_rows, readings, findings.options.drag_sign, findings)
    if resolving is None:
        return {reading_header(m, q, down=m.down): cells[q] for q, m in readings.items()}
    pairs = [
        resolving.axles(*figures)
        for figures in zip(cells["total"], cells["moment"], cells["drag"], strict=True)
    ]
    total = readings["total"]
    return {
        reading_header(total, "front", down=False): [front for front, _ in pairs],
        reading_header(total, "rear", down=False): [rear for _, rear in pairs],
        reading_header(readings["drag"], "drag", down=False): cells["drag"],
    }


def reading_cells(
    run_rows: Sequence[RunRow], readings: Mapping[str, Measure], drag_sign: str | None, findings: Findings
) -> dict[str, list[str]]:
    """Write the readings of each run by their quantities, drag positive rearward, or ask which way it points."""
    cells = {q: [_figure(one, measure, findings) for one in run_rows] for q, measure in readings.items()}
    negative = sum(text.startswith("-") for text in cells["drag"])
    if drag_sign == "forward":
        cells["drag"] = [
            text[1:] if text.startswith("-") else f"-{text.lstrip('+')}" for text in cells["drag"]
        ]
    elif drag_sign is None and 2 * negative > len(run_rows):
        ask_drag_sign(f"{negative} of {len(run_rows)} are negative", findings)
    return cells


def _figure(one: RunRow, measure: Measure, findings: Findings) -> str:
    text = one.figures[measure.column.index]
    if text and measure.scale != "1":
        text = f"{Decimal(text) * Decimal(measure.scale):f}"
    unit = one.units.get(measure.column.index)
    if unit is None or not text:
        return text
    return in_unit(text, unit, measure, one.row.line, findings)


def in_unit(text: str, unit: str, measure: Measure, line: int, findings: Findings) -> str:
    """Bring a figure from the unit of a later part of the file to that of its first part, one digit more."""
    condition = CONDITIONS.get(measure.quantity)
    kind = condition.measures if condition else "area" if measure.form == "area" else "force"
    if measure.form != "coefficient" and not moment_unit(unit):
        with contextlib.suppress(UnitError):
            return converted(text, spelled(unit, kind), measure.unit, kind)
    header = measure.column.header
    findings.ask(
        f"units.{line}", f"line {line}: '{header}' is in '{unit}' from here on, which cannot be brought to "
        f"'{measure.unit or 'a coefficient'}'; import the parts one by one", f"--lines 1-{line - 1}", "lines",
    )  # fmt: skip
    return text


def condition_cells(
    run_rows: Sequence[RunRow],
    conditions: Mapping[str, Measure],
    decimal: Mark,
    findings: Findings,
) -> dict[str, list[str]]:
    """Write speed, temperature, pressure and humidity of each run, blank where a run has none."""
    columns = {}
    for name, measure in conditions.items():
        cells, blank = [], []
        for one in run_rows:
            cell = one.row.cell(measure.column.index)
            if isinstance(cell, str) and measure.unit == "%":
                cell = cell.strip().removesuffix("%").strip()
            text = "" if missing(cell) else number_text(cell, decimal)
            if text and name != "speed" and float(text) == 0:
                if findings.options.zero_means is None:
                    ask_zero(name, one.row.line, findings)
                text = "" if findings.options.zero_means == "missing" else text
            if text is None:
                line = one.row.line
                findings.ask(
                    f"{name}.{line}", f"line {line}: '{cell_text(cell)}' under '{measure.column.header}' is no number",
                    f"--drop-rows 'line {line}'", "drop_rows", line=line,
                )  # fmt: skip
                text = ""
            elif not text:
                blank.append(one.label or f"line {one.row.line}")
            elif measure.column.index in one.units:
                text = in_unit(text, one.units[measure.column.index], measure, one.row.line, findings)
            cells.append(text)
        if blank:
            listed = ", ".join(blank[:8]) + (" …" if len(blank) > 8 else "")
            findings.assumed.append(f"no {name} of their own, the facility's is taken: {listed}")
        columns[name] = cells
    return columns


def text_columns(
    run_rows: Sequence[RunRow],
    roles: Roles,
    findings: Findings,
    *,
    labels: Collection[str] = (),
) -> dict[str, list[str]]:
    """Write labels, configurations and the other texts."""
    columns = {
        "run": _labels(run_rows, roles, findings),
        "configuration": [_plain(one.configuration) for one in run_rows],
    }
    known = {*columns["run"], *labels}
    for name in TEXTS:
        if name in ("run", "configuration", "status") or name not in roles.texts:
            continue
        cells = [_plain(one.row.text(roles.texts[name].index)) for one in run_rows]
        if name in LINKS:
            cells = _links(name, cells, columns["run"], known, findings)
        if any(cells):
            columns[name] = cells
    if any(one.status for one in run_rows):
        columns["status"] = [one.status for one in run_rows]
    return columns


def _plain(text: str) -> str:
    return str(unmarked(text))


def _links(name: str, cells: list[str], labels: list[str], known: set[str], findings: Findings) -> list[str]:
    out = []
    for cell, label in zip(cells, labels, strict=True):
        named = named_baselines(cell, known) if name == "baseline" else (cell,)
        keep = cell if all(one in known and one != label for one in named) else ""
        if missing(cell):
            keep = ""
        elif not keep:
            why = "is the run itself" if cell == label else "is not among the runs taken over"
            findings.assumed.append(f"run {label}: its {name} '{cell}' {why}, left out")
        out.append(keep)
    return out


def _labels(run_rows: Sequence[RunRow], roles: Roles, findings: Findings) -> list[str]:
    if "run" not in roles.texts or findings.options.labels == "number":
        if findings.options.labels != "number":
            findings.assumed.append("no column of run labels: numbered in the order of the file")
        return [str(number) for number in range(1, len(run_rows) + 1)]
    labels, seen = [], dict[str, int]()
    for one in run_rows:
        label = _plain(one.label)
        if not label:
            findings.ask(
                "labels.blank",
                f"line {one.row.line}: a run without a label",
                f"--labels number, or --drop-rows 'line {one.row.line}' if it is none",
                "labels",
                ("number",),
                line=one.row.line,
            )
        count = seen[label] = seen.get(label, 0) + 1
        if count > 1 and label:
            if findings.options.labels == "suffix":
                label = f"{label} ({count})"
            else:
                text = f"line {one.row.line}: the label '{label}' stands a second time"
                findings.ask_choice("labels", text, ("suffix", "number"), line=one.row.line)
        labels.append(label)
    return labels


def fitting_columns(fittings: Sequence[Fitting]) -> dict[str, list[str]]:
    """Return the settings and records by their headers."""
    return {one.header: [_plain(cell) for cell in one.cells] for one in fittings}
