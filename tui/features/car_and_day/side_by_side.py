"""Two versions of a table of runs held side by side, cell by cell."""

from __future__ import annotations

import csv
import io
from dataclasses import dataclass

_ALL = "all"
_HERE, _THERE = "whole run, here only", "whole run, there only"


@dataclass(frozen=True, slots=True, kw_only=True)
class Difference:
    """One cell that differs: its run, its column, what is here and what is on the disk."""

    run: str
    column: str
    here: str
    there: str


def differences(here: str, there: str) -> tuple[Difference, ...]:
    """Find where two versions of runs.csv differ."""
    (our_head, ours), (their_head, theirs) = _rows(here), _rows(there)
    found = [
        Difference(run=_ALL, column=f"{name}: unit of every run", here=unit, there=their_head[name])
        for name, unit in our_head.items()
        if name in their_head and unit != their_head[name]
    ]
    for run in dict.fromkeys((*ours, *theirs)):
        mine, other = ours.get(run), theirs.get(run)
        if mine is None or other is None:
            cells = mine or other or {}
            said = " ".join(text for name, text in cells.items() if text and name != "run")
            found.append(
                Difference(
                    run=run,
                    column=_HERE if other is None else _THERE,
                    here=said if other is None else "",
                    there=said if mine is None else "",
                )
            )
            continue
        found.extend(
            Difference(
                run=run,
                column=_titled(name, our_head.get(name), their_head.get(name)),
                here=mine.get(name, ""),
                there=other.get(name, ""),
            )
            for name in dict.fromkeys((*mine, *other))
            if mine.get(name, "") != other.get(name, "")
        )
    return tuple(found)


def _titled(name: str, *units: str | None) -> str:
    """Name a column with its unit, or with both where the versions have different ones."""
    said = " or ".join(dict.fromkeys(unit for unit in units if unit))
    return f"{name} [{said}]" if said else name


def _rows(text: str) -> tuple[dict[str, str], dict[str, dict[str, str]]]:
    """Read what can be read of a table: units by column, and rows by run, those without a label by their number."""
    table = csv.reader(io.StringIO(text.removeprefix("\ufeff"), newline=""))
    rows: dict[str, dict[str, str]] = {}
    header: list[str] = []
    units: dict[str, str] = {}
    try:
        for number, cells in enumerate(table):
            if not header:
                header = [cell.partition("[")[0].strip() for cell in cells]
                units = {
                    name: cell.partition("[")[2].strip(" ]") for name, cell in zip(header, cells, strict=True)
                }
            elif any(cell.strip() for cell in cells):
                named = {name: cell.strip() for name, cell in zip(header, cells, strict=False)}
                rows[named.get("run") or f"row {number}"] = named
    except csv.Error:
        pass
    return units, rows
