"""What a car's file or a session.toml says on the disk, key by key as it is written there, and changes of it."""

from __future__ import annotations

import os
import tomllib
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

from balance.errors import Fault, FileFaults
from balance.files.day_session import stated_session
from balance.files.durable import Stamp, read_stamped
from balance.files.run_sheet import sheet_from
from balance.files.session_path import RUNS_FILE, SESSION_FILE
from balance.files.toml_document import read_toml
from balance.files.toml_edit import edit_car, edit_session
from balance.files.toml_lines import layout

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from balance.files.run_sheet import RunSheet
    from balance.records import Session


@dataclass(frozen=True, slots=True, kw_only=True)
class StatedOnDisk:
    """A file as it stands: ``texts`` by dotted keys as they are written, and the ``stamp`` of the file."""

    path: Path
    texts: Mapping[str, str]
    stamp: Stamp


def look_at_stated(path: Path) -> StatedOnDisk:
    """Read a car's file or a session.toml for editing, whatever its values are.

    Parameters
    ----------
    path : Path
        The file.

    Returns
    -------
    StatedOnDisk
        Quantities as they were typed, with the units they were typed in; lists of texts with commas between;
        one of several tables by its number, as ``places.0.name``.

    Raises
    ------
    FileFaults
        If it cannot be read, or is not TOML.
    """
    document = read_toml(path, shown_as=path.name, what="a file that can be edited")
    try:
        raw, stamp = read_stamped(path)
    except OSError as error:
        reason = error.strerror or str(error)
        raise FileFaults([Fault(file=path.name, found=reason, expected="a file that can be read")]) from None
    if raw.decode(errors="replace").removeprefix("\ufeff") != document.text.removeprefix("\ufeff"):
        return look_at_stated(path)  # changed between the two looks
    return StatedOnDisk(path=path, texts=MappingProxyType(stated_texts(document.text)), stamp=stamp)


def stated_texts(text: str) -> dict[str, str]:
    r"""Give every key of a TOML text as a person would type its value.

    Parameters
    ----------
    text : str
        A text that the parser accepts.

    Returns
    -------
    dict of str to str
        By dotted keys. A table in braces is there whole, as well as key by key.

    Examples
    --------
    >>> stated_texts('[mass]\ntotal = "2844 lb"\n[[places]]\nspeed = "1 m/s"\n')
    {'mass.total': '2844 lb', 'places.0.speed': '1 m/s'}
    """
    at = layout(text)

    def told(value: Any, path: tuple[str | int, ...]) -> Iterator[tuple[str, str]]:
        key = ".".join(map(str, path))
        if isinstance(value, dict):
            if len(path) > 1 and all(isinstance(one, int | float) for one in value.values()):
                yield key, f"{{ {', '.join(f'{name} = {one}' for name, one in value.items())} }}"
            for name, one in value.items():
                yield from told(one, (*path, name))
        elif isinstance(value, list) and all(isinstance(one, dict) for one in value):
            for number, one in enumerate(value):
                yield from told(one, (*path, number))
        elif isinstance(value, list):
            yield key, ", ".join(map(str, value))
        elif isinstance(value, str):
            yield key, " ".join(value.split())
        else:
            yield key, text[slice(*at.values[path])] if path in at.values else str(value)

    return dict(told(tomllib.loads(text), ()))


def sessions_of_car(car: Path, *, but: Path) -> tuple[str, ...]:
    """Name the other sessions in the folder of a car that use its file.

    Parameters
    ----------
    car : Path
        The car's file.
    but : Path
        The folder of the session at hand.

    Returns
    -------
    tuple of str
        Their folders as seen from the car's, in order; what cannot be read is passed over.
    """
    home = car.parent
    found = []
    for file in sorted(
        (*home.glob(SESSION_FILE), *home.glob(f"*/{SESSION_FILE}"), *home.glob(f"*/*/{SESSION_FILE}"))
    ):
        try:
            place = tomllib.loads(file.read_text(encoding="utf-8-sig")).get("vehicle")
            same = isinstance(place, str) and (file.parent / place).samefile(car)
            mine = file.parent.samefile(but)
        except (OSError, ValueError, RecursionError):
            continue
        if same and not mine:
            found.append(file.parent.relative_to(home).as_posix())
    return tuple(found)


def edit_stated(
    folder: Path, path: Path, changes: Mapping[str, str | None], *, seen: Stamp, runs: str
) -> tuple[Session, RunSheet]:
    """Change the file of a session's car, or its session.toml, once the whole session was read from the new text.

    Parameters
    ----------
    folder : Path
        The session's folder.
    path : Path
        The file.
    changes : mapping of str to (str or None)
        What was typed by dotted keys; nothing takes the key out.
    seen : Stamp
        What the file was when it was shown.
    runs : str
        The runs as they stand on the desk, in place of those on the disk.

    Returns
    -------
    session : Session
        As its files state it then.
    sheet : RunSheet
        The runs under it.

    Raises
    ------
    FileFaults
        If the session could not be read then; nothing is written.
    OutsideChange
        If somebody else has changed the file since it was shown; nothing is written.
    SaveError
        If it cannot be written.
    """
    table = {Path(os.path.realpath(folder / RUNS_FILE)): runs}
    read: list[tuple[Session, RunSheet]] = []

    def whole(texts: Mapping[Path, str]) -> None:
        stated = stated_session(folder, {**table, **texts})
        read.append((stated, sheet_from(runs, recorded=stated.recorded_names)))

    if path == folder / SESSION_FILE:
        edit_session(folder, changes, seen=seen, whole=whole)
    else:
        edit_car(path, changes, seen=seen, whole=whole)
    return read[-1]
