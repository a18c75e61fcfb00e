"""Take what was typed for one thing of a what-if, or say what is wrong with it."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import TYPE_CHECKING

from balance.files.formats.stated_text import read_change, read_placed_force
from balance.files.formats.what_if_options import what_if_of_options
from balance.model.channels import CHANNELS
from balance.model.errors import AxletrimError, FileFaults, InputError, UnitError, UnknownName, quoted
from balance.model.kinds import NUMBER, clean_number
from balance.model.what_ifs import WhatIf
from balance.tell.what_if.input_edits import LISTS, put, restated, says_something, swapped, without
from balance.tell.what_if.input_figures import SCALARS
from balance.units.stated import parse_stated

if TYPE_CHECKING:
    from balance.decide.car.prepared_day import PreparedDay
    from balance.model.kinds import Kind
    from balance.model.records import Stated
    from balance.model.what_ifs import PlacedForce
    from balance.tell.figures import Show
    from balance.tell.what_if.input_figures import Scalar

_MASS_AT_PLACE = re.compile(r"(?P<name>[^\d+−-][^,]*?)\s*[, ]\s*(?P<mass>[-+−]?\d.*?)\s+at\s+(?P<place>.+)")
NEW = {
    "on": ("put a measured part on", "label of the run that has it"),
    "off": ("take a measured part off", "label of the run that has it"),
    "front": ("state a change at the front", "120 N at 160 km/h ± 20 N"),
    "rear": ("state a change at the rear", "120 N at 160 km/h ± 20 N"),
    "drag": ("state a change of drag", "15 N at 160 km/h ± 5 N"),
    "force": ("put a force at a place", "300 N at 160 km/h; drag 40 N; 600 mm behind rear axle; 1200 mm up"),
    "mass": ("put a mass in, or take one out", "driver 80 kg at 1350 mm behind front axle"),
    "library": ("put a part of the library on: what it did on other days", "name of the part"),
}
"""What can be added: its words, and an example of what is typed."""


def typed(prepared: PreparedDay, what_if: WhatIf, key: str, text: str, show: Show) -> WhatIf:
    """Take what was typed for one thing, or for a new one (``new:front`` and the other keys of `NEW`)."""
    text = text.strip()
    kind, _, rest = key.partition(":")
    if not text:
        raise InputError("found nothing, expected a figure with its unit; Del brings it back to the start")
    scalar = next((one for one in SCALARS if one.field == key), None)
    if scalar is not None:
        value, said = _read_scalar(prepared, scalar, text, show)
        return restated(what_if, key, value, said, scalar.file_key)
    if kind == "new":
        return _new(prepared, what_if, rest, text)
    if kind in LISTS:
        place, name = rest.split(":")
        return _listed(prepared, what_if, kind, int(place), name, text, show)
    return _named(prepared, what_if, kind, rest, text)


def _named(prepared: PreparedDay, what_if: WhatIf, kind: str, rest: str, text: str) -> WhatIf:
    """Take a run, a part, a setting or a loading."""
    if kind == "setting":
        made = _options(prepared, f"{rest}={_with_unit(text, _setting_unit(prepared, rest))}")
        others = tuple(pair for pair in what_if.settings if pair[0] != rest)
        key = f"settings.{rest}"
        return restated(what_if, "settings", (*others, *made.settings), made.uncertainties.get(key), key)
    if kind == "library":
        raise InputError("found a part of the library, expected F6 to add one, or Del to take it out")
    if kind == "loading":
        names = [*(one.name for one in prepared.day.session.vehicle.loadings), "as weighed"]
        if text not in names:
            raise UnknownName("loading", text, names)
        return replace(what_if, loading="" if text == "as weighed" else text)
    prepared.row(text)
    if kind == "start":
        return replace(what_if, start=text)
    return swapped(what_if, kind, tuple(text if one == rest else one for one in getattr(what_if, kind)))


def _listed(
    prepared: PreparedDay, what_if: WhatIf, kind: str, k: int, name: str, text: str, show: Show
) -> WhatIf:
    """Take a figure of a stated change, a placed force or a placed mass."""
    some = getattr(what_if, LISTS[kind])
    if kind == "stated":
        (made,) = _stated(prepared, name, text).stated
        left = without(some[k], name)
        if not says_something(left):
            return replace(what_if, stated=put(some, k, replace(made, note=some[k].note)))
        return replace(what_if, stated=(*put(some, k, left), made))
    if kind == "force" and name in ("downforce", "drag"):
        read = read_change(text, air_density=prepared.day.session.facility.air_density)
        return replace(what_if, forces=put(some, k, restated(some[k], name, read.area, read.stated)))
    quantity: Kind = "mass" if name == "mass" else "length"
    stated = parse_stated(_with_unit(text, show.unit(quantity)), quantity)
    return swapped(what_if, LISTS[kind], put(some, k, restated(some[k], name, stated.value, stated)))


def _new(prepared: PreparedDay, what_if: WhatIf, kind: str, text: str) -> WhatIf:
    if kind in ("on", "off"):
        prepared.row(text)
        return swapped(what_if, kind, (*getattr(what_if, kind), text))
    if kind in CHANNELS:
        return replace(what_if, stated=(*what_if.stated, *_stated(prepared, kind, text).stated))
    if kind == "force":
        return replace(what_if, forces=(*what_if.forces, _placed(prepared, text)))
    match = _MASS_AT_PLACE.fullmatch(re.sub(r"(?i)\s*\(?behind.*$", "", text))
    if match is None:
        raise InputError(
            f"found {quoted(text)}, expected a name, a mass and a place as in '{NEW['mass'][1]}'"
        )
    name = match["name"].replace("\\", "").replace('"', "").strip()
    if any(one.name == name for one in what_if.masses):
        raise InputError(f"found a second mass called {quoted(name)}, expected a name of its own")
    table = f'{{ mass = "{match["mass"]}", behind_front_axle = "{match["place"]}" }}'
    made = _options(prepared, f'masses={{ "{name}" = {table} }}')
    return replace(what_if, masses=(*what_if.masses, *made.masses))


def _placed(prepared: PreparedDay, text: str) -> PlacedForce:
    """Read a force with its place."""
    parts = [part.strip() for part in text.split(";")]
    if len(parts) not in (3, 4):
        raise InputError(
            f"found {quoted(text)}, expected downforce; drag; place; height as in '{NEW['force'][1]}'"
        )
    places = [parse_stated(re.sub(r"(?i)\s*(behind.*|up|high)$", "", part), "length") for part in parts[-2:]]
    return read_placed_force(
        parts[0],
        parts[1].removeprefix("drag").strip() if len(parts) == 4 else None,
        behind_rear_axle=places[0],
        height=places[1],
        air_density=prepared.day.session.facility.air_density,
    )


def _stated(prepared: PreparedDay, axle: str, text: str) -> WhatIf:
    return _options(prepared, f"{axle}={text}")


def _options(prepared: PreparedDay, *texts: str) -> WhatIf:
    """Read KEY=VALUE texts as the command line does; the fault loses the name of the option."""
    start = WhatIf(start=prepared.day.readings.labels[0], name="this")
    try:
        return what_if_of_options(prepared.day.session, texts, base=start)
    except FileFaults as faults:
        one = faults.faults[0]
        raise UnitError(one.found, one.expected, one.mend or "") from None
    except AxletrimError as fault:
        raise InputError(re.sub(r"^--set[^:]*: ", "", str(fault))) from None


def _read_scalar(prepared: PreparedDay, one: Scalar, text: str, show: Show) -> tuple[object, Stated | None]:
    unit = {"percent": "%", "number": ""}.get(one.kind)
    written = _with_unit(text, show.unit(one.kind) if unit is None else unit)
    if one.kind == "number" and not NUMBER.match(clean_number(text)):
        raise InputError(f"found {quoted(text)}, expected a number as in {one.example}")
    made = _options(prepared, f"{one.file_key}={written}")
    return getattr(made, one.field), made.uncertainties.get(one.file_key)


def _with_unit(text: str, unit: str) -> str:
    """Take a bare number to be in the unit shown."""
    return f"{text} {unit}".rstrip() if NUMBER.fullmatch(clean_number(text)) else text


def _setting_unit(prepared: PreparedDay, name: str) -> str:
    for run in prepared.day.readings.runs:
        held = run.settings.get(name)
        if held is not None and held.numeric:
            return held.unit
    return ""
