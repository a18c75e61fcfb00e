"""A session from its three files, or every fault of all three at once; also before its first run, and with another sheet."""

from __future__ import annotations

import hashlib
from dataclasses import replace
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING, TypeVar

from balance.files.formats.adjusters import adjusters_in_units_of, prices_in_units_of
from balance.files.formats.compared import check_compared, compared_columns
from balance.files.formats.notes import session_notes
from balance.files.formats.runs import NO_RUN, RunsTable, read_runs
from balance.files.formats.session import SessionFile, session_from
from balance.files.formats.vehicle import read_vehicle
from balance.files.session_path import RUNS_FILE, SESSION_FILE, session_folder
from balance.files.shared_days import with_shared_days
from balance.files.text_file import in_place_of
from balance.files.toml.document import Document, read_toml
from balance.files.track_path import track_of, tracks_of
from balance.model.columns import FORMAT
from balance.model.errors import Fault, FileFaults, quoted
from balance.model.records import Place, Session, Vehicle

if TYPE_CHECKING:
    import os
    from collections.abc import Callable, Mapping, Sequence

    from balance.files.day.run_sheet import RunSheet

_Read = TypeVar("_Read")
_AS_ON_THE_DISK: Mapping[Path, str] = MappingProxyType({})


def load_session(path: str | os.PathLike[str]) -> Session:
    """Load a day's runs, the facility they were made in, and the car.

    Parameters
    ----------
    path : path
        A session folder, or its session.toml.

    Returns
    -------
    Session
        Everything in SI, readings as downforce; ``notes`` say what was assumed or is absent.

    Raises
    ------
    FileFaults
        With every fault of session.toml, the vehicle file and runs.csv.
    """
    return _session(session_folder(path))


def stated_session(folder: Path, texts: Mapping[Path, str] = _AS_ON_THE_DISK) -> Session:
    """Load a session, also before its first run; ``texts`` stand in place of what some of its files hold."""
    return _session(folder, texts, begun=False)


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
    return _with_notes(session, sheet.names("condition"))


def _session(
    folder: Path, texts: Mapping[Path, str] = _AS_ON_THE_DISK, *, begun: bool = True, by_itself: bool = False
) -> Session:
    """Load a session, or all faults; one that has begun has runs, one by itself has no other days beside it."""
    document, faults = _tried(
        lambda: read_toml(
            in_place_of(folder / SESSION_FILE, texts), shown_as=SESSION_FILE, what="a session.toml"
        )
    )
    stated = session_from(document) if document else None
    place = stated.vehicle if stated else None
    vehicle, vehicle_faults = (
        _tried(lambda: read_vehicle(in_place_of(folder / place, texts), shown_as=place))
        if place
        else (None, [])
    )
    recorded, file_format = (stated.recorded, stated.file_format) if stated else ((), FORMAT)
    table, table_faults = _tried(
        lambda: read_runs(in_place_of(folder / RUNS_FILE, texts), recorded=recorded, file_format=file_format)
    )
    places: tuple[Place, ...] = ()
    if document and stated:
        if table:
            _cross_check(document, stated, vehicle, table)
            check_compared(document, stated.compared, table)
        places = _on_tracks(document, stated, vehicle, (folder / (place or "")).parent)
        faults.extend(document.in_order)
    faults.extend([*vehicle_faults, *(table.faults if table else table_faults)])
    faults = [fault for fault in faults if begun or fault.found != NO_RUN]
    if faults or not (document and stated and stated.facility and vehicle and table):
        raise FileFaults(faults)
    session = Session(
        title=stated.title,
        vehicle=vehicle,
        facility=stated.facility,
        runs=table.runs,
        columns=table.columns,
        date=stated.date,
        repeatability=stated.repeatability,
        places=places,
        shown_force=stated.shown_force,
        setting_names=table.names("setting"),
        recorded_names=table.names("recorded"),
        compared=compared_columns(stated.compared, table.plans),
        folder=str(folder),
        total_column=table.total,
        file_format=file_format,
        uncertainties=stated.uncertainties,
    )
    if stated.shares and not by_itself:
        session = with_shared_days(
            session, document, stated.shares, lambda other: _session(other, by_itself=True)
        )
    return _with_notes(session, table.names("condition"))


def _with_notes(session: Session, conditions: Sequence[str]) -> Session:
    """Bring what the car's file says of settings to the columns of the day, and note what is odd."""
    vehicle, left_out = adjusters_in_units_of(session.vehicle, session.runs)
    vehicle, unpriced = prices_in_units_of(vehicle, session.runs)
    session = replace(session, vehicle=vehicle, left_out=(*session.left_out, *left_out, *unpriced))
    return session_notes(session, conditions)


def _tried(read: Callable[[], _Read]) -> tuple[_Read | None, list[Fault]]:
    try:
        return read(), []
    except FileFaults as error:
        return None, list(error.faults)


def _cross_check(document: Document, stated: SessionFile, vehicle: Vehicle | None, table: RunsTable) -> None:
    """Find what only shows when the files are held side by side."""
    conditions = table.names("condition")
    facility = document.tree.get("facility")
    if conditions and isinstance(facility, dict) and "forces" not in facility:
        document.fault(
            ("facility", "forces"),
            "nothing",
            "'as read' or 'restated'",
            f'{RUNS_FILE} has a column \'{conditions[0]}\': write forces = "as read", or "restated" if the '
            "facility has brought the readings to its own speed and density",
        )
    if vehicle is None or vehicle.frontal_area or stated.facility is None or stated.facility.reference_area:
        return
    mend = 'add reference_area = "2.05 m^2" here, or frontal_area to the vehicle file'
    if names := [column.name for column in table.columns.values() if column.form == "coefficient"]:
        document.fault(
            ("facility", "reference_area"), "nothing", f"the area that '{names[0]}' refers to", mend
        )
    if stated.repeatability and stated.repeatability.form == "coefficient":
        document.fault(("repeatability",), "coefficients", "an area that they refer to", mend)


def _on_tracks(
    document: Document, stated: SessionFile, vehicle: Vehicle | None, car: Path
) -> tuple[Place, ...]:
    """Give each place that stands on a track that track."""
    if vehicle is None or all(not place.track_name for place in stated.places):
        return stated.places
    from balance.files.formats.track import read_track  # noqa: PLC0415 - few days have a place on a track

    places = []
    for k, place in enumerate(stated.places):
        track, here = None, ("places", k, "track")
        if place.track_name:
            folder = track_of(car, place.track_name)
            if not folder.is_dir():
                others = (
                    ", ".join(one.name for one in tracks_of(car)) or "it has none yet: axletrim new track"
                )
                document.fault(here, quoted(place.track_name), "a track of the car", f"its tracks: {others}")
            elif vehicle.friction is None or (vehicle.power is None and not vehicle.power_curve):
                missing = (
                    'friction = "1.15 ± 0.05" in [tyres]'
                    if vehicle.friction is None
                    else 'power = "230 kW" in [drive]'
                )
                document.fault(
                    here,
                    "a place on a track of a car without friction or power",
                    "both, since its speed comes from a lap",
                    f"add that of your car, as {missing} of the vehicle file, or write a speed",
                )
            else:
                track = read_track(folder)
                if place.distance is not None and place.distance > track.length:
                    document.fault(
                        ("places", k, "distance"),
                        f"{place.distance:,.0f} m",
                        f"at most the {track.length:,.0f} m of the track",
                        "check the distance and its unit",
                    )
        places.append(replace(place, track=track))
    return tuple(places)


def checksums(session: Session, *others: str) -> tuple[tuple[str, str], ...]:
    """Return the SHA-256 of each file that a session was read from."""
    if not session.folder:
        return ()
    folder = Path(session.folder)
    paths = [folder / SESSION_FILE, folder / RUNS_FILE, *(folder / name for name in others)]
    if session.vehicle.source:
        paths.insert(2, Path(session.vehicle.source))
    return tuple(
        (path.name, hashlib.sha256(path.read_bytes()).hexdigest()) for path in paths if path.is_file()
    )
