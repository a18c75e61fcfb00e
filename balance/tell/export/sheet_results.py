"""The sheet of results: every run that counts, at one speed and density, from areas to verdict."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, Any

from balance.model.channels import DRAG, FRONT, REAR
from balance.model.quantities import AT_SPEED, LIMITS, meaning
from balance.tell.export.quantity_values import finite, held
from balance.tell.export.sheet_cells import FIRST_ROW, Filled, filled, letters, sheet_table, write_table
from balance.tell.export.sheet_readings import reading_cells
from balance.tell.figures import percent

if TYPE_CHECKING:
    from collections.abc import Iterable

    from balance.decide.day.assessment import Assessment
    from balance.model.channels import Channel
    from balance.model.quantities import Quantity
    from balance.model.records import Session

_HEADS = ("run", "configuration", "dynamic pressure", "speed", "density", "front area", "rear area", "drag area", "front", "rear",
          "total", "drag", "share", "offset", "front added", "rear added")  # fmt: skip
_FOLLOWED = (
    "front_downforce_N",
    "rear_downforce_N",
    "downforce_N",
    "drag_N",
    "aero_balance",
    "balance_offset",
    "front_added_load",
    "rear_added_load",
)
"""Quantities whose columns carry formulas."""
_STYLES = {"force": "0.0", "power": "0", "speed": "0.00", "ratio": "0.00", "coefficient": "0.000"}
PLACES = {name: letters(index) for index, name in enumerate(_HEADS)}
"""Letters of the columns that formulas refer to."""


def results_sheet(book: Any, result: Assessment) -> None:
    """Add the sheet of results, downforce positive.

    Area = reading / dynamic pressure of its run, where the readings are forces as they were read; load = area × dynamic
    pressure; front share = front / (front + rear); added load = load / static weight.
    Names in the formulas (stated_pressure and the like) stand on the sheet of the method.
    """
    write_table(book, book.add_worksheet("Results"), sheet_table([*_followed(result), *_computed(result)]))


def _numbers(array: Iterable[Any] | None, result: Assessment) -> list[float | None]:
    return [None] * len(result.labels) if array is None else [finite(value) for value in array]


def _followed(result: Assessment) -> list[Filled]:
    """Return the columns that carry formulas, and those they start from."""
    readings, n, at = result.day.readings, result.handling.nominal, PLACES
    areas = readings.areas

    def load(area: str) -> Any:
        return lambda row: f"{at[area]}{row}*stated_pressure"

    def over(top: str, bottom: str) -> Any:
        return lambda row: f"{at[top]}{row}/{bottom}"

    labels, cell = readings.labels, reading_cells(result.day.session)

    def area_of(channel: Channel) -> Any:
        def formula(row: int) -> str:
            return f"{cell(labels[row - FIRST_ROW - 1], channel)}/{at['dynamic pressure']}{row}"

        return formula if _as_read(result.day.session) else None

    share = _numbers(result.handling.aero_balance.value, result)
    force = partial(filled, unit="N", style="0.0")
    area = partial(filled, unit="m^2", style="0.0000")
    return [
        filled(title="run", values=list(readings.labels), width=8),
        filled(title="configuration", values=[run.configuration for run in readings.runs], width=24),
        filled(
            title="dynamic pressure of the run", unit="Pa", values=_numbers(readings.dynamic_pressure, result),
            formula=lambda row: f"0.5*{at['density']}{row}*{at['speed']}{row}^2",
        ),
        filled(title="speed of the run", unit="m/s", values=_numbers(readings.speed, result), style="0.00"),
        filled(title="air density of the run", unit="kg/m^3", values=_numbers(readings.air_density, result), style="0.0000"),
        area(title="front downforce area", values=_numbers(areas[:, FRONT], result), formula=area_of("front")),
        area(title="rear downforce area", values=_numbers(areas[:, REAR], result), formula=area_of("rear")),
        area(title="drag area", values=_numbers(areas[:, DRAG], result), formula=area_of("drag")),
        force(title="front downforce", values=_numbers(n.front_downforce, result), formula=load("front area")),
        force(title="rear downforce", values=_numbers(n.rear_downforce, result), formula=load("rear area")),
        force(title="downforce", values=_numbers(n.downforce, result), formula=lambda row: f"{at['front']}{row}+{at['rear']}{row}"),
        force(title="drag", values=_numbers(n.drag, result), formula=load("drag area")),
        filled(
            title="aero balance, blank where there is none", values=share, style="0.0%",
            formula=lambda row: f"{at['front']}{row}/{at['total']}{row}",
        ),
        filled(
            title="aero balance behind weight, negative rearward", style="0.0%", values=_numbers(result.handling.balance_offset, result),
            formula=lambda row: f"{at['share']}{row}-front_weight_share",
        ),
        filled(
            title="front added load", values=_numbers(n.front_added_load, result), style="0.0%", formula=over("front", "front_weight")
        ),
        filled(title="rear added load", values=_numbers(n.rear_added_load, result), style="0.0%", formula=over("rear", "rear_weight")),
    ]  # fmt: skip


def _as_read(session: Session) -> bool:
    """Return whether areas follow from the readings by division alone: forces as read, no couple of drag added."""
    facility = session.facility
    forces = all(column.form == "force" for column in session.columns.values())
    return forces and not facility.restated and not facility.drag_reacted_at


def _computed(result: Assessment) -> list[Filled]:
    """Return what no formula of a sheet can follow: every other registered quantity, uncertainties and intervals."""
    columns = []
    for quantity in (*AT_SPEED, *LIMITS):
        if quantity.kind == "shares":
            continue
        words = quantity.kind == "word"
        said = quantity.title.removesuffix(f", {quantity.head}")
        column = partial(filled, unit=_unit(quantity), style=_STYLES.get(quantity.kind, "0.00%"))
        if quantity.key not in _FOLLOWED:
            values = held(result, quantity.value)
            texts = [None if word is None else str(word) for word in values] if words else None
            columns.append(
                column(
                    title=said,
                    values=texts if texts is not None else _numbers(values, result),
                    width=28 if words else 12,
                )
            )
        if quantity.std:
            columns.append(
                column(
                    title=f"{said}, standard uncertainty", values=_numbers(held(result, quantity.std), result)
                )
            )
        if quantity.interval:
            ends = held(result, quantity.interval)
            for end in ("low", "high"):
                figures = None if ends is None else getattr(ends, end)
                title = f"{said}, {percent(result.day.confidence, decimals=0)} interval, {end} end"
                columns.append(column(title=title, values=_numbers(figures, result)))
    return columns


def _unit(quantity: Quantity) -> str:
    """Return the unit in SI of a quantity's column; nothing for a word or a share."""
    said = meaning(quantity.key)
    return "" if said is None or said.unit in ("none", "1") else said.unit
