"""A session in SI from a run sheet and the two other files, also before its first run."""

from __future__ import annotations

from dataclasses import replace
from types import MappingProxyType
from typing import TYPE_CHECKING

from balance.files.day.run_sheet import NO_RUN, sheet_from
from balance.files.formats.compared import compared_columns
from balance.files.formats.notes import session_notes
from balance.files.formats.runs import read_runs
from balance.files.formats.session import session_from
from balance.files.formats.vehicle import read_vehicle
from balance.files.in_memory import in_place_of
from balance.files.loader import alongside_of, session_from_files
from balance.files.session_path import RUNS_FILE, SESSION_FILE
from balance.files.toml.document import read_toml
from balance.model.errors import FileFaults
from balance.model.records import Session

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

    from balance.files.day.run_sheet import RunSheet
    from balance.files.formats.runs_header import ColumnPlan
    from balance.files.formats.session import SessionFile

_AS_ON_THE_DISK: Mapping[Path, str] = MappingProxyType({})


def stated_session(folder: Path, texts: Mapping[Path, str] = _AS_ON_THE_DISK) -> Session:
    """Load a session, with or without runs."""
    try:
        return session_from_files(folder, texts)
    except FileFaults as error:
        others = [fault for fault in error.faults if fault.found != NO_RUN]
        if others:
            raise FileFaults(others) from None
    file = in_place_of(folder / SESSION_FILE, texts)
    document = read_toml(file, shown_as=SESSION_FILE, what="a session.toml")
    stated = session_from(document)
    if stated.facility is None or stated.vehicle is None:
        raise FileFaults([])  # not to be reached: its absence is a fault
    alongside, left_out = alongside_of(folder, document, stated)
    return Session(
        title=stated.title,
        vehicle=read_vehicle(in_place_of(folder / stated.vehicle, texts), shown_as=stated.vehicle),
        facility=stated.facility,
        runs=(),
        columns={},
        date=stated.date,
        repeatability=stated.repeatability,
        places=stated.places,
        shown_force=stated.shown_force,
        recorded_names=stated.recorded,
        compared=compared_columns(stated.compared, _plans(folder, stated, texts)),
        folder=str(folder),
        file_format=stated.file_format,
        alongside=alongside,
        left_out=left_out,
    )


def _plans(folder: Path, stated: SessionFile, texts: Mapping[Path, str]) -> tuple[ColumnPlan, ...]:
    """Read what the header of a run sheet without runs says."""
    file = in_place_of(folder / RUNS_FILE, texts)
    return read_runs(file, recorded=stated.recorded, file_format=stated.file_format).plans


def session_at(folder: Path) -> Session:
    """Load a session, with or without runs; before its first run the columns are those of its run sheet's header."""
    stated = stated_session(folder)
    if stated.runs:
        return stated
    text = (folder / RUNS_FILE).read_bytes().decode("utf-8-sig")
    sheet = sheet_from(text, recorded=stated.recorded_names, file_format=stated.file_format)
    return session_with(stated, sheet)


def session_with(stated: Session, sheet: RunSheet) -> Session:
    """Put the runs of a sheet into a session."""
    session = replace(
        stated,
        runs=sheet.runs,
        columns=sheet.columns,
        setting_names=sheet.names("setting"),
        recorded_names=sheet.names("recorded"),
        total_column=sheet.total,
        file_format=sheet.file_format,
    )
    return session_notes(session, sheet.names("condition"))
