"""A planned run as cells of the run sheet, for whoever takes it into the entry."""

from __future__ import annotations

from typing import TYPE_CHECKING

from balance.model.plans import LABEL
from balance.units.text import dimension_of, unit_scale

if TYPE_CHECKING:
    from collections.abc import Mapping

    from balance.files.day.run_sheet import RunSheet
    from balance.model.plans import Value


def planned_cells(
    sheet: RunSheet, settings: Mapping[str, Value], units: Mapping[str, str], *, label: str = ""
) -> tuple[dict[str, str], tuple[str, ...]]:
    """Write what is to be fitted into the columns of a sheet; name the settings that have no column there.

    The configuration is called as a run of the same settings was, else as the plan calls it, else as one with the same
    parts fitted, else by its parts.
    """
    columns = sheet.names("setting")
    cells = {name: _cell(sheet, name, settings.get(name), units.get(name, "")) for name in columns}
    called = _called(sheet, cells, label)
    if LABEL in settings:
        called = str(settings[LABEL])
    missing = tuple(name for name in settings if name not in columns and name != LABEL)
    return {**cells, **({"configuration": called} if called else {})}, missing


def _cell(sheet: RunSheet, name: str, value: Value | None, unit: str) -> str:
    if value is None:
        return ""
    if isinstance(value, str):
        return value
    column = sheet.plan(name).unit
    if unit and column and unit != column and (kind := dimension_of(unit)) is not None:
        (scale, offset), (to, shift) = unit_scale(unit, kind), unit_scale(column, kind)
        value = (value * scale + offset - shift) / to
    return f"{value:.10g}"


def _called(sheet: RunSheet, cells: Mapping[str, str], label: str) -> str:
    """Choose a name: of a run with the same cells, else the plan's, else of a run with the same parts on."""
    runs = [
        (run.configuration, sheet.cells(run.label)) for run in reversed(sheet.runs) if run.status != "void"
    ]
    for name, there in runs:
        if all(_same(there.get(key, ""), text) for key, text in cells.items()):
            return name
    if label:
        return label
    for name, there in runs:
        if all(bool(there.get(key, "")) == bool(text) for key, text in cells.items()):
            return name
    stems = [name.partition("_")[0] for name, text in cells.items() if text]
    return f"{', '.join(stems[:-1])}{' and ' if stems[1:] else ''}{stems[-1]}" if stems else ""


def _same(one: str, other: str) -> bool:
    try:
        return float(one) == float(other)
    except ValueError:
        return one == other
