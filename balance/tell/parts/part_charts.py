"""Charts of parts and of the day's scatter: what is drawn, not how."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from balance.compare.column_increments import ONLY
from balance.compare.student import student_factor
from balance.decide.day.day_scatter import DayScatter
from balance.model.channels import DRAG, TOTAL, WITH_TOTAL
from balance.model.kinds import unit_mark
from balance.reduce.median import median
from balance.tell.chart_parts import Chart, HorizontalBand, Series
from balance.tell.figures import decimals_for, number, percent
from balance.tell.parts.change_text import quantity_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from balance.decide.day.day_scatter import ColumnScatter
    from balance.decide.parts.parts import Parts
    from balance.tell.figures import Show

_ROUND = (0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0)
_MARGIN = 1.12


def increments_map(
    parts: Parts,
    rows: Sequence[int],
    picked: int | None,
    show: Show,
    *,
    brief: bool = False,
    paid: tuple[str, float] | None = None,
) -> Chart:
    """Lay out the map of increments: downforce against drag, with rays of equal ratio and what scatter alone does.

    ``paid`` is a track and the newtons of drag that a newton of downforce pays for there: above its line a part is worth
    its drag, while the balance stays.
    """
    changes, labels = parts.increments.changes, parts.increments.readings.labels
    unit = show.system.unit("force")
    drag, load = changes.change[:, DRAG] / unit.scale, changes.change[:, TOTAL] / unit.scale
    others = [row for row in rows if row != picked]
    names = {row: labels[parts.increments.pairs[row].run] for row in rows}

    def points(some: Sequence[int], label: str) -> Series:
        x, y = drag[list(some)].tolist(), load[list(some)].tolist()
        return Series(x, y, label, mark="dots", labels=[names[row] for row in some])

    series = [points(others, "parts, by run")]
    if not brief:
        series += _rays(drag[list(rows)], load[list(rows)], unit.label)
    if paid is not None:
        series += _paid_line(*paid, drag[list(rows)], load[list(rows)])
    if picked is not None and picked in names:
        ellipse = scatter_ellipse(parts, picked)
        if ellipse is not None:
            x, y = ellipse
            series.append(Series((x / unit.scale).tolist(), (y / unit.scale).tolist(), "noise alone"))
        series.append(points([picked], f"run {names[picked]}"))
    return Chart(
        title="downforce against drag",
        x_label="drag change",
        x_unit=unit.label,
        y_label="" if brief else "total downforce change",
        y_unit=unit.label,
        series=series,
        empty="no part to draw: no run differs from its baseline",
    )


def scatter_ellipse(parts: Parts, row: int) -> tuple[np.ndarray, np.ndarray] | None:
    """Draw what scatter alone does to one comparison: an ellipse as wide and high as its two intervals."""
    changes = parts.increments.changes
    half = (changes.high[row] - changes.low[row]) / 2.0
    if not (math.isfinite(half[DRAG]) and math.isfinite(half[TOTAL])):
        return None
    turn = np.linspace(0.0, 2.0 * math.pi, 73)
    r = float(changes.correlations[row])
    return (
        half[DRAG] * np.cos(turn),
        half[TOTAL] * (r * np.cos(turn) + math.sqrt(1.0 - r * r) * np.sin(turn)),
    )


def repeats_chart(day: DayScatter, quantity: int, show: Show) -> Chart:
    """Lay out the repeats of a day: each run less the mean of its repeats, in running order.

    ``quantity`` is the place of one of the forces, or behind them that of a compared column.
    """
    if quantity < len(WITH_TOTAL):
        unit = show.system.unit("force")
        return _repeats(day, quantity, quantity_of(quantity), unit.scale, unit.label, day.day.confidence)
    one = day.columns[quantity - len(WITH_TOTAL)]
    return _repeats(one, ONLY, one.column.title, 1.0, unit_mark(one.column.unit), day.day.confidence)


def _repeats(
    day: DayScatter | ColumnScatter, column: int, name: str, scale: float, unit: str, confidence: float
) -> Chart:
    """Lay out the repeats of one quantity."""
    readings = day.readings
    labels = readings.labels
    order = day.drifts.order + 1.0
    series = []
    for repeats in day.sets:
        rows = list(repeats.rows)
        series.append(
            Series(
                order[rows].tolist(),
                (day.deviations[rows, column] / scale).tolist(),
                readings.runs[rows[0]].configuration,
                mark="dots",
                labels=[labels[row] for row in rows],
            )
        )
    for block in (one for one in day.drifts.blocks if one.returned):
        rows = [labels.index(label) for label in max(block.returned, key=len)]
        middle = float(np.mean(order[rows]))
        ends = np.array([order[rows[0]], order[rows[-1]]])
        line = float(block.slope[column]) / scale * (ends - middle)
        word = "significant" if block.resolved[column] else "within noise"
        series.append(Series(ends.tolist(), line.tolist(), f"drift, {word}"))
    scatter = day.scatter
    half = float(scatter.deviation[column] * student_factor(scatter.degrees_of_freedom[column], confidence))
    bands = []
    if math.isfinite(half):
        places = 0 if isinstance(day, DayScatter) else decimals_for(half / 10.0, fallback=0)
        bands.append(
            HorizontalBand(
                -half / scale,
                half / scale,
                f"one reading, {percent(confidence, decimals=0)}: ± {number(half / scale, places)} {unit}",
            )
        )
    return Chart(
        title=f"{name}: repeats less their mean",
        x_label="place in running order",
        y_unit=unit,
        series=series,
        bands=bands if series else (),
        x_range=(1.0, max(float(order[-1]), 2.0)),
        empty="no run was repeated: run the baseline again",
    )


def _paid_line(track: str, rate: float, drag: np.ndarray, load: np.ndarray) -> list[Series]:
    """Draw the line above which a part is worth its drag on a track."""
    if not (drag.size and math.isfinite(rate) and rate > 0.0):
        return []
    low = _MARGIN * max(min(0.0, float(drag.min())), rate * min(0.0, float(load.min())))
    high = _MARGIN * min(max(0.0, float(drag.max())), rate * max(0.0, float(load.max())))
    if high <= low:
        return []
    return [Series([low, high], [low / rate, high / rate], f"above: worth its drag at {track}")]


def _rays(drag: np.ndarray, load: np.ndarray, unit: str) -> list[Series]:
    """Draw lines of equal downforce per drag through the origin, at round ratios among those of the parts."""
    if not drag.size:
        return []
    most_drag, most_load = _MARGIN * float(drag.max()), _MARGIN * float(load.max())
    if most_drag <= 0.0 or most_load <= 0.0:
        return []
    gaining = (drag > 0.02 * most_drag) & (load > 0.0)
    if not gaining.any():
        return []
    ratios = load[gaining] / drag[gaining]
    middle = float(median(ratios))
    nearest = int(np.argmin([abs(math.log(ratio / middle)) for ratio in _ROUND]))
    chosen = {_ROUND[max(nearest - 1, 0)], _ROUND[min(nearest + 1, len(_ROUND) - 1)]}
    rays = []
    for ratio in sorted(chosen):
        reach = min(most_drag, most_load / ratio)
        rays.append(Series([0.0, reach], [0.0, ratio * reach], f"{ratio:g} {unit} per {unit}"))
    return rays
