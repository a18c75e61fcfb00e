"""Pictures of bars: added load of both axles per configuration, and what each step of building added."""

from __future__ import annotations

from dataclasses import dataclass
from textwrap import fill
from typing import TYPE_CHECKING, Any

from balance.tell.report.pictures.canvas import (
    FRONT_INK,
    GRID,
    HATCH,
    INK,
    PAPER,
    REAR_FILL,
    REAR_INK,
    SOFT,
    THIRD,
    TYPE_SIZE,
    Picture,
    drawing,
    empty_picture,
    label_of,
    legend_below,
)
from balance.tell.report.pictures.curves import head

if TYPE_CHECKING:
    from collections.abc import Sequence

    from matplotlib.axes import Axes

_ROW = 0.62
"""Height of a bar with its words over it, in inches."""
_LINE = 40
"""Characters of a name in one line."""


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


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One bar of a waterfall: from where to where, what it is, and what is written beside it."""

    name: str
    start: float
    end: float
    text: str
    kind: str


def draw_pairs(
    pairs: Sequence[Pair], *, key: str, title: str, unit: str, alternative: str, caption: str
) -> Picture:
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
                axes.barh(y, value, height=thick, **(_face(FRONT_INK) if front else _REAR_FACE))
                limits = None if front else pair.limits
                if limits is not None:
                    axes.plot(limits, (y, y), color=INK, linewidth=1.4, marker="|", markersize=13, zorder=5)
                _at_end(axes, y, value, limits or (0.0, 0.0), text)
            name = fill(label_of(pair.name, 2 * _LINE - 4), _LINE - 2)
            axes.text(
                0.0,
                k + (0.02 if two_lines else -0.09),
                name,
                transform=axes.get_yaxis_transform(),
                **{**_name(), "va": "bottom"},
            )
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
        _finish(axes, title, unit, legend=True)
    return Picture(key=key, title=title, alternative=alternative, caption=caption, figure=figure)


def draw_waterfall(
    steps: Sequence[Step], *, key: str, title: str, unit: str, alternative: str, caption: str
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
        row = _ROW + (0.24 if any(len(step.name) > _LINE for step in steps) else 0.0)
        figure, axes = empty_picture(height=1.1 + row * len(steps))
        for k, step in enumerate(steps):
            axes.barh(k + 0.18, step.end - step.start, left=step.start, height=0.36, **faces[step.kind])
            name = fill(label_of(step.name, 2 * _LINE - 4), _LINE)
            axes.text(
                0.0, k - 0.04, name, transform=axes.get_yaxis_transform(), **{**_name(), "va": "bottom"}
            )
            right = max(step.start, step.end)
            axes.text(right + 0.02 * reach, k + 0.18, step.text, va="center", ha="left", color=INK)
            if k + 1 < len(steps):
                axes.plot([step.end, step.end], [k + 0.18, k + 1.18], color=SOFT, linewidth=1.0, zorder=0)
        axes.axvline(0.0, color=INK, linewidth=1.2)
        axes.set_xlim(low - 0.04 * reach, high + 0.36 * reach)
        axes.set_ylim(len(steps) - 0.55, -0.62)
        _finish(axes, title, unit, legend=False)
    return Picture(key=key, title=title, alternative=alternative, caption=caption, figure=figure)


def _face(colour: str) -> dict[str, Any]:
    return {"facecolor": colour, "edgecolor": colour, "linewidth": 1.2}


_REAR_FACE: dict[str, Any] = {"facecolor": REAR_FILL, "edgecolor": REAR_INK, "linewidth": 1.6}
"""The rear's bars: full like the front's, and lighter, so that they are apart in grey."""


def _name() -> dict[str, Any]:
    behind = {"boxstyle": "square,pad=0.08", "facecolor": PAPER, "edgecolor": "none"}
    return {"ha": "left", "va": "center", "color": INK, "fontsize": TYPE_SIZE, "bbox": behind}


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


def _finish(axes: Axes, title: str, unit: str, *, legend: bool) -> None:
    axes.set_yticks([])
    axes.spines["left"].set_visible(False)
    axes.grid(axis="x", color=GRID, linewidth=0.8)
    axes.locator_params(axis="x", nbins=5)
    axes.set_xlabel(unit)
    head(axes, title)
    if legend:
        legend_below(axes.figure, length=1.8, apart=1.0)
