"""Editing brief.toml key by key: comments, order and whatever else stands in it stay."""

from __future__ import annotations

import codecs
import tomllib
from dataclasses import dataclass
from types import MappingProxyType
from typing import TYPE_CHECKING

from balance.files.day.durable import write_atomically
from balance.files.formats.report import (
    BRIEF,
    BRIEF_FILE,
    LONG_WORDS,
    OTHER_NAMES,
    choices_from,
    section_order,
)
from balance.files.formats.what_if import read_what_ifs
from balance.files.in_memory import text_at_hand
from balance.files.toml.document import Document, read_toml
from balance.files.toml.edit import edited_toml
from balance.model.errors import Fault, FileFaults, OutsideChange

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping
    from pathlib import Path

    from balance.files.formats.report import BriefChoices
    from balance.files.toml.fields import Typed
    from balance.model.records import Session

_HEAD = "# What the customer's report of this day holds; what is not said here the report chooses for itself, and says so.\n\n"
_WHAT = "a brief.toml"


@dataclass(frozen=True, slots=True, kw_only=True)
class BriefOnDisk:
    """A brief.toml as it stands: texts by dotted key, right or wrong, and every fault of it.

    ``choices`` is None where anything is at fault.
    ``sections`` holds every section in order, ``left_out`` those that the page will not have.
    """

    texts: Mapping[str, str]
    sections: tuple[str, ...]
    left_out: frozenset[str]
    what_ifs: tuple[str, ...]
    saved_what_ifs: tuple[str, ...]
    faults: tuple[Fault, ...]
    choices: BriefChoices | None


def look_at_brief(session: Session, folder: Path) -> BriefOnDisk:
    """Read a brief.toml for editing, faults and all."""
    faults: list[Fault] = []
    saved: tuple[str, ...] = ()
    try:
        saved = tuple(one.name for one in read_what_ifs(session, folder))
    except FileFaults as found:
        faults.extend(found.faults)
    document, choices = Document(file=BRIEF_FILE, text="", tree={}), None
    try:
        document = _read(folder)
    except FileFaults as found:
        faults.extend(found.faults)
    else:
        choices = choices_from(document, session, saved)
        faults.extend(document.in_order)
    return BriefOnDisk(
        texts=MappingProxyType(_texts(document)),
        sections=section_order(_names(document, "order")),
        left_out=frozenset(_names(document, "leave_out")),
        what_ifs=_names(document, "what_ifs"),
        saved_what_ifs=saved,
        faults=tuple(faults),
        choices=None if faults else choices,
    )


def _read(folder: Path) -> Document:
    path = folder / BRIEF_FILE
    if not path.exists():
        return Document(file=BRIEF_FILE, text=_HEAD, tree={})
    return read_toml(path, shown_as=BRIEF_FILE, what=_WHAT)


def _mark(path: Path) -> str:
    """Return the byte-order mark of a file, where there is one: readers leave it out."""
    return "\ufeff" if path.exists() and path.read_bytes().startswith(codecs.BOM_UTF8) else ""


def _texts(document: Document) -> dict[str, str]:
    """Return every key as a person would type it."""
    texts: dict[str, str] = {}
    for key, value in document.tree.items():
        if key == "words" and isinstance(value, dict):
            own = {OTHER_NAMES.get(name, name): text for name, text in value.items()}
            texts.update({f"words.{name}": str(text).strip("\n") for name, text in own.items()})
        elif key != "written_for":
            texts[OTHER_NAMES.get(key, key)] = (
                ", ".join(map(str, value)) if isinstance(value, list) else str(value)
            )
    return texts


def _names(document: Document, key: str) -> tuple[str, ...]:
    value = document.tree.get(key)
    names = tuple(map(str, value)) if isinstance(value, list) else ()
    return names if key == "what_ifs" else tuple(OTHER_NAMES.get(name, name) for name in names)


def shortest_order(sections: Iterable[str]) -> tuple[str, ...]:
    """Name as few sections as put all of them in an order.

    Examples
    --------
    >>> shortest_order(section_order(["places", "answer", "car", "baseline"]))
    ('places', 'answer', 'car', 'baseline')
    """
    wanted = tuple(sections)
    return next(wanted[:n] for n in range(len(wanted) + 1) if section_order(wanted[:n]) == wanted)


def edited_brief(text: str, changes: Mapping[str, Typed | None]) -> str:
    r"""Change, add or take out keys of a brief.toml.

    Examples
    --------
    >>> print(edited_brief('answer = "15"  # so far\n', {"answer": "16", "words.wing": "Less **wing**."}))
    answer = "16"  # so far
    <BLANKLINE>
    [words]
    wing = "Less **wing**."
    <BLANKLINE>
    """
    has_table = any(isinstance(value, dict) for value in tomllib.loads(text.removeprefix("\ufeff")).values())
    return edited_toml(BRIEF, text, changes, last=has_table)


def save_brief(
    session: Session, folder: Path, changes: Mapping[str, Typed | None], *, seen: Mapping[str, str]
) -> None:
    """Change some keys of brief.toml on the disk; faults that other keys have already do not stand in the way."""
    changes = {key: _printable(typed) for key, typed in changes.items()}
    faults = [fault for key, typed in changes.items() if (fault := _too_long(key, typed))]
    if faults:
        raise FileFaults(faults)
    old = _read(folder)
    now = _texts(old)
    for key in changes:
        if now.get(key, "") != seen.get(key, ""):
            raise OutsideChange(BRIEF_FILE, mine=str(changes[key] or ""), theirs=now.get(key, ""))
    named = {_as_in(old, key): typed for key, typed in changes.items()}
    text = edited_brief(_mark(folder / BRIEF_FILE) + old.text, named)
    document = read_toml(text_at_hand(text, BRIEF_FILE), shown_as=BRIEF_FILE, what=_WHAT)
    choices_from(document, session, look_at_brief(session, folder).saved_what_ifs)
    faults = [fault for fault in document.in_order if fault.column in named]
    if faults:
        raise FileFaults(faults)
    write_atomically(folder / BRIEF_FILE, text.encode())


def _too_long(key: str, typed: Typed | None) -> Fault | None:
    """Find own words that are longer than the screen takes."""
    if not key.startswith("words.") or not isinstance(typed, str) or len(typed.strip()) <= LONG_WORDS:
        return None
    return Fault(
        file=BRIEF_FILE,
        column=key,
        found=f"{len(typed.strip())} characters",
        expected=f"at most {LONG_WORDS} from the screen",
        mend=f"write longer words into {BRIEF_FILE}: they stand at the end of the report",
    )


def _as_in(document: Document, key: str) -> str:
    """Call a key as the file does, where it goes by another name there."""
    tree: dict[str, object] = document.tree
    said = []
    for part in key.split("."):
        other = next((o for o, usual in OTHER_NAMES.items() if usual == part and o in tree), part)
        said.append(other)
        below = tree.get(other)
        tree = below if isinstance(below, dict) else {}
    return ".".join(said)


def _printable(typed: Typed | None) -> Typed | None:
    """Replace halves of characters, which no file can hold."""
    if typed is None:
        return None
    if isinstance(typed, tuple):
        return tuple(one.encode(errors="replace").decode() for one in typed)
    return typed.encode(errors="replace").decode()
