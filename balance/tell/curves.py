"""Charts of one run against speed, in the units shown: what is drawn, not how."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from balance.errors import UnknownName
from balance.handling.axle_loads import static_axle_weights
from balance.tell.chart_parts import Chart, HorizontalBand, HorizontalLine, Series, VerticalMark

if TYPE_CHECKING:
    import numpy as np

    from balance.decide.estimate import Estimate
    from balance.decide.sweeps import Sweep
    from balance.tell.figures import Show

CHARTS = {
    "grip_surplus": "grip surplus, rear over front",
    "axle_loads": "load on each axle",
    "front_load_share": "front share of wheel load",
    "neutral_steer_shift": "neutral-steer shift",
    "drag": "drag",
}
"""Quantities that can be drawn against speed, in the order in which a key goes through them."""


def speed_chart(sweep: Sweep, kind: str, show: Show, *, onset: float = math.inf) -> Chart:
    """Lay out the chart of a quantity of one run against speed.

    Parameters
    ----------
    sweep : Sweep
        One run at many speeds.
    kind : str
        A key of `CHARTS`.
    show : Show
        System of units.
    onset : float, optional
        Speed at which the tolerance is passed, in m/s; infinite where never.

    Returns
    -------
    Chart
        With the tolerance band, static weights, the onset and the named places where they apply.

    Raises
    ------
    UnknownName
        If there is no such chart.
    """
    if kind not in CHARTS:
        raise UnknownName("chart", kind, CHARTS)
    unit = show.system.unit("speed")
    x = [unit.from_si(float(v)) for v in sweep.speeds]
    series, lines, bands, y_unit = _CONTENT[kind](sweep, x, show)
    marks = [VerticalMark(unit.from_si(p.speed), p.name, "▲") for p in sweep.day.session.places]
    if kind == "grip_surplus" and math.isfinite(onset) and sweep.speeds[0] <= onset <= sweep.speeds[-1]:
        marks.insert(0, VerticalMark(unit.from_si(onset), f"onset {show.bare('speed', onset)}", "◆"))
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
        x_range=(x[0], x[-1]),
    )


Content = tuple[list[Series], list[HorizontalLine], list[HorizontalBand], str]


def _percent_series(x: list[float], estimate: Estimate, label: str, *, band: bool = True) -> Series:
    known = band and bool((estimate.low == estimate.low).any())

    def shown(values: np.ndarray) -> list[float]:
        return [float(v) * 100.0 for v in values]

    return Series(
        x,
        shown(estimate.value),
        label,
        low=shown(estimate.low) if known else None,
        high=shown(estimate.high) if known else None,
    )


def _grip_surplus(sweep: Sweep, x: list[float], show: Show) -> Content:  # noqa: ARG001 - one shape for all charts
    target = sweep.day.session.vehicle.target
    handling = sweep.handling
    driven = handling.grip_surplus_driven
    judged_driven = driven is not None and sweep.day.session.vehicle.driven != "front"
    series = [_percent_series(x, handling.grip_surplus, "air load", band=not judged_driven)]
    if driven is not None:
        series.append(_percent_series(x, driven, "with drive", band=judged_driven))
    band = HorizontalBand(-target.front_tolerance * 100.0, target.rear_tolerance * 100.0, "band")
    return series, [], [band], "%"


def _axle_loads(sweep: Sweep, x: list[float], show: Show) -> Content:
    vehicle, nominal = sweep.day.session.vehicle, sweep.handling.nominal
    unit = show.system.unit("force")
    front, rear = static_axle_weights(vehicle.mass, vehicle.front_share)
    series = [
        Series(x, [unit.from_si(front + float(v)) for v in nominal.front_downforce], "front"),
        Series(x, [unit.from_si(rear + float(v)) for v in nominal.rear_downforce], "rear"),
    ]
    lines = [
        HorizontalLine(unit.from_si(front), "front at rest"),
        HorizontalLine(unit.from_si(rear), "rear at rest"),
    ]
    return series, lines, [], unit.label


def _front_load_share(sweep: Sweep, x: list[float], show: Show) -> Content:  # noqa: ARG001 - one shape for all charts
    share = sweep.handling.nominal.front_load_share
    at_rest = sweep.day.session.vehicle.front_share * 100.0
    return (
        [Series(x, [float(v) * 100.0 for v in share], "front share")],
        [HorizontalLine(at_rest, "at rest")],
        [],
        "%",
    )


def _neutral_steer_shift(sweep: Sweep, x: list[float], show: Show) -> Content:  # noqa: ARG001 - one shape for all charts
    series = [_percent_series(x, sweep.handling.neutral_steer_shift, "shift")]
    return series, [HorizontalLine(0.0, "as at rest")], [], "% of wheelbase, up is toward understeer"


def _drag(sweep: Sweep, x: list[float], show: Show) -> Content:
    unit = show.system.unit("force")
    return (
        [Series(x, [unit.from_si(float(v)) for v in sweep.handling.nominal.drag], "drag")],
        [],
        [],
        unit.label,
    )


_CONTENT = {
    "grip_surplus": _grip_surplus,
    "axle_loads": _axle_loads,
    "front_load_share": _front_load_share,
    "neutral_steer_shift": _neutral_steer_shift,
    "drag": _drag,
}
