"""`axletrim new`: a new car, day, plan or track, as files that a person would write."""

from __future__ import annotations

import copy
import sys
import textwrap
from typing import TYPE_CHECKING, Any

import click

from tui.command_line.options import library_option, several, width_or

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

_CAR = (  # option, dotted key, what is asked on a terminal ("" for nothing), help
    ("--name", "name", "Name of the car", "The car's name."),
    ("--mass", "mass.total", "", 'As it runs, driver and fuel on board, as "1290 kg".'),
    ("--front-share", "mass.front_share", "", 'Static weight on the front axle, as "54.2 %".'),
    ("--wheelbase", "size.wheelbase", "Wheelbase, with its unit", 'As "2575 mm" or "101.4 in".'),
    ("--cg-height", "mass.cg_height", "", 'Of the centre of gravity above the ground, as "480 mm".'),
    ("--front-track", "size.front_track", "", 'As "1520 mm".'),
    ("--rear-track", "size.rear_track", "", 'As "1530 mm".'),
    ("--frontal-area", "size.frontal_area", "", 'As "1.98 m^2"; needed for coefficients.'),
    ("--power", "drive.power", "", 'As "230 kW" or "300 hp".'),
    ("--driven", "drive.driven", "", "front, rear or both."),
    ("--top-speed", "drive.top_speed", "", 'As "245 km/h".'),
    (
        "--static-margin",
        "tyres.static_margin",
        "",
        'At rest, positive towards understeer, as "0 %"; only if known.',
    ),
    (
        "--friction",
        "tyres.friction",
        "",
        'Of the tyres at the static load, for laps, as "1.15 ± 0.05"; only if known.',
    ),
    ("--note", "note", "", "Free text."),
)
_SESSION = (
    ("--title", "title", "Title of the day", "What the day is called."),
    ("--date", "date", "", "As 2026-05-14."),
    ("--speed", "facility.speed", "Nominal speed, with its unit", 'Nominal speed of the facility, as "160 km/h".'),
    ("--air-density", "facility.air_density", "Nominal air density, with its unit", 'As "1.225 kg/m^3".'),
    ("--facility", "facility.name", "", "What the facility is called; days of one name share its repeatability in a library."),
    ("--kind", "facility.kind", "", "wind tunnel or straight."),
    ("--floor", "facility.floor", "", "fixed, moving or road."),
    ("--forces", "facility.forces", "", "as read (default), or restated: corrected by the facility to its speed and density."),
    ("--reference-area", "facility.reference_area", "", "Of the facility's coefficients, if not the car's frontal area."),
)  # fmt: skip
_CORNERS = ("front_left", "front_right", "rear_left", "rear_right")
_WEIGHTS = (
    ("mass.total", "Mass as it runs, driver and fuel on board"),
    ("mass.front_share", "Static weight on the front axle, in %"),
)
_NAMED_UNITS = {"mass.front_share": "%"}
"""The unit that a question names, in which a bare number answers it."""
_DRIVEN = "drive.driven"
_NOT_KNOWN = "not known"


def _options(table: tuple[tuple[str, str, str, str], ...]) -> Callable[[Any], Any]:
    """Make the options of a table."""
    return several(
        *(
            click.option(option, key.replace(".", "__"), metavar="TEXT", help=words)
            for option, key, _, words in table
        )
    )


@click.group(
    short_help="Begin a new car, day, plan or track.",
    epilog='\b\nExample:\n  axletrim new car my_car --name "My car" --mass "1290 kg" --front-share "54 %" --wheelbase "2575 mm"',
)
def new() -> None:
    """Begin a new car, day, plan or track; nothing that is there is overwritten.

    On a terminal, what is needed and not given is asked for.
    """


@new.command(
    epilog='\b\nExample:\n  axletrim new car my_car --name "My car" --wheelbase "101.4 in" --corner "776 lb" --corner "765 lb" --corner "657 lb" --corner "646 lb"'
)
@click.argument("folder", metavar="FOLDER")
@_options(_CAR)
@click.option(
    "--corner",
    "corners",
    multiple=True,
    metavar="MASS",
    help="Corner weights in place of mass and front weight share, four times: front left, front right, rear left, rear right.",
)
def car(folder: str, corners: tuple[str, ...], **given: str | None) -> None:
    """Write FOLDER/vehicle.toml."""
    from balance.files.formats.new_files import create_car
    from balance.files.formats.vehicle import VEHICLE
    from balance.model.errors import InputError

    typed = _given(given)
    if corners and len(corners) != len(_CORNERS):
        raise InputError(
            f"--corner: found {len(corners)}, expected 4: front left, front right, rear left, rear right"
        )
    typed.update({f"mass.corners.{name}": text for name, text in zip(_CORNERS, corners, strict=False)})
    asked = {key: words for _, key, words, _ in _CAR if words}
    if not corners:
        asked.update(_WEIGHTS)
    _ask(VEHICLE, typed, {**asked, _DRIVEN: f"Driven axle: front, rear, both, or {_NOT_KNOWN}"})
    if typed.get(_DRIVEN) == _NOT_KNOWN:
        del typed[_DRIVEN]
    click.echo(str(_named(_CAR, lambda: create_car(folder, typed))))


@new.command(
    epilog='\b\nExample:\n  axletrim new day my_car/spring_day --vehicle my_car --title "Spring day" --speed "160 km/h" --air-density "1.225 kg/m^3" --set "wing_angle [deg]"'
)
@click.argument("folder", metavar="FOLDER")
@click.option(
    "--vehicle", metavar="CAR", help="The car's folder or vehicle.toml; default: the folder above FOLDER."
)
@_options(_SESSION)
@click.option(
    "--place",
    "places",
    multiple=True,
    nargs=2,
    metavar="NAME SPEED",
    help="Where a speed matters; as often as needed.",
)
@click.option(
    "--units",
    type=click.Choice(["si", "us", "kgf"]),
    default="si",
    show_default=True,
    help="Units of the run sheet's columns: N, km/h, degC, hPa, or lbf, mph, degF, inHg, or kgf, km/h, degC, hPa.",
)
@click.option(
    "--sign",
    type=click.Choice(["lift", "downforce"]),
    help="What the facility's figures count positive; lift if neither this nor --columns says it.",
)
@click.option(
    "--set",
    "settings",
    multiple=True,
    metavar="COLUMN",
    help='What will be set on the car, as "wing_angle [deg]" or vents; as often as needed.',
)
@click.option(
    "--recorded",
    multiple=True,
    metavar="COLUMN",
    help='What is measured and not set, as "front_ride_height [mm]"; as often as needed.',
)
@click.option(
    "--columns",
    metavar="LIST",
    help="All columns of runs.csv in place of the usual ones, with commas between.",
)
def day(
    folder: str,
    vehicle: str | None,
    places: tuple[tuple[str, str], ...],
    units: str,
    sign: str | None,
    settings: tuple[str, ...],
    recorded: tuple[str, ...],
    columns: str | None,
    **given: str | None,
) -> None:
    """Write FOLDER/session.toml and FOLDER/runs.csv, which has no runs yet."""
    from pathlib import Path

    from balance.files.formats.new_files import create_session, has_conditions, usual_columns
    from balance.files.formats.session import SESSION
    from balance.model.errors import InputError

    if columns is not None and (sign or settings):
        raise InputError(
            "--columns: found --sign or --set as well, expected one or the other; --columns lists all"
        )
    typed = _given(given)
    for number, (name, speed) in enumerate(places):
        typed.update({f"places.{number}.name": name, f"places.{number}.speed": speed})
    _ask(SESSION, typed, {key: words for _, key, words, _ in _SESSION if words})
    if recorded:
        typed["columns.recorded"] = ",".join(header.partition("[")[0].strip() for header in recorded)
    if columns is not None:
        headers = tuple(header.strip() for header in columns.split(",") if header.strip())
    else:
        headers = usual_columns(units, sign=sign or "lift", settings=(*settings, *recorded))
    car_place = vehicle if vehicle is not None else str(Path(folder).absolute().parent)
    home = _named(_SESSION, lambda: create_session(folder, typed, vehicle=car_place, columns=headers))
    click.echo(str(home))
    if columns is None and sign is None:
        from balance.units.shown import SYSTEMS

        force = SYSTEMS[units].unit("force").label
        click.echo(
            f"axletrim: runs.csv takes lift in {force}, positive up; --sign downforce, --units or --columns says otherwise",
            err=True,
        )
    if not typed.get("facility.forces") and has_conditions(headers):
        click.echo(
            'axletrim: forces = "as read" is taken: the facility has not corrected them; --forces says otherwise',
            err=True,
        )


_session = copy.copy(day)  # its name before: it keeps working, and is not listed
_session.name, _session.hidden = "session", True
new.add_command(_session)


@new.command(
    epilog="\b\nExample:\n  axletrim new plan my_car/spring_day --start 09:00 --end 17:00 --break 12:30-13:15"
)
@click.argument("session", metavar="DAY", type=click.Path(readable=False))
@click.option(
    "--start", metavar="CLOCK", default="09:00", show_default=True, help="When the hired hours begin."
)
@click.option("--end", metavar="CLOCK", default="17:00", show_default=True, help="When they end.")
@click.option("--break", "breaks", metavar="CLOCK-CLOCK", multiple=True, help="A break; as often as needed.")
@click.option(
    "--drag-worth",
    type=click.FloatRange(0.0, 100.0),
    default=5.0,
    show_default=True,
    help="Newtons of downforce that one newton of drag has to bring.",
)
@library_option
def plan(
    session: str, start: str, end: str, breaks: tuple[str, ...], drag_worth: float, place: str | None
) -> None:
    """Write plan.toml into DAY, to go on with in an editor or on page 8.

    What the library knows of the day's parts is proposed as comments.
    """
    from balance.files.formats.plan_edit import create_plan
    from balance.files.loader import stated_session
    from balance.files.session_path import session_folder
    from balance.tell.library.other_cars import known_lines

    folder = session_folder(session)
    read = stated_session(folder)
    known, why_none = known_lines(read, place)
    path = create_plan(
        read,
        folder,
        start=start,
        end=end,
        breaks=breaks,
        drag_worth=drag_worth,
        known=known,
        why_none=why_none,
    )
    click.echo(str(path))


@new.command(name="track", epilog='\b\nExample:\n  axletrim new track my_car "Upper field loop"')
@click.argument("car", metavar="CAR", type=click.Path(readable=False))
@click.argument("name", metavar="NAME")
def new_track(car: str, name: str) -> None:
    """Write CAR/tracks/NAME with a made-up line, to be typed over from a map or a walk.

    CAR is the folder of a car, or its vehicle.toml. `axletrim track import` makes a track of a driver's log instead.
    """
    import shlex

    from balance.files.formats.new_files import car_file
    from balance.files.formats.new_track import create_track

    folder = create_track(car_file(car), name)
    click.echo(str(folder))
    click.echo(
        f"axletrim: type over the segments in line.csv; next: axletrim track show {shlex.quote(str(folder))}",
        err=True,
    )


def _given(given: Mapping[str, str | None]) -> dict[str, str]:
    return {name.replace("__", "."): text for name, text in given.items() if text is not None}


def _ask(fields: Any, typed: dict[str, str], asked: Mapping[str, str]) -> None:
    """Ask on a terminal for what is needed and missing, each answer checked at once."""
    from balance.files.toml.fields import check_typed
    from balance.model.errors import InputError

    if not (sys.stdin.isatty() and sys.stderr.isatty()):
        return
    for key, words in asked.items():
        while key not in typed:
            answer = click.prompt(words, err=True).strip()
            if key in _NAMED_UNITS and answer.replace(".", "", 1).isdecimal():
                answer = f"{answer} {_NAMED_UNITS[key]}"
            if key == _DRIVEN and answer.casefold() == _NOT_KNOWN:
                typed[key] = _NOT_KNOWN
                continue
            try:
                check_typed(fields, key, answer)
            except InputError as fault:
                click.echo(
                    textwrap.fill(f"axletrim: {fault}", width_or(None), break_on_hyphens=False), err=True
                )
            else:
                typed[key] = answer


def _named(table: tuple[tuple[str, str, str, str], ...], create: Callable[[], Any]) -> Any:
    """Call faults by the option that was given, where there is one."""
    from dataclasses import replace

    from balance.model.errors import FileFaults

    options = {key: option for option, key, _, _ in table}
    try:
        return create()
    except FileFaults as error:
        raise FileFaults(
            replace(
                fault,
                file=options.get(fault.file, fault.file),
                column=options.get(fault.column or "", fault.column),
            )
            for fault in error.faults
        ) from None
