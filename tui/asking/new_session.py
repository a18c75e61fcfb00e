"""A new session of a car: where, how fast, in which units and with which sign its readings come."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar

from balance.errors import InputError, quoted
from balance.files.new_files import VEHICLE_FILE, create_session, usual_columns
from balance.files.run_sheet import sheet_from
from balance.files.session_file import SESSION
from balance.files.toml_text import header_text
from balance.files.typed_fields import asked_fields, check_typed
from tui.actions import bindings
from tui.asking.files_form import Asked, FilesForm, folder_name
from tui.day_actions import NEW_FILE

if TYPE_CHECKING:
    from textual.binding import BindingType

_LABELS = {
    "title": "title",
    "date": "date",
    "facility.kind": "kind",
    "facility.floor": "floor",
    "facility.speed": "speed",
    "facility.air_density": "air density",
    "facility.forces": "forces are",
    "facility.reference_area": "reference area",
    "repeatability.front": "front",
    "repeatability.rear": "rear",
    "repeatability.drag": "drag",
    "repeatability.degrees_of_freedom": "degrees of freedom",
}
_HEADINGS = {
    "facility.kind": "Facility; speed and air hold for every run without its own",
    "repeatability.front": "Standard deviation of one reading, as the facility states it; where known",
}
_UNITS = {"N, km/h": "si", "lbf, mph": "us"}
_SIGNS = ("lift", "downforce")
_PLACE = re.compile(r"(.+?)\s+([\d.]+\s*[a-z/]+)", re.IGNORECASE)


class NewSession(FilesForm):
    """Asks for a day and writes its session.toml and an empty runs.csv."""

    BINDINGS: ClassVar[list[BindingType]] = bindings(NEW_FILE)
    heading = "N E W   D A Y"
    about = "every figure with its unit: 160 km/h, 100 mph, 1.225 kg/m^3"

    def __init__(self, car: str, *, today: str = "") -> None:
        known = {one.key: one for one in asked_fields(SESSION)}
        fields = [
            Asked(
                key=key,
                label=label,
                example=known[key].example,
                choices=known[key].choices,
                needed=known[key].required or key == "facility.forces",
                value=today if key == "date" else "",
                heading=_HEADINGS.get(key, ""),
            )
            for key, label in _LABELS.items()
        ]
        fields[0:0] = [Asked(key="car", label="folder of the car", needed=True, value=car)]
        fields.insert(2, Asked(key="folder", label="folder of the day", needed=True))
        at = next(k for k, one in enumerate(fields) if one.key == "repeatability.front")
        fields[at:at] = [
            Asked(
                key="units",
                label="readings in",
                choices=tuple(_UNITS),
                needed=True,
                heading="Run sheet; settings with their unit, a comma between",
            ),
            Asked(key="sign", label="positive means", choices=_SIGNS, needed=True),
            Asked(
                key="settings", label="set on the car", example="wing_angle [deg], flap_height [mm], vents"
            ),
            Asked(key="recorded", label="measured, not set", example="front_ride_height [mm]"),
        ]
        fields.append(
            Asked(
                key="places",
                label="places",
                example="fast left 185 km/h, crest 172 km/h",
                heading="Where on the customer's tracks a speed matters",
            )
        )
        super().__init__(fields)

    def follow(self, key: str, text: str) -> None:
        """Propose a folder of the day's title, in that of the car."""
        typed = self.typed
        if key in ("title", "car"):
            name = folder_name(text if key == "title" else typed.get("title", ""))
            car = text if key == "car" else typed.get("car", "")
            self.propose("folder", str(Path(car) / name) if name else "")

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
            sheet_from(header_text(usual_columns(settings=_listed(text))))
        elif key == "places":
            for number, (_, speed) in enumerate(_places(text)):
                check_typed(SESSION, f"places.{number}.speed", speed)
        elif key != "folder":
            check_typed(SESSION, key, text)

    def outcome(self, typed: dict[str, str]) -> str:
        """Say what would be written."""
        return f"writes session.toml and an empty runs.csv in {typed.get('folder', 'FOLDER')}, and opens it"

    def create(self, typed: dict[str, str]) -> str:
        """Write the session and give its folder."""
        facts = {key: text for key, text in typed.items() if key in _LABELS}
        for number, (name, speed) in enumerate(_places(typed.get("places", ""))):
            facts |= {f"places.{number}.name": name, f"places.{number}.speed": speed}
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


def _listed(text: str) -> tuple[str, ...]:
    return tuple(part.strip() for part in text.split(",") if part.strip())


def _places(text: str) -> list[tuple[str, str]]:
    found = []
    for part in _listed(text):
        match = _PLACE.fullmatch(part)
        if match is None:
            raise InputError(f"found {quoted(part)}, expected a name and a speed, as: fast left 185 km/h")
        found.append((match[1], match[2]))
    return found
