"""The way from a base to a configuration as bars of text, part by part."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from balance.compare.contrasts import DRAG, FRONT, REAR, TOTAL
from balance.tell.part_names import change_words
from balance.tell.part_words import signed

if TYPE_CHECKING:
    from balance.compare.increments import Increments
    from balance.compare.waterfall import Bar, Waterfall
    from balance.tell.figures import Show

BAR_WIDTH = 24
"""Characters of the longest stretch of bars."""


def bar_lines(
    increments: Increments, way: Waterfall, show: Show, width: int = BAR_WIDTH
) -> list[tuple[str, str]]:
    """Draw the way from a base to a configuration as lines of text.

    Parameters
    ----------
    increments : Increments
        A day's increments.
    way : Waterfall
        The bars.
    show : Show
        System of units.
    width : int, optional
        Characters of the longest stretch.

    Returns
    -------
    list of tuple of str
        Label, and the bar of total downforce with the changes of front, rear, total and drag behind it.
    """
    total = [float(way.ends.change[0, TOTAL]), *(float(v) for v in way.changes.change[:, TOTAL])]
    reached = np.cumsum(total)
    low, high = min(0.0, float(reached.min())), max(0.0, float(reached.max()))
    scale = (width - 1) / (high - low) if high > low else 0.0

    def place(value: float) -> int:
        return round((value - low) * scale)

    def stretch(start: float, end: float) -> str:
        a, b = sorted((place(start), place(end)))
        mark = "█" if end >= start else "▒"
        return (" " * a + mark * max(1, b - a)).ljust(width)

    rows = [
        (f"run {way.base}", stretch(0.0, float(reached[0])), _figures(way.ends.change[0], show, sign=False)),
        *(
            (
                bar_name(increments, bar),
                stretch(float(reached[k]), float(reached[k + 1])),
                _figures(way.changes.change[k], show, sign=True),
            )
            for k, bar in enumerate(way.bars)
        ),
        (
            f"run {way.final}",
            stretch(0.0, float(reached[-1])),
            _figures(way.ends.change[1], show, sign=False),
        ),
    ]
    heads = ("front", "rear", "total", f"drag, {show.unit('force')}")
    widths = [max(len(head), *(len(row[2][k]) for row in rows)) for k, head in enumerate(heads)]
    head = "  ".join(text.rjust(w) for text, w in zip(heads, widths, strict=True))
    lines = [("total downforce", f"▏{' ' * width}▕ {head}")]
    lines += [
        (name, f"▏{drawn}▕ {'  '.join(f.rjust(w) for f, w in zip(figures, widths, strict=True))}")
        for name, drawn, figures in rows
    ]
    lines.append(("", "█ adds, ▒ takes away; the bars add up to the last run exactly."))
    return lines


def bar_name(increments: Increments, bar: Bar) -> str:
    """Name a bar by what was changed.

    Parameters
    ----------
    increments : Increments
        A day's increments.
    bar : Bar
        The bar.

    Returns
    -------
    str
        What differs, or that the bar is what parts do beyond their sum.
    """
    if bar.kind == "interaction":
        return "beyond their sum"
    labels, fitted = increments.readings.labels, increments.fitted
    if bar.differs == ("configuration",) and "configuration" not in fitted.names:
        return f"run {bar.run}"
    run, baseline = labels.index(bar.run), labels.index(bar.baseline)
    return ", ".join(change_words(fitted, run, baseline, name) for name in bar.differs)


def _figures(change: np.ndarray, show: Show, *, sign: bool) -> list[str]:
    values = [float(change[k]) for k in (FRONT, REAR, TOTAL, DRAG)]
    return [signed(show, v) if sign else show.bare("force", v) for v in values]
