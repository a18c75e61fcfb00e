"""The way from a base to a configuration as bars of text, part by part."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

from balance.model.channels import TOTAL
from balance.tell.parts.change_text import FORCES, signed
from balance.tell.parts.part_names import change_words
from balance.tell.runs.run_table import shortened

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from balance.compare.increments import Increments
    from balance.compare.waterfall import Bar, Waterfall
    from balance.tell.figures import Show

PAGE_WIDTH, LEAST_BAR, MOST_BAR = 78, 10, 40
"""Characters of a line, and of the longest stretch of bars."""


def bar_lines(
    increments: Increments, way: Waterfall, show: Show, width: int = PAGE_WIDTH
) -> list[tuple[str, str]]:
    """Draw the way from a base to a configuration as lines of text."""
    total = [float(way.ends.change[0, TOTAL]), *(float(v) for v in way.changes.change[:, TOTAL])]
    reached = np.cumsum(total)
    steps = [(0.0, float(reached[0])), *pairwise(reached.tolist()), (0.0, float(reached[-1]))]
    limit = max(12, width - LEAST_BAR - 12)
    names = [f"run {way.base}", *(bar_name(increments, bar, limit) for bar in way.bars), f"run {way.final}"]
    start, end = way.ends.change
    changes = [start, *way.changes.change, end]
    longest = max(map(len, names))
    for columns in (FORCES, (("total", TOTAL),)):
        heads = [head for head, _ in columns]
        figures = [
            _figures(change, show, columns, sign=0 < k < len(changes) - 1) for k, change in enumerate(changes)
        ]
        widths = [max(map(len, column)) for column in zip(heads, *figures, strict=True)]
        room = width - longest - sum(widths) - 2 * len(widths) - 3
        if room >= LEAST_BAR:
            break
    room = min(max(room, LEAST_BAR), MOST_BAR)
    low, high = min(0.0, float(reached.min())), max(0.0, float(reached.max()))
    scale = (room - 1) / (high - low) if high > low else 0.0

    def stretch(start: float, end: float) -> str:
        a, b = sorted((round((start - low) * scale), round((end - low) * scale)))
        return (" " * a + ("█" if end >= start else "▒") * max(1, b - a)).ljust(room)

    def line(drawn: str, texts: list[str]) -> str:
        return f"│{drawn}│ {'  '.join(text.rjust(w) for text, w in zip(texts, widths, strict=True))}"

    lines = [("part", line(" " * room, heads))]
    lines += [
        (name, line(stretch(*step), texts)) for name, step, texts in zip(names, steps, figures, strict=True)
    ]
    lines.append(("", f"Bars: total downforce, {show.unit('force')}."))
    lines.append(("", "█ adds, ▒ takes away."))
    return lines


def bar_name(increments: Increments, bar: Bar, limit: int) -> str:
    """Name a bar by what was changed."""
    if bar.kind == "interaction":
        return "beyond sum"
    labels, fitted = increments.readings.labels, increments.fitted
    if bar.differs == ("configuration",) and "configuration" not in fitted.names:
        return f"run {bar.run}"
    run, baseline = labels.index(bar.run), labels.index(bar.baseline)
    short = {name: shortened(name, fitted.names) for name in bar.differs}
    text = ", ".join(change_words(fitted, run, baseline, name, short[name]) for name in bar.differs)
    if len(text) <= limit:
        return text
    return f"{len(bar.differs)} changes" if len(bar.differs) > 1 else f"{text[: limit - 1].rstrip()}…"


def _figures(
    change: NDArray[np.float64], show: Show, columns: Sequence[tuple[str, int]], *, sign: bool
) -> list[str]:
    values = [float(change[k]) for _, k in columns]
    return [signed(show, v) if sign else show.bare("force", v) for v in values]
