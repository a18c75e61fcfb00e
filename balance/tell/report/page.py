"""The page as a whole: which sections in which order, with the engineer's words under their headings."""

from __future__ import annotations

import re
from dataclasses import replace
from textwrap import wrap
from typing import TYPE_CHECKING

from balance.files.formats.report import SECTIONS, SHORT
from balance.model.glossary import terms
from balance.tell.report.appendix import appendix_section
from balance.tell.report.blocks import Beside, Block, Lines, Page, Pictures, Section, Words
from balance.tell.report.closing_sections import limits_section, scatter_section
from balance.tell.report.layout import template
from balance.tell.report.middle_sections import balance_section, parts_section
from balance.tell.report.opening_sections import baseline_section, car_section
from balance.tell.report.own_words import own_markup
from balance.tell.report.page_one import page_one
from balance.tell.report.pictures.written import picture_markup
from balance.tell.report.place_sections import cost_section, places_section
from balance.tell.report.plain_text import cut
from balance.tell.report.track_section import track_section
from balance.tell.report.what_if_section import what_if_section
from balance.tell.report.wing_section import wing_section
from balance.tell.table import Table

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence

    from balance.tell.report.pictures.canvas import Picture
    from balance.tell.report.report_data import ReportData
    from balance.tell.table import Cell

_MAKE: Mapping[str, Callable[[ReportData], Section]] = {
    "answer": page_one,
    "car": car_section,
    "baseline": baseline_section,
    "parts": parts_section,
    "balance": balance_section,
    "wing": wing_section,
    "places": places_section,
    "cost": cost_section,
    "what_if": what_if_section,
    "track": track_section,
    "scatter": scatter_section,
    "limits": limits_section,
    "appendix": appendix_section,
}
FOUR_SHEETS = 9_000
"""Characters of text from which a short report may take more than four sheets."""
_LONG_TITLE, _LONG_NAME = 120, 60
"""Characters of a title and of a name over page one; a full report has them whole, here or where the car is described."""
_FLOORS = {"fixed": "fixed floor", "moving": "moving floor", "road": "on the road"}
_NEEDLESS = frozenset({"run", "note", "status", "time", "speed", "operator", "reason", "all", "column"})
"""Words that need no explanation on a page."""
_MONTHS = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November", "December",
)  # fmt: skip


def brief_page(report: ReportData) -> Page:
    """Put a report together."""
    sections = tuple(_section(report, key) for key in _inside(report))
    apart = tuple(_apart(report))
    if apart:
        own = Section(key="engineer", heading="From the engineer", blocks=apart)
        sections = (*sections, own)
    title = report.choices.title or report.usual_title
    return Page(
        title=title if report.full else cut(title, _LONG_TITLE),
        under=tuple(_under(report)),
        sections=sections,
        foot="Estimates from one day's readings. Limits and cautions are part of this report.",
        contents=report.full or bool(apart) or sum(map(len, _texts_of(sections))) > FOUR_SHEETS,
        glossary=_words_used(sections) if report.full else (),
    )


def _under(report: ReportData) -> Iterator[str]:
    """State whose car it is, when and where it was tested, for whom this is, and at which speed loads are stated."""
    session, choices, show = report.session, report.choices, report.show
    floor = _FLOORS.get(session.facility.floor or "", "floor not stated")
    car, day = (cut(name, _LONG_NAME) for name in (session.vehicle.name, session.title))
    said = f"{car}, {day}, {_day(session.date)}, {floor}."
    said += f" Prepared for {choices.prepared_for}." if choices.prepared_for else ""
    said += f" Prepared by {choices.prepared_by}." if choices.prepared_by else ""
    yield said
    at = f"Loads at {show.speed(report.speed)} ({cut(report.speed_why, _LONG_NAME)})"
    second = f"; second figures: {report.other.system.name}" if report.full else ""
    yield f"{at}, air {show.quantity('density', report.table.air_density)}; brackets: 95 % intervals{second}."


def _day(date: dt.date | None) -> str:
    return f"{date.day} {_MONTHS[date.month - 1]} {date.year}" if date else "date not stated"


def _inside(report: ReportData) -> tuple[str, ...]:
    """Choose the sections: those of a short report, unless everything is told; no track where there is no lap of one, no empty what-ifs in a short one."""
    choices = report.choices
    there = tuple(key for key in choices.sections if key != "track" or report.laps is not None)
    if report.full:
        return there
    return tuple(key for key in there if key in SHORT and (key != "what_if" or choices.what_ifs))


def _apart(report: ReportData) -> Iterator[Block]:
    """Return the own words that stand at the end: the long ones, and those of sections that this report has not."""
    inside = _inside(report)
    for key, text in report.choices.words.items():
        if report.is_long(text) or key not in inside:
            yield Words(text=f"On “{SECTIONS[key]}”", role="strong")
            yield own_markup(report, key)


def _section(report: ReportData, key: str) -> Section:
    made = _MAKE[key](report)
    words = report.choices.words.get(key)
    own = (own_markup(report, key),) if words and not report.is_long(words) else ()
    fitted = tuple(
        part for block in made.blocks for part in (in_sheets(block) if isinstance(block, Table) else (block,))
    )
    return replace(made, key=key, heading=SECTIONS[key], blocks=(*fitted, *own))


def page_html(page: Page) -> str:
    """Write a page as one HTML file that needs nothing else."""
    return template("page.html.j2").render(page=page, picture=picture_markup)


LINES = 43.0
"""Printed lines that the rows of one table may take: less than a sheet of Letter, the shorter of the two."""
_ACROSS = 94
"""Characters from edge to edge of a sheet of A4, the narrower of the two."""
_GAP = 2
"""Characters that the space between two columns takes."""
_RULE = 0.5
"""Lines that the space and the rule under a row take."""


def in_sheets(table: Table) -> tuple[Table, ...]:
    """Lay a table out so that none of it has to be split between two printed sheets."""
    heights = _heights(table)
    count = len(_split(heights, LINES))
    if count <= 1:
        return (table,)
    steps = (sum(heights) / count + 0.5 * k for k in range(int(2 * LINES) + 1))
    parts = next((p for most in steps if most < LINES and len(p := _split(heights, most)) == count), None)
    return tuple(
        table._replace(
            number=number,
            heading=f"{table.heading}; rows {part.start + 1} to {part.stop} of {len(table.rows)}",
            rows=table.rows[part.start : part.stop],
            note=table.note if part.stop == len(table.rows) else "",
        )
        for number, part in enumerate(parts or _split(heights, LINES), start=1)
    )


def _split(heights: Sequence[float], most: float) -> list[range]:
    """Put as many rows together as are not higher than that; a row that is higher by itself stands alone."""
    starts, height = [0], 0.0
    for row, more in enumerate(heights):
        if height + more > most and row > starts[-1]:
            starts.append(row)
            height = 0.0
        height += more
    return [range(a, b) for a, b in zip(starts, [*starts[1:], len(heights)], strict=True)]


def _heights(table: Table) -> list[float]:
    """Estimate the printed lines of each row: columns of words share what columns of figures leave over."""
    columns = range(len(table.columns))
    rows = [table.cells(row) for row in range(len(table.rows))]
    longest = [max((_long(row[k]) for row in rows), default=0) + _GAP for k in columns]
    words = [k for k in columns if table.columns[k].align == "left"]
    room = _ACROSS - sum(longest[k] for k in columns if k not in words)
    share = min(1.0, room / sum(longest[k] for k in words)) if words else 1.0
    widths = {k: max(4, int(longest[k] * share) - _GAP) for k in words}
    return [max(_lines(cell, widths.get(k)) for k, cell in enumerate(row)) + _RULE for row in rows]


def _long(cell: Cell) -> int:
    return max(len(cell.text), len(cell.between), len(cell.other))


def _lines(cell: Cell, width: int | None) -> int:
    """Count the lines of a cell; a figure keeps to one line each for itself, its interval and its other unit."""
    texts = [text for text in (cell.text, cell.between, cell.other) if text]
    return sum(1 if width is None else max(1, len(wrap(text, width))) for text in texts)


def _words_used(sections: tuple[Section, ...]) -> tuple[tuple[str, str], ...]:
    """List the terms whose name, or another name of theirs, stands in the text, by the name that stands there."""
    said = " ".join(_texts_of(sections)).casefold()
    found: dict[str, str] = {}
    for term in terms().values():
        names = (term.name, *term.aliases)
        used = next((n for n in names if n.casefold() not in _NEEDLESS and _stands(n, said)), None)
        if used is not None:
            found.setdefault(used, term.short)
    return tuple(sorted(found.items(), key=lambda one: one[0].casefold()))


def _texts_of(sections: Iterable[Section]) -> Iterator[str]:
    """Return the texts of some sections: headings, sentences, cells, and what stands over and under pictures."""
    for section in sections:
        yield section.heading
        for block in section.blocks:
            yield from _of_block(block)


def _stands(name: str, said: str) -> bool:
    return re.search(rf"(?<!\w){re.escape(name.casefold())}(?!\w)", said) is not None


def _of_block(block: Block) -> Iterator[str]:
    """Return the words of a block."""
    pictures: tuple[Picture, ...] = ()
    if isinstance(block, Words):
        yield block.text
    elif isinstance(block, Lines | Beside):
        yield from (text for line in block.lines for text in line)
        yield from block.steps if isinstance(block, Beside) else ()
    elif isinstance(block, Table):
        yield from (block.heading, block.note)
        yield from (column.title for column in block.columns)
        yield from (cell.text for row in block.rows for cell in row.values())
    if isinstance(block, Beside):
        pictures = (block.picture,)
    elif isinstance(block, Pictures):
        pictures = block.pictures
    for picture in pictures:
        yield from (picture.title, picture.caption)
