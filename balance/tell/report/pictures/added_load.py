"""The load that the air adds to each axle: of the configurations shown, and from start to recommendation with the limits."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from balance.handling.axle_loads import static_axle_weights
from balance.handling.decisive_surplus import rear_downforce_at
from balance.model.channels import REAR
from balance.reduce.car_figures import figures_of
from balance.tell.figures import percent
from balance.tell.report.pictures.canvas import (
    FRONT_INK,
    INK,
    REAR_FILL,
    REAR_INK,
    TYPE_SIZE,
    Picture,
    drawing,
    empty_picture,
    finish_rows,
    in_two_lines,
    legend_below,
    name_row,
)

if TYPE_CHECKING:
    from collections.abc import Sequence

    from matplotlib.axes import Axes

    from balance.tell.report.report_data import ReportData

MOST_BARS = 10
_LINE = 40
"""Characters of a name in one line."""
_UNIT = "% of the axle's static weight"
_FRONT_FACE: dict[str, Any] = {"facecolor": FRONT_INK, "edgecolor": FRONT_INK, "linewidth": 1.2}
_REAR_FACE: dict[str, Any] = {"facecolor": REAR_FILL, "edgecolor": REAR_INK, "linewidth": 1.6}
"""The rear's bars: full like the front's, and lighter, so that they are apart in grey."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Pair:
    """Front and rear bar of one configuration: length, and what is written at the end.

    ``limits`` is between which lengths the rear's bar has to end for the car to be in balance.
    """

    name: str
    front: float
    rear: float
    front_text: str
    rear_text: str
    limits: tuple[float, float] | None = None


def recommended_picture(report: ReportData) -> Picture:
    """Draw the added loads of start, dangerous step between, and recommendation, with the limits of the rear's."""
    middle = () if report.middle is None else (report.middle.row,)
    rows = tuple(dict.fromkeys((report.baseline, *middle, report.answer)))
    pairs = [
        _pair(report, row, f"{_stage(report, row)}: {report.fitted_words(row)}", _limits(report, row))
        for row in rows
    ]
    at = report.show.speed(report.speed)
    said = _said(pairs).replace("-", "\N{MINUS SIGN}")
    judged = report.table.handling.verdicts
    drive = " The limits are those under power." if any(judged[row].with_drive for row in rows) else ""
    return _draw(
        pairs,
        key="recommended",
        title=f"Added load of each axle at {at}",
        alternative=f"Load that the air adds to front and rear at {at}, in per cent of static weight. {said}.",
        caption=(
            f"In balance where the rear's bar ends between its limits; to the left of both, OVERSTEER.{drive}"
        ),
    )


def _stage(report: ReportData, row: int) -> str:
    if report.middle is not None and row == report.middle.row:
        return "DANGEROUS"
    if row == report.answer:
        return "Recommended" if report.recommends else "Nearest"
    return "Start"


def _pair(report: ReportData, row: int, name: str, limits: tuple[float, float] | None = None) -> Pair:
    n = report.table.handling.nominal
    front, rear = float(n.front_added_load[row]), float(n.rear_added_load[row])
    return Pair(
        name=name,
        front=front * 100.0,
        rear=rear * 100.0,
        front_text=added_text(front),
        rear_text=added_text(rear),
        limits=limits,
    )


def _said(pairs: Sequence[Pair]) -> str:
    """Say what the bars show to those who do not see them."""
    return "; ".join(
        f"{pair.name}: front {pair.front_text}, rear {pair.rear_text}"
        + (f", limits for the rear {pair.limits[0]:.1f} and {pair.limits[1]:.1f} %" if pair.limits else "")
        for pair in pairs
    )


def _limits(report: ReportData, row: int) -> tuple[float, float] | None:
    """Return the added loads of the rear, in per cent, between which the car is in balance; nothing off the ground."""
    n, vehicle = report.table.handling.nominal, report.session.vehicle
    if float(n.front_added_load[row]) <= -1.0:
        return None
    loads = rear_downforce_at(
        [-vehicle.target.front_tolerance, vehicle.target.rear_tolerance],
        n.front_downforce[row],
        n.drag[row],
        figures_of(vehicle),
        driven_axle=vehicle.driven,
    )
    rear_weight = static_axle_weights(vehicle.mass, vehicle.front_share)[REAR]
    low, high = (float(load) / rear_weight * 100.0 for load in loads)
    return (low, high) if math.isfinite(low + high) else None


def added_picture(report: ReportData) -> Picture:
    """Draw the added load of both axles for the runs shown."""
    pairs = [_pair(report, row, row_name(report, row)) for row in report.shown[:MOST_BARS]]
    at, said = report.show.speed(report.speed), _said(pairs)
    return _draw(
        pairs,
        key="added",
        title=f"Load that the air adds to each axle at {at}",
        alternative=f"Added load of each axle at {at}, in per cent of its static weight. {said}.",
        caption=(
            "Each bar is what the air adds to an axle, as a part of its static weight; LIFT goes to the left. "
            "Where both bars are equally long the axles stay matched; the longer one's axle gains grip on the other."
        ),
    )


def row_name(report: ReportData, row: int) -> str:
    """Name a row in few words: what is fitted, and its runs."""
    return f"{report.fitted_words(row)} ({report.runs_words(row)})"


def added_text(share: float) -> str:
    """Write an added load: its size, and LIFT where the air takes load off."""
    return f"{percent(abs(share))} LIFT" if share < 0.0 else percent(share)


def _draw(pairs: Sequence[Pair], *, key: str, title: str, alternative: str, caption: str) -> Picture:
    """Draw two bars for each configuration, away from a line of no air load."""
    ends = [v for p in pairs for v in (p.front, p.rear, *(p.limits or ()))]
    reach = max(map(abs, ends)) or 1.0
    with drawing():
        two_lines = any(len(pair.name) > _LINE - 2 for pair in pairs)
        upper, lower, thick = (0.17, 0.42, 0.23) if two_lines else (0.12, 0.45, 0.29)
        figure, axes = empty_picture(height=1.6 + (1.06 if two_lines else 0.82) * len(pairs))
        for k, pair in enumerate(pairs):
            for value, text, offset, front in (
                (pair.front, pair.front_text, upper, True),
                (pair.rear, pair.rear_text, lower, False),
            ):
                y = k + offset
                axes.barh(y, value, height=thick, **(_FRONT_FACE if front else _REAR_FACE))
                limits = None if front else pair.limits
                if limits is not None:
                    axes.plot(limits, (y, y), color=INK, linewidth=1.4, marker="|", markersize=13, zorder=5)
                _at_end(axes, y, value, limits or (0.0, 0.0), text)
            name = in_two_lines(pair.name, _LINE - 2)
            name_row(axes, k + (0.02 if two_lines else -0.09), name)
        axes.axvline(0.0, color=INK, linewidth=1.2)
        low, high = min(0.0, *ends), max(0.0, *ends)
        axes.set_xlim(low - (0.62 * reach if low < 0.0 else 0.04 * reach), high + 0.55 * reach)
        axes.set_ylim(len(pairs) - 0.28, -0.55)
        axes.plot([], [], color=FRONT_INK, linewidth=9, label="front axle")
        axes.fill_between([], [], [], **_REAR_FACE, label="rear axle")
        if any(pair.limits is not None for pair in pairs):
            axes.plot(
                [], [], color=INK, linewidth=1.4, marker="|", markersize=13, label="limits for the rear"
            )
        finish_rows(axes, title, _UNIT)
        legend_below(figure, length=1.8, apart=1.0)
    return Picture(key=key, title=title, alternative=alternative, caption=caption, figure=figure)


def _at_end(axes: Axes, y: float, value: float, limits: tuple[float, float], text: str) -> None:
    axes.annotate(
        text,
        (max(value, *limits) if value >= 0.0 else min(value, *limits), y),
        xytext=(5 if value >= 0.0 else -5, 0),
        textcoords="offset points",
        va="center",
        ha="left" if value >= 0.0 else "right",
        color=INK,
        fontsize=TYPE_SIZE,
    )
