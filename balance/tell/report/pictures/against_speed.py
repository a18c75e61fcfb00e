"""Pictures against speed: of one configuration, and of where it started."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from balance.handling.load_share_band import front_load_share_at
from balance.tell.chart_parts import HorizontalBand, HorizontalLine, Series
from balance.tell.figures import capital, number, percent
from balance.tell.report.pictures.added_load import row_name
from balance.tell.report.pictures.canvas import label_of
from balance.tell.report.pictures.curves import draw_curves
from balance.tell.runs.curves import CHARTS, onset_marked, speed_chart
from balance.tell.runs.detail import onset_line

if TYPE_CHECKING:
    from balance.tell.chart_parts import Chart
    from balance.tell.report.pictures.canvas import Picture
    from balance.tell.report.report_data import ReportData

_CAPTIONS = {
    "axle_loads": "Look at the slope: a line that falls with speed is an axle that the air unloads.",
    "grip_surplus": (
        "The car is in balance where the line stays between the limits. Above them lies understeer, below them "
        "OVERSTEER."
    ),
    "neutral_steer_shift": "Up is towards understeer for small steering inputs, down towards oversteer.",
    "drag": "Drag grows with the square of speed: twice the speed, four times the drag.",
    "drag_power": "The power against drag grows with the cube of speed.",
}


def against_speed(
    report: ReportData, row: int, kind: str, *, y_range: tuple[float, float] | None = None
) -> Picture:
    """Draw a quantity of one run against speed."""
    chart = speed_chart(report.against_speed(row), kind, report.show, onset=onset_marked(report.table, row))
    named = CHARTS[kind].partition(",")[0]
    title = f"{capital(named)}: {label_of(report.runs_words(row), 16)}"
    target = report.session.vehicle.target.grip_surplus
    if kind == "grip_surplus":
        chart = replace(chart, y_label="rear over front")
    if kind == "grip_surplus" and target:
        chart = replace(chart, lines=[HorizontalLine(target * 100.0, "target")])
    bands = [band._replace(label="between the limits") for band in chart.bands]
    chart = replace(chart, title=title, y_range=y_range, bands=bands)
    return draw_curves(
        chart,
        key=f"{kind.replace('_', '-')}-{row}",
        alternative=_says(report, row, chart, kind),
        caption=_CAPTIONS[kind] + _passed(chart),
    )


def _passed(chart: Chart) -> str:
    """Explain the mark of a limit that is passed, where it is drawn."""
    low, high = chart.x_range or (-math.inf, math.inf)
    drawn = any(mark.symbol == "◆" and low <= mark.x <= high for mark in chart.marks)
    return " ◆ marks the speed from which a limit is passed." if drawn else ""


def _says(report: ReportData, row: int, chart: Chart, kind: str) -> str:
    """State what a chart against speed shows, with both of its ends."""
    unit, places = chart.y_unit.partition(",")[0], 0 if kind in ("axle_loads", "drag") else 1
    first, last = chart.x_range or (0.0, 0.0)
    ends = "; ".join(
        f"{one.label} {number(one.y[0], places)} {unit} at {number(first, 0)} {chart.x_unit}, "
        f"{number(one.y[-1], places)} {unit} at {number(last, 0)} {chart.x_unit}"
        for one in chart.series
    )
    said = f"{capital(CHARTS[kind])} of {row_name(report, row)}: {ends}."
    return f"{said} {onset_line(report.table, row, report.show)}." if kind == "grip_surplus" else said


def loads_range(report: ReportData, rows: tuple[int, ...]) -> tuple[float, float]:
    """Return the range of load that holds the axle loads of several runs."""
    charts = [speed_chart(report.against_speed(row), "axle_loads", report.show) for row in rows]
    loads = [value for chart in charts for one in chart.series for value in one.y]
    spare = 0.08 * (max(loads) - min(loads))
    return max(0.0, min(loads) - spare), max(loads) + spare


def share_picture(report: ReportData) -> Picture:
    """Draw the front share of the whole wheel load against speed, with its limits."""
    vehicle = report.session.vehicle
    rows = report.ends
    charts = [speed_chart(report.against_speed(row), "front_load_share", report.show) for row in rows]
    grip, target = vehicle.grip_exponent, vehicle.target
    edges = front_load_share_at(
        np.array([target.rear_tolerance, -target.front_tolerance, target.grip_surplus]),
        1.0,
        vehicle.front_share,
        front_exponent=grip.front,
        rear_exponent=grip.rear,
    )
    low, high, aim = (float(edge) * 100.0 for edge in edges)
    series = [
        Series(
            chart.series[0].x,
            [y if 0.0 < y < 100.0 else math.nan for y in chart.series[0].y],  # beyond, an axle is unloaded
            label_of(report.runs_words(row), 14),
        )
        for row, chart in zip(rows, charts, strict=True)
    ]
    lines = [HorizontalLine(vehicle.front_share * 100.0, "at rest")]
    if target.grip_surplus:
        lines.append(HorizontalLine(aim, "target"))
    chart = replace(
        charts[0],
        title="Wheel-load share of the front",
        series=series,
        lines=lines,
        bands=[HorizontalBand(low, high, "between the limits")],
    )
    at = " and ".join(
        f"{report.runs_words(row)}: {percent(one.y[-1] / 100.0, decimals=1)} at the end"
        if math.isfinite(one.y[-1])
        else f"{report.runs_words(row)}: an axle is unloaded"
        for row, one in zip(rows, series, strict=True)
    )
    return draw_curves(
        chart,
        key="share",
        alternative=(
            f"Wheel-load share of the front against speed: at rest {percent(vehicle.front_share)}, "
            f"the limits are {percent(low / 100.0)} and {percent(high / 100.0)}; {at}."
        ),
        caption="A line that stays between the limits keeps the axles matched; one that leaves them downwards ends in understeer.",
    )
