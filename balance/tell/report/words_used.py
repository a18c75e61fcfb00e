"""The glossary at the end of a full report: only words that its text uses, each once."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from balance.model.glossary import terms
from balance.tell.report.blocks import Beside, Lines, Pictures, Words
from balance.tell.table import Table

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from balance.tell.report.blocks import Block, Section
    from balance.tell.report.pictures.canvas import Picture

_NEEDLESS = frozenset({"run", "note", "status", "time", "speed", "operator", "reason", "all", "column"})
"""Words that need no explanation on a page."""


def words_used(sections: tuple[Section, ...]) -> tuple[tuple[str, str], ...]:
    """List the terms whose name, or another name of theirs, stands in the text, by the name that stands there."""
    said = " ".join(texts_of(sections)).casefold()
    found: dict[str, str] = {}
    for term in terms().values():
        names = (term.name, *term.aliases)
        used = next((n for n in names if n.casefold() not in _NEEDLESS and _stands(n, said)), None)
        if used is not None:
            found.setdefault(used, term.short)
    return tuple(sorted(found.items(), key=lambda one: one[0].casefold()))


def texts_of(sections: Iterable[Section]) -> Iterator[str]:
    """Return the texts of some sections: headings, sentences, cells, and what stands over and under pictures."""
    for section in sections:
        yield from _texts(section)


def _stands(name: str, said: str) -> bool:
    return re.search(rf"(?<!\w){re.escape(name.casefold())}(?!\w)", said) is not None


def _texts(section: Section) -> Iterator[str]:
    yield section.heading
    for block in section.blocks:
        yield from _of_block(block)


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
