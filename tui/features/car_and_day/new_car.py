"""The fields of a car, typed in whatever units are at hand; and what makes a new car of them."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from balance.files.formats.new_files import create_car, typed_weights
from balance.files.formats.vehicle import VEHICLE
from balance.files.session_path import folder_name
from balance.files.toml.fields import check_typed
from balance.tell.figures import Show, percent
from balance.units.shown import SI, US
from tui.features.car_and_day.files_form import Asked, NewSubject, asked_of

if TYPE_CHECKING:
    from collections.abc import Collection, Mapping, Sequence

ABOUT_CAR = "every figure with its unit, any unit of the right kind: 1290 kg, 2844 lb, 101.4 in"
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
    "tyres.friction": "tyre friction",
    "target.grip_surplus": "aimed at",
    "target.tolerance": "rear over front",
    "target.front_tolerance": "front over rear",
    "note": "note",
}
_HEADINGS = {
    "mass.total": "Mass, driver and fuel on board: total and front weight share, or four corner weights",
    "size.wheelbase": "Size",
    "drive.power": "Drive, where known",
    "tyres.stiffness_load_exponent": "Tyres, where known; what is empty is assumed, and said",
    "target.grip_surplus": "Limits of the grip balance; empty: 3 % (understeer) and 1.5 % (oversteer)",
    "note": "Remarks",
}


def car_fields(stated: Mapping[str, str], *, first: Sequence[Asked] = ()) -> tuple[Asked, ...]:
    """Return the fields of a car's form."""
    fields = asked_of(VEHICLE, _LABELS, _HEADINGS, stated, ("name", "size.wheelbase"))
    return (fields[0], *first, *fields[1:])


_TOTAL = ("mass.total", "mass.front_share")
_CORNERS = tuple(key for key in _LABELS if key.startswith("mass.corners."))


def weights_not_asked(typed: Mapping[str, str]) -> Collection[str]:
    """Name the fields of the weights that follow from those typed: corners from mass and share, or these from corners.

    Examples
    --------
    >>> len(weights_not_asked({"mass.total": "1290 kg", "mass.front_share": "60 %"})), weights_not_asked({})
    (4, ())
    """
    for stated, following in ((_TOTAL, _CORNERS), (_CORNERS, _TOTAL)):
        if all(key in typed for key in stated) and not any(key in typed for key in following):
            return following
    return ()


def weights_words(typed: Mapping[str, str]) -> str:
    """State what the weights come to, so that a slip in a corner is seen; or what is still needed of them."""
    found = typed_weights(typed)
    if found is None:
        return "still needed: mass and its share on the front, or four corner weights"
    mass, share = found
    si, us = Show(SI).quantity("mass", mass), Show(US).quantity("mass", mass)
    return f"together {si} ({us}), of it {percent(share, decimals=1)} on the front"


class NewCar(NewSubject):
    """A car of which a vehicle.toml is to be written."""

    heading = "N E W   C A R"
    about = ABOUT_CAR

    def __init__(self) -> None:
        self.asked = car_fields({}, first=[Asked(key="folder", label="folder", needed=True)])
        super().__init__("new_car")

    def follow(self, key: str, typed: Mapping[str, str]) -> Mapping[str, str]:
        """Propose a folder of the car's name."""
        if key != "name":
            return {}
        name = folder_name(typed.get("name", ""))
        return {"folder": str(Path.cwd() / name) if name else ""}

    def check(self, key: str, text: str) -> None:
        """Refuse what a field cannot be."""
        if key != "folder":
            check_typed(VEHICLE, key, text)

    def not_asked(self, typed: Mapping[str, str]) -> Collection[str]:
        """Name the weights that follow from those typed."""
        return weights_not_asked(typed)

    def outcome(self, typed: Mapping[str, str]) -> tuple[str, ...]:
        """State what would be written."""
        folder = typed.get("folder", "FOLDER")
        return (
            weights_words(typed),
            f"writes {folder}/vehicle.toml; nothing that is there is overwritten",
        )

    def write(self, typed: Mapping[str, str]) -> str:
        """Write the car and give its folder."""
        folder = Path(typed["folder"]).expanduser()
        create_car(folder, {key: text for key, text in typed.items() if key != "folder"})
        return str(folder)
