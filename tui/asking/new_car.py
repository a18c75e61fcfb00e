"""A new car, typed field by field in whatever units are at hand."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, ClassVar

from balance.files.new_files import create_car
from balance.files.typed_fields import asked_fields, check_typed
from balance.files.vehicle_file import VEHICLE
from tui.actions import bindings
from tui.asking.files_form import Asked, FilesForm, folder_name
from tui.day_actions import NEW_FILE

if TYPE_CHECKING:
    from textual.binding import BindingType

_LABELS = {
    "name": "name",
    "mass.total": "mass as it runs",
    "mass.front_share": "of it on the front",
    "mass.corners.front_left": "front left",
    "mass.corners.front_right": "front right",
    "mass.corners.rear_left": "rear left",
    "mass.corners.rear_right": "rear right",
    "size.wheelbase": "wheelbase",
    "mass.cg_height": "height of c. of g.",
    "size.front_track": "front track",
    "size.rear_track": "rear track",
    "size.frontal_area": "frontal area",
    "drive.power": "power",
    "drive.driven": "driven axle",
    "drive.top_speed": "top speed",
    "tyres.stiffness_load_exponent": "stiffness exponent",
    "tyres.grip_load_exponent": "grip exponent",
    "tyres.static_margin": "margin at rest",
    "target.grip_surplus": "aimed at",
    "target.tolerance": "rear over front",
    "target.front_tolerance": "front over rear",
    "note": "note",
}
_HEADINGS = {
    "mass.total": "Mass, driver and fuel on board: total and front share, or four corner weights",
    "size.wheelbase": "Size",
    "drive.power": "Drive, where known",
    "tyres.stiffness_load_exponent": "Tyres, where known; what is empty is assumed, and said",
    "target.grip_surplus": "Band of the grip surplus; empty: 3 % and 1.5 %",
    "note": "Remarks",
}


class NewCar(FilesForm):
    """Asks for a car and writes its vehicle.toml."""

    BINDINGS: ClassVar[list[BindingType]] = bindings(NEW_FILE)
    heading = "N E W   C A R"
    about = "every figure with its unit, any unit of the right kind: 1290 kg, 2844 lb, 101.4 in"

    def __init__(self) -> None:
        known = {one.key: one for one in asked_fields(VEHICLE)}
        fields = [
            Asked(
                key=key,
                label=label,
                example=known[key].example,
                choices=known[key].choices,
                needed=key in ("name", "size.wheelbase"),
                heading=_HEADINGS.get(key, ""),
            )
            for key, label in _LABELS.items()
        ]
        fields.insert(1, Asked(key="folder", label="folder", needed=True))
        super().__init__(fields)

    def follow(self, key: str, text: str) -> None:
        """Propose a folder of the car's name."""
        if key == "name":
            name = folder_name(text)
            self.propose("folder", str(Path.cwd() / name) if name else "")

    def check(self, key: str, text: str) -> None:
        """Refuse what a field cannot be."""
        if key != "folder":
            check_typed(VEHICLE, key, text)

    def outcome(self, typed: dict[str, str]) -> str:
        """Say what would be written."""
        return f"writes {typed.get('folder', 'FOLDER')}/vehicle.toml; nothing that is there is overwritten"

    def create(self, typed: dict[str, str]) -> str:
        """Write the car and give its folder."""
        folder = Path(typed.pop("folder")).expanduser()
        create_car(folder, typed)
        return str(folder)
