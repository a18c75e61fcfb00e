"""Which car and which part of a library a day may mean by its words: proposals, never decisions; and which days are of one car."""

from __future__ import annotations

import os
from difflib import SequenceMatcher
from functools import lru_cache
from typing import TYPE_CHECKING, NamedTuple

from balance.files.day.durable import digest_at
from balance.files.session_path import RUNS_FILE, SESSION_FILE
from balance.model.errors import UnitError
from balance.model.libraries import SaidChange, size_words
from balance.model.plans import LABEL
from balance.units.text import parse_quantity

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from balance.files.library.library import Library
    from balance.files.library.parts_file import PartsFile
    from balance.model.libraries import CarFigures, DayHead, KnownPart, Said
    from balance.model.records import Session

_LIKE = 0.72
"""Names that are alike by at least this share of their letters are proposed. Chosen, no source."""
_ROUNDING, _HEAVIER = 0.0101, 1.1
"""Wheelbases of one car differ by no more than centimetres make of them [m], masses by no more than driver, fuel and what is
taken out do. Chosen, no source."""
_ROUNDED = 0.03
"""How far a size of inches may be from one of millimetres that is called the same; common practice, no source."""
_KINDS = ("length", "angle")


def part_like(said: Said, file: PartsFile) -> str:
    """Name the part that is most like what a day says: settings of like names, of the same sizes.

    The name is empty where none is.
    """
    best, name = _LIKE, ""
    for part in file.parts:
        for one in {_without_case(seen) for _, seen in part.seen}:
            found = _alike(_without_case(said), one)
            if found >= best and (found > best or not name):
                best, name = found, part.name
    return name


def parts_said(said: Said, file: PartsFile) -> tuple[str, ...]:
    """Name the parts that some day says in just these words: the settings of these names, of these sizes."""
    own = _without_case(said)
    return tuple(part.name for part in file.parts if any(_without_case(one) == own for _, one in part.seen))


def called_otherwise(setting: str, part: KnownPart) -> str:
    """Name the setting that days call a part, where none of them calls it nearly so; else the text is empty."""
    names = [one.setting for _, said in part.seen for one in said]
    alike = any(_share(_name(setting), _name(one)) >= _LIKE for one in names)
    return "" if alike or not names else names[0]


def in_words_of(said: Said, other: Sequence[SaidChange]) -> Said:
    """Say a part in the names, and for the same sizes in the sizes, of what another day says; as it is where they differ."""
    names = {_name(one.setting): one.setting for one in other}
    sizes = {(_name(one.setting), _size(one.value)): one.value for one in other}
    return tuple(
        SaidChange(
            names.get(_name(one.setting), one.setting),
            sizes.get((_name(one.setting), _size(one.value)), one.value),
            sizes.get((_name(one.setting), _size(one.before)), one.before),
        )
        for one in said
    )


def parts_by_likeness(said: Said, file: PartsFile) -> tuple[str, ...]:
    """Name all parts, those first that are most like what a day says; of equals as they stand in the file."""
    own = _without_case(said)
    shares = {
        part.name: max((_alike(own, _without_case(one)) for _, one in part.seen), default=0.0)
        for part in file.parts
    }
    return tuple(sorted(shares, key=lambda name: -shares[name]))


class CarSaid(NamedTuple):
    """A car as a day says it: its name, its kind of body, its figures, the day's folder, the checksum of its file."""

    name: str
    body: str
    figures: CarFigures
    folder: str
    digest: str

    @classmethod
    def of(cls, day: DayHead) -> CarSaid:
        """Gather what a day says of its car."""
        digest = dict(day.files).get(day.car_file, "")
        return cls(day.car, day.body, day.figures, day.folder, digest)


class CarProposal(NamedTuple):
    """The car of a library that a day's car may be, and one of its days; ``certain`` where name or file say so."""

    name: str = ""
    said: CarSaid | None = None
    certain: bool = False


def car_like(own: CarSaid, known: Mapping[str, Sequence[CarSaid]]) -> CarProposal:
    """Propose the car of the same file, else of the same name, else of a like name and of the same facts.

    It is certain where one car alone has the same file to the byte, or the same name with facts that do not differ.
    """
    same_file = [
        (name, one) for name, days in known.items() for one in days if own.digest and one.digest == own.digest
    ]
    if same_file:
        return CarProposal(*same_file[-1], certain=len({name for name, _ in same_file}) == 1)
    plain = _plain_name(own.name)
    named = {
        name: days
        for name, days in known.items()
        if plain in (_plain_name(name), *(_plain_name(one.name) for one in days))
    }
    for name, days in named.items():
        alike = [one for one in days if not cars_differ(own, one)]
        if alike:
            exact = own.name in (name, *(one.name for one in days))
            return CarProposal(name, alike[-1], certain=exact and len(named) == 1)
    if named:
        name, days = next(iter(named.items()))
        return CarProposal(name, days[-1] if days else None)
    shares = {
        name: _share(plain, _plain_name(name))
        for name, days in known.items()
        if any(not cars_differ(own, one) for one in days)
    }
    best = max(shares, key=lambda one: shares[one], default="")
    if not best or shares[best] < _LIKE:
        return CarProposal()
    return CarProposal(best, [one for one in known[best] if not cars_differ(own, one)][-1])


def cars_differ(one: CarSaid, other: CarSaid) -> bool:
    """Tell whether two cars cannot well be one: by body, driven axle, wheelbase or mass, where both state it."""
    bodies = {_plain_name(said.body) for said in (one, other)} - {""}
    axles = {said.figures.driven for said in (one, other)} - {""}
    wheelbases = [said.figures.wheelbase for said in (one, other) if said.figures.wheelbase is not None]
    masses = [said.figures.mass for said in (one, other) if said.figures.mass is not None]
    return (
        len(bodies) > 1
        or len(axles) > 1
        or (len(wheelbases) > 1 and abs(wheelbases[0] - wheelbases[1]) > _ROUNDING)
        or (len(masses) > 1 and max(masses) > _HEAVIER * min(masses))
    )


def _plain_name(name: str) -> str:
    return " ".join(name.casefold().split())


def new_name(said: Said, taken: Iterable[str]) -> str:
    """Name a part by what a day says of it, apart from all that have a name.

    Examples
    --------
    >>> from balance.model.libraries import SaidChange
    >>> said = (SaidChange("rear_spoiler", "25 mm"),)
    >>> new_name(said, []), new_name(said, ["rear spoiler 25 mm"])
    ('rear spoiler 25 mm', 'rear spoiler 25 mm (2)')
    """
    return apart(", ".join(map(change_name, said)), taken)


def change_name(one: SaidChange) -> str:
    """Write one changed setting."""
    before = f" from {size_words(one.before)}" if one.before else ""
    if one.setting == LABEL:
        return f"{one.value}{before}"
    return f"{one.setting.replace('_', ' ')} {size_words(one.value) or 'off'}{before}"


def apart(name: str, taken: Iterable[str]) -> str:
    """Tell a name apart from those that are taken."""
    others, number, found = set(taken), 2, name
    while found in others:
        found, number = f"{name} ({number})", number + 1
    return found


@lru_cache(maxsize=100_000)
def _without_case(said: Said) -> tuple[tuple[str, str, str], ...]:
    return tuple((_name(one.setting), _size(one.value), _size(one.before)) for one in said)


def _name(setting: str) -> str:
    return setting.casefold().replace("_", " ")


def _alike(said: Sequence[tuple[str, str, str]], other: Sequence[tuple[str, str, str]]) -> float:
    """Tell how alike two parts are said: by their names alone, once all their sizes are the same; 0 where one is not."""
    if len(said) != len(other):
        return 0.0
    shares = []
    for (setting, value, before), (name, size, former) in zip(said, other, strict=True):
        labels = setting == name == LABEL
        if not labels and not (_same_size(value, size) and _same_size(before, former)):
            return 0.0
        shares.append(_share(value, size) if labels else _share(setting, name))
    return min(shares)


def _share(one: str, other: str) -> float:
    return SequenceMatcher(None, one, other, autojunk=False).ratio()


def _size(text: str) -> str:
    """Bring a size to one unit, so that 2.5 cm is 25 mm; any other text to lower case."""
    for kind in _KINDS:
        try:
            return f"{parse_quantity(text, kind):.6g} {kind}"  # type: ignore[arg-type]
        except UnitError:
            continue
    return text.casefold()


def _same_size(one: str, other: str) -> bool:
    """Return whether two sizes are one: as stated, or whole millimetres and what a size of inches makes near them."""
    if one == other or not (one.endswith(" length") and other.endswith(" length")):
        return one == other
    sizes = [1e3 * float(size.removesuffix(" length")) for size in (one, other)]
    whole = [abs(size - round(size)) < 1e-6 for size in sizes]
    return whole[0] != whole[1] and abs(sizes[0] - sizes[1]) <= _ROUNDED * max(map(abs, sizes))


class SameCar(NamedTuple):
    """What tells a car from the others of a library, several where its days were not joined; and the names of one day.

    ``copies`` are the days of the same bytes; ``sure`` says that more than a name tells the car.
    """

    keys: frozenset[tuple[str, str]]
    day: frozenset[str]
    copies: frozenset[str]
    sure: bool


def car_of_session(library: Library, session: Session) -> SameCar:
    """Find the car of a session in a library, and the session's own day.

    It is the car of the same vehicle file, by its place or by its bytes, or of the same folder of the day. Where the library
    knows none, it is any of the same name: a car too few is a smaller harm than one that counts twice.
    """
    place, folder = (os.path.realpath(path) for path in (session.vehicle.source, session.folder))
    digest = digest_at(place)
    own_files = {digest_at(os.path.join(folder, name)) for name in (RUNS_FILE, SESSION_FILE)} - {""}  # noqa: PTH118 - paths are plain texts in a library
    day = frozenset(one.head.id for one in library.days if os.path.realpath(one.head.folder) == folder)
    keys = frozenset(
        one.car_key
        for one in library.days
        if one.head.id in day
        or one.head.car_file == place
        or (digest and dict(one.head.files).get(one.head.car_file) == digest)
    )
    name = session.vehicle.name.casefold()
    called = frozenset(
        one.car_key for one in library.days if name in (one.car_name.casefold(), one.head.car.casefold())
    )
    copies = frozenset(
        one.head.id for one in library.days if own_files & {digest for _, digest in one.head.files}
    )
    return SameCar(keys=keys or called, day=day, copies=copies, sure=bool(keys))
