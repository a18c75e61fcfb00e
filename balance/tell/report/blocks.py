"""What a page is made of: ready words, tables and pictures, nothing of how they are laid out."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from balance.tell.table import Table

if TYPE_CHECKING:
    from balance.tell.report.pictures.canvas import Picture


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
    """The engineer's own words, already turned into safe markup: whose they are, and what has changed since."""

    html: str
    head: str = ""
    stale: str = ""
    kind: str = "markup"


@dataclass(frozen=True, slots=True)
class Pictures:
    """Pictures that belong together, side by side where there is room."""

    pictures: tuple[Picture, ...]
    kind: str = "pictures"


@dataclass(frozen=True, slots=True)
class Beside:
    """A picture with sentences beside it, under it where there is no room; ``steps`` are numbered behind the last label."""

    picture: Picture
    lines: tuple[tuple[str, str], ...]
    steps: tuple[str, ...] = ()
    kind: str = "beside"


Block = Words | Lines | Missing | Markup | Table | Pictures | Beside


@dataclass(frozen=True, slots=True)
class Section:
    """What stands under a heading; ``alone`` where it has a printed sheet for itself.

    ``key`` and ``heading`` are those of the page, which gives them to every section.
    """

    blocks: tuple[Block, ...]
    alone: bool = False
    key: str = ""
    heading: str = ""


@dataclass(frozen=True, slots=True)
class Page:
    """A whole page: its title, the lines under it, its sections, and the words explained at its end; ``contents`` where it lists what it holds."""

    title: str
    under: tuple[str, ...]
    sections: tuple[Section, ...]
    foot: str
    contents: bool = False
    glossary: tuple[tuple[str, str], ...] = ()
    language: str = "en-GB"
