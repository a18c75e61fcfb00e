"""Copies of the invented cars: the packaged files are never worked on."""

from __future__ import annotations

import re
import shutil
from importlib.resources import as_file, files
from pathlib import Path

from balance.files.day.processes import hidden_folder, sweep_leftovers
from balance.files.library.library_file import LIBRARY_FILE
from balance.model.errors import InputError

_FIRST = Path("brindlow_hatch") / "tunnel_day"
_LEFT_OUT = ("*.py", "__pycache__", "index.sqlite*", "days")
"""What is no template: our own code, and what a library has read where its days stand now."""


def copy_demo(folder: str | Path) -> list[Path]:
    """Copy the invented cars and their sessions."""
    target = Path(folder)
    try:
        sweep_leftovers(target)
        if target.exists() and (not target.is_dir() or any(target.iterdir())):
            raise InputError(f"{target}: found something there already, expected an absent or empty folder")
        target.parent.mkdir(parents=True, exist_ok=True)
        sweep_leftovers(target.parent)
        _copy(target)
    except OSError as fault:
        raise InputError(f"{target}: cannot copy the demo there: {_why(fault)}") from None
    return sorted(path.parent for path in target.glob("*/*/session.toml"))


def _why(fault: OSError) -> str:
    """State why a copy failed: of several files that failed, the first."""
    if isinstance(fault, shutil.Error) and isinstance(fault.args[0], list):
        return re.sub(r"^\[Errno \d+\] ", "", str(fault.args[0][0][2])).partition(": '")[0]
    return fault.strerror or str(fault)


def _copy(target: Path) -> None:
    """Copy under a hidden name, so that each car is there whole or not at all."""
    there = target.exists()
    made = hidden_folder(target / "demo" if there else target)
    try:
        with as_file(files("vehicles")) as source:
            shutil.copytree(source, made, dirs_exist_ok=True, ignore=shutil.ignore_patterns(*_LEFT_OUT))
        if there:
            for car in made.iterdir():
                car.rename(target / car.name)
        else:
            made.rename(target)
    finally:
        shutil.rmtree(made, ignore_errors=True)


def is_demo(car: Path) -> bool:
    """Return whether a car is the copy of an invented one: nobody's own day is to be judged by its weights."""
    return car.is_relative_to(_home())


def _home() -> Path:
    from platformdirs import user_data_path  # noqa: PLC0415 - only where a copy is wanted

    return user_data_path("axletrim") / "demo"


def demo_library() -> Path | None:
    """Return the library of the invented cars beside their copies, if they have been copied."""
    folder = _home() / "library"
    return folder if (folder / LIBRARY_FILE).exists() else None


def demo_session() -> Path:
    """Return the demo's session folder in the user's own data folder, copied there if it is not yet."""
    home = _home()
    if not (home / _FIRST / "session.toml").exists():
        copy_demo(home)
    return home / _FIRST
