"""The journal beside a session: every step, what is half typed and what is watched, on the disk before the file itself."""

from __future__ import annotations

import contextlib
import datetime as dt
import errno
import json
from dataclasses import asdict, dataclass, field, fields
from threading import Lock, RLock
from typing import TYPE_CHECKING, Any

from balance.files.day.durable import append_durably, digest_of, save_problem
from balance.files.day.history import History, Step
from balance.files.day.writer import at_once
from balance.files.tables.watch.watched_file import watched_file

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping
    from pathlib import Path

    from balance.files.tables.watch.watched_file import WatchedFile

JOURNAL_FILE = ".axletrim-journal"


class Journal:
    """Lines that are only ever added; ``path`` is where they stand, or nothing while no disk takes them.

    ``write`` does what brings lines to the disk: at once, or in a `Writer`'s thread.
    """

    def __init__(
        self, places: Iterable[Path], *, found: Path | None = None, day: str = "", title: str = ""
    ) -> None:
        self._places = tuple(places)
        self.day, self._title = day, title
        self.lines: list[bytes] = []
        self._number = 0
        self._written = 0
        self._line, self._disk = Lock(), RLock()
        self.write: Callable[[Callable[[], object]], None] = at_once
        self._torn = self._owned = False
        self.path: Path | None = None
        self.problem = ""
        """Why what was added last is on no disk; empty where it is."""
        place = found or next((path for path in self._places if is_file(path)), None)
        with contextlib.suppress(OSError):  # that of another user: what is done goes to the next place
            raw = b"" if place is None else place.read_bytes()
            self.path = place
        if self.path is not None:
            self.lines = raw.splitlines(keepends=True)
            self._torn = bool(raw) and not raw.endswith(b"\n")
            if self._torn:
                self.lines[-1] += b"\n"
            self._written = len(self.lines)
            told = replay(self.lines)
            self._number, self._owned = told.number, bool(day) and told.day == day

    def add(self, kind: str, **what: Any) -> None:
        """Add a line; `problem` says afterwards why it is on no disk, and it is tried again with the next one."""
        at = dt.datetime.now().astimezone().isoformat(timespec="seconds")
        with self._line:
            self._number += 1
            record = {"number": self._number, "kind": kind, "time": at, **what}
            self.lines.append(json.dumps(record).encode() + b"\n")
        self.write(self.flush)

    def flush(self) -> bool:
        """Bring to the disk what is not there yet, in the second place where the first refuses."""
        with self._disk:
            self.problem = ""
            if self.path is not None and self._append(self.path, since=self._written, apart=self._torn):
                return True
            for place in self._places:
                if place != self.path and self._append(place):
                    self.path, self.problem = place, ""
                    return True
            return False

    def bring_home(self) -> None:
        """Put all of it into the first place again, if that takes it now; the copy elsewhere is done with then."""
        with self._disk:
            away = self.path
            if away not in (None, self._places[0]) and self._append(self._places[0]):
                self.path, self.problem = self._places[0], ""
                with contextlib.suppress(OSError, AttributeError):
                    away.unlink()

    def add_step(self, step: Step, digest: str, *, ends_draft: bool = False) -> None:
        """Add what was done; ``digest`` is that of the text it leads to."""
        self.add("do", **asdict(step), digest=digest, ends_draft=ends_draft)

    def restart(self, text: str) -> None:
        """Begin anew from a text, the old journal kept under a numbered name."""
        if self.path is not None:
            with contextlib.suppress(OSError):
                number = 1
                while (aside := self.path.with_name(f"{self.path.name}-{number}")).exists():
                    number += 1
                self.path.rename(aside)
        self.lines, self._number, self._written = [], 0, 0
        self._torn = self._owned = False
        self.add("base", text=text, digest=digest_of(text.encode()))
        self.own_up()

    def own_up(self) -> None:
        """Write down whose it is, where it has no word of that yet."""
        if self.day and not self._owned:
            self.add("day", day=self.day, title=self._title)

    def _append(self, path: Path, *, since: int = 0, apart: bool = True) -> bool:
        """Add the lines from one on, as many as there are by now; ``apart`` from what may be half written there."""
        lines = self.lines[since:]
        if not lines:
            return True
        raw = (b"\n" if apart else b"") + b"".join(lines)
        try:
            self._refuse_another(path)
            if path != self._places[0]:  # the session's own folder is never made anew
                path.parent.mkdir(parents=True, exist_ok=True)
            append_durably(path, raw)
        except OSError as error:
            self.problem = self.problem or save_problem(path, error)  # of the place that is tried first
            self._torn = True  # a part of it may stand there: the next line begins on a line of its own
            return False
        self._written, self._torn = since + len(lines), False
        self._owned = self._owned or any(b'"kind": "day"' in line for line in lines)
        return True

    def _refuse_another(self, path: Path) -> None:
        """Refuse a place that the day has left: its folder was moved, or another day stands at its path."""
        if not self.day:
            return
        there = identity_at(path)
        if there not in ("", self.day) or (not there and path == self.path and self._owned):
            raise OSError(errno.ENOENT, "the day's folder was moved, or another day is at its place now")


def identity_at(path: Path) -> str:
    """Return the identity of the day that a journal belongs to; empty where there is none, or no journal."""
    try:
        with path.open("rb") as lines:
            for line in lines:
                if b'"kind": "day"' in line:
                    return str(json.loads(line).get("day", ""))
    except (OSError, ValueError):
        return ""
    return ""


@dataclass(slots=True, kw_only=True)
class Replayed:
    """What a journal tells: the last state and how it came about, and what of it was saved."""

    history: History | None = None
    unsaved: list[str] = field(default_factory=list)
    """Digests of the states since the last save, the saved one first."""
    unsaved_steps: list[str] = field(default_factory=list)
    """What was done since then, in words."""
    draft: dict[str, str] | None = None
    brief: dict[str, str] = field(default_factory=dict)
    """What was typed of the customer's page and is not in its file."""
    forms: dict[str, dict[str, str]] = field(default_factory=dict)
    """What was typed into the form of a file and is not in it: by file, and then by key."""
    watches: dict[str, WatchedFile] = field(default_factory=dict)
    """Files that are or were watched, by their names; ``watched`` is the one that still is."""
    watched: str = ""
    damaged: bool = False
    number: int = 0
    day: str = ""
    """Identity of the day; empty in a journal that was begun before days had one."""
    title: str = ""
    """The day's title when the journal was begun."""
    states: set[str] = field(default_factory=set)
    """Digests of every state that the run sheet had."""


def replay(lines: Iterable[bytes]) -> Replayed:
    """Go through a journal from its start."""
    told = Replayed()
    for line in lines:
        try:
            record = json.loads(line)
        except ValueError:
            continue
        try:
            if record["number"] == 1:
                told = Replayed()
            if record["number"] > told.number:  # else written twice, by a disk that refused half-way
                _follow(told, record)
                told.number = record["number"]
        except (KeyError, ValueError, TypeError, AttributeError, IndexError):
            told.damaged = True
            break
    return told


def _follow(told: Replayed, record: Mapping[str, Any]) -> None:
    kind = record["kind"]
    if "digest" in record:
        told.states.add(record["digest"])
    if kind == "day":
        told.day, told.title = str(record["day"]), str(record.get("title", ""))
    elif kind in ("draft", "brief", "form"):
        _half_typed(told, kind, record)
    elif kind == "base":
        told.history = History(text=record["text"])
        told.unsaved, told.unsaved_steps = [record["digest"]], []
    elif kind == "saved":
        _saved(told, record["digest"])
    elif kind == "watch":
        watch = watched_file(record)
        told.watches[watch.name], told.watched = watch, watch.name
    elif kind == "unwatch":
        told.watched = ""
    elif kind == "pass" and told.history is not None:
        steps = told.history.done if record["of"] == "undo" else told.history.undone
        told.history = told.history.passing_over(steps[-1])
    elif kind in ("do", "undo", "redo"):
        _step(told, kind, record)


def _saved(told: Replayed, digest: str) -> None:
    """Take as saved all up to a state; what was done while that was being written is not."""
    later = told.unsaved[::-1].index(digest) if digest in told.unsaved else 0
    steps = told.unsaved_steps
    told.unsaved = [digest, *told.unsaved[len(told.unsaved) - later :]]
    told.unsaved_steps = steps[len(steps) - later :]


def _half_typed(told: Replayed, kind: str, record: Mapping[str, Any]) -> None:
    if kind == "draft":
        told.draft = record["cells"]
        return
    typed = {key: text for key, text in record["typed"].items() if isinstance(text, str)}
    if kind == "brief":
        told.brief = typed
    else:
        told.forms.pop(record["file"], None)
        if typed:
            told.forms[record["file"]] = typed


def _step(told: Replayed, kind: str, record: Mapping[str, Any]) -> None:
    if told.history is None:
        raise ValueError("a step without a base")
    if kind == "do":
        step = Step(**{one.name: record[one.name] for one in fields(Step) if one.name in record})
        history, words = told.history.with_step(step), step.what
    elif kind == "undo":
        step = told.history.done[-1]
        history, words = told.history.undo(), f"undone: {step.what}"
    else:
        step = told.history.undone[-1]
        history, words = told.history.redo(), f"done again: {step.what}"
    if digest_of(history.text.encode()) != record["digest"]:
        raise ValueError("a step that leads elsewhere")
    told.history = history
    if not step.file:  # else it was saved before it was told
        told.unsaved.append(record["digest"])
        told.unsaved_steps.append(words)
    if record.get("ends_draft"):
        told.draft = None


def is_file(path: Path) -> bool:
    """Return whether there is a file, also where its folder cannot be looked into."""
    try:
        return path.is_file()
    except OSError:
        return False
