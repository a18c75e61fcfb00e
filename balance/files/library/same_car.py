"""Which days of a library are those of a car that is looked at: they say nothing of it as the next car."""

from __future__ import annotations

import os
from typing import TYPE_CHECKING, NamedTuple

from balance.files.day.durable import digest_of
from balance.files.session_path import RUNS_FILE, SESSION_FILE

if TYPE_CHECKING:
    from balance.files.library.library import Library
    from balance.model.records import Session


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
    digest = _digest(place)
    own_files = {_digest(os.path.join(folder, name)) for name in (RUNS_FILE, SESSION_FILE)} - {""}  # noqa: PTH118 - as below
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


def _digest(path: str) -> str:
    try:
        with open(path, "rb") as file:  # noqa: PTH123 - as in a library: paths are plain texts there
            return digest_of(file.read())
    except OSError:
        return ""
