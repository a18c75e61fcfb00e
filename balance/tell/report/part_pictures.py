"""Pictures of parts and of the day: the map, the way from start to answer, equal runs."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from balance.compare.student import student_factor
from balance.model.channels import DRAG, FRONT, MEASURED, REAR, TOTAL
from balance.tell.parts.change_text import signed
from balance.tell.parts.part_charts import scatter_ellipse
from balance.tell.parts.part_names import part_name
from balance.tell.parts.part_waterfall import bar_name
from balance.tell.report.bars_picture import Step, draw_waterfall
from balance.tell.report.blocks import Missing
from balance.tell.report.canvas import (
    FRONT_INK,
    INK,
    REAR_INK,
    SOFT,
    THIRD,
    TINT,
    Picture,
    drawing,
    empty_picture,
    label_of,
    legend_below,
)
from balance.tell.report.curves_picture import head, place_letters
from balance.tell.report.map_picture import Spot, draw_map

if TYPE_CHECKING:
    from collections.abc import Sequence

    from balance.tell.report.report_data import ReportData


def map_picture(report: ReportData) -> Picture | Missing:
    """Draw the parts told by downforce against drag."""
    changes, show = report.parts.increments.changes, report.show
    if not report.told:
        return Missing("map of parts", "no run has another to be compared with")
    scale = show.system.unit("force").scale
    spots = [
        Spot(
            letter=letter,
            drag=float(changes.change[row, DRAG]) / scale,
            downforce=float(changes.change[row, TOTAL]) / scale,
            ellipse=_ellipse(report, row, scale),
        )
        for letter, row in zip(place_letters(len(report.told)), report.told, strict=True)
    ]
    said = "; ".join(
        f"{spot.letter} {part_name(report.parts.increments, row)} "
        f"{signed(show, spot.downforce * scale)} of downforce, {signed(show, spot.drag * scale)} of drag"
        for spot, row in zip(spots, report.told, strict=True)
    )
    unit, at = show.unit("force"), show.speed(report.speed)
    return draw_map(
        spots,
        key="map",
        title=f"What each part gained, and what it cost, at {at}",
        unit=unit,
        alternative=f"Change of downforce against change of drag at {at}, in {unit}: {said}.",
        caption=(
            "Letters as in the table. Up is more downforce, right is more drag. Each ellipse is what the day's scatter "
            "leaves open; dashed lines join parts that gain equally much for each unit of drag. A steep line is a "
            "cheap part, not a big one."
        ),
    )


def _ellipse(report: ReportData, row: int, scale: float) -> tuple[list[float], list[float]] | None:
    """Return the ellipse of a part's scatter in the unit shown."""
    found = scatter_ellipse(report.parts, row)
    return None if found is None else ((found[0] / scale).tolist(), (found[1] / scale).tolist())


def waterfall_picture(report: ReportData) -> Picture | Missing:
    """Draw the way from the baseline to the answer in total downforce."""
    way, show = report.way, report.show
    if way is None:
        return Missing("step-by-step picture", "the answer is the configuration that the car started from")
    scale = show.system.unit("force").scale
    start, end = (float(v) / scale for v in way.ends.change[:, TOTAL])
    steps = [
        Step(name=f"run {way.base}", start=0.0, end=start, text=load_text(report, start * scale), kind="end")
    ]
    reached = start
    for k, bar in enumerate(way.bars):
        change = float(way.changes.change[k, TOTAL])
        name = bar_name(report.parts.increments, bar, 76)
        text = signed(show, change, float(way.changes.std[k, TOTAL]))
        steps.append(Step(name=name, start=reached, end=reached + change / scale, text=text, kind=bar.kind))
        reached += change / scale
    steps.append(
        Step(name=f"run {way.final}", start=0.0, end=end, text=load_text(report, end * scale), kind="end")
    )
    at = show.speed(report.speed)
    return draw_waterfall(
        steps,
        key="way",
        title=f"Total downforce from start to answer, at {at}",
        unit=f"{show.unit('force')}, downforce to the right, LIFT to the left",
        alternative=(
            f"Total downforce step by step at {at}, in {show.unit('force')}: "
            f"{'; '.join(f'{step.name} {step.text}' for step in steps)}."
        ),
    )


def load_text(report: ReportData, force: float) -> str:
    """Write a total load without its unit, with LIFT as a word."""
    text = report.show.bare("force", abs(force))
    return f"{text} LIFT" if force < 0.0 else text


def repeats_picture(report: ReportData) -> Picture | Missing:
    """Draw the readings of every configuration that was run again."""
    deviations, show = report.scatter.deviations, report.show
    rows = [k for k in range(len(report.runs)) if bool(np.all(np.isfinite(deviations[k, MEASURED])))]
    if not rows:
        return Missing(
            "chart of repeats",
            "no configuration was run twice, so that nothing shows how far two equal runs lie apart",
        )
    scale = show.system.unit("force").scale
    front, rear, drag = (
        [float(deviations[k, channel]) / scale for k in rows] for channel in (FRONT, REAR, DRAG)
    )
    scatter = report.scatter.scatter
    wide = scatter.deviation * student_factor(scatter.degrees_of_freedom, report.day.confidence)
    half = float(np.nanmax(wide[MEASURED])) / scale if np.any(np.isfinite(wide[MEASURED])) else 0.0
    worst = max(abs(v) for v in (*front, *rear, *drag)) * scale
    labels = [report.runs[k].label for k in rows]
    return draw_repeats(
        Repeats(labels=labels, front=front, rear=rear, drag=drag, half=half),
        key="repeats",
        title="Equal runs, and how far apart they read",
        unit=show.unit("force"),
        alternative=(
            f"Readings of {len(rows)} runs that repeat one another, less the mean of their repeats: "
            f"the farthest lies {show.quantity('force', worst, decimals=0 if show.system.name == 'SI' else 1)} off."
        ),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Repeats:
    """Readings less the mean of their repeats, in the order of running; ``half`` is half the band of one reading."""

    labels: Sequence[str]
    front: Sequence[float]
    rear: Sequence[float]
    drag: Sequence[float]
    half: float


def draw_repeats(repeats: Repeats, *, key: str, title: str, unit: str, alternative: str) -> Picture:
    """Draw readings about the mean of their repeats."""
    places = list(range(len(repeats.labels)))
    with drawing():
        figure, axes = empty_picture()
        if repeats.half > 0.0:
            axes.axhspan(-repeats.half, repeats.half, facecolor=TINT, edgecolor=SOFT, linewidth=0.8, zorder=0)
        axes.axhline(0.0, color=INK, linewidth=1.0)
        for values, colour, marker, name, aside in (
            (repeats.front, FRONT_INK, "o", "front", -0.2),
            (repeats.rear, REAR_INK, "s", "rear", 0.0),
            (repeats.drag, THIRD, "^", "drag", 0.2),
        ):
            axes.plot(
                [p + aside for p in places],
                list(values),
                linestyle="none",
                marker=marker,
                markersize=8,
                color=colour,
                label=name,
            )
        most = max([repeats.half, *(abs(v) for v in (*repeats.front, *repeats.rear, *repeats.drag))]) or 1.0
        axes.set_ylim(-1.15 * most, 1.15 * most)
        axes.set_xlim(-0.6, len(places) - 0.4)
        step = max(1, -(-len(places) // 9))
        axes.set_xticks(places[::step], [label_of(label, 6) for label in repeats.labels[::step]])
        axes.set_xlabel("run, in the order of running")
        axes.set_ylabel(f"off its mean [{unit}]")
        axes.locator_params(axis="y", nbins=6)
        head(axes, title)
        if repeats.half > 0.0:
            axes.plot([], [], color=TINT, linewidth=9, label="95 of 100 readings")
        legend_below(figure, length=1.4, apart=1.0)
    return Picture(key=key, title=title, alternative=alternative, figure=figure)
