"""From what the user typed to the folder of a track."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from balance.files.session_path import folder_name, given_folder, meant, path_fault
from balance.model.errors import InputError, UnknownName, quoted

if TYPE_CHECKING:
    import os

    from balance.model.records import Session

TRACKS = "tracks"
"""The folder of a car that holds its tracks."""
TRACK_FILE, LINE_FILE = "track.toml", "line.csv"
_WHAT = f"a track's folder or its {TRACK_FILE}"


def track_folder(path: str | os.PathLike[str]) -> Path:
    """Find the folder of a track, of which the folder itself or one of its files was given."""
    given = Path(path)
    if given_folder(given, TRACK_FILE, _WHAT, _tracks_below):
        return given
    if given.name in (TRACK_FILE, LINE_FILE):
        return given.parent
    raise path_fault(given, _WHAT, "another file", "give the folder of the track")


def tracks_of(car: Path) -> list[Path]:
    """List the tracks of a car, by the names of their folders."""
    return sorted(path.parent for path in (car / TRACKS).glob(f"[!.]*/{TRACK_FILE}"))


def track_of(car: Path, name: str) -> Path:
    """Find a track of a car by its folder's name, as it was typed when the track was made."""
    return car / TRACKS / track_name(name)


def track_of_session(session: Session, name: str | None = None) -> Path:
    """Find the folder of a track of a day's car by its name; without one, the only track that the car has."""
    car = Path(session.vehicle.source).parent
    folders = tracks_of(car)
    if not folders:
        raise InputError(
            f"track of {session.vehicle.name}: found none in {car / TRACKS}, expected one; make one by hand with "
            f"axletrim new track {car} NAME, or of a driver's log with axletrim track import"
        )
    names = [folder.name for folder in folders]
    if name is None:
        if len(folders) > 1:
            raise InputError(
                f"track of {session.vehicle.name}: found {len(folders)}, expected the name of one: {', '.join(names)}"
            )
        return folders[0]
    found = track_name(name)
    if found not in names:
        raise UnknownName("track", name, names)
    return folders[names.index(found)]


def track_name(name: str) -> str:
    """Make the name of a track's folder.

    Examples
    --------
    >>> track_name("Upper field loop (invented)")
    'upper_field_loop_invented'
    """
    made = folder_name(name)
    if not made:
        raise InputError(f"name of a track: found {quoted(name)}, expected letters or digits in it")
    return made


def _tracks_below(folder: Path) -> str:
    found = sorted({*tracks_of(folder), *(path.parent for path in folder.glob(f"[!.]*/{TRACK_FILE}"))})
    return meant(found) or f"a track is a folder that holds {TRACK_FILE} and {LINE_FILE}"
