"""An empty picture: its size, type, lines and colours, alike for page, file and print."""

from __future__ import annotations

import logging
import warnings
from contextlib import contextmanager
from dataclasses import dataclass
from textwrap import fill
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

from balance.model.errors import one_line
from balance.tell.report.plain_text import undirected

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

WIDTH, HEIGHT = 4.8, 3.5
"""Size of a picture in inches: two stand beside one another on a sheet of A4, scaled to 71 %."""
TYPE_SIZE = 12.8
"""Points of every word in a picture: 9 and more where two pictures stand beside one another in print."""
INK, SOFT, GRID, PAPER = "#1c2026", "#515966", "#c9ced6", "#fefefe"
FRONT_INK, REAR_INK, THIRD, TINT = "#0b5a9d", "#b34700", "#5b4a8c", "#dfe6ee"
REAR_FILL = "#f3bd93"
"""Colour-blind safe, and apart in grey: dark blue with lines drawn through, orange with dashes, filled lighter."""
ROLES: Mapping[str, str] = MappingProxyType(
    {
        INK: "ink",
        SOFT: "soft",
        GRID: "grid",
        PAPER: "paper",
        FRONT_INK: "front",
        REAR_INK: "rear",
        REAR_FILL: "rear-fill",
        THIRD: "third",
        TINT: "tint",
    }
)
"""What each colour is for: a page gives the roles colours of its own in the dark."""
LOOKS: tuple[tuple[str, Any, str], ...] = (
    (FRONT_INK, "-", "o"),
    (REAR_INK, (0, (5, 2)), "s"),
    (THIRD, (0, (1, 1.5)), "^"),
)
"""Ink, dashes and marker of the curves of a picture, in order."""
HATCH = "////"
_SETTINGS: Mapping[str, Any] = MappingProxyType(
    {
        "font.family": "sans-serif",
        "font.sans-serif": ["DejaVu Sans", "Verdana", "Arial", "Helvetica", "sans-serif"],
        "font.size": TYPE_SIZE,
        "axes.labelsize": TYPE_SIZE,
        "xtick.labelsize": TYPE_SIZE,
        "ytick.labelsize": TYPE_SIZE,
        "text.parse_math": False,
        "text.color": INK,
        "axes.edgecolor": SOFT,
        "axes.labelcolor": INK,
        "axes.facecolor": PAPER,
        "axes.unicode_minus": True,
        "axes.spines.top": False,
        "axes.spines.right": False,
        "axes.linewidth": 1.0,
        "xtick.color": SOFT,
        "ytick.color": SOFT,
        "xtick.labelcolor": INK,
        "ytick.labelcolor": INK,
        "hatch.linewidth": 1.4,
        "figure.facecolor": PAPER,
        "path.simplify": False,
        "svg.fonttype": "none",
        "svg.hashsalt": "axletrim",
        "pdf.fonttype": 42,
    }
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """A drawn picture: what it is called, what it says for those who do not see it, and under it what to look for."""

    key: str
    title: str
    alternative: str
    caption: str
    figure: Figure


@contextmanager
def drawing() -> Iterator[None]:
    """Draw alike whatever the user's own settings are; quietly where a font or a cache folder is missing."""
    logging.getLogger("matplotlib").setLevel(logging.ERROR)
    from matplotlib import rc_context, rcdefaults  # noqa: PLC0415 - slow to load

    settings: Any = dict(_SETTINGS)
    with rc_context(), warnings.catch_warnings():
        rcdefaults()
        warnings.filterwarnings("ignore", message="Glyph .* missing from")
        with rc_context(settings):
            yield


def empty_picture(*, width: float = WIDTH, height: float = HEIGHT) -> tuple[Figure, Axes]:
    """Return an empty picture with one pair of axes."""
    from matplotlib.figure import Figure  # noqa: PLC0415 - slow to load

    figure = Figure(figsize=(width, height), layout="constrained")
    figure.get_layout_engine().set(w_pad=0.06, h_pad=0.06)  # type: ignore[union-attr, call-arg]
    axes = figure.add_subplot()
    axes.set_axisbelow(True)
    return figure, axes


def head(axes: Axes, title: str) -> None:
    """Write the title over a picture, in two lines if it is long."""
    axes.figure.suptitle(
        fill(label_of(title, 84), 40), x=0.012, ha="left", fontsize=TYPE_SIZE, fontweight="bold", color=INK
    )


def name_row(axes: Axes, y: float, name: str, **looks: Any) -> None:
    """Write the name of a row over its marks, at the left edge of the picture."""
    behind = {"boxstyle": "square,pad=0.08", "facecolor": PAPER, "edgecolor": "none"}
    axes.text(
        0.0, y, name, transform=axes.get_yaxis_transform(), ha="left", va="bottom", color=INK, fontsize=TYPE_SIZE, bbox=behind,
        **looks,
    )  # fmt: skip


def finish_rows(axes: Axes, title: str, unit: str) -> None:
    """Finish a picture of rows: no axis of heights, a grid of the quantity, its unit and the title."""
    axes.set_yticks([])
    axes.spines["left"].set_visible(False)
    axes.grid(axis="x", color=GRID, linewidth=0.8)
    axes.locator_params(axis="x", nbins=5)
    axes.set_xlabel(unit)
    head(axes, title)


def legend_below(
    figure: Any, *entries: Any, length: float, apart: float | None = None, columns: int = 2
) -> None:
    """Put the legend under a picture, in two columns unless told otherwise."""
    figure.legend(
        *entries,
        loc="outside lower center",
        ncols=columns,
        frameon=False,
        fontsize=TYPE_SIZE,
        handlelength=length,
        columnspacing=apart,
    )


def label_of(text: str, most: int = 28) -> str:
    """Return a user's text fit to stand in a picture: one line, printable, not too long.

    Examples
    --------
    >>> label_of("splitter and wing", 10)
    'splitter…'
    """
    line = "".join(c for c in one_line(undirected(text)) if ord(c) < 0x10000)
    return line if len(line) <= most else f"{line[: most - 1].rstrip()}…"


def in_two_lines(name: str, width: int) -> str:
    """Break a name at spaces into two lines at most, cut with a mark: a third would lie over the bar above."""
    return fill(label_of(name, 2 * width), width, max_lines=2, placeholder="…")


def quantity_label(name: str, unit: str) -> str:
    """Write what an axis shows, with its unit in brackets."""
    return f"{name} [{unit}]" if name and unit else name or unit
