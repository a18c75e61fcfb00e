"""Recorded columns that are compared like channels: which of runs.csv they are, and what the facility says of them."""

from __future__ import annotations

import math
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, NamedTuple

from balance.files.toml.fields import certain, described
from balance.model.columns import columns
from balance.model.errors import UnitError, did_you_mean, quoted
from balance.model.kinds import KINDS, NUMBER, clean_number
from balance.model.records import ComparedColumn
from balance.units.stated import figure_of, parse_stated
from balance.units.text import difference_scale, dimension_of, known_unit

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from balance.files.formats.runs import RunsTable
    from balance.files.formats.runs_header import ColumnPlan
    from balance.files.toml.document import Document
    from balance.files.toml.fields import Field

GROWS_WITH_DYNAMIC_PRESSURE = ("pressure", "force")
"""Kinds of unit whose values are taken to grow with dynamic pressure as a force does."""
_PLACE = ("columns", "compared")


class Figure(NamedTuple):
    """A standard deviation in the unit that it was typed in."""

    value: float
    unit: str


class Listed(NamedTuple):
    """The columns that session.toml lists as compared, and what it states of how far one value scatters."""

    names: tuple[str, ...] = ()
    deviations: Mapping[str, Figure] = MappingProxyType({})


def read_deviations(one: Field, value: Any) -> dict[str, Figure]:
    """Read the facility's standard deviation of one value of each column."""
    if not isinstance(value, dict) or not value:
        raise UnitError(described(value), "a figure for each column", f"write {one.example}")
    return {name: _deviation(one, name, held) for name, held in value.items()}


def _deviation(one: Field, name: str, value: Any) -> Figure:
    text = str(value) if isinstance(value, int | float) and not isinstance(value, bool) else value
    figure, unit = figure_of(text) if isinstance(text, str) else ("", "")
    if not figure or (unit and not known_unit(unit)):
        raise UnitError(
            f"{name} = {described(value)}", "a standard deviation with its unit", f"write {one.example}"
        )
    if kind := dimension_of(unit or "1"):
        certain(one, parse_stated(text, kind), text)
    if not 0.0 <= float(figure) < math.inf:
        raise UnitError(
            f"{name} = {described(value)}",
            "a standard deviation of 0 or more",
            "leave out the minus, or the line if it is not known",
        )
    return Figure(float(figure), unit or "1")


def compared_columns(listed: Listed, plans: Sequence[ColumnPlan]) -> tuple[ComparedColumn, ...]:
    """Return what session.toml lists as compared and the table has with a unit, in the order of the list."""
    units = {plan.name: plan.unit for plan in plans if plan.role == "recorded" and plan.unit}
    return tuple(
        _column(name, units[name], listed.deviations.get(name))
        for name in dict.fromkeys(listed.names)
        if name in units
    )


def _column(name: str, unit: str, stated: Figure | None) -> ComparedColumn:
    kind = dimension_of(unit)
    si_unit = unit if kind is None else KINDS[kind].si
    factor = difference_scale(unit, si_unit)
    scale = None if stated is None else difference_scale(stated.unit, unit)
    return ComparedColumn(
        name=name,
        unit=unit,
        scales=kind in GROWS_WITH_DYNAMIC_PRESSURE,
        deviation=None if stated is None or scale is None else stated.value * scale,
        si_unit=unit if factor is None else si_unit,
        factor=1.0 if factor is None else factor,
    )


def check_compared(document: Document, listed: Listed, table: RunsTable) -> None:
    """Hold the list of compared columns, and what is stated of them, against the table."""
    plans = {plan.name: plan for plan in table.plans if plan.name}
    if not plans:  # the header itself is at fault
        return
    records = [plan.name for plan in table.plans if plan.role == "recorded" and plan.unit]
    for name in _twice(listed.names):
        document.fault(_PLACE, f"{quoted(name)} twice", "each column once", "leave out one")
    for name in dict.fromkeys(listed.names):
        if fault := _fault(name, plans, records, table):
            document.fault(_PLACE, *fault)
    for name, figure in listed.deviations.items():
        here = ("columns", "repeatability")
        if name not in listed.names:
            mend = did_you_mean(name, listed.names) or f"add {quoted(name)} to compared, or leave it out"
            document.fault(
                here, f"{quoted(name)}, which is not compared", "a column listed as compared", mend
            )
        elif name in records and difference_scale(figure.unit, plans[name].unit) is None:
            document.fault(
                here,
                f"{quoted(name)} in {quoted(figure.unit)}",
                f"a unit such as {quoted(plans[name].unit)}, in which the column stands",
                "check the figure and its unit",
            )


def _fault(
    name: str, plans: Mapping[str, ColumnPlan], records: Sequence[str], table: RunsTable
) -> tuple[str, str, str] | None:
    """Return what is wrong with one listed column: found, expected, and how to mend it."""
    expected = "a recorded column of runs.csv with numbers and a unit"
    said = quoted(name)
    plan = plans.get(name)
    if plan is None:
        mend = did_you_mean(name, records) or "check the spelling, or take it off the list"
        return f"{said}, which is no column of runs.csv", expected, mend
    if plan.role == "setting":
        return f"{said}, a setting", expected, f"list {said} as recorded too: it is measured, not set"
    if plan.role != "recorded" or name in columns():
        return f"{said}, which has a meaning of its own", expected, "take it off the list"
    if plan.unit:
        return None
    texts = [str(run.recorded[name].value) for run in table.runs if name in run.recorded]
    if texts and all(NUMBER.fullmatch(clean_number(text)) for text in texts):
        return (
            f"{said}, a column without a unit",
            expected,
            f"write '{name} [Pa]', or whatever its unit is, in the header of runs.csv ('[1]' for a plain number)",
        )
    mend = "take it off the list: a recorded text is shown beside the response to a setting"
    return f"{said}, a column of text", expected, mend


def _twice(names: Iterable[str]) -> list[str]:
    seen: dict[str, int] = {}
    for name in names:
        seen[name] = seen.get(name, 0) + 1
    return [name for name, count in seen.items() if count > 1]
