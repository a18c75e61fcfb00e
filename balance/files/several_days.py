"""Several days read together: settings of one name in one unit, and every fault with the day that has it."""

from __future__ import annotations

import os
from dataclasses import replace
from typing import TYPE_CHECKING

from balance.files.formats.adjusters import Figure, in_unit
from balance.files.loader import load_session
from balance.files.session_path import SESSION_FILE, session_folder
from balance.model.errors import FileFaults, InputError, UnitError, one_line
from balance.model.records import Stated

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from balance.model.records import Run, Session


def load_days(paths: Sequence[str]) -> tuple[Session, ...]:
    """Load several days, each once, with the faults of all of them."""
    folders: dict[str, str] = {}
    faults, sessions = [], []
    for path in paths:
        folder = session_folder(path)
        real = os.path.realpath(folder)
        if real in folders:
            raise InputError(
                one_line(f"{path}: found the same day as {folders[real]}, expected different days of one car")
            )
        folders[real] = path
        try:
            sessions.append(load_session(folder))
        except FileFaults as error:
            faults += [
                replace(fault, file=(folder / fault.file).as_posix() if fault.file else path)
                for fault in error.faults
            ]
    if faults:
        raise FileFaults(faults)
    return settings_in_units_of_first(sessions)


def days_beside(folder: Path) -> tuple[str, ...]:
    """Find the folders of other days beside a day, by their names."""
    try:
        there = sorted(folder.resolve().parent.iterdir())
    except OSError:
        return ()
    own = os.path.realpath(folder)
    return tuple(str(one) for one in there if os.path.realpath(one) != own and (one / SESSION_FILE).is_file())


def settings_in_units_of_first(sessions: Sequence[Session]) -> tuple[Session, ...]:
    """Bring numeric settings to the unit that the first day with a setting of that name has; one of another kind stays."""
    units: dict[str, str] = {}
    brought = []
    for session in sessions:
        for run in session.runs:
            for name, one in run.settings.items():
                if one.numeric:
                    units.setdefault(name, one.unit)
        brought.append(replace(session, runs=tuple(_in_units(run, units) for run in session.runs)))
    return tuple(brought)


def _in_units(run: Run, units: dict[str, str]) -> Run:
    settings = dict(run.settings)
    for name, one in run.settings.items():
        unit = units.get(name, one.unit)
        if isinstance(one.value, str) or one.unit == unit:
            continue
        try:
            value = in_unit(Figure(one.value, one.unit, Stated(value=one.value)), unit)
        except UnitError:
            continue  # of another kind: another setting, though it has the name
        settings[name] = replace(one, value=value, unit=unit)
    return run if settings == dict(run.settings) else replace(run, settings=settings)
