"""The index of a library: a cache in SQLite of what its days say, made again wherever it is missing, old or broken.

It is written in short transactions under SQLite's own lock, so that several programs may share it and a killed one
leaves what was written before. Where it cannot be written, a copy in memory stands for it.
"""

from __future__ import annotations

import contextlib
import json
import os
import sqlite3
from dataclasses import asdict, dataclass, fields
from math import isfinite, nan
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple, TypeVar

from balance.files.library.day_record import effect_of, effect_tree
from balance.model.errors import InputError, one_line
from balance.model.libraries import CarFacts, CarFigures, DayHead, SaidChange

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence

    from balance.files.library.parts_file import PartsFile
    from balance.model.libraries import Figures, KeptDay, KeptEffect, Said

_T = TypeVar("_T")
_VERSION = 5
"""Raised with every change of the tables: an index of another version is made again."""
_MARK = 0x41784C62
_PATIENCE = 10.0
"""Seconds for which another program's writing is waited for."""
_TABLES = """
CREATE TABLE days (id TEXT PRIMARY KEY, file TEXT NOT NULL, head TEXT NOT NULL, sources TEXT NOT NULL);
CREATE TABLE effects (day TEXT NOT NULL, said TEXT NOT NULL, body TEXT NOT NULL, PRIMARY KEY (day, said));
CREATE TABLE parts_file (digest TEXT NOT NULL);
CREATE TABLE cars (day TEXT PRIMARY KEY, car TEXT NOT NULL);
CREATE TABLE seen (day TEXT NOT NULL, said TEXT NOT NULL, part TEXT NOT NULL, PRIMARY KEY (day, said));
CREATE TABLE parts (place INTEGER PRIMARY KEY, name TEXT NOT NULL, family TEXT NOT NULL, note TEXT NOT NULL);
CREATE INDEX seen_part ON seen (part);
"""


class KeptScatter(NamedTuple):
    """What a day knows of one reading: its variance as assumed and by the day's repeats alone [m⁴], and their degrees."""

    variance: Figures
    repeats_variance: Figures
    repeats_degrees: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Head(DayHead):
    """What the index says of a day, its effects counted; ``file`` and ``sources`` are how its files last looked."""

    file: str
    sources: tuple[str, ...]
    effects: int
    scatter: KeptScatter


class IndexLost(InputError):  # noqa: N818 - reads as the sentence it prints
    """The index can no longer be read: it broke while it was open, or another program holds it for long."""


class Index:
    """The index of one library, held until `close`."""

    def __init__(self, path: Path) -> None:
        self.path, self.kept = path, True
        try:
            self._database = self._opened()
        except (sqlite3.Error, OSError):
            self._database = self._in_memory(b"")

    def close(self) -> None:
        """Give the index back."""
        self._database.close()

    def heads(self) -> dict[str, Head]:
        """Return what is known of each day."""
        rows = self._asked("SELECT id, file, head, sources FROM days ORDER BY id", ())
        return {row[0]: _head(*row) for row in rows}

    def put(self, days: Sequence[tuple[KeptDay, str, Sequence[str]]]) -> None:
        """Take days in, in place of what was known of them; with each how its file and its sources look."""

        def write(database: sqlite3.Connection) -> None:
            for day, file, sources in days:
                database.execute("DELETE FROM effects WHERE day = ?", (day.id,))
                row = (day.id, file, _head_text(day), json.dumps(list(sources)))
                database.execute("INSERT OR REPLACE INTO days VALUES (?, ?, ?, ?)", row)
                rows = [(day.id, said_text(one.changes), _body(one)) for one in day.effects.effects]
                database.executemany("INSERT OR REPLACE INTO effects VALUES (?, ?, ?)", rows)

        self._changed(write)

    def look(self, looks: Iterable[tuple[str, Sequence[str]]]) -> None:
        """Note how the sources of days look now, their contents being the same."""
        rows = [(json.dumps(list(sources)), day) for day, sources in looks]
        if rows:
            self._changed(
                lambda database: database.executemany("UPDATE days SET sources = ? WHERE id = ?", rows)
            )

    def drop(self, days: Iterable[str]) -> None:
        """Leave days out."""
        rows = [(day,) for day in days]

        def write(database: sqlite3.Connection) -> None:
            for table, key in (("days", "id"), ("effects", "day")):
                database.executemany(f"DELETE FROM {table} WHERE {key} = ?", rows)  # noqa: S608 - both names are ours

        if rows:
            self._changed(write)

    def parts_digest(self) -> str:
        """Return which parts.toml is known, by its checksum."""
        rows = self._asked("SELECT digest FROM parts_file", ())
        return str(rows[0][0]) if rows else ""

    def take_parts(self, digest: str, file: PartsFile) -> None:
        """Take in what parts.toml says, in place of what was known of it."""
        cars = {day: car.name for car in file.cars for day in car.seen}
        seen = {(day, said_text(said)): part.name for part in file.parts for day, said in part.seen}

        def write(database: sqlite3.Connection) -> None:
            for table in ("parts_file", "cars", "seen", "parts"):
                database.execute(f"DELETE FROM {table}")  # noqa: S608 - the name is ours
            database.execute("INSERT INTO parts_file VALUES (?)", (digest,))
            database.executemany("INSERT INTO cars VALUES (?, ?)", cars.items())
            database.executemany(
                "INSERT INTO seen VALUES (?, ?, ?)", [(*key, name) for key, name in seen.items()]
            )
            rows = [(k, part.name, part.family, part.note) for k, part in enumerate(file.parts)]
            database.executemany("INSERT INTO parts VALUES (?, ?, ?, ?)", rows)

        self._changed(write)

    def cars(self) -> dict[str, str]:
        """Return the confirmed car of each day."""
        return dict(self._asked("SELECT day, car FROM cars", ()))

    def parts(self) -> list[tuple[str, str, str]]:
        """Return name, family and note of each part, in the order of their file."""
        return self._asked("SELECT name, family, note FROM parts ORDER BY place", ())

    def days_of_parts(self) -> list[tuple[str, str]]:
        """Return each part with each day on which it was measured."""
        return self._asked(
            "SELECT DISTINCT seen.part, seen.day FROM seen JOIN effects USING (day, said) ORDER BY 1, 2", ()
        )

    def unconfirmed(self) -> list[tuple[str, Said]]:
        """Return what days say of which nobody has confirmed which part it is."""
        rows = self._asked(
            "SELECT day, said FROM effects WHERE NOT EXISTS "
            "(SELECT 1 FROM seen WHERE seen.day = effects.day AND seen.said = effects.said) ORDER BY rowid",
            (),
        )
        return [(day, _said(text)) for day, text in rows]

    def unsaid(self) -> list[tuple[str, str]]:
        """Return each part with each day that was confirmed to measure it and does not say it now."""
        return self._asked(
            "SELECT part, day FROM seen WHERE EXISTS (SELECT 1 FROM days WHERE days.id = seen.day) AND NOT EXISTS "
            "(SELECT 1 FROM effects WHERE effects.day = seen.day AND effects.said = seen.said) ORDER BY 1, 2",
            (),
        )

    def of_day(self, day: str) -> list[KeptEffect]:
        """Return the effects of one day."""
        rows = self._asked("SELECT body FROM effects WHERE day = ? ORDER BY rowid", (day,))
        return [effect_of(json.loads(body), shown_as=str(self.path)) for (body,) in rows]

    def effects(self, part: str) -> list[tuple[str, KeptEffect]]:
        """Return the effects of a part, each with its day."""
        rows = self._asked(
            "SELECT day, body FROM seen JOIN effects USING (day, said) WHERE seen.part = ? ORDER BY day, effects.rowid",
            (part,),
        )
        return [(day, effect_of(json.loads(body), shown_as=str(self.path))) for day, body in rows]

    def start_again(self) -> None:
        """Go on with an empty index in memory."""
        self._database.close()
        self._database = self._in_memory(b"")

    def _asked(self, question: str, values: Sequence[str]) -> list[Any]:
        try:
            return self._database.execute(question, values).fetchall()
        except sqlite3.Error as error:
            raise self._lost(error) from None

    def _changed(self, write: Callable[[sqlite3.Connection], Any]) -> None:
        """Write in one transaction; where that fails, go on with a copy in memory."""
        try:
            try:
                self._within(write)
            except (
                sqlite3.OperationalError
            ):  # full or read-only disk, or a program that holds the lock for long
                if not self.kept:
                    raise
                before = self._database
                self._database = sqlite3.connect(":memory:", isolation_level=None)
                self.kept = False
                before.backup(self._database)
                before.close()
                self._within(write)
        except sqlite3.Error as error:
            raise self._lost(error) from None

    def _lost(self, error: sqlite3.Error) -> IndexLost:
        """Take a broken file away, so that the next opening makes it again."""
        if self.kept and not isinstance(error, sqlite3.OperationalError):
            self.set_aside()
        return IndexLost(
            one_line(
                f"{self.path}: found an index that cannot be read ({error}), expected a whole one; "
                "open the library again: it is made anew"
            )
        )

    def _within(self, write: Callable[[sqlite3.Connection], _T]) -> None:
        self._database.execute("BEGIN IMMEDIATE")
        try:
            write(self._database)
        except BaseException:
            with contextlib.suppress(sqlite3.Error):
                self._database.execute("ROLLBACK")
            raise
        self._database.execute("COMMIT")

    def _opened(self) -> sqlite3.Connection:
        """Open the file; one that is broken, or of another version, is made again."""
        if not os.access(self.path.parent, os.W_OK) or (
            self.path.exists() and not os.access(self.path, os.W_OK)
        ):
            return self._copied()
        for _ in range(2):
            database = sqlite3.connect(self.path, timeout=_PATIENCE, isolation_level=None)
            try:
                if _sound(database):
                    return database
                if _began(database):
                    return database
            except sqlite3.OperationalError:
                database.close()
                raise
            except sqlite3.DatabaseError:
                pass
            database.close()
            self.set_aside()
        return self._in_memory(b"")

    def set_aside(self) -> None:
        """Take the file away, and what SQLite keeps beside it."""
        for ending in ("", "-journal", "-wal", "-shm"):
            with contextlib.suppress(OSError):
                Path(f"{self.path}{ending}").unlink()

    def _copied(self) -> sqlite3.Connection:
        """Read the file into memory, unless a program was killed while it wrote there."""
        whole = not Path(f"{self.path}-journal").exists()
        try:
            return self._in_memory(self.path.read_bytes() if whole else b"")
        except OSError:
            return self._in_memory(b"")

    def _in_memory(self, raw: bytes) -> sqlite3.Connection:
        self.kept = False
        if raw:
            database = sqlite3.connect(":memory:", isolation_level=None)
            with contextlib.suppress(sqlite3.Error):
                database.deserialize(raw)
                if _sound(database):
                    return database
            database.close()
        database = sqlite3.connect(":memory:", isolation_level=None)
        _began(database)
        return database


def _sound(database: sqlite3.Connection) -> bool:
    """Tell whether an index is one of ours, of this version, and whole."""
    mark, version = (
        database.execute(f"PRAGMA {name}").fetchone()[0] for name in ("application_id", "user_version")
    )
    if (mark, version) != (_MARK, _VERSION):
        return False
    return bool(database.execute("PRAGMA quick_check(1)").fetchone()[0] == "ok")


def _began(database: sqlite3.Connection) -> bool:
    """Make the tables of an empty index; what holds something else is no index of ours."""
    database.execute("BEGIN IMMEDIATE")
    try:
        if database.execute("SELECT count(*) FROM sqlite_master").fetchone()[0]:
            return _sound(database)  # another program was quicker
        for line in _TABLES.split(";"):
            database.execute(line)
        database.execute(f"PRAGMA application_id = {_MARK}")
        database.execute(f"PRAGMA user_version = {_VERSION}")
    finally:
        database.execute("COMMIT")
    return True


def said_text(said: Said) -> str:
    """Write how a day says a part as one text, to look it up by."""
    return json.dumps([[one.setting, one.value, one.before] for one in said], ensure_ascii=False)


def _said(text: str) -> Said:
    return tuple(SaidChange(*one) for one in json.loads(text))


def _body(effect: KeptEffect) -> str:
    return json.dumps(effect_tree(effect), allow_nan=False, ensure_ascii=False)


def head_of(day: KeptDay) -> Head:
    """Return what the index says of a day of which nothing is known but what it says itself."""
    known = {one.name: getattr(day, one.name) for one in fields(DayHead)}
    said = day.effects
    scatter = KeptScatter(said.variance, said.repeats_variance, said.repeats_degrees)
    return Head(**known, file="", sources=(), effects=len(said.effects), scatter=scatter)


def _head_text(day: KeptDay) -> str:
    tree = {
        name: value for name, value in asdict(head_of(day)).items() if name not in ("id", "file", "sources")
    }
    *figures, degrees = tree["scatter"]
    tree["scatter"] = [*([one if isfinite(one) else None for one in row] for row in figures), degrees]
    return json.dumps(tree, ensure_ascii=False)


def _head(day: str, file: str, head: str, sources: str) -> Head:
    tree = json.loads(head)
    variance, again, degrees = tree["scatter"]
    own, again = (tuple(nan if one is None else one for one in figures) for figures in (variance, again))
    facts = tree["facts"] | {"mountings": tuple(map(tuple, tree["facts"]["mountings"]))}
    known = {
        "files": tuple(map(tuple, tree["files"])),
        "facts": CarFacts(**facts),
        "figures": CarFigures(**tree["figures"]),
        "scatter": KeptScatter(own, again, degrees),
    }
    return Head(**tree | known, id=day, file=file, sources=tuple(json.loads(sources)))
