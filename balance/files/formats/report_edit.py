"""Editing report.toml key by key: comments, order and whatever else stands in it stay."""

from __future__ import annotations

import codecs
import tomllib
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import TYPE_CHECKING

from balance.files.day.durable import write_atomically
from balance.files.formats.report import (
    BRIEF,
    LONG_WORDS,
    OTHER_NAMES,
    choices_from,
    read_report_file,
    report_file,
    section_order,
)
from balance.files.formats.what_if import read_what_ifs
from balance.files.text_file import text_at_hand
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


_NEW_NAMES = MappingProxyType({usual: other for other, usual in OTHER_NAMES.items()})
"""What a key or a section is called in a file that has not got it yet."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BriefOnDisk:
    """A report.toml as it stands: texts by dotted key, right or wrong, and every fault of it.

    ``choices`` is None where anything is at fault.
    ``sections`` holds every section in order, ``left_out`` those that the page will not have.
    """

    file: str
    texts: Mapping[str, str]
    sections: tuple[str, ...]
    left_out: frozenset[str]
    what_ifs: tuple[str, ...]
    saved_what_ifs: tuple[str, ...]
    faults: tuple[Fault, ...]
    choices: BriefChoices | None


def look_at_brief(session: Session, folder: Path) -> BriefOnDisk:
    """Read a report.toml for editing, faults and all."""
    faults: list[Fault] = []
    saved: tuple[str, ...] = ()
    try:
        saved = tuple(one.name for one in read_what_ifs(session, folder))
    except FileFaults as found:
        faults.extend(found.faults)
    file = report_file(folder)
    document, choices = Document(file=file, text="", tree={}), None
    try:
        document = _read(folder)
    except FileFaults as found:
        faults.extend(found.faults)
    else:
        choices = choices_from(document, session, saved)
        faults.extend(document.in_order)
    return BriefOnDisk(
        file=file,
        texts=MappingProxyType(_texts(document)),
        sections=section_order(_names(document, "order")),
        left_out=frozenset(_names(document, "leave_out")),
        what_ifs=_names(document, "what_ifs"),
        saved_what_ifs=saved,
        faults=tuple(map(_by_usual_key, faults)),
        choices=None if faults else choices,
    )


def _read(folder: Path) -> Document:
    return read_report_file(folder) or Document(file=report_file(folder), text=_HEAD, tree={})


def _by_usual_key(fault: Fault) -> Fault:
    """Put a fault under the key that the program has for it, where the file calls it otherwise."""
    key = ".".join(OTHER_NAMES.get(part, part) for part in (fault.column or "").split("."))
    return replace(fault, column=key or None)


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
    r"""Change, add or take out keys of a report.toml.

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
    """Change some keys of report.toml on the disk; faults that other keys have already do not stand in the way."""
    changes = {key: _printable(typed) for key, typed in changes.items()}
    file = report_file(folder)
    faults = [fault for key, typed in changes.items() if (fault := _too_long(file, key, typed))]
    if faults:
        raise FileFaults(faults)
    old = _read(folder)
    now = _texts(old)
    for key in changes:
        if now.get(key, "") != seen.get(key, ""):
            raise OutsideChange(file, mine=str(changes[key] or ""), theirs=now.get(key, ""))
    named = {_as_in(old, key): _named_anew(key, typed) for key, typed in changes.items()}
    text = edited_brief(_mark(folder / file) + old.text, named)
    document = read_toml(text_at_hand(text, file), shown_as=file, what=f"a {file}")
    choices_from(document, session, look_at_brief(session, folder).saved_what_ifs)
    faults = [fault for fault in document.in_order if fault.column in named]
    if faults:
        raise FileFaults(map(_by_usual_key, faults))
    write_atomically(folder / file, text.encode())


def _too_long(file: str, key: str, typed: Typed | None) -> Fault | None:
    """Find own words that are longer than the screen takes."""
    if not key.startswith("words.") or not isinstance(typed, str) or len(typed.strip()) <= LONG_WORDS:
        return None
    return Fault(
        file=file,
        column=key,
        found=f"{len(typed.strip())} characters",
        expected=f"at most {LONG_WORDS} from the screen",
        mend=f"write longer words into {file}: they stand at the end of the report",
    )


def _as_in(document: Document, key: str) -> str:
    """Call a key as the file does; by its new name where the file has not got it."""
    tree: dict[str, object] = document.tree
    said = []
    for part in key.split("."):
        other = part if part in tree else _NEW_NAMES.get(part, part)
        said.append(other)
        below = tree.get(other)
        tree = below if isinstance(below, dict) else {}
    return ".".join(said)


def _named_anew(key: str, typed: Typed | None) -> Typed | None:
    """Name the sections of a list by their new names."""
    if key not in ("order", "leave_out") or not isinstance(typed, tuple):
        return typed
    return tuple(_NEW_NAMES.get(name, name) for name in typed)


def _printable(typed: Typed | None) -> Typed | None:
    """Replace halves of characters, which no file can hold."""
    if typed is None:
        return None
    if isinstance(typed, tuple):
        return tuple(one.encode(errors="replace").decode() for one in typed)
    return typed.encode(errors="replace").decode()
