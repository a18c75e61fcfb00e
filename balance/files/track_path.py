"""From what the user typed to the folder of a track."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from balance.files.session_path import folder_name
from balance.model.errors import FileFaults, InputError, UnknownName, did_you_mean, quoted

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
    try:
        given.stat()
        if given.is_dir():
            if (given / TRACK_FILE).exists():
                return given
            found = f"a folder without a {TRACK_FILE}"
            raise FileFaults.of(str(given), found, _WHAT, _tracks_below(given))
    except FileNotFoundError:
        mend = did_you_mean(given.name, _names(given.parent)) or "check the path"
        raise FileFaults.of(str(given) or ".", "nothing there", _WHAT, mend) from None
    except PermissionError:
        mend = "give yourself the right to read it"
        raise FileFaults.of(str(given), "a place that may not be read", _WHAT, mend) from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        found = f"a path that cannot be used ({reason})"
        raise FileFaults.of(str(given) or ".", found, _WHAT, "check how it is written") from None
    if given.name in (TRACK_FILE, LINE_FILE):
        return given.parent
    raise FileFaults.of(str(given), "another file", _WHAT, "give the folder of the track")


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
    found = sorted({*tracks_of(folder), *(path.parent for path in folder.glob(f"[!.]*/{TRACK_FILE}"))})[:3]
    if found:
        return "did you mean " + " or ".join(f"'{path}'" for path in found) + "?"
    return f"a track is a folder that holds {TRACK_FILE} and {LINE_FILE}"


def _names(folder: Path) -> list[str]:
    try:
        return [entry.name for entry in folder.iterdir()]
    except OSError:
        return []
