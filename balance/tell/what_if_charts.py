"""Start and what-if against speed, as two series of one chart."""

from __future__ import annotations

from typing import TYPE_CHECKING

from balance.errors import UnknownName
from balance.handling.axle_loads import static_axle_weights
from balance.tell.chart_parts import Chart, HorizontalBand, HorizontalLine, Series, VerticalMark
from balance.tell.curves import CHARTS

if TYPE_CHECKING:
    from collections.abc import Callable

    import numpy as np
    from numpy.typing import NDArray

    from balance.decide.car_state import CarState
    from balance.decide.estimate import Estimate, HandlingEstimates
    from balance.decide.what_if import WhatIfCurve, WhatIfResult
    from balance.records import Place
    from balance.tell.figures import Show

    Array = NDArray[np.float64]

_START = "start"
Drawn = tuple[list[Series], list[HorizontalLine], list[HorizontalBand], str]


def what_if_chart(
    result: WhatIfResult, curve: WhatIfCurve, kind: str, places: tuple[Place, ...], show: Show
) -> Chart:
    """Lay out the chart of a quantity against speed.

    Parameters
    ----------
    result : WhatIfResult
        As evaluated.
    curve : WhatIfCurve
        Start and result against speed.
    kind : str
        A key of `balance.tell.curves.CHARTS`.
    places : tuple of Place
        Named places.
    show : Show
        System of units.

    Returns
    -------
    Chart
        Start first, then the what-if; the band and the named places where they apply.

    Raises
    ------
    UnknownName
        If there is no such chart.
    """
    if kind not in _CONTENT:
        raise UnknownName("chart", kind, CHARTS)
    unit = show.system.unit("speed")
    x = [unit.from_si(float(v)) for v in curve.speeds]
    series: list[Series] = []
    lines: list[HorizontalLine] = []
    bands: list[HorizontalBand] = []
    y_unit = ""
    for name, state, handling in (
        (_START, result.start, curve.start),
        ("what if", result.result, curve.result),
    ):
        made, levels, bands, y_unit = _CONTENT[kind](name, state, handling, x, show)
        series += made
        lines = levels
    return Chart(
        title=CHARTS[kind],
        x_label="speed",
        x_unit=unit.label,
        y_unit=y_unit,
        series=series,
        bands=bands,
        lines=lines,
        marks=[VerticalMark(unit.from_si(place.speed), place.name, "▲") for place in places],
        x_range=(x[0], x[-1]),
    )


def _percent(x: list[float], estimate: Estimate, label: str, *, band: bool) -> Series:
    known = band and bool((estimate.low == estimate.low).any())

    def shown(values: Array) -> list[float]:
        return [float(v) * 100.0 for v in values]

    return Series(
        x,
        shown(estimate.value),
        label,
        low=shown(estimate.low) if known else None,
        high=shown(estimate.high) if known else None,
    )


def _surplus(name: str, state: CarState, handling: HandlingEstimates, x: list[float], show: Show) -> Drawn:  # noqa: ARG001 - one shape for all charts
    target = state.vehicle.target
    band = HorizontalBand(-target.front_tolerance * 100.0, target.rear_tolerance * 100.0, "band")
    driven = handling.grip_surplus_driven
    judged_driven = driven is not None and state.vehicle.driven != "front"
    new = name != _START
    series = [_percent(x, handling.grip_surplus, name, band=new and not judged_driven)]
    if driven is not None and judged_driven:
        series.append(_percent(x, driven, f"{name}, with drive", band=new))
    return series, [], [band], "%"


def _shift(name: str, state: CarState, handling: HandlingEstimates, x: list[float], show: Show) -> Drawn:  # noqa: ARG001 - one shape for all charts
    level = HorizontalLine(0.0, "as at rest")
    return (
        [_percent(x, handling.neutral_steer_shift, name, band=name != _START)],
        [level],
        [],
        "% of wheelbase, up is toward understeer",
    )


def _loads(name: str, state: CarState, handling: HandlingEstimates, x: list[float], show: Show) -> Drawn:
    scale = show.system.unit("force")
    front, rear = static_axle_weights(state.vehicle.mass, state.vehicle.front_share)
    nominal = handling.nominal
    return (
        [
            _forces(x, front + nominal.front_downforce, scale.from_si, f"front, {name}"),
            _forces(x, rear + nominal.rear_downforce, scale.from_si, f"rear, {name}"),
        ],
        [],
        [],
        scale.label,
    )


def _share(name: str, state: CarState, handling: HandlingEstimates, x: list[float], show: Show) -> Drawn:  # noqa: ARG001 - one shape for all charts
    return [Series(x, (handling.nominal.front_load_share * 100.0).tolist(), name)], [], [], "%"


def _drag(name: str, state: CarState, handling: HandlingEstimates, x: list[float], show: Show) -> Drawn:  # noqa: ARG001 - one shape for all charts
    scale = show.system.unit("force")
    return [_forces(x, handling.nominal.drag, scale.from_si, name)], [], [], scale.label


def _forces(x: list[float], values: Array, shown: Callable[[float], float], label: str) -> Series:
    return Series(x, [shown(float(v)) for v in values], label)


_CONTENT = {
    "grip_surplus": _surplus,
    "axle_loads": _loads,
    "front_load_share": _share,
    "neutral_steer_shift": _shift,
    "drag": _drag,
}
