"""Write named what-ifs to what_if.toml, comments and the others kept, whole or not at all."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

from balance.files.day.durable import write_atomically
from balance.files.formats.what_if import WHAT_IF_FILE, read_what_ifs
from balance.files.toml.splice import cut, put
from balance.files.toml.tree import literal_of
from balance.model.channels import CHANNELS
from balance.units.stated import uncertainty_text

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from pathlib import Path

    from balance.model.records import Session, Stated
    from balance.model.what_ifs import PlacedForce, StatedChange, WhatIf

_ORDER = (
    "name", "from", "on", "off", "settings", "family", "stated", "forces", "library", "masses", "mass", "front_share", "loading",
    "air", "speed", "stiffness_load_exponent", "grip_load_exponent", "target_surplus", "note",
)  # fmt: skip
_HEAD = """\
# What this day's car would be like if. Each [[what_if]] starts from a run and says what is to be different.
# on, off: runs whose measured change against their baseline is put on, or taken off.
# stated: changes that were not measured here, each with the speed it holds at. masses: "-20 kg" is taken out.
# library: parts as the library expects them from other cars.
"""


def save_what_if(session: Session, folder: Path, what_if: WhatIf) -> Path:
    """Save a what-if under its name, in place of an older one of that name."""
    if not what_if.name:
        raise ValueError("found a what-if without a name, expected one to save it under")
    path = folder / WHAT_IF_FILE
    mark, text = "", _HEAD
    before: list[dict[str, Any]] = []
    if path.exists():
        before = [what_if_table(session, one) for one in read_what_ifs(session, folder)]
        text = path.read_bytes().decode()
        mark, text = text[: text.startswith("\ufeff")], text.removeprefix("\ufeff")
    after = _written(text, before, what_if_table(session, what_if))
    if after != text or not path.exists():
        write_atomically(path, (mark + after).encode())
    return path


def _written(text: str, before: Sequence[Mapping[str, Any]], table: Mapping[str, Any]) -> str:
    """Write a what-if into the text of the file: only the keys that say something else than before are touched."""
    places = [k for k, one in enumerate(before) if one["name"] == table["name"]]
    if not places:
        pairs = ", ".join(f"{key} = {literal_of(value)}" for key, value in table.items())
        return put(text, ("what_if", len(before)), f"{{ {pairs} }}", list(table))
    k = places[0]
    for key, value in table.items():
        if before[k].get(key) != value:
            text = put(text, ("what_if", k, key), literal_of(value), _ORDER)
    for key in before[k]:
        if key not in table:
            text = cut(text, ("what_if", k, key))
    return text


def what_if_table(session: Session, what_if: WhatIf) -> dict[str, Any]:
    """Write a what-if as the texts of its table."""
    units = {name: s.unit for run in session.runs for name, s in run.settings.items() if s.numeric}
    said, air = what_if.uncertainties, what_if.air
    about = {} if air is None else air.uncertainties
    exponents = {
        "stiffness_load_exponent": what_if.stiffness_exponent,
        "grip_load_exponent": what_if.grip_exponent,
    }
    table: dict[str, Any] = {
        "name": what_if.name,
        "from": what_if.start,
        "on": list(what_if.on),
        "off": list(what_if.off),
        "settings": {
            name: _text(value, 1.0, units.get(name, "1"), said.get(f"settings.{name}"))
            for name, value in what_if.settings
        },
        "family": list(what_if.family),
        "stated": [_stated(one) for one in what_if.stated],
        "forces": [_force(one) for one in what_if.forces],
        "library": [one.part for one in what_if.library],
        "masses": {
            one.name: {
                key: _text(getattr(one, key), 1.0, unit, one.uncertainties.get(key))
                for key, unit in (("mass", "kg"), ("behind_front_axle", "m"))
            }
            for one in what_if.masses
        },
        "mass": _maybe(what_if.mass, 1.0, "kg", said.get("mass")),
        "front_share": _maybe(what_if.front_share, 100.0, "%", said.get("front_share")),
        "loading": what_if.loading,
        "air": None
        if air is None
        else {
            key: text
            for key, value, factor, unit in (
                ("temperature", None if air.temperature is None else air.temperature - 273.15, 1.0, "degC"),
                ("pressure", air.pressure, 0.01, "hPa"),
                ("humidity", air.humidity, 100.0, "%"),
                ("altitude", air.altitude, 1.0, "m"),
                ("density", air.density, 1.0, "kg/m^3"),
            )
            if (text := _maybe(value, factor, unit, about.get(key))) is not None
        },
        "speed": _maybe(what_if.speed, 3.6, "km/h", said.get("speed")),
        **{key: _number(value, said.get(key)) for key, value in exponents.items()},
        "target_surplus": _maybe(what_if.target_surplus, 100.0, "%", said.get("target_surplus")),
        "note": what_if.note,
    }
    return {key: value for key, value in table.items() if value not in (None, "", [], {})}


def _stated(change: StatedChange) -> dict[str, str]:
    table: dict[str, str] = {}
    for name in CHANNELS:
        area, std = getattr(change, name), getattr(change, f"{name}_std")
        assumed = name in change.assumed
        if area or std or assumed:
            table[name] = _load(area, change.speed, change.air_density)
            table[name] += "" if std or assumed else " exactly"
        if std:
            table[f"{name}_std"] = _load(std, change.speed, change.air_density)
    return {**table, **({"note": change.note} if change.note else {})}


def _force(force: PlacedForce) -> dict[str, str]:
    said = force.uncertainties
    loads = (force.speed, force.air_density)
    table = {"downforce": _load(force.downforce, *loads, said.get("downforce"))}
    if force.drag or "drag" in said:
        table["drag"] = _load(force.drag, *loads, said.get("drag"))
    table["behind_rear_axle"] = _text(force.behind_rear_axle, 1.0, "m", said.get("behind_rear_axle"))
    table["height"] = _text(force.height, 1.0, "m", said.get("height"))
    return {**table, **({"note": force.note} if force.note else {})}


def _load(area: float, speed: float | None, density: float | None, said: Stated | None = None) -> str:
    """Write a load as it was stated: a force with speed and density, or an area."""
    if speed is None or density is None:
        return _text(area, 1.0, "m^2", said)
    force = _text(area, 0.5 * density * speed**2, "N", said)
    return f"{force} at {_text(speed, 3.6, 'km/h')} and {_text(density, 1.0, 'kg/m^3')}"


def _number(value: float | None, said: Stated | None) -> float | str | None:
    """Write a plain number; as text where something was said of its uncertainty."""
    if value is None or said is None:
        return value
    return f"{value:.13g}{uncertainty_text(said, 1.0, '')}"


def _maybe(value: float | None, factor: float, unit: str, said: Stated | None = None) -> str | None:
    return None if value is None else _text(value, factor, unit, said)


def _text(value: float, factor: float, unit: str, said: Stated | None = None) -> str:
    """Write a figure with its unit, to 13 digits, which hides the last bit that factors leave."""
    if not math.isfinite(value):
        raise ValueError(f"found {value}, expected a finite figure to save")
    return f"{value * factor:.13g} {unit}{uncertainty_text(said, factor, unit)}"
