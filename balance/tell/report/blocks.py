"""What a page is made of: ready words, tables and pictures, nothing of how they are laid out."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from balance.tell.table import Table

if TYPE_CHECKING:
    from balance.tell.report.canvas import Picture


@dataclass(frozen=True, slots=True)
class Words:
    """A paragraph; ``role`` sets it off: plain, strong, soft, good, warn, danger or muted."""

    text: str
    role: str = ""
    kind: str = "words"


@dataclass(frozen=True, slots=True)
class Lines:
    """Sentences under one another, with a bold word before each where there is one; ``short`` ones in two columns."""

    lines: tuple[tuple[str, str], ...]
    numbered: bool = False
    short: bool = False
    kind: str = "lines"


@dataclass(frozen=True, slots=True)
class Missing:
    """What cannot be shown, and why: it stands where an empty table or picture would."""

    what: str
    why: str
    kind: str = "missing"


@dataclass(frozen=True, slots=True)
class Markup:
    """The engineer's own words, already turned into safe markup."""

    html: str
    kind: str = "markup"


@dataclass(frozen=True, slots=True)
class Pictures:
    """Pictures that belong together, side by side where there is room."""

    pictures: tuple[Picture, ...]
    kind: str = "pictures"


Block = Words | Lines | Missing | Markup | Table | Pictures


@dataclass(frozen=True, slots=True)
class Section:
    """What stands under a heading; ``terms`` are the glossary's keys of the words used in it.

    ``key`` and ``heading`` are those of the page, which gives them to every section.
    """

    blocks: tuple[Block, ...]
    terms: tuple[str, ...] = ()
    key: str = ""
    heading: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Page:
    """A whole page: its title, the lines under it, and its sections."""

    title: str
    under: tuple[str, ...]
    sections: tuple[Section, ...]
    foot: str
    language: str = "en-GB"
