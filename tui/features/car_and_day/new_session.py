"""The fields of a session: where, how fast, which places; and what makes a new one, its run sheet too, of them."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from balance.files.day.durable import digest_of
from balance.files.day.run_sheet import sheet_from
from balance.files.formats.new_files import VEHICLE_FILE, create_session, usual_columns
from balance.files.formats.session import SESSION
from balance.files.session_path import folder_name
from balance.files.toml.fields import asked_fields, check_typed
from balance.files.toml.text import header_text
from balance.model.columns import FORMAT
from balance.model.errors import FileFaults, InputError, quoted
from tui.features.car_and_day.files_form import Asked, NewSubject, asked_of

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

MORE_PLACES = "places"
"""The key of the field that takes any number of places."""
ABOUT_SESSION = "every figure with its unit: 160 km/h, 100 mph, 1.225 kg/m^3"
_LABELS = {
    "title": "title",
    "date": "date",
    "facility.kind": "kind",
    "facility.floor": "floor",
    "facility.speed": "speed",
    "facility.air_density": "air density",
    "facility.forces": "forces are",
    "facility.reference_area": "reference area",
    "facility.name": "its name",
    "repeatability.front": "front",
    "repeatability.rear": "rear",
    "repeatability.drag": "drag",
    "repeatability.degrees_of_freedom": "degrees of freedom",
}
_HEADINGS = {
    "facility.kind": "Facility; speed and air hold for every run without its own",
    "repeatability.front": "Standard deviation of one reading, as the facility states it; where known",
}
_UNITS = {"N, km/h": "si", "lbf, mph": "us", "kgf, km/h": "kgf"}
_SIGNS = ("lift", "downforce")
_PLACE = re.compile(r"(.+?)\s+(\(?[\d.]+(?:\([\d.]+\))?\s*(?:(?:±|\+/?-|sd\b|[a-z/]).*)?)", re.IGNORECASE)


def session_fields(stated: Mapping[str, str], *, needed: Sequence[str] = ()) -> tuple[Asked, ...]:
    """Return the fields of a day that its form has in common for a new one and for one that is there."""
    required = [one.key for one in asked_fields(SESSION) if one.required]
    fields = asked_of(SESSION, _LABELS, _HEADINGS, stated, (*required, *needed))
    more = Asked(
        key=MORE_PLACES,
        label="places",
        example="fast left 185 km/h, crest 172 km/h",
        heading="Named speeds: where on the customer's tracks a speed matters",
    )
    return (*fields, more)


class NewSession(NewSubject):
    """A day of which a session.toml and an empty runs.csv are to be written."""

    heading = "N E W   D A Y"
    about = ABOUT_SESSION

    def __init__(self, car: str, *, today: str = "") -> None:
        fields = list(session_fields({"date": today}, needed=("facility.forces",)))
        at = next(k for k, one in enumerate(fields) if one.key == "repeatability.front")
        fields[at:at] = [
            Asked(
                key="settings",
                label="set on the car",
                example="wing_angle [deg], flap_height [mm], vents",
                heading="Run sheet; settings with their unit, a comma between",
            ),
            Asked(key="recorded", label="measured, not set", example="front_ride_height [mm]"),
        ]
        fields.insert(1, Asked(key="folder", label="folder of the day", needed=True))
        fields[0:0] = [
            Asked(
                key="units",
                label="readings in",
                choices=tuple(_UNITS),
                needed=True,
                heading="Your readings: what their columns hold",
            ),
            Asked(key="sign", label="positive means", choices=_SIGNS, needed=True),
            Asked(key="car", label="folder of the car", needed=True, value=car, heading="The day"),
        ]
        self.asked = tuple(fields)
        super().__init__(f"new_session-{digest_of(car.encode(errors='replace'))[:12]}")

    def follow(self, key: str, typed: Mapping[str, str]) -> Mapping[str, str]:
        """Propose a folder of the day's title, in that of the car."""
        if key not in ("title", "car"):
            return {}
        name = folder_name(typed.get("title", ""))
        return {"folder": str(Path(typed.get("car", "")) / name) if name else ""}

    def check(self, key: str, text: str) -> None:
        """Refuse what a field cannot be."""
        if key == "car":
            if not (Path(text).expanduser() / VEHICLE_FILE).exists():
                raise InputError(f"found no {VEHICLE_FILE} there, expected the folder of a car")
        elif key in ("units", "sign"):
            choices = tuple(_UNITS) if key == "units" else _SIGNS
            if text not in choices:
                raise InputError(f"found {quoted(text)}, expected one of: {' | '.join(choices)}")
        elif key in ("settings", "recorded"):
            try:
                sheet_from(header_text(usual_columns(settings=_listed(text))), file_format=FORMAT)
            except FileFaults as error:  # of a file that is not there yet: its name would only puzzle
                raise InputError(str(replace(error.faults[0], file="", line=None)).lstrip(": ")) from None
        elif key != "folder":
            check_session_field(key, text)

    def outcome(self, typed: Mapping[str, str]) -> tuple[str, ...]:
        """State what would be written."""
        return (
            f"writes session.toml and an empty runs.csv in {typed.get('folder', 'FOLDER')}, and opens it",
        )

    def write(self, typed: Mapping[str, str]) -> str:
        """Write the session and give its folder."""
        facts = {key: text for key, text in typed.items() if key in _LABELS}
        facts |= place_texts(typed.get(MORE_PLACES, ""))
        recorded = _listed(typed.get("recorded", ""))
        if recorded:
            facts["columns.recorded"] = ",".join(header.partition("[")[0].strip() for header in recorded)
        columns = usual_columns(
            _UNITS[typed["units"]],
            sign=typed["sign"],
            settings=(*_listed(typed.get("settings", "")), *recorded),
        )
        home = create_session(
            Path(typed["folder"]).expanduser(),
            facts,
            vehicle=Path(typed["car"]).expanduser(),
            columns=columns,
        )
        return str(home)


def check_session_field(key: str, text: str) -> None:
    """Refuse what a field of `session_fields` cannot be."""
    if key == MORE_PLACES:
        for place, speed in place_texts(text).items():
            check_typed(SESSION, place, speed)
    else:
        check_typed(SESSION, key, text)


def place_texts(text: str, *, first: int = 0) -> dict[str, str]:
    """Take places apart that were typed into one line."""
    found: dict[str, str] = {}
    for number, part in enumerate(_listed(text), start=first):
        match = _PLACE.fullmatch(part)
        if match is None:
            raise InputError(f"found {quoted(part)}, expected a name and a speed, as: fast left 185 km/h")
        found |= {f"places.{number}.name": match[1], f"places.{number}.speed": match[2]}
    return found


def _listed(text: str) -> tuple[str, ...]:
    return tuple(part.strip() for part in text.split(",") if part.strip())
