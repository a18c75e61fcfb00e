"""A chart of lines, bands and named places, drawn for paper."""

from __future__ import annotations

from textwrap import fill
from typing import TYPE_CHECKING, Any

from balance.tell.chart_parts import window_of
from balance.tell.report.pictures.canvas import (
    INK,
    LOOKS,
    PAPER,
    SOFT,
    TINT,
    TYPE_SIZE,
    Picture,
    drawing,
    empty_picture,
    head,
    legend_below,
    quantity_label,
)

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from balance.tell.chart_parts import Chart, Series

_RESTS = ((0, (1, 2)), (0, (4, 2, 1, 2, 1, 2)), (0, (8, 3)))
"""Dashes of level lines that belong to a curve, apart from one another in grey too."""
_LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"


def draw_curves(chart: Chart, *, key: str, alternative: str, caption: str) -> Picture:
    """Draw a chart of curves."""
    window = window_of(chart)
    with drawing():
        figure, axes = empty_picture()
        for number, band in enumerate(chart.bands):
            axes.axhspan(band.low, band.high, facecolor=TINT, edgecolor=SOFT, linewidth=0.8, zorder=0)
            if number == 0 and band.label:
                axes.plot([], [], color=TINT, linewidth=9, label=band.label)
        banded = next((one for one in chart.series if one.low is not None), None)
        for number, one in enumerate(chart.series):
            _draw(axes, one, number, "95 % interval" if one is banded else "")
        _lines(axes, chart)
        if window is not None:
            axes.set_xlim(window.x_low, window.x_high)
            axes.set_ylim(window.y_low, window.y_high + 0.10 * (window.y_high - window.y_low))
        _marks(axes, chart)
        _finish(axes, chart)
    return Picture(key=key, title=chart.title, alternative=alternative, caption=caption, figure=figure)


def place_letters(count: int) -> list[str]:
    """Return the letters that mark places, in order; numbers follow the letters."""
    return [_LETTERS[k] if k < len(_LETTERS) else str(k + 1) for k in range(count)]


def _draw(axes: Axes, one: Series, number: int, interval: str) -> None:
    """Draw a curve; its interval by name where it is the first that has one, in its own colour wherever it has."""
    colour, dash, marker = LOOKS[number % len(LOOKS)]
    if one.low is not None and one.high is not None:
        between = axes.fill_between(
            list(one.x), list(one.low), list(one.high), facecolor=colour, alpha=0.18, linewidth=0
        )
        if interval:
            between.set_label(interval)
        for edge in (one.low, one.high):
            axes.plot(list(one.x), list(edge), color=colour, linewidth=0.8)
    if one.mark == "dots":
        axes.plot(
            list(one.x),
            list(one.y),
            color=colour,
            linestyle="none",
            marker=marker,
            markersize=7,
            label=one.label,
        )
        return
    axes.plot(list(one.x), list(one.y), color=colour, linestyle=dash, linewidth=2.2, label=one.label)


def _lines(axes: Axes, chart: Chart) -> None:
    """Draw level lines: in the colour of the curve that they belong to by name, else one look after another."""
    own = {
        one.label: (LOOKS[k % len(LOOKS)][0], _RESTS[k % len(_RESTS)])
        for k, one in enumerate(chart.series)
        if one.label
    }
    looks = iter(((SOFT, (0, (1, 1.5))), (INK, (0, (6, 2, 1, 2)))))
    for line in chart.lines:
        named = next((look for name, look in own.items() if line.label.startswith(f"{name} ")), None)
        look: tuple[str, Any] = named or next(looks, (SOFT, "-"))
        axes.axhline(line.y, color=look[0], linestyle=look[1], linewidth=1.5)
        axes.plot([], [], color=look[0], linestyle=look[1], linewidth=1.5, label=line.label)


def _marks(axes: Axes, chart: Chart) -> None:
    """Mark places by letters at the upper edge, lower where two would touch; the onset by a diamond."""
    low, high = axes.get_xlim()
    letters = iter(place_letters(len(chart.marks)))
    taken: list[tuple[float, int]] = []
    for mark in chart.marks:
        onset = mark.symbol == "◆"
        word = "◆" if onset else next(letters)
        if not low <= mark.x <= high:
            continue
        rows = {row for x, row in taken if abs(x - mark.x) < 0.07 * (high - low)}
        row = next(r for r in range(len(taken) + 1) if r not in rows)
        taken.append((mark.x, row))
        axes.axvline(
            mark.x, color=INK if onset else SOFT, linewidth=1.0, linestyle="-" if onset else (0, (3, 3))
        )
        axes.text(
            mark.x,
            0.985 - 0.09 * row,
            word,
            transform=axes.get_xaxis_transform(),
            ha="center",
            va="top",
            color=INK,
            fontsize=TYPE_SIZE,
            bbox={"boxstyle": "square,pad=0.12", "facecolor": PAPER, "edgecolor": "none"},
        )


def _finish(axes: Axes, chart: Chart) -> None:
    figure = axes.figure
    axes.set_xlabel(quantity_label(chart.x_label, chart.x_unit))
    axes.set_ylabel(fill(quantity_label(chart.y_label, chart.y_unit), 26))
    axes.locator_params(nbins=6)
    head(axes, chart.title)
    handles, labels = axes.get_legend_handles_labels()
    if len(handles) > 1 or chart.bands or chart.lines:
        legend_below(figure, handles, labels, length=2.2, apart=1.2)
