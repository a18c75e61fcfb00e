"""From what the user typed to the folder of a session, and to the name of a new folder."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from balance.model.errors import FileFaults, did_you_mean

if TYPE_CHECKING:
    import os
    from collections.abc import Callable, Sequence

SESSION_FILE = "session.toml"
RUNS_FILE = "runs.csv"
_WHAT = f"the folder of a day or its {SESSION_FILE}"


def given_folder(given: Path, file: str, what: str, below: Callable[[Path], str]) -> bool:
    """Return whether a folder was given that holds a file; any other folder, and what is not there, is a fault."""
    try:
        given.stat()
        if given.is_dir() and file not in _names(given):
            raise path_fault(given, what, f"a folder without a {file}", below(given))
        return given.is_dir()
    except FileNotFoundError:
        raise path_fault(given, what, "nothing there", _neighbours(given)) from None
    except PermissionError:
        mend = "give yourself the right to read it"
        raise path_fault(given, what, "a place that may not be read", mend) from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        found = f"a path that cannot be used ({reason})"
        raise path_fault(given, what, found, "check how it is written") from None


def session_folder(path: str | os.PathLike[str]) -> Path:
    """Find the folder of a session."""
    given = Path(path)
    if given_folder(given, SESSION_FILE, _WHAT, _sessions_below):
        return given
    if given.name == SESSION_FILE:
        return given.parent
    beside = given.parent / SESSION_FILE
    mend = f"did you mean '{given.parent}'?" if beside.is_file() else "check the path"
    raise path_fault(given, _WHAT, "another file", mend)


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
    found = sorted(path.parent for path in folder.glob(f"[!.]*/{SESSION_FILE}"))
    return meant(found) or f"a day is a folder that holds {SESSION_FILE} and {RUNS_FILE}"


def meant(found: Sequence[Path]) -> str:
    """Ask whether one of the first few places was meant; the text is empty where there is none."""
    return "did you mean " + " or ".join(f"'{path}'" for path in found[:3]) + "?" if found else ""


def _neighbours(missing: Path) -> str:

    try:
        names = _names(missing.parent)
    except OSError:
        return "check the path"
    return did_you_mean(missing.name, names) or "check the path"


def path_fault(path: Path, what: str, found: str, mend: str) -> FileFaults:
    """Make the fault of a path at which something else was expected."""
    return FileFaults.of(str(path) or ".", found, what, mend)


def folder_name(text: str) -> str:
    """Make a folder's name of a title.

    Examples
    --------
    >>> folder_name("Spring tunnel day (invented)")
    'spring_tunnel_day_invented'
    """
    kept = "".join(character if character.isalnum() else " " for character in text.casefold())
    return "_".join(kept.split())[:60]
