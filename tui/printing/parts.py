"""Parts, a comparison and the day's scatter as plain text for stdout."""

from __future__ import annotations

from typing import TYPE_CHECKING

from balance.tell.head import session_line
from balance.tell.parts.part_detail import CAUTIONS_HEADING, part_detail
from balance.tell.parts.part_head import left_out_of_rank, parts_banner, parts_line, parts_remarks
from balance.tell.parts.part_table import RANKS, PartTable
from balance.tell.parts.part_words import interaction_sentences, part_notes, part_sentence
from balance.tell.repeatability.scatter_words import scatter_sections
from balance.tell.runs.remarks import misleading
from tui.printing.lines import cautions, folded, foot, grid, labelled, listed

if TYPE_CHECKING:
    from collections.abc import Sequence

    from balance.decide.day.day_scatter import DayScatter
    from balance.decide.parts.parts import Parts
    from balance.tell.figures import Show
    from balance.tell.runs.detail import Section

WIDE = 150
"""Width from which a table has room for classes and ratios in full."""


def print_parts(
    parts: Parts, rank: str, show: Show, width: int, *, full: bool
) -> tuple[str, tuple[str, ...]]:
    """Write what each part did, for paper."""
    table = PartTable(parts, show, wide=width >= WIDE)
    rows = table.ranked(rank)
    drawn, dropped = grid(table, rows, width)
    labels = [parts.increments.pairs[row].run for row in rows]
    runs = parts.increments.readings.labels
    sentences = [
        " ".join(
            [
                f"Run {runs[label]}: {part_sentence(parts, row, show)}",
                *(f"[{note}]" for note in part_notes(parts, row)),
            ]
        )
        for row, label in zip(rows, labels, strict=True)
    ]
    blocks = [
        ("What each part did", sentences),
        ("Together beyond the sum of each alone", list(interaction_sentences(parts.increments, show))),
    ]
    lines = [
        *folded(session_line(parts.day.session), width),
        *folded(parts_line(parts, show), width),
        *folded(" · ".join(parts_banner(parts, order=RANKS[rank][1])), width),
        "",
        drawn if rows else "no run differs from its baseline: nothing to compare",
    ]
    for title, said in blocks if full else ():
        if said:
            lines += ["", *listed(title, said, width)]
    notes = [*parts_remarks(parts, show), *left_out_of_rank(parts, rank, rows)]
    others = () if full else [sentence for _, said in blocks for sentence in said]
    return "\n".join(
        [*lines, *foot(notes, others, width, full=full, first=misleading(parts.day, show))]
    ), dropped


def print_comparison(parts: Parts, row: int, show: Show, width: int, *, full: bool) -> str:
    """Write what one configuration changed against another, for paper."""
    sections = [one for one in part_detail(parts, row, show, width - 6) if one.heading != CAUTIONS_HEADING]
    sheet = _sheet(parts_line(parts, show), parts, sections, width)
    return "\n".join([sheet, "", *cautions(width, full=full)])


def print_scatter(day: DayScatter, show: Show, width: int) -> str:
    """Write what a day can show, for paper."""
    head = [*folded(session_line(day.day.session), width), ""]
    return "\n".join([*head, *labelled(scatter_sections(day, show), width)])


def _sheet(line: str, parts: Parts, sections: Sequence[Section], width: int) -> str:
    head = [*folded(session_line(parts.day.session), width), *folded(line, width), ""]
    return "\n".join([*head, *labelled(sections, width)])
