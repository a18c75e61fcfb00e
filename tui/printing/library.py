"""A library as plain text for stdout: its days, its parts, one part on each car."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from balance.tell.library.column_rows import column_lines
from balance.tell.library.library_text import (
    allowed_words,
    days_table,
    effects_table,
    library_line,
    library_notes,
    only_words,
    part_line,
    parts_table,
    together_table,
)
from balance.tell.library.part_picture import between_words, picture_spans, picture_table
from tui.printing.lines import folded, notes_below, table_below
from tui.widgets.interval_bars import with_bars
from tui.widgets.table_lines import shown_whole

if TYPE_CHECKING:
    from collections.abc import Sequence

    from balance.files.library.library import Library
    from balance.tell.figures import Show
    from balance.tell.library.car_facts import Only
    from balance.tell.library.part_picture import PartPicture
    from balance.tell.library.part_rows import PartRows


def print_days(library: Library, width: int) -> str:
    """Write the days of a library."""
    return "\n".join(
        [
            *folded(library_line(library), width),
            *table_below(shown_whole(partial(days_table, library), width - 2), width),
            *notes_below(library_notes(library), width),
        ]
    )


def print_parts(library: Library, parts: list[PartRows], only: Only, show: Show, width: int) -> str:
    """Write the parts of a library, or those of them that were measured on cars and floors that are asked for."""
    lines = [*folded(library_line(library), width)]
    if only:
        lines += folded(only_words(parts, only), width)
    lines += table_below(parts_table(parts, show), width)
    return "\n".join([*lines, *notes_below(library_notes(library), width)])


def print_part(library: Library, picture: PartPicture, show: Show, width: int) -> str:
    """Write one part on each of its cars, and what they say together."""
    return part_text(library_line(library), library_notes(library), picture, show, width)


def part_text(library: str, notes: Sequence[str], picture: PartPicture, show: Show, width: int) -> str:
    """Write one part of a library of which the line and the notes are known."""
    part = picture.part
    lines = [*folded(library, width), "", *folded(part_line(part, show), width)]
    lines += picture_lines(picture, show, width)
    lines += [
        *table_below(shown_whole(partial(effects_table, part, show), width - 2), width),
        *table_below(together_table(part, show), width),
        "",
    ]
    between = between_words(picture, show)
    differ = [f"{between[:1].upper()}{between[1:]}."] if between else []
    for sentence in (*differ, *column_lines(part, show), *allowed_words(part)):
        lines += folded(sentence, width)
    return "\n".join([*lines, *notes_below(notes, width)])


def picture_lines(picture: PartPicture, show: Show, width: int) -> list[str]:
    """Draw a row a car, the mean and the range for the next car; nothing where there is no room for bars."""
    if not picture.cars:
        return []
    plain = picture_table(picture, show, width=width)
    table = with_bars(
        plain, picture_spans(picture), picture.scale, width=width, unit=show.system.unit("force").scale
    )
    return [] if table is plain else table_below(table, width)
