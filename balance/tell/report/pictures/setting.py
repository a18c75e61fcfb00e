"""The picture of one setting: grip balance against it, with the limits, the useful range and the trim."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from balance.handling.decisive_surplus import surpluses
from balance.model.channels import front_rear_drag
from balance.model.kinds import unit_mark, with_unit
from balance.reduce.car_figures import figures_of
from balance.tell.figures import number
from balance.tell.report.pictures.canvas import (
    FRONT_INK,
    HEIGHT,
    INK,
    PAPER,
    REAR_INK,
    SOFT,
    TINT,
    Picture,
    drawing,
    empty_picture,
    head,
    legend_below,
    quantity_label,
)

if TYPE_CHECKING:
    from collections.abc import Sequence

    from matplotlib.axes import Axes
    from numpy.typing import NDArray

    from balance.decide.day.verdict import Verdict
    from balance.decide.settings.trim_question import TrimAnswers
    from balance.tell.report.report_data import ReportData

_POINTS = 41


def setting_picture(
    report: ReportData, one: TrimAnswers, verdicts: Sequence[Verdict], position: int
) -> Picture:
    """Draw how the grip balance answers to a setting, by the verdicts at its tested values, with the limits."""
    response, vehicle = one.answer.moved.response, report.session.vehicle
    family, useful = response.family, response.useful
    fine = np.linspace(family.values[0], family.values[-1], _POINTS)
    front, rear, drag = front_rear_drag(response.curve(fine) * report.table.dynamic_pressure)
    curve = surpluses(front, rear, drag, figures_of(vehicle), driven_axle=vehicle.driven).decisive
    balance = _percent(np.array([one.surplus for one in verdicts]))
    low, high = (
        np.array([getattr(one, side) for one in verdicts], dtype=float) * 100.0 for side in ("low", "high")
    )
    error = [
        np.where(np.isfinite(end), np.maximum(reach, 0.0), 0.0)
        for end, reach in ((low, balance - low), (high, high - balance))
    ]
    values = family.values.tolist()
    spare = 0.06 * (values[-1] - values[0])
    name, at = family.setting.replace("_", " "), report.show.speed(report.speed)
    title = f"Grip balance against {name}"
    with drawing():
        figure, axes = empty_picture(height=HEIGHT + 0.1)
        over, under = -vehicle.target.front_tolerance * 100.0, vehicle.target.rear_tolerance * 100.0
        axes.axhspan(over, under, facecolor=TINT, linewidth=0, zorder=0)
        axes.axhline(under, color=SOFT, linewidth=1.4, linestyle=(0, (6, 2)), label="understeer limit")
        axes.axhline(over, color=REAR_INK, linewidth=1.8, linestyle=(0, (2, 1.5)), label="OVERSTEER limit")
        axes.plot(fine, _percent(curve), color=FRONT_INK, linewidth=2.0)
        axes.errorbar(
            values, balance, yerr=error, color=FRONT_INK, linestyle="none", marker="o", markersize=7, capsize=3
        )  # fmt: skip
        axes.plot(
            [], [], color=FRONT_INK, linewidth=2.0, marker="o", markersize=7, label="tested, with interval"
        )
        axes.axhline(0.0, color=INK, linewidth=0.8)
        axes.set_xlim(values[0] - spare, values[-1] + spare)
        _outside(axes, values, spare, useful)
        if one.answer.solutions:
            trim = one.answer.solutions[0].value
            label = f"trim: {with_unit(f'{trim:.1f}', family.unit)}"
            axes.axvline(trim, color=INK, linewidth=1.6, label=label)
        axes.set_xticks(values if len(values) <= 7 else values[:: -(-len(values) // 7)])
        axes.set_xlabel(quantity_label(name, unit_mark(family.unit)))
        axes.set_ylabel("rear over front [%]")
        axes.locator_params(axis="y", nbins=6)
        head(axes, title)
        legend_below(figure, length=2.0, apart=1.0)
    said = "; ".join(
        f"{with_unit(f'{value:g}', family.unit)} {number(v, 1)} %"
        for value, v in zip(values, balance, strict=True)
    )
    return Picture(
        key=f"wing-{position}",
        title=title,
        alternative=(
            f"Grip balance, rear over front, at {at} against {name}: {said}; useful range "
            f"{useful[0]:g} to {with_unit(f'{useful[1]:g}', family.unit)}."
        ),
        caption=(
            f"At {at}. Choose a setting whose whole interval lies between the limits. Below them the rear has too little grip: "
            "OVERSTEER. Above them the car has more understeer than in slow corners."
        ),
        figure=figure,
    )


def _percent(surplus: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return a grip balance in per cent; none where an axle has no grip at all."""
    return np.where(np.abs(surplus) < 1.0, surplus * 100.0, np.nan)


def _outside(axes: Axes, values: Sequence[float], spare: float, useful: tuple[float, float]) -> None:
    """Shade what lies outside the useful range."""
    low, high = useful
    ends = ((values[0] - spare, low), (high, values[-1] + spare))
    shaded = [(a, b) for a, b in ends if b - a > spare * 1.01]
    looks: dict[str, Any] = {"facecolor": PAPER, "edgecolor": SOFT, "hatch": "xx", "linewidth": 0}
    for a, b in shaded:
        axes.axvspan(a, b, alpha=0.35, zorder=0, **looks)
    if shaded:
        axes.fill_between([], [], [], label="outside useful range", **looks)
