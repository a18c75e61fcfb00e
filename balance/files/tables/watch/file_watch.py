"""A table that another computer adds to while the day runs: what is new in it, corrected in it, or gone from it, and what waits."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING

from balance.files.tables.header.head import clean, other_units, said_again
from balance.files.tables.header.meanings import meaning_of
from balance.files.tables.header.understood import ForeignTable, understand
from balance.files.tables.importing.plan import ImportOptions
from balance.files.tables.reading.decoding import growing_text
from balance.files.tables.reading.grid import Row, cell_text
from balance.files.tables.reading.own_export import own_facts, without_facts
from balance.files.tables.reading.text_grid import growing_grid
from balance.files.text_file import refuse_beyond
from balance.model.errors import FileFaults, InputError, one_line

if TYPE_CHECKING:
    import os
    from collections.abc import Collection, Iterable, Mapping, Sequence

_LIMIT = 20_000_000
_BEYOND = "beyond the header (cell "


@dataclass(frozen=True, slots=True, kw_only=True)
class WatchedRow:
    """One row of the file: ``key`` is its run, or its number where there is no such column; cells by header.

    Cells that stand beyond the header have names of their own, so that none is lost. ``row`` is the row as a table
    has it, units parted from figures; made of the cells where it is not at hand.
    """

    file: str
    key: str
    line: int
    cells: Mapping[str, str]
    row: Row | None = field(default=None, compare=False, repr=False)

    @property
    def parted(self) -> Row:
        """The row as a table has it."""
        return self.row or Row(line=self.line, cells=tuple(self.cells.values()))

    @property
    def name(self) -> str:
        """What it is called in a sentence: ``row 12``."""
        return self.key if self.key.startswith("row ") else f"row {self.key}"

    @property
    def beyond(self) -> tuple[str, ...]:
        """Names of the cells beyond the header."""
        return tuple(name for name in self.cells if name.startswith(_BEYOND))


@dataclass(frozen=True, slots=True, kw_only=True)
class NewRow:
    """A row that was not there before: a run that waits for what was changed on the car."""

    row: WatchedRow


@dataclass(frozen=True, slots=True, kw_only=True)
class CorrectedRow:
    """A row that reads otherwise than when it was seen first: to be decided on, never taken by itself."""

    before: Mapping[str, str]
    row: WatchedRow

    @property
    def differs(self) -> tuple[tuple[str, str, str], ...]:
        """Header, text before and text now, of every cell that differs."""
        names = dict.fromkeys((*self.before, *self.row.cells))
        pairs = ((name, self.before.get(name, ""), self.row.cells.get(name, "")) for name in names)
        return tuple((name, old, new) for name, old, new in pairs if old != new)


@dataclass(frozen=True, slots=True, kw_only=True)
class LostRows:
    """Rows that are no longer in the file; what was taken from them stays."""

    keys: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Restarted:
    """The file holds nothing any more of what it held: the other computer has begun a new one."""

    file: str


@dataclass(frozen=True, slots=True, kw_only=True)
class WatchTrouble:
    """The file cannot be read at present; said once, until it changes."""

    message: str


WatchEvent = NewRow | CorrectedRow | LostRows | Restarted | WatchTrouble


class FileWatch:
    """Looks at a file whenever it is asked to; it never writes, locks or waits.

    ``waiting`` is a last row without its line end, not taken because it may be half written; ``table`` is None while no row
    looks like its header; ``rows`` are all complete rows, as they were seen last.
    """

    def __init__(
        self,
        path: Path,
        *,
        taken: Mapping[str, Mapping[str, str]] | None = None,
        options: ImportOptions | None = None,
    ) -> None:
        self.path, self._options = path, options or ImportOptions()
        self.waiting = ""
        self.table: ForeignTable | None = None
        self.rows: tuple[WatchedRow, ...] = ()
        self._seen: dict[str, Mapping[str, str]] = dict(taken or {})
        self._lost: set[str] = set()
        self._raw: bytes | None = None
        self._inode: int | None = None
        self._began_anew = True  # until a poll has found something that was seen before
        self._said = ""
        self._finished = self._otherwise = False

    @property
    def trouble(self) -> str:
        """Why the file cannot be read at present; empty where it can."""
        return self._said

    @property
    def header(self) -> tuple[str, ...]:
        """What its columns are called, each by a name of its own."""
        return () if self.table is None else self.table.names

    @property
    def file(self) -> str:
        """The file's name, as rows carry it."""
        return self.path.name

    def poll(self) -> tuple[WatchEvent, ...]:
        """Look at the file."""
        try:
            status = self.path.stat()
            if status.st_size > _LIMIT:
                raise FileFaults.of(
                    self.file, f"{status.st_size / 1e6:.0f} MB", f"at most {_LIMIT / 1e6:.0f} MB", ""
                )
            raw = self.path.read_bytes()
            refuse_beyond(raw, shown_as=self.file)
        except FileFaults as fault:
            return self._trouble(str(fault))
        except FileNotFoundError:
            self._raw, self._began_anew = None, True
            return self._trouble(f"{self.file}: found no such file, expected the one that is watched")
        except OSError as error:
            return self._trouble(
                f"{self.file}: found a file that cannot be read ({error.strerror or error}), expected one that can"
            )
        if raw == self._raw and not self._finished and not self._otherwise:
            return ()
        self._otherwise = False
        if self._raw is not None and (len(raw) < len(self._raw) or status.st_ino != self._inode):
            self._began_anew = True
        self._raw, self._inode = raw, status.st_ino
        rows, problem = self._rows(raw)
        self._finished, self.rows = False, tuple(rows)
        events = self._compare(rows)
        if problem:
            return (*events, *self._trouble(problem))
        self._said = ""
        return events

    def read_with(self, options: ImportOptions) -> None:
        """Read the file anew at the next look, with what somebody has said of it."""
        self._options, self._otherwise = options, True

    def take_waiting(self) -> tuple[WatchEvent, ...]:
        """Take the last row as complete although it has no line end: its file is known to be finished."""
        self._finished = True
        return self.poll()

    def _trouble(self, message: str) -> tuple[WatchEvent, ...]:
        message = one_line(message)
        if message == self._said:
            return ()
        self._said = message
        return (WatchTrouble(message=message),)

    def _compare(self, rows: list[WatchedRow]) -> tuple[WatchEvent, ...]:
        if not rows:
            return ()
        events: list[WatchEvent] = []
        same = any(self._seen.get(row.key) == row.cells for row in rows)
        all_there = self._seen.keys() <= {row.key for row in rows}  # then all were corrected, not begun anew
        if self._began_anew and not same and not all_there:
            events.append(Restarted(file=self.file))
            self._seen, self._lost = {}, set()
        self._began_anew = False
        for row in rows:
            before = self._seen.get(row.key)
            if before is None:
                events.append(NewRow(row=row))
            elif before != row.cells:
                events.append(CorrectedRow(before=before, row=row))
            self._seen[row.key] = row.cells
        gone = self._seen.keys() - {row.key for row in rows}
        if newly := gone - self._lost:
            events.append(LostRows(keys=tuple(key for key in self._seen if key in newly)))
        self._lost = set(gone)
        return tuple(events)

    def _rows(self, raw: bytes) -> tuple[list[WatchedRow], str]:
        """Read the complete rows, and say what stands in the way of the others."""
        try:
            text = growing_text(raw, self._options.encoding)
            grid, self.waiting, problem = growing_grid(
                text, shown_as=self.file, finished=self._finished, separator=self._options.separator
            )
        except InputError as fault:
            return [], str(fault)
        own = own_facts(text) is not None
        grid = without_facts(grid) if own else grid
        self.table = understand(grid, self._options, own=own)
        return ([] if self.table is None else self._below(grid.rows, self.table)), problem

    def _below(self, as_they_are: Sequence[Row], table: ForeignTable) -> list[WatchedRow]:
        """Return the rows below the header, but for those that say it again."""
        rows: list[WatchedRow] = []
        keys: dict[str, int] = {}
        units: Mapping[int, str] = {}
        key_at = _key_at(table.names)
        place = table.head.after
        while place < len(as_they_are):
            there = as_they_are[place]
            later = as_they_are[place : place + 3]
            taken, said = (0, {}) if table.own else said_again(later, table.head)
            if taken:  # the other computer began its table again
                units = other_units(said, table.head) if said else units
                place += taken
                continue
            named = _named(
                table.names, [clean(c) if isinstance(c, str) else cell_text(c) for c in there.cells]
            )
            key = ("" if key_at is None else named[table.names[key_at]]) or f"row {len(rows) + 1}"
            keys[key] = keys.get(key, 0) + 1
            if keys[key] > 1:
                key = f"{key} #{keys[key]}"
            row = table.grid.rows[place]
            row = replace(row, units={**units, **row.units}) if units else row
            rows.append(WatchedRow(file=self.file, key=key, line=there.line, cells=named, row=row))
            place += 1
        return rows


def _named(names: Sequence[str], texts: list[str]) -> Mapping[str, str]:
    """Return the cells of a row by their headers, and by their place those beyond."""
    texts += [""] * (len(names) - len(texts))
    named = dict(zip(names, texts, strict=False))
    more = enumerate(texts[len(names) :], start=len(names) + 1)
    named.update({f"{_BEYOND}{number})": text for number, text in more if text})
    return MappingProxyType(named)


def _key_at(names: Sequence[str]) -> int | None:
    """Find the column that names the runs, as we call it or as others do."""
    plain = [name.casefold() for name in names]
    if "run" in plain:
        return plain.index("run")
    return next((place for place, name in enumerate(names) if meaning_of(name)[0].name == "run"), None)


def watch_file(
    path: str | os.PathLike[str],
    *,
    taken: Mapping[str, Mapping[str, str]] | None = None,
    options: ImportOptions | None = None,
) -> FileWatch:
    """Watch a file that another computer adds to."""
    file = Path(path)
    if file.is_dir():
        raise InputError(one_line(f"{file}: found a folder, expected the file that is added to"))
    return FileWatch(file, taken=taken, options=options)


@dataclass(frozen=True, slots=True, kw_only=True)
class WaitingRows:
    """Rows that wait, in the order of the file, and corrections of rows that have become runs already."""

    rows: tuple[WatchedRow, ...] = ()
    corrections: tuple[CorrectedRow, ...] = ()

    def after(self, events: Iterable[WatchEvent], *, aside: Collection[str] = ()) -> WaitingRows:
        """Take up what a look at the file has brought."""
        rows, corrections = list(self.rows), list(self.corrections)
        for event in events:
            if isinstance(event, NewRow):
                rows.append(event.row)
            elif isinstance(event, CorrectedRow):
                places = [place for place, row in enumerate(rows) if row.key == event.row.key]
                if places:
                    rows[places[-1]] = event.row
                elif event.row.key in aside:
                    rows.append(event.row)
                else:
                    corrections.append(event)
        return WaitingRows(rows=tuple(rows), corrections=tuple(corrections))

    def without(self, decided: WatchedRow) -> WaitingRows:
        """Take out what was decided on: a row that has become a run, or a correction that was taken or left."""
        return WaitingRows(
            rows=tuple(row for row in self.rows if not _says_the_same(row, decided)),
            corrections=tuple(event for event in self.corrections if not _says_the_same(event.row, decided)),
        )


def _says_the_same(one: WatchedRow, other: WatchedRow) -> bool:
    return (one.key, one.cells) == (other.key, other.cells)
