"""A library that is open: its days brought up to date by their checksums, and what is asked of it.

`library.toml` says which folders belong to it, `days/<id>.json` what each said when it was read last, `parts.toml` who is
who. These files are the truth; the index is a cache. What a day says is studied by a function that the caller gives, since
files know no figures.
"""

from __future__ import annotations

import contextlib
import math
import os
import time
from dataclasses import asdict, dataclass, replace
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Self

from balance.files.day.durable import digest_at, digest_of, write_atomically
from balance.files.day.lock import take_lock
from balance.files.library.day_record import RECORD_MEND, day_text, read_day
from balance.files.library.index import Head, Index, IndexLost, head_of
from balance.files.library.library_file import DAYS, INDEX_FILE, PARTS_FILE, read_library_file
from balance.files.library.parts_file import PartsFile, read_parts_file
from balance.files.loader import load_session
from balance.files.session_path import RUNS_FILE, SESSION_FILE, folder_name, session_folder
from balance.files.text_file import read_bytes
from balance.model.errors import AlreadyOpen, FileFaults, InputError, SaveError, UnknownName
from balance.model.libraries import CarFacts, CarFigures, KeptDay

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping, Sequence

    from balance.model.libraries import DayEffects, DayHead, KeptEffect, Said
    from balance.model.records import Session, Vehicle

    Study = Callable[[Session], DayEffects]

_LIMIT = 20_000_000
_WHAT = "a day as a library keeps it"
_AT_ONCE, _AT_LEAST_EVERY = 25, 1.0
"""Days after which the index is written, and seconds after which it is anyhow."""
_PATIENCE = 10.0
"""Seconds for which another program that writes the library is waited for."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LibraryDay:
    """A day of a library; ``car`` is the confirmed name, empty where none is; ``gone`` says that its folder is."""

    head: Head
    car: str
    gone: bool

    @property
    def car_name(self) -> str:
        """What the car is called."""
        return self.car or self.head.car

    @property
    def car_key(self) -> tuple[str, str]:
        """What tells cars apart: a confirmed name, else the file that describes the car."""
        return (self.car, "") if self.car else (self.head.car, self.head.car_file)


class Library:
    """A library that is open, until `close`."""

    def __init__(self, folder: Path, study: Study) -> None:
        self.folder, self._study = folder, study
        self.file = read_library_file(folder)
        self.index = Index(folder / INDEX_FILE)
        self.broken: tuple[tuple[str, InputError], ...] = ()
        self.changed: list[str] = []
        """Folders of days that were read again just now and say other effects than before."""
        self.writes = os.access(folder, os.W_OK)
        self._days: dict[str, LibraryDay] = {}
        self._parts: list[tuple[str, str, str]] = []
        try:
            try:
                self._open()
            except IndexLost:
                self.index.start_again()
                self._open()
        except BaseException:
            self.index.close()
            raise

    def __enter__(self) -> Self:
        """Use it as a block."""
        return self

    def __exit__(self, *_: object) -> None:
        """Give it back."""
        self.close()

    def close(self) -> None:
        """Give the index back."""
        self.index.close()

    @property
    def days(self) -> tuple[LibraryDay, ...]:
        """The days, the oldest first; broken ones are left out."""
        return tuple(
            sorted(self._days.values(), key=lambda day: (day.head.date, day.head.title, day.head.id))
        )

    @cached_property
    def by_facility(self) -> dict[str, tuple[LibraryDay, ...]]:
        """Return the days of each facility that has a name."""
        found: dict[str, list[LibraryDay]] = {}
        for day in self.days:
            if day.head.facility_name:
                found.setdefault(day.head.facility_name, []).append(day)
        return {name: tuple(days) for name, days in found.items()}

    def day(self, day: str) -> LibraryDay:
        """Return one day by its name in the library."""
        return self._days[day]

    def parts(self) -> list[tuple[str, str, str, tuple[str, ...]]]:
        """Return name, family and note of each part that a day measured, with those days."""
        days: dict[str, list[str]] = {}
        for part, day in self.index.days_of_parts():
            if day in self._days:
                days.setdefault(part, []).append(day)
        return [(*part, tuple(days[part[0]])) for part in self._parts if part[0] in days]

    @property
    def state(self) -> str:
        """What the library says as it stands, in eight digits: of its parts.toml and of the files of its days."""
        said = [self.index.parts_digest()]
        said += sorted(digest for day in self._days.values() for _, digest in day.head.files)
        return digest_of("\n".join(said).encode())[:8]

    def family(self, part: str) -> str:
        """Return the family of a part; the text is empty where none is stated."""
        return next((family for name, family, _ in self._parts if name == part), "")

    def effects(self, part: str) -> list[tuple[LibraryDay, KeptEffect]]:
        """Return the effects of a part, the oldest day first."""
        known = [name for name, *_ in self._parts]
        if part not in known:
            raise UnknownName("part", part, known)
        found = [(self._days[day], effect) for day, effect in self.index.effects(part) if day in self._days]
        return sorted(found, key=lambda one: (one[0].head.date, one[0].head.id))

    def unconfirmed(self) -> list[tuple[LibraryDay, Said]]:
        """Return what days say of which nobody has confirmed which part it is."""
        return [(self._days[day], said) for day, said in self.index.unconfirmed() if day in self._days]

    def unsaid(self) -> list[tuple[str, LibraryDay]]:
        """Return each part with each day that was confirmed to measure it and does not say it any more."""
        rows = dict.fromkeys(self.index.unsaid())
        return [(part, self._days[day]) for part, day in rows if day in self._days]

    def _open(self) -> None:
        self._take_parts()
        self._bring_up()
        self._parts = self.index.parts()

    def _take_parts(self) -> None:
        """Bring into the index what parts.toml says, where it says something else by now."""
        path = self.folder / PARTS_FILE
        there = path.exists() or path.is_symlink()
        raw = (
            read_bytes(path, shown_as=str(path), limit=_LIMIT, what="a library's parts.toml")
            if there
            else b""
        )
        digest = digest_of(raw)
        if self.index.parts_digest() != digest:
            self.index.take_parts(digest, read_parts_file(self.folder) if raw else PartsFile())

    def _bring_up(self) -> None:
        """Read again what has changed since the index was made, day by day."""
        broken: dict[str, InputError] = {}
        heads = self._records(broken)
        by_folder = {head.folder: head for head in heads.values()}
        wanted = {absolute(self.folder, one): one for one in self.file.days}
        moved = {_own(head): head for head in heads.values() if head.folder not in wanted}
        days: dict[str, Head] = {}
        gone: set[str] = set()
        looks: list[tuple[str, tuple[str, ...]]] = []
        batch = _Batch(self.index)
        for folder, shown in wanted.items():
            head = by_folder.get(folder)
            sources = () if head is None else tuple(_look(path) for path, _ in head.files)
            try:
                if head is not None and not Path(folder).exists():
                    gone.add(head.id)
                elif head is None or (sources != head.sources and _changed(head)):
                    day = self._studied(Path(folder), head, heads, moved)
                    if head is not None and _say_otherwise(self.index.of_day(head.id), day.effects.effects):
                        self.changed.append(folder)
                    batch.add(day, self._kept(day), tuple(_look(path) for path, _ in day.files))
                    heads[day.id] = head = head_of(day)
                    broken.pop(f"{DAYS}/{day.id}.json", None)  # it was only its file in the library
                elif sources != head.sources:
                    looks.append((head.id, sources))
            except InputError as error:
                broken[shown] = error
                continue
            days[head.id] = head
        batch.write()
        self.index.look(looks)
        lost = {one for one in wanted if one not in {head.folder for head in days.values()}}
        if any(
            not Path(one).exists() for one in lost
        ):  # its own files cannot mend what the library kept of it
            broken = {shown: _beyond_mending(error) for shown, error in broken.items()}
        self.broken = tuple(broken.items())
        cars = self.index.cars()
        by_file = {days[day].car_file: car for day, car in cars.items() if day in days}
        self._days = {
            day: LibraryDay(head=head, car=cars.get(day) or by_file.get(head.car_file, ""), gone=day in gone)
            for day, head in days.items()
        }

    def _records(self, broken: dict[str, InputError]) -> dict[str, Head]:
        """Bring the index up to the files of the days; what is broken among them is named."""
        known = self.index.heads()
        found: dict[str, str] = {}
        with (
            contextlib.suppress(FileNotFoundError, NotADirectoryError),
            os.scandir(self.folder / DAYS) as entries,
        ):
            for entry in entries:
                if entry.name.endswith(".json") and not entry.name.startswith("."):
                    found[entry.name.removesuffix(".json")] = _look(entry.path)
        self.index.drop(known.keys() - found.keys())
        known = {day: head for day, head in known.items() if day in found}
        batch = _Batch(self.index)
        for day, look in found.items():
            if day in known and known[day].file == look:
                continue
            known.pop(day, None)
            shown = f"{DAYS}/{day}.json"
            try:
                record = read_day(
                    read_bytes(self.folder / DAYS / f"{day}.json", shown_as=shown, limit=_LIMIT, what=_WHAT),
                    shown_as=shown,
                )
                if record.id != day:
                    raise FileFaults.of(
                        shown, f"the day '{record.id}'", f"the day '{day}'", "remove the file"
                    )
            except FileFaults as error:
                broken[shown] = error
                continue
            batch.add(record, look, ())
            known[day] = head_of(record)
        batch.write()
        return known

    def _studied(
        self, folder: Path, head: Head | None, heads: dict[str, Head], moved: dict[tuple[str, ...], Head]
    ) -> KeptDay:
        """Read a day from its own files; one that came along with its library keeps the name that it had elsewhere."""
        day = studied(folder, self._study)
        head = head or moved.pop(_own(day), None)
        return replace(day, id=head.id if head else free_id(day.id, folder, heads))

    def _kept(self, day: KeptDay) -> str:
        """Write a day's file; give how it looks. What cannot be written is known for as long as the library is open."""
        path = self.folder / DAYS / f"{day.id}.json"
        if self.writes:
            try:
                path.parent.mkdir(exist_ok=True)
                write_atomically(path, day_text(day).encode())
            except (SaveError, OSError):
                self.writes = False
        return _look(path)


class _Batch:
    """Days on their way into the index, so many at once that its transactions cost little, so few that a kill does."""

    def __init__(self, index: Index) -> None:
        self._index, self._rows, self._since = (
            index,
            list[tuple[KeptDay, str, tuple[str, ...]]](),
            time.monotonic(),
        )

    def add(self, day: KeptDay, file: str, sources: tuple[str, ...]) -> None:
        self._rows.append((day, file, sources))
        if len(self._rows) >= _AT_ONCE or time.monotonic() - self._since > _AT_LEAST_EVERY:
            self.write()

    def write(self) -> None:
        if self._rows:
            self._index.put(self._rows)
        self._rows, self._since = [], time.monotonic()


def studied(folder: Path, study: Study) -> KeptDay:
    """Read a day and what it says of its parts from its own files."""
    folder = session_folder(folder)
    own = [
        (path, digest_at(path)) for path in (folder / SESSION_FILE, folder / RUNS_FILE)
    ]  # before they are read
    session = load_session(folder)
    car = Path(session.vehicle.source or folder / SESSION_FILE).resolve()
    files = [*own, (car, digest_at(car))]
    name = folder_name(f"{folder.parent.name} {folder.name}")[:48]
    return KeptDay(
        id=f"{name}-{own[0][1][:8]}",
        folder=str(folder),
        title=session.title,
        date=session.date.isoformat() if session.date else "",
        car=session.vehicle.name,
        car_file=str(car),
        facility=session.facility.kind or "",
        facility_name=session.facility.name,
        floor=session.facility.floor or "",
        speed=session.facility.speed,
        air_density=session.facility.air_density,
        runs=len(session.used),
        files=tuple((str(path), digest) for path, digest in files),
        effects=study(session),
        body=session.vehicle.body.kind,
        facts=_facts(session.vehicle),
        figures=CarFigures(
            mass=session.vehicle.mass,
            wheelbase=session.vehicle.wheelbase,
            driven=session.vehicle.driven or "",
        ),
    )


def _facts(car: Vehicle) -> CarFacts:
    """Gather what may explain that a part does more on this car than on another."""
    figures = {key: value for key, value in asdict(car.body).items() if key != "kind"}
    stands = tuple((one.setting, one.behind_rear_axle, one.height) for one in car.mountings)
    return CarFacts(**figures, mountings=stands)


@contextlib.contextmanager
def writing(folder: Path) -> Iterator[None]:
    """Be the only program that writes a library."""
    until = time.monotonic() + _PATIENCE
    while True:
        try:
            lock = take_lock(folder, shown_as=str(folder))
            break
        except AlreadyOpen:
            if time.monotonic() > until:
                raise
            time.sleep(0.05)
        except OSError as error:
            raise SaveError(
                f"{folder}: found a library that cannot be written ({error.strerror or error}), expected one that can; "
                "choose another with --library"
            ) from None
    try:
        yield
    finally:
        lock.release()


def free_id(day: str, folder: Path, heads: Mapping[str, Head]) -> str:
    """Return the name of a new day in the library, apart from those of other folders."""
    number, name = 2, day
    while name in heads and heads[name].folder != str(folder):
        name, number = f"{day}-{number}", number + 1
    return name


def absolute(library: Path, folder: str) -> str:
    """Return where a day of library.toml stands."""
    path = os.path.normpath(library / os.path.expanduser(folder))  # noqa: PTH111 - a name that is nobody's raises there
    return os.path.dirname(path) if os.path.basename(path) == SESSION_FILE else path  # noqa: PTH119, PTH120 - as _look


def _own(day: DayHead) -> tuple[str, ...]:
    """Return what a day has of its own wherever it stands: its car's folder and its own, and what session and runs say."""
    return (*Path(day.folder).parts[-2:], *(digest for _, digest in day.files[:2]))


def _say_otherwise(before: Sequence[KeptEffect], now: Sequence[KeptEffect]) -> bool:
    """Tell whether a day says other parts than before, or other figures of them by more than rounding."""
    if {one.changes for one in before} != {one.changes for one in now}:
        return True
    known = {one.changes: one for one in before}
    pairs = [
        pair
        for one in now
        for pair in zip(
            (*known[one.changes].effect, *known[one.changes].std), (*one.effect, *one.std), strict=True
        )
    ]
    return any(
        abs(a - b) > 1e-9 * max(abs(a), abs(b)) or math.isfinite(a) != math.isfinite(b) for a, b in pairs
    )


def _beyond_mending(error: InputError) -> InputError:
    """Advise otherwise on a day as a library keeps it, where its own files are gone."""
    if not isinstance(error, FileFaults) or not any(one.mend == RECORD_MEND for one in error.faults):
        return error
    mend = "bring back the day's own folder, or forget it: axletrim library forget FOLDER"
    return FileFaults(
        replace(one, mend=mend if one.mend == RECORD_MEND else one.mend) for one in error.faults
    )


def _look(path: str | Path) -> str:
    """Look at a file without reading it."""
    try:
        status = os.stat(path)  # noqa: PTH116 - thousands of times: a path made of each costs more than looking
    except OSError:
        return ""
    return f"{status.st_size} {status.st_mtime_ns} {status.st_ino}"


def _changed(head: Head) -> bool:
    return any(digest_at(path) != digest for path, digest in head.files)
