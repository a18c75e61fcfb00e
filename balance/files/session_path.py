"""From what the user typed to the folder of a session, and to the name of a new folder."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from balance.model.errors import FileFaults, did_you_mean

if TYPE_CHECKING:
    import os

SESSION_FILE = "session.toml"
RUNS_FILE = "runs.csv"
_WHAT = f"the folder of a day or its {SESSION_FILE}"


def session_folder(path: str | os.PathLike[str]) -> Path:
    """Find the folder of a session."""
    given = Path(path)
    try:
        given.stat()
        if given.is_dir():
            if SESSION_FILE in _names(given):
                return given
            raise _fault(given, f"a folder without a {SESSION_FILE}", _sessions_below(given))
    except FileNotFoundError:
        raise _fault(given, "nothing there", _neighbours(given)) from None
    except PermissionError:
        raise _fault(given, "a place that may not be read", "give yourself the right to read it") from None
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        raise _fault(given, f"a path that cannot be used ({reason})", "check how it is written") from None
    if given.name == SESSION_FILE:
        return given.parent
    beside = given.parent / SESSION_FILE
    mend = f"did you mean '{given.parent}'?" if beside.is_file() else "check the path"
    raise _fault(given, "another file", mend)


def days_in(path: str | os.PathLike[str]) -> tuple[Path, ...]:
    """Find the days in the folder of a car, or of cars; any other path stands for itself, faults of it too."""
    given = Path(path)
    try:
        if not given.is_dir() or SESSION_FILE in _names(given):
            return (given,)
        below = sorted(
            found.parent
            for depth in ("[!.]*", "[!.]*/[!.]*")
            for found in given.glob(f"{depth}/{SESSION_FILE}")
        )
    except (OSError, ValueError):
        return (given,)
    return tuple(below) or (given,)


def _names(folder: Path) -> list[str]:
    return [entry.name for entry in folder.iterdir()]


def _sessions_below(folder: Path) -> str:
    found = sorted(path.parent for path in folder.glob(f"[!.]*/{SESSION_FILE}"))[:3]
    if found:
        return "did you mean " + " or ".join(f"'{path}'" for path in found) + "?"
    return f"a day is a folder that holds {SESSION_FILE} and {RUNS_FILE}"


def _neighbours(missing: Path) -> str:

    try:
        names = _names(missing.parent)
    except OSError:
        return "check the path"
    return did_you_mean(missing.name, names) or "check the path"


def _fault(path: Path, found: str, mend: str) -> FileFaults:
    return FileFaults.of(str(path) or ".", found, _WHAT, mend)


def folder_name(text: str) -> str:
    """Make a folder's name of a title.

    Examples
    --------
    >>> folder_name("Spring tunnel day (invented)")
    'spring_tunnel_day_invented'
    """
    kept = "".join(character if character.isalnum() else " " for character in text.casefold())
    return "_".join(kept.split())[:60]
