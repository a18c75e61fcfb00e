"""Charts of quantities against speed, of one car or of a what-if beside its start: what is drawn, not how."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from balance.handling.axle_loads import static_axle_weights
from balance.model.channels import AXLES, CHANNELS
from balance.model.errors import UnknownName
from balance.model.quantities import quantities
from balance.tell.chart_parts import Chart, HorizontalBand, HorizontalLine, Series, VerticalMark
from balance.tell.export.quantity_values import held

if TYPE_CHECKING:
    from collections.abc import Iterable

    from balance.decide.day.assessment import Assessment
    from balance.decide.day.estimate import HandlingEstimates
    from balance.decide.day.sweeps import Sweep
    from balance.decide.what_if.what_if import WhatIfCurve, WhatIfResult
    from balance.model.records import Place, Vehicle
    from balance.tell.export.quantity_values import Result
    from balance.tell.figures import Show

_DRAWN = {
    "grip_surplus": "grip_surplus",
    "axle_loads": "",
    "front_load_share": "front_load_share",
    "neutral_steer_shift": "neutral_steer_shift",
    "drag": "drag_N",
    "drag_power": "drag_power_W",
}
"""Kinds of charts, and the key of the quantity that each shows; loads of both axles are drawn together."""
CHARTS = {kind: quantities()[key].title if key else "load on each axle" for kind, key in _DRAWN.items()}
"""What can be drawn against speed, in the order in which a key goes through it."""


def speed_chart(sweep: Sweep, kind: str, show: Show, *, onset: float = math.inf) -> Chart:
    """Lay out the chart of a quantity of one run against speed."""
    if kind not in CHARTS:
        raise UnknownName("chart", kind, CHARTS)
    series, lines, bands, y_unit = _drawn(kind, sweep, sweep.day.session.vehicle, sweep.speeds, show)
    marks = _place_marks(sweep.day.session.places, show)
    if kind == "grip_surplus" and math.isfinite(onset) and sweep.speeds[0] <= onset <= sweep.speeds[-1]:
        unit = show.system.unit("speed")
        marks.insert(0, VerticalMark(unit.from_si(onset), f"limit passed {show.bare('speed', onset)}", "◆"))
    return _against_speed(kind, (series, lines, bands, y_unit), sweep.speeds, marks, show)


def onset_marked(table: Assessment, row: int) -> float:
    """Return the speed at which the band is first left from rest upward, by the lower surplus of without and under power."""
    return table.ranges[row].leaves


Drawn = tuple[list[Series], list[HorizontalLine], list[HorizontalBand], str]
"""Curves, levels, bands, and the unit of them all."""


def _against_speed(
    kind: str, content: Drawn, speeds: np.ndarray, marks: list[VerticalMark], show: Show
) -> Chart:
    """Lay out what was drawn over an axis of speeds."""
    series, lines, bands, y_unit = content
    unit = show.system.unit("speed")
    return Chart(
        title=CHARTS[kind],
        x_label="speed",
        x_unit=unit.label,
        y_label="",
        y_unit=y_unit,
        series=series,
        bands=bands,
        lines=lines,
        marks=marks,
        x_range=(unit.from_si(float(speeds[0])), unit.from_si(float(speeds[-1]))),
    )


def _place_marks(places: Iterable[Place], show: Show) -> list[VerticalMark]:
    """Mark the named places on an axis of speeds."""
    unit = show.system.unit("speed")
    return [VerticalMark(unit.from_si(place.speed), place.name, "|") for place in places]


def _drawn(
    kind: str,
    result: Result,
    vehicle: Vehicle,
    speeds: np.ndarray,
    show: Show,
    *,
    name: str = "",
    banded: bool = True,
) -> Drawn:
    """Draw a quantity of one car against speed."""
    x = [show.system.unit("speed").from_si(float(v)) for v in speeds]
    if kind == "axle_loads":
        return _axle_loads(result, vehicle, x, show, name)
    quantity = quantities()[_DRAWN[kind]]
    unit = show.system.unit(quantity.kind)
    driven = result.handling.grip_surplus_driven
    judged_driven = kind == "grip_surplus" and driven is not None and vehicle.driven != "front"
    series = [
        _series(
            result, quantity.key, x, name or _ALONE.get(kind, kind), show, banded=banded and not judged_driven
        )
    ]
    if kind != "grip_surplus":
        levels = [] if name and kind != "neutral_steer_shift" else _levels(kind, vehicle)
        return series, levels, [], _UNITS.get(kind, unit.label)
    if driven is not None and (judged_driven or not name):
        label = f"{name}, under power" if name else "under power"
        series.append(_series(result, "grip_surplus_driven", x, label, show, banded=banded and judged_driven))
    target = vehicle.target
    band = HorizontalBand(
        unit.from_si(-target.front_tolerance), unit.from_si(target.rear_tolerance), "limits"
    )
    return series, [], [band], unit.label


_ALONE = {
    "grip_surplus": "air",
    "front_load_share": "wheel-load share, front",
    "neutral_steer_shift": "NS shift",
    "drag_power": "drag power",
}
"""What a curve that stands alone is called, where that is not the kind of chart."""
_UNITS = {"neutral_steer_shift": "% of wheelbase, up is towards understeer"}


def _levels(kind: str, vehicle: Vehicle) -> list[HorizontalLine]:
    """List the levels that a curve is read against."""
    if kind == "front_load_share":
        return [HorizontalLine(vehicle.front_share * 100.0, "at rest")]
    return [HorizontalLine(0.0, "as at rest")] if kind == "neutral_steer_shift" else []


def _series(result: Result, key: str, x: list[float], label: str, show: Show, *, banded: bool) -> Series:
    """Draw one quantity, with its interval where it is asked for and known."""
    quantity = quantities()[key]
    unit = show.system.unit(quantity.kind)

    def shown(values: np.ndarray) -> list[float]:
        return [unit.from_si(float(v)) for v in np.broadcast_to(values, len(x))]

    estimate = (
        held(result, quantity.value.removesuffix(".value")) if quantity.value.endswith(".value") else None
    )
    band = estimate if banded and estimate is not None and np.isfinite(estimate.low).any() else None
    return Series(
        x,
        shown(held(result, quantity.value)),
        label,
        low=None if band is None else shown(band.low),
        high=None if band is None else shown(band.high),
    )


def _axle_loads(result: Result, vehicle: Vehicle, x: list[float], show: Show, name: str) -> Drawn:
    """Draw the load on each axle, weight and air together, and the weights alone."""
    unit, nominal = show.system.unit("force"), result.handling.nominal
    weights = static_axle_weights(vehicle.mass, vehicle.front_share)
    series, lines = [], []
    for axle, weight, force in zip(
        CHANNELS[AXLES], weights, (nominal.front_downforce, nominal.rear_downforce), strict=True
    ):
        loads = [unit.from_si(weight + float(v)) for v in force]
        series.append(Series(x, loads, f"{axle}, {name}" if name else axle))
        lines.append(HorizontalLine(unit.from_si(weight), f"{axle} at rest"))
    return series, [] if name else lines, [], unit.label


def what_if_chart(
    result: WhatIfResult, curve: WhatIfCurve, kind: str, places: tuple[Place, ...], show: Show
) -> Chart:
    """Lay out the chart of a quantity against speed."""
    if kind not in CHARTS:
        raise UnknownName("chart", kind, CHARTS)
    series: list[Series] = []
    for name, state, handling in (
        ("start", result.start, curve.start),
        ("what if", result.result, curve.result),
    ):
        made, lines, bands, y_unit = _drawn(
            kind, _Held(handling), state.vehicle, curve.speeds, show, name=name, banded=name != "start"
        )
        series += made
    return _against_speed(
        kind, (series, lines, bands, y_unit), curve.speeds, _place_marks(places, show), show
    )


@dataclass(frozen=True, slots=True, eq=False)
class _Held:
    handling: HandlingEstimates
