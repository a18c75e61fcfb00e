"""The picture of a part over cars as a file: the rows of `PartPicture`, each car with its interval, then mean and range."""

from __future__ import annotations

import math
from textwrap import fill
from typing import TYPE_CHECKING

from balance.model.errors import one_line
from balance.model.kinds import with_unit
from balance.tell.figures import NONE, capital
from balance.tell.library.car_facts import FACTS, fact_unit
from balance.tell.library.library_text import standing_words
from balance.tell.library.part_picture import (
    SEVERAL,
    car_fact,
    car_figure,
    car_words,
    drag_line,
    picture_spans,
    together_figures,
)
from balance.tell.report.blocks import Missing
from balance.tell.report.pictures.canvas import (
    FRONT_INK,
    GRID,
    INK,
    REAR_INK,
    SOFT,
    TINT,
    TYPE_SIZE,
    Picture,
    drawing,
    empty_picture,
    head,
    label_of,
    name_row,
)

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from balance.tell.figures import Show
    from balance.tell.library.part_picture import CarRow, PartPicture, Span

_WIDE = 7.2
"""Width in inches: names stand over their bars, figures behind them."""
_LINE = 60
_NAME, _MARK, _GAP, _AROUND = 0.21, 0.20, 0.08, 1.35
"""Heights of a line of a name, of a mark, of the space under a row and of all around the rows, in inches."""
_FIGURES = 0.30
"""Share of the width that is left to the figures at the right."""


def _named(picture: PartPicture, car: CarRow, show: Show) -> str:
    """Name a car, with the fact that the rows are sorted by."""
    said = [car_words(car)]
    for fact in FACTS:
        if fact.key == picture.part.by:
            text, unit = car_fact(car, fact, show), fact_unit(fact, show)
            known = text not in (NONE, SEVERAL)
            said.append(f"{fact.head} {with_unit(text, unit) if known else text}")
    return " · ".join(said)


def draw_part(picture: PartPicture, show: Show) -> Picture | Missing:
    """Draw a part over its cars: every row under its own name, a line between the cars and what they say together."""
    part, unit = picture.part, show.system.unit("force")
    if not picture.cars:
        return Missing(what="picture of a part", why="no day of the library measured it")
    named = [(_named(picture, car, show), car_figure(car, show)) for car in picture.cars]
    named += [(name, text) for name, text, _ in together_figures(picture, show)]
    at = f"{show.speed(part.speed)}, {show.quantity('density', part.air_density)}"
    only = f", only {one_line(part.only.words)}" if part.only else ""
    said = "; ".join(f"{name} {text}" for name, text in named)
    title = f"{one_line(capital(part.name))}{only}: {picture.quantity} at {at}"
    low, high = (end / unit.scale for end in picture.scale)
    room = 0.04 * (high - low) or 1.0
    low, high = low - room, high + room
    with drawing():
        names = [fill(label_of(name, 2 * _LINE), _LINE) for name, _ in named]
        heights = [_NAME * (name.count("\n") + 1) + _MARK + _GAP for name in names]
        figure, axes = empty_picture(width=_WIDE, height=_AROUND + sum(heights))
        end, cars = 0.0, len(picture.cars)
        for k, (name, span) in enumerate(zip(names, picture_spans(picture), strict=True)):
            axes.axhline(end, color=SOFT if k == cars else GRID, linewidth=1.6 if k == cars else 0.8)
            end += heights[k]
            y = end - _GAP - 0.5 * _MARK
            name_row(axes, y - 0.55 * _MARK, name, weight="normal" if k < cars else "bold", zorder=4)
            if span is not None:
                _draw(axes, span, y, unit.scale, (low, high))
            axes.text(high + room, y, named[k][1], va="center", ha="left", color=INK, fontsize=TYPE_SIZE)
        axes.axvline(0.0, color=INK, linewidth=1.2)
        axes.set_xlim(low, high + (high - low) * _FIGURES / (1.0 - _FIGURES))
        axes.set_ylim(end, 0.0)
        axes.set_yticks([])
        axes.spines["left"].set_visible(False)
        axes.locator_params(axis="x", nbins=6)
        axes.set_xticks([tick for tick in axes.get_xticks() if low <= tick <= high])
        axes.grid(axis="x", color=GRID, linewidth=0.8)
        axes.set_xlabel(f"{picture.quantity}, change by the part [{unit.label}]; 95 % intervals")
        head(axes, title)
    return Picture(
        key="part",
        title=title,
        alternative=f"{capital(picture.quantity)} that {one_line(part.name)}{only} adds at {at}, in {unit.label}: {said}.",
        caption=" ".join([*standing_words(part), drag_line(picture, show)]).strip(),
        figure=figure,
    )


def _draw(axes: Axes, one: Span, y: float, scale: float, room: tuple[float, float]) -> None:
    """Draw one interval; an arrow where it goes beyond what has room."""
    value, low, high = (end / scale for end in (one.value, one.low, one.high))
    ends = (max(low, room[0]), min(high, room[1]))
    if one.kind == "next" and math.isfinite(low):
        axes.barh(y, ends[1] - ends[0], left=ends[0], height=0.11, facecolor=TINT, edgecolor=INK, zorder=3)
        return
    colour, marker = (REAR_INK, "D") if one.kind == "mean" else (FRONT_INK, "o")
    if math.isfinite(low):
        axes.plot(ends, (y, y), color=colour, linewidth=2.0, zorder=3)
        for place, whole, beyond in ((ends[0], low, "<"), (ends[1], high, ">")):
            axes.plot(
                [place], [y], color=colour, marker="|" if place == whole else beyond, markersize=9, zorder=3
            )
    if math.isfinite(value):
        axes.plot([value], [y], color=colour, marker=marker, markersize=8, linestyle="none", zorder=4)
