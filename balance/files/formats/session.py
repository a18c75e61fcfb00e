"""session.toml: where, when and how a day's readings were taken."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from balance.files.formats.compared import Listed, read_deviations
from balance.files.formats.versions import FORMAT_FIELD, format_of
from balance.files.toml.fields import Field, certain, described, read_fields, read_quantity, read_words
from balance.model.channels import CHANNELS
from balance.model.errors import UnitError, quoted
from balance.model.records import Facility, OptionalTriple, Place, Stated, StatedRepeatability
from balance.units.stated import figure_of, parse_stated

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Mapping

    from balance.files.toml.document import Document

Reading = tuple[str, Stated]  # "force" or "coefficient", and the figure


@dataclass(frozen=True, slots=True, kw_only=True)
class SessionFile:
    """What session.toml states; None where it is silent or at fault."""

    title: str
    date: dt.date | None
    vehicle: str | None
    facility: Facility | None
    repeatability: StatedRepeatability | None
    recorded: tuple[str, ...]
    compared: Listed
    places: tuple[Place, ...]
    shown_force: str | None = None
    shares: tuple[str, ...] = ()
    file_format: int = 1
    uncertainties: Mapping[str, Stated] = field(default_factory=dict)


def _read_reading(one: Field, value: Any) -> Reading:
    """Read a standard deviation: a force with its unit, or a coefficient without one."""
    figure, unit = figure_of(value) if isinstance(value, str) else ("", "")
    if isinstance(value, str) and (unit or not figure):
        return "force", _not_negative(read_quantity(one, value), value)
    if isinstance(value, bool) or not isinstance(value, int | float | str):
        raise UnitError(
            described(value),
            "a force with its unit, or a coefficient without",
            f'write {one.key} = "{one.example}"',
        )
    stated = parse_stated(value, "number") if isinstance(value, str) else Stated(value=value)
    if not 0 <= stated.value < 1:
        raise UnitError(
            f"{described(value)} without a unit",
            "a force with its unit, or a coefficient from 0 to 1",
            f'write {one.key} = "{one.example}" if it is a force',
        )
    return "coefficient", certain(one, stated, str(value))


def _read_path(one: Field, value: Any) -> str:
    """Read a path: text whose inner spaces count."""
    return str(value).strip() if read_words(one, value) else ""


def _read_paths(one: Field, value: Any) -> tuple[str, ...]:
    """Read a list of paths."""
    if not isinstance(value, list):
        raise UnitError(described(value), "a list of texts", f"write {one.key} = {one.example}")
    return tuple(path for item in value if (path := _read_path(one, item)))


def _not_negative(figure: Stated, text: str) -> Stated:
    if figure.value < 0:
        mend = "leave out the minus, or the line if it is not known"
        raise UnitError(quoted(text), "a standard deviation of 0 or more", mend)
    return figure


_FRONT = Field(
    "front",
    "force",
    "7 N",
    low="-10000 N",
    high="10000 N",
    read=_read_reading,
    instead="degrees_of_freedom says how well a standard deviation is known",
)
_TRIPLE = tuple(_FRONT._replace(key=channel) for channel in CHANNELS)
_COMMON = "an error that all readings share belongs in [repeatability], as systematic"
_SPEED = Field("speed", "speed", "160 km/h", required=True, low="10 km/h", high="600 km/h", instead=_COMMON)
_FACILITY = (
    Field("kind", "choice", "wind tunnel", choices=("wind tunnel", "straight")),
    Field("floor", "choice", "fixed", choices=("fixed", "moving", "road")),
    _SPEED,
    Field(
        "air_density",
        "density",
        "1.225 kg/m^3",
        required=True,
        low="0.5 kg/m^3",
        high="2 kg/m^3",
        instead=_COMMON,
    ),
    Field("forces", "choice", "as read", choices=("as read", "restated")),
    Field("reference_area", "area", "2.05 m^2", low="0.3 m^2", high="10 m^2"),
    Field("drag_reacted_at", "length", "0 mm", low="0 mm", high="2000 mm", measurable=True),
    Field("name", "text", "North tunnel"),
)
SESSION = (
    FORMAT_FIELD,
    Field("title", "text", "Spring tunnel day", required=True),
    Field("date", "date", "2026-05-14"),
    Field("vehicle", "text", "../vehicle.toml", required=True, read=_read_path),
    Field("shares", "texts", '["../../other_car/day"]', read=_read_paths),
    Field("facility", "table", "a table [facility]", required=True, fields=_FACILITY),
    Field(
        "repeatability",
        "table",
        "a table [repeatability]",
        fields=(
            *_TRIPLE,
            Field("degrees_of_freedom", "number", "20", low="1", high="10000"),
            Field(
                "systematic",
                "table",
                'systematic = { front = "15 N", rear = "10 N", drag = "8 N" }',
                fields=_TRIPLE,
            ),
        ),
    ),
    Field(
        "shown",
        "table",
        "a table [shown]",
        fields=(Field("force", "choice", "kgf", choices=("N", "lbf", "kgf")),),
    ),
    Field(
        "columns",
        "table",
        "a table [columns]",
        fields=(
            Field("recorded", "texts", '["front_ride_height"]'),
            Field("compared", "texts", '["radiator_pressure_drop"]'),
            Field(
                "repeatability",
                "table of figures",
                'repeatability = { radiator_pressure_drop = "6 Pa" }',
                read=read_deviations,
            ),
        ),
    ),
    Field(
        "places",
        "tables",
        "a table [[places]]",
        fields=(
            Field("name", "text", "fast left", required=True),
            _SPEED._replace(measurable=True, instead="", required=False),
            Field("track", "text", "upper_field_loop"),
            Field("distance", "length", "640 m", low="0 m", high="100 km"),
        ),
    ),
)


def session_from(document: Document) -> SessionFile:
    """Read session.toml field by field; its faults are added to the document."""
    file_format = format_of(document)
    values = read_fields(document, SESSION)
    stated = values["facility"] or {}
    facility = None
    if stated.get("speed") is not None and stated.get("air_density") is not None:
        name = stated.pop("name") or ""
        facility = Facility(name=name, restated=stated.pop("forces") == "restated", **stated)
    repeatability = _repeatability(document, values["repeatability"])
    columns = values["columns"] or {}
    return SessionFile(
        title=values["title"] or "",
        date=values["date"],
        vehicle=values["vehicle"],
        facility=facility,
        repeatability=repeatability,
        recorded=tuple(columns.get("recorded") or ()),
        compared=Listed(tuple(columns.get("compared") or ()), columns.get("repeatability") or {}),
        shown_force=(values["shown"] or {}).get("force"),
        shares=values["shares"] or (),
        file_format=file_format,
        places=_places(document, values["places"] or []),
        uncertainties=document.uncertainties,
    )


def _repeatability(document: Document, values: dict[str, Any] | None) -> StatedRepeatability | None:
    if values is None:
        return None
    systematic = values["systematic"] or {}
    readings = [triple.get(channel) for triple in (values, systematic) for channel in CHANNELS]
    forms = {reading[0] for reading in readings if reading}
    here = ("repeatability",)
    if len(forms) > 1:
        document.fault(
            here, "forces and coefficients", "all of them forces, or all coefficients", "restate one kind"
        )
    if not document.tree["repeatability"].keys() & {*CHANNELS, "systematic"}:
        document.fault(here, "no figure", "at least one of front, rear, drag", 'add front = "7 N"')
    for path, triple in ((here, values), ((*here, "systematic"), systematic)):
        for channel in CHANNELS:
            if triple.get(channel) and triple[channel][1].explicit:
                document.stated[*path, channel] = triple[channel][1]
    freedom = values["degrees_of_freedom"]
    return StatedRepeatability(
        deviation=_triple(values),
        form="coefficient" if forms == {"coefficient"} else "force",
        degrees_of_freedom=4.0 if freedom is None else freedom,
        degrees_assumed=freedom is None,
        systematic=_triple(systematic),
    )


def _triple(values: dict[str, Any]) -> OptionalTriple:
    figures = {channel: values[channel][1].value if values.get(channel) else None for channel in CHANNELS}
    return OptionalTriple(**figures)


def _places(document: Document, values: list[dict[str, Any]]) -> tuple[Place, ...]:
    places: list[Place] = []
    for position, value in enumerate(values):
        given = document.tree["places"][position]
        stated, on_track = "speed" in given, "track" in given or "distance" in given
        if stated == on_track or ("track" in given) != ("distance" in given):
            document.fault(
                ("places", position),
                "a speed and a place on a track"
                if stated and on_track
                else "half a place on a track"
                if on_track
                else "neither speed nor track",
                "a speed, or a track of the car and a distance along it",
                'write speed = "185 km/h", or track = "upper_field_loop" and distance = "640 m"',
            )
            continue
        if value["name"] is None or (value["speed"] is None and value["distance"] is None):
            continue
        if any(place.name == value["name"] for place in places):
            document.fault(
                ("places", position, "name"),
                quoted(value["name"]),
                "a name of its own for each place",
                "rename one",
            )
        speed = math.nan if value["speed"] is None else value["speed"]
        places.append(
            Place(
                name=value["name"], speed=speed, track_name=value["track"] or "", distance=value["distance"]
            )
        )
    return tuple(places)
