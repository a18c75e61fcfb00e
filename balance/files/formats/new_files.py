"""A new car and a new session on the disk, complete and checked, and never in place of anything."""

from __future__ import annotations

import contextlib
import os
from dataclasses import replace
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING

from balance.files.day.durable import save_problem, write_atomically
from balance.files.day.run_sheet import sheet_from
from balance.files.formats.session import SESSION
from balance.files.formats.vehicle import VEHICLE, read_vehicle
from balance.files.loader import stated_session
from balance.files.session_path import RUNS_FILE, SESSION_FILE
from balance.files.text_file import clean_cell, text_at_hand
from balance.files.toml.fields import typed_faults
from balance.files.toml.text import header_text, toml_text
from balance.model.columns import CONDITIONS, FORMAT
from balance.model.errors import Fault, FileFaults, InputError, SaveError, one_line

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

VEHICLE_FILE = "vehicle.toml"
_CAR_HEAD = (
    "A car as it runs. Every quantity stands in quotes with its unit; any unit of the right kind will do."
)
_SESSION_HEAD = f"One day in one facility. The runs are in {RUNS_FILE} beside this file."
_CAR: Mapping[str, str] = MappingProxyType(
    {
        "name": "",
        "note": "",
        "mass": "as it runs: driver and fuel on board",
        "mass.total": "or corners below, from which both follow",
        "mass.front_share": "of the static weight",
        "mass.corners": "",
        "mass.cg_height": "of the centre of gravity above the ground",
        "size": "",
        "size.wheelbase": "",
        "size.front_track": "needed for load transfer",
        "size.rear_track": "",
        "size.frontal_area": "needed for coefficients",
        "drive": "",
        "drive.power": "",
        "drive.driven": "front, rear or both",
        "drive.top_speed": "",
        "drive.losses": "on the way to the wheels; 12 % is assumed if absent",
        "drive.rolling_resistance": "of the weight; 1.5 % is assumed if absent",
        "tyres": "what is absent is assumed, and said",
        "tyres.stiffness_load_exponent": "how cornering stiffness grows with load",
        "tyres.grip_load_exponent": "how grip grows with load",
        "tyres.friction": "at the static load; for laps, and for the grip that drive costs",
        "tyres.static_margin": "at rest, of the wheelbase, positive towards understeer; only if known",
        "tyres.front": "",
        "tyres.rear": "",
        "brakes": "",
        "brakes.front_share": "as each axle can take it if absent",
        "target": "",
        "target.grip_surplus": "rear over front that is aimed at",
        "target.tolerance": "rear over front",
        "target.front_tolerance": "front over rear, the dangerous side: narrower",
        "body": "what may explain, in a library, why a part does more on one car than on another",
        "body.kind": "in your own words: hatchback, saloon, estate, open",
        "body.rear_glass_angle": "of the rear window against the ground",
        "body.front_ride_height": "as it stood when it was measured",
        "body.rear_ride_height": "",
    }
)
_SESSION: Mapping[str, str] = MappingProxyType(
    {
        "title": "",
        "date": "",
        "vehicle": "seen from this file",
        "shares": "days of other cars in the same hired hours: repeatability, drift and air are told by all",
        "facility": "",
        "facility.kind": "wind tunnel or straight",
        "facility.floor": "fixed, moving or road",
        "facility.speed": "of every run without a speed of its own",
        "facility.air_density": "of every run without its own air",
        "facility.forces": "as read; restated: brought to this speed and density by the facility",
        "facility.reference_area": "of the facility's coefficients, if not the car's frontal area",
        "facility.drag_reacted_at": "height above the ground; absent: at ground level",
        "facility.name": "as it is called; days of one name share its repeatability in a library",
        "repeatability": "standard deviation of one reading, as the facility states it",
        "repeatability.front": "",
        "repeatability.rear": "",
        "repeatability.drag": "",
        "repeatability.degrees_of_freedom": "how well it is known; 4 is assumed if absent",
        "repeatability.systematic": "what all readings of a day may share, if known",
        "shown": "what screens and pages show, where that is not what runs.csv has",
        "shown.force": "N, lbf or kgf",
        "columns": "",
        "columns.recorded": f"columns of {RUNS_FILE} that are measured and not set",
        "columns.compared": "those of them that are compared like a channel: numbers with a unit",
        "places": "Named speeds: where on the customer's tracks a speed matters. The first is the speed shown at start.",
    }
)
_UNITS = MappingProxyType(
    {
        "si": ("N", "km/h", "degC", "hPa"),
        "us": ("lbf", "mph", "degF", "inHg"),
        "kgf": ("kgf", "km/h", "degC", "hPa"),
    }
)


def create_car(folder: str | os.PathLike[str], typed: Mapping[str, str]) -> Path:
    """Write a new car."""
    typed = _clean(typed)
    _raise_any(typed_faults(VEHICLE, typed))
    text = _car_text(typed)
    try:
        read_vehicle(text_at_hand(text, VEHICLE_FILE), shown_as=VEHICLE_FILE)
    except FileFaults as error:
        raise FileFaults(_without_lines(error)) from None
    path = _made(folder) / VEHICLE_FILE
    write_atomically(path, text.encode(), new=True)
    return path


def typed_weights(typed: Mapping[str, str]) -> tuple[float, float] | None:
    """Return the mass and the front weight share that a form's fields make.

    Examples
    --------
    >>> typed_weights({"mass.total": "1290 kg", "mass.front_share": "50 %"})
    (1290.0, 0.5)
    >>> typed_weights({"mass.total": "1290 kg"}) is None
    True
    """
    weights = {
        key: text for key, text in typed.items() if key.startswith("mass.") and key != "mass.cg_height"
    }
    any_car = {"name": "any", "size.wheelbase": "2500 mm", **weights}
    try:
        _raise_any(typed_faults(VEHICLE, any_car))
        vehicle = read_vehicle(text_at_hand(_car_text(any_car), VEHICLE_FILE), shown_as=VEHICLE_FILE)
    except InputError:
        return None
    return vehicle.mass, vehicle.front_share


def _car_text(typed: Mapping[str, str]) -> str:
    """Write the text of a vehicle.toml; beside corner weights there is no room for a total to be filled in."""
    corners = "mass.corners.front_left" in typed
    from_corners = ("mass.total", "mass.front_share") if corners else ()
    remarks = {key: remark for key, remark in _CAR.items() if key not in from_corners or key in typed}
    return toml_text(_CAR_HEAD, VEHICLE, remarks, typed)


def usual_columns(units: str = "si", *, sign: str = "lift", settings: Sequence[str] = ()) -> tuple[str, ...]:
    """Return the columns of a day's run sheet, in the order in which they are filled."""
    force, speed, temperature, pressure = _UNITS[units]
    return (
        "run",
        "time",
        "configuration",
        *settings,
        f"speed [{speed}]",
        f"temperature [{temperature}]",
        f"pressure [{pressure}]",
        "humidity [%]",
        f"front_{sign} [{force}]",
        f"rear_{sign} [{force}]",
        f"drag [{force}]",
        "baseline",
        "block",
        "status",
        "reason",
        "note",
    )


def has_conditions(columns: Sequence[str]) -> bool:
    """Return whether runs carry their own speed or air, so that a session has to say what its forces are."""
    return any(column.partition("[")[0].strip() in CONDITIONS for column in columns)


def car_file(given: str | os.PathLike[str]) -> Path:
    """Find a car's file, of which its folder or itself was given."""
    car = Path(given)
    return car / VEHICLE_FILE if car.is_dir() else car


def create_session(
    folder: str | os.PathLike[str],
    typed: Mapping[str, str],
    *,
    vehicle: str | os.PathLike[str],
    columns: Sequence[str],
) -> Path:
    """Write a new session: session.toml, and runs.csv with its header alone."""
    car = car_file(vehicle)
    seen_from = Path(os.path.relpath(car.resolve(), Path(folder).resolve())).as_posix()
    typed = _clean({**typed, "vehicle": seen_from})
    if not typed.get("facility.forces") and has_conditions(columns):
        typed["facility.forces"] = "as read"
    faults = typed_faults(SESSION, typed)
    try:
        read_vehicle(car)
    except FileFaults as error:
        faults.extend(error.faults)
    _raise_any(faults)
    recorded = [name.strip() for name in typed.get("columns.recorded", "").split(",") if name.strip()]
    runs = header_text(columns)
    try:
        sheet_from(runs, recorded=recorded, file_format=FORMAT)
    except FileFaults as error:
        raise FileFaults(_without_lines(error)) from None
    text = toml_text(_SESSION_HEAD, SESSION, _SESSION, typed)
    home = _made(folder)
    if (home / SESSION_FILE).exists():
        raise SaveError(
            one_line(
                f"{home / SESSION_FILE}: found a file there already, expected none; choose another folder"
            )
        )
    begun = _holds(home / RUNS_FILE, runs)  # the same command was ended between the two files
    if not begun:
        write_atomically(home / RUNS_FILE, runs.encode(), new=True)
    try:
        write_atomically(home / SESSION_FILE, text.encode(), new=True)
        stated_session(home)
    except (SaveError, FileFaults) as error:
        with contextlib.suppress(OSError):
            if not begun:
                (home / RUNS_FILE).unlink()
            if isinstance(error, FileFaults):
                (home / SESSION_FILE).unlink()
                raise FileFaults(_without_lines(error)) from None
        raise
    return home


def _holds(path: Path, text: str) -> bool:
    try:
        return path.read_bytes() == text.encode()
    except OSError:
        return False


def _clean(typed: Mapping[str, str]) -> dict[str, str]:
    return {key: text for key, raw in typed.items() if (text := clean_cell(key, raw))}


def _raise_any(faults: Sequence[Fault]) -> None:
    if faults:
        raise FileFaults(faults)


def _without_lines(error: FileFaults) -> list[Fault]:
    """Take the lines off faults of a text that was never a file."""
    return [replace(fault, line=None) for fault in error.faults]


def _made(folder: str | os.PathLike[str]) -> Path:
    home = Path(folder)
    clean_cell("folder", str(home))
    try:
        home.mkdir(parents=True, exist_ok=True)
    except FileExistsError:
        raise InputError(one_line(f"{home}: found a file, expected a folder or nothing")) from None
    except OSError as error:
        raise SaveError(save_problem(home, error)) from None
    return home
