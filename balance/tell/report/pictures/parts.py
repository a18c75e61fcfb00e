"""Pictures of parts and of the day: what each changed, the way from start to recommendation, equal runs."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from balance.compare.student import student_factor
from balance.model.channels import DRAG, FRONT, MEASURED, REAR, TOTAL
from balance.tell.parts.change_text import signed
from balance.tell.parts.part_waterfall import bar_name
from balance.tell.report.blocks import Missing
from balance.tell.report.pictures.bars import Step, draw_waterfall
from balance.tell.report.pictures.part_rows import Changed, draw_parts
from balance.tell.report.pictures.repeats import Repeats, draw_repeats

if TYPE_CHECKING:
    from balance.tell.report.pictures.canvas import Picture
    from balance.tell.report.report_data import ReportData


def parts_picture(report: ReportData) -> Picture | Missing:
    """Draw what each part told changed at the front, at the rear and in drag, with its intervals."""
    changes, show = report.parts.increments.changes, report.show
    if not report.told:
        return Missing(what="picture of parts", why="no run has another to be compared with")
    scale = show.system.unit("force").scale

    def three(row: int, channel: int) -> tuple[float, float, float]:
        change = changes.of(row, channel)
        return change.change / scale, change.low / scale, change.high / scale

    names = [report.part_name(row) for row in report.told]
    parts = [
        Changed(
            name=name if names.count(name) == 1 else f"{name}, against {report.baseline_name(row)}",
            front=three(row, FRONT),
            rear=three(row, REAR),
            drag=three(row, DRAG),
        )
        for row, name in zip(report.told, names, strict=True)
    ]
    said = "; ".join(
        f"{part.name} front {signed(show, part.front[0] * scale)}, rear {signed(show, part.rear[0] * scale)}, "
        f"drag {signed(show, part.drag[0] * scale)}"
        for part in parts
    )
    unit, at = show.unit("force"), show.speed(report.speed)
    return draw_parts(
        parts,
        key="parts",
        title=f"What each part changed at {at}",
        unit=unit,
        alternative=f"Changes of front downforce, rear downforce and drag at {at}, in {unit}: {said}.",
        caption=(
            "Look for intervals clear of zero: only those changes are significant (95 %). A mark to the right is more downforce, or "
            "more drag; one to the left is less. Two marks far apart shift the balance from one axle to the other."
        ),
    )


def waterfall_picture(report: ReportData) -> Picture | Missing:
    """Draw the way from the start to the recommendation in total downforce."""
    way, show = report.way, report.show
    if way is None:
        return Missing(
            what="step-by-step picture",
            why="the recommendation is the configuration that the car started from",
        )
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
        title=f"Total downforce from start to recommendation, at {at}",
        unit=f"{show.unit('force')}, downforce to the right, LIFT to the left",
        alternative=(
            f"Total downforce step by step at {at}, in {show.unit('force')}: "
            f"{'; '.join(f'{step.name} {step.text}' for step in steps)}."
        ),
        caption="Each hatched bar begins where the one above it ends: what that step added to the downforce of the car.",
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
            what="chart of repeats",
            why="no configuration was run twice, so that nothing shows how far two equal runs lie apart",
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
        caption="Points inside the shading are ordinary noise; a trend from left to right would be drift.",
    )
