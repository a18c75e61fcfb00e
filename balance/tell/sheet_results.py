"""The sheet of results: every run that counts, at one speed and density, from areas to verdict."""

from __future__ import annotations

import math
from functools import partial
from typing import TYPE_CHECKING, Any

from balance.tell.sheet_cells import FIRST_ROW, SheetColumn, letters, write_columns
from balance.tell.sheet_readings import reading_cells

if TYPE_CHECKING:
    from collections.abc import Iterable

    from balance.decide.assessment import Assessment
    from balance.records import Channel, Session

_HEADS = ("run", "configuration", "dynamic pressure", "speed", "density", "front area", "rear area", "drag area", "front", "rear",
          "total", "drag", "share", "offset", "front added", "rear added")  # fmt: skip
PLACES = {name: letters(index) for index, name in enumerate(_HEADS)}
"""Letters of the columns that formulas refer to."""


def results_sheet(book: Any, result: Assessment) -> None:
    """Add the sheet of results, downforce positive.

    Parameters
    ----------
    book : object
        Of the workbook's writer. [1]
    result : Assessment
        The session at one speed and density. [1]

    Notes
    -----
    Area = reading / dynamic pressure of its run, where the readings are forces as they were read; load = area × dynamic
    pressure; front share = front / (front + rear); added load = load / static weight.
    Names in the formulas (stated_pressure and the like) stand on the sheet of the method.
    """
    write_columns(book, book.add_worksheet("Results"), [*_followed(result), *_computed(result)])


def _numbers(array: Iterable[Any]) -> list[float | None]:
    return [float(value) if math.isfinite(value) else None for value in array]


def _followed(result: Assessment) -> list[SheetColumn]:
    """Give the columns that carry formulas, and those they start from."""
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

    share = _numbers(result.handling.aero_balance.value)
    force = partial(SheetColumn, unit="N", style="0.0")
    area = partial(SheetColumn, unit="m^2", style="0.0000")
    return [
        SheetColumn(title="run", values=list(readings.labels), width=8),
        SheetColumn(title="configuration", values=[run.configuration for run in readings.runs], width=24),
        SheetColumn(
            title="dynamic pressure of the run", unit="Pa", values=_numbers(readings.dynamic_pressure),
            formula=lambda row: f"0.5*{at['density']}{row}*{at['speed']}{row}^2",
        ),
        SheetColumn(title="speed of the run", unit="m/s", values=_numbers(readings.speed), style="0.00"),
        SheetColumn(title="air density of the run", unit="kg/m^3", values=_numbers(readings.air_density), style="0.0000"),
        area(title="front downforce area", values=_numbers(areas[:, 0]), formula=area_of("front")),
        area(title="rear downforce area", values=_numbers(areas[:, 1]), formula=area_of("rear")),
        area(title="drag area", values=_numbers(areas[:, 2]), formula=area_of("drag")),
        force(title="front downforce", values=_numbers(n.front_downforce), formula=load("front area")),
        force(title="rear downforce", values=_numbers(n.rear_downforce), formula=load("rear area")),
        force(title="downforce", values=_numbers(n.downforce), formula=lambda row: f"{at['front']}{row}+{at['rear']}{row}"),
        force(title="drag", values=_numbers(n.drag), formula=load("drag area")),
        SheetColumn(
            title="aero balance (front share), blank where it means nothing", values=share, style="0.0%",
            formula=lambda row: f"{at['front']}{row}/{at['total']}{row}",
        ),
        SheetColumn(
            title="balance offset, negative rearward of the weight", style="0.0%", values=_numbers(result.handling.balance_offset),
            formula=lambda row: f"{at['share']}{row}-front_weight_share",
        ),
        SheetColumn(
            title="front added load", values=_numbers(n.front_added_load), style="0.0%", formula=over("front", "front_weight")
        ),
        SheetColumn(title="rear added load", values=_numbers(n.rear_added_load), style="0.0%", formula=over("rear", "rear_weight")),
    ]  # fmt: skip


def _as_read(session: Session) -> bool:
    """Tell whether areas follow from the readings by division alone: forces as read, no couple of drag added."""
    facility = session.facility
    forces = all(column.form == "force" for column in session.columns.values())
    return forces and not facility.restated and not facility.drag_reacted_at


def _computed(result: Assessment) -> list[SheetColumn]:
    """Give what no formula of a sheet can follow: standard uncertainties, shift, surplus, verdict, onset."""
    handling, onsets = result.handling, result.onsets
    shift, surplus = handling.neutral_steer_shift, handling.grip_surplus
    stds = [
        SheetColumn(
            title=f"{name}, standard uncertainty of one reading", unit="N", values=_numbers(result.stds[k])
        )
        for k, name in enumerate(("front downforce", "rear downforce", "drag", "downforce"))
    ]
    percent = partial(SheetColumn, style="0.00%")
    return [
        *stds,
        percent(title="neutral-steer shift, positive toward understeer", unit="of the wheelbase", values=_numbers(shift.value)),
        percent(title="its standard uncertainty", values=_numbers(shift.std)),
        percent(title="grip surplus, rear over front", unit="relative to rest", values=_numbers(surplus.value)),
        percent(title="its interval, low end", values=_numbers(surplus.low)),
        percent(title="its interval, high end", values=_numbers(surplus.high)),
        SheetColumn(title="verdict at this speed", values=[str(verdict.word) for verdict in handling.verdicts], width=28),
        SheetColumn(title="onset speed", unit="m/s", values=_numbers(onsets.speed)),
    ]  # fmt: skip
