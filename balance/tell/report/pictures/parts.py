"""Pictures of parts and of the day: what each changed, the way from start to recommendation, equal runs."""

from __future__ import annotations

import math
from dataclasses import dataclass
from textwrap import fill
from typing import TYPE_CHECKING, Any

import numpy as np

from balance.compare.student import student_factor
from balance.model.channels import DRAG, FRONT, MEASURED, REAR, TOTAL
from balance.tell.parts.change_text import signed
from balance.tell.parts.part_waterfall import bar_name
from balance.tell.report.blocks import Missing
from balance.tell.report.pictures.canvas import (
    FRONT_INK,
    GRID,
    HATCH,
    INK,
    PAPER,
    REAR_INK,
    SOFT,
    THIRD,
    TINT,
    Picture,
    drawing,
    empty_picture,
    finish_rows,
    head,
    in_two_lines,
    label_of,
    legend_below,
    name_row,
)

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from balance.tell.report.report_data import ReportData

_LOOKS = (("front", FRONT_INK, "o"), ("rear", REAR_INK, "s"), ("drag", THIRD, "^"))
"""What is drawn of a part and of a reading, its ink and its marker."""
_LINE = 38
_NAME, _MARK, _GAP, _AROUND = 0.21, 0.11, 0.08, 1.72
"""Heights of a line of a part's name, of a mark, of the space under a row and of all around the rows, in inches.

No name may lie on another row's marks.
"""
_STEP, _STEP_LINE = 0.62, 40
"""Height in inches of a step's bar with its words over it, and characters of its name in one line."""


def parts_picture(report: ReportData) -> Picture | Missing:
    """Draw what each part told changed at the front, at the rear and in drag, with its intervals."""
    changes, show = report.parts.increments.changes, report.show
    if not report.told:
        return Missing(what="picture of parts", why="no run has another to be compared with")
    short = [report.part_name(row) for row in report.told]
    names = [
        name if short.count(name) == 1 else f"{name}, against {report.baseline_name(row)}"
        for row, name in zip(report.told, short, strict=True)
    ]
    told = np.ix_(report.told, (FRONT, REAR, DRAG))
    figures = np.stack([one[told] for one in (changes.change, changes.low, changes.high)], axis=-1)
    said = "; ".join(
        f"{name} front {signed(show, front)}, rear {signed(show, rear)}, drag {signed(show, drag)}"
        for name, (front, rear, drag) in zip(names, figures[..., 0].tolist(), strict=True)
    )
    unit, at = show.unit("force"), show.speed(report.speed)
    return _draw_parts(
        names,
        figures / show.system.unit("force").scale,
        title=f"What each part changed at {at}",
        unit=unit,
        alternative=f"Changes of front downforce, rear downforce and drag at {at}, in {unit}: {said}.",
        caption=(
            "Look for intervals clear of zero: only those changes are significant (95 %). A mark to the right is more downforce, or "
            "more drag; one to the left is less. Two marks far apart shift the balance from one axle to the other."
        ),
    )


def _draw_parts(
    names: Sequence[str],
    figures: NDArray[np.float64],
    *,
    title: str,
    unit: str,
    alternative: str,
    caption: str,
) -> Picture:
    """Draw every part in a row under its own name: value and both ends of what it changed, for each of the looks."""
    ends = figures[np.isfinite(figures)].tolist()
    low, high = min(0.0, *ends), max(0.0, *ends)
    room = 0.06 * (high - low) or 1.0
    with drawing():
        names = [fill(label_of(name, 2 * _LINE), _LINE) for name in names]
        heights = [_NAME * (name.count("\n") + 1) + _MARK * len(_LOOKS) + _GAP for name in names]
        figure, axes = empty_picture(height=_AROUND + sum(heights))
        end = 0.0
        for own, name, height in zip(figures.tolist(), names, heights, strict=True):
            end += height
            first = end - _GAP - _MARK * (len(_LOOKS) - 0.5)
            axes.axhline(end, color=GRID, linewidth=0.8)
            name_row(axes, first - 0.7 * _MARK, name, zorder=4)
            for k, ((_, colour, marker), (value, least, most)) in enumerate(zip(_LOOKS, own, strict=True)):
                if not math.isfinite(value):
                    continue
                error = [[value - least], [most - value]] if math.isfinite(least + most) else None
                axes.errorbar(
                    [value],
                    [first + k * _MARK],
                    xerr=error,
                    color=colour,
                    marker=marker,
                    markersize=6,
                    capsize=3,
                    linestyle="none",
                    zorder=3,
                )
        for what, colour, marker in _LOOKS:
            label = f"{what} downforce" if what != "drag" else what
            axes.plot([], [], color=colour, marker=marker, linestyle="none", label=label)
        axes.axvline(0.0, color=INK, linewidth=1.2)
        axes.set_xlim(low - room, high + room)
        axes.set_ylim(end, 0.0)
        finish_rows(axes, title, f"change, more to the right [{unit}]")
        legend_below(figure, length=2.0, apart=1.0)
    return Picture(key="parts", title=title, alternative=alternative, caption=caption, figure=figure)


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One bar of a waterfall: from where to where, what it is, and what is written beside it."""

    name: str
    start: float
    end: float
    text: str
    kind: str


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
        Step(name=f"run {way.base}", start=0.0, end=start, text=_load_text(report, start * scale), kind="end")
    ]
    reached = start
    for k, bar in enumerate(way.bars):
        change = float(way.changes.change[k, TOTAL])
        name = bar_name(report.parts.increments, bar, 76)
        text = signed(show, change, float(way.changes.std[k, TOTAL]))
        steps.append(Step(name=name, start=reached, end=reached + change / scale, text=text, kind=bar.kind))
        reached += change / scale
    steps.append(
        Step(name=f"run {way.final}", start=0.0, end=end, text=_load_text(report, end * scale), kind="end")
    )
    at = show.speed(report.speed)
    return _draw_waterfall(
        steps,
        title=f"Total downforce from start to recommendation, at {at}",
        unit=f"{show.unit('force')}, downforce to the right, LIFT to the left",
        alternative=(
            f"Total downforce step by step at {at}, in {show.unit('force')}: "
            f"{'; '.join(f'{step.name} {step.text}' for step in steps)}."
        ),
        caption="Each hatched bar begins where the one above it ends: what that step added to the downforce of the car.",
    )


def _load_text(report: ReportData, force: float) -> str:
    """Write a total load without its unit, with LIFT as a word."""
    text = report.show.bare("force", abs(force))
    return f"{text} LIFT" if force < 0.0 else text


def _draw_waterfall(
    steps: Sequence[Step], *, title: str, unit: str, alternative: str, caption: str
) -> Picture:
    """Draw a base, what each step added, and where it ends."""
    marks = [v for s in steps for v in (s.start, s.end)]
    low, high = min(0.0, *marks), max(0.0, *marks)
    reach = (high - low) or 1.0
    faces = {
        "end": _face(SOFT),
        "part": {**_face(FRONT_INK), "facecolor": PAPER, "hatch": HATCH},
        "package": {**_face(FRONT_INK), "facecolor": PAPER, "hatch": HATCH},
        "interaction": {**_face(THIRD), "hatch": "..", "facecolor": PAPER},
    }
    with drawing():
        row = _STEP + (0.24 if any(len(step.name) > _STEP_LINE for step in steps) else 0.0)
        figure, axes = empty_picture(height=1.1 + row * len(steps))
        for k, step in enumerate(steps):
            axes.barh(k + 0.18, step.end - step.start, left=step.start, height=0.36, **faces[step.kind])
            name = in_two_lines(step.name, _STEP_LINE)
            name_row(axes, k - 0.04, name)
            right = max(step.start, step.end)
            axes.text(right + 0.02 * reach, k + 0.18, step.text, va="center", ha="left", color=INK)
            if k + 1 < len(steps):
                axes.plot([step.end, step.end], [k + 0.18, k + 1.18], color=SOFT, linewidth=1.0, zorder=0)
        axes.axvline(0.0, color=INK, linewidth=1.2)
        axes.set_xlim(low - 0.04 * reach, high + 0.36 * reach)
        axes.set_ylim(len(steps) - 0.55, -0.62)
        finish_rows(axes, title, unit)
    return Picture(key="way", title=title, alternative=alternative, caption=caption, figure=figure)


def _face(colour: str) -> dict[str, Any]:
    return {"facecolor": colour, "edgecolor": colour, "linewidth": 1.2}


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
    off = deviations[np.ix_(rows, (FRONT, REAR, DRAG))].T / scale
    scatter = report.scatter.scatter
    wide = scatter.deviation * student_factor(scatter.degrees_of_freedom, report.day.confidence)
    half = float(np.nanmax(wide[MEASURED])) / scale if np.any(np.isfinite(wide[MEASURED])) else 0.0
    worst = float(np.abs(off).max()) * scale
    return _draw_repeats(
        [report.runs[k].label for k in rows],
        off,
        half,
        title="Equal runs, and how far apart they read",
        unit=show.unit("force"),
        alternative=(
            f"Readings of {len(rows)} runs that repeat one another, less the mean of their repeats: "
            f"the farthest lies {show.quantity('force', worst, decimals=0 if show.system.name == 'SI' else 1)} off."
        ),
        caption="Points inside the shading are ordinary noise; a trend from left to right would be drift.",
    )


def _draw_repeats(
    labels: Sequence[str],
    off: NDArray[np.float64],
    half: float,
    *,
    title: str,
    unit: str,
    alternative: str,
    caption: str,
) -> Picture:
    """Draw readings less the mean of their repeats, in the order of running; ``half`` is half the band of one reading."""
    places = list(range(len(labels)))
    with drawing():
        figure, axes = empty_picture()
        if half > 0.0:
            axes.axhspan(-half, half, facecolor=TINT, edgecolor=SOFT, linewidth=0.8, zorder=0)
        axes.axhline(0.0, color=INK, linewidth=1.0)
        for values, (name, colour, marker), aside in zip(off.tolist(), _LOOKS, (-0.2, 0.0, 0.2), strict=True):
            axes.plot(
                [p + aside for p in places],
                values,
                linestyle="none",
                marker=marker,
                markersize=8,
                color=colour,
                label=name,
            )
        most = max(half, float(np.abs(off).max())) or 1.0
        axes.set_ylim(-1.15 * most, 1.15 * most)
        axes.set_xlim(-0.6, len(places) - 0.4)
        step = max(1, -(-len(places) // 9))
        axes.set_xticks(places[::step], [label_of(label, 6) for label in labels[::step]])
        axes.set_xlabel("run, in the order of running")
        axes.set_ylabel(f"off its mean [{unit}]")
        axes.locator_params(axis="y", nbins=6)
        head(axes, title)
        if half > 0.0:
            axes.plot([], [], color=TINT, linewidth=9, label="95 % of readings")
        legend_below(figure, length=1.4, apart=1.0)
    return Picture(key="repeats", title=title, alternative=alternative, caption=caption, figure=figure)
