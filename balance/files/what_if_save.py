"""Write named what-ifs to what_if.toml, comments and the others kept, whole or not at all."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

from balance.files.durable import write_atomically
from balance.files.what_if_file import WHAT_IF_FILE

if TYPE_CHECKING:
    from pathlib import Path

    from balance.records import Session
    from balance.what_ifs import PlacedForce, StatedChange, WhatIf

_HEAD = """\
# What this session's car would be like if. Each [[what_if]] starts from a run and says what is to be different.
# on, off: runs whose measured change against their baseline is put on, or taken off.
# stated: changes that were not measured here, each with the speed it holds at. masses: "-20 kg" is taken out.
"""


def save_what_if(session: Session, folder: Path, what_if: WhatIf) -> Path:
    """Save a what-if under its name, in place of an older one of that name.

    Parameters
    ----------
    session : Session
        The session it belongs to: for the units of its settings.
    folder : Path
        Its folder.
    what_if : WhatIf
        With a name.

    Returns
    -------
    Path
        The file.

    Raises
    ------
    SaveError
        If it cannot be written.
    ValueError
        If it has no name.
    """
    if not what_if.name:
        raise ValueError("found a what-if without a name, expected one to save it under")
    return _write(session, folder, what_if.name, what_if)


def remove_what_if(session: Session, folder: Path, name: str) -> Path:
    """Take a what-if out of the file.

    Parameters
    ----------
    session : Session
        The session it belongs to.
    folder : Path
        Its folder.
    name : str
        Its name; nothing happens where there is none.

    Returns
    -------
    Path
        The file.

    Raises
    ------
    SaveError
        If it cannot be written.
    """
    return _write(session, folder, name, None)


def _write(session: Session, folder: Path, name: str, what_if: WhatIf | None) -> Path:
    import tomlkit  # noqa: PLC0415 - only where something is saved

    path = folder / WHAT_IF_FILE
    document = tomlkit.parse(path.read_text(encoding="utf-8-sig") if path.exists() else _HEAD)
    tables = document.get("what_if")
    if tables is None:
        tables = tomlkit.aot()
        document.append("what_if", tables)
    places = [k for k, table in enumerate(tables) if table.get("name") == name]
    if what_if is not None:
        table = tomlkit.table()
        for key, value in what_if_table(session, what_if).items():
            table.add(key, _inline(value))
        table.add(tomlkit.nl())
        if places:
            tables[places[0]] = table
        else:
            tables.append(table)
    elif places:
        del tables[places[0]]
    write_atomically(path, tomlkit.dumps(document).encode())
    return path


def what_if_table(session: Session, what_if: WhatIf) -> dict[str, Any]:
    """Write a what-if as the texts of its table.

    Parameters
    ----------
    session : Session
        For the units of its settings.
    what_if : WhatIf
        What is to be written.

    Returns
    -------
    dict
        Keys and texts as in the file; what is not different is left out.
    """
    units = {name: s.unit for run in session.runs for name, s in run.settings.items() if s.numeric}
    air = what_if.air
    table: dict[str, Any] = {
        "name": what_if.name,
        "from": what_if.start,
        "on": list(what_if.on),
        "off": list(what_if.off),
        "settings": {name: _text(value, units.get(name, "1")) for name, value in what_if.settings},
        "family": list(what_if.family),
        "stated": [_stated(one) for one in what_if.stated],
        "forces": [_force(one) for one in what_if.forces],
        "masses": {
            one.name: {"mass": _text(one.mass, "kg"), "behind_front_axle": _text(one.behind_front_axle, "m")}
            for one in what_if.masses
        },
        "mass": _maybe(what_if.mass, 1.0, "kg"),
        "front_share": _maybe(what_if.front_share, 100.0, "%"),
        "loading": what_if.loading,
        "air": None
        if air is None
        else {
            key: text
            for key, text in (
                ("temperature", None if air.temperature is None else _text(air.temperature - 273.15, "degC")),
                ("pressure", _maybe(air.pressure, 0.01, "hPa")),
                ("humidity", _maybe(air.humidity, 100.0, "%")),
                ("altitude", _maybe(air.altitude, 1.0, "m")),
                ("density", _maybe(air.density, 1.0, "kg/m^3")),
            )
            if text is not None
        },
        "speed": _maybe(what_if.speed, 3.6, "km/h"),
        "stiffness_load_exponent": what_if.stiffness_exponent,
        "grip_load_exponent": what_if.grip_exponent,
        "target_surplus": _maybe(what_if.target_surplus, 100.0, "%"),
        "note": what_if.note,
    }
    return {key: value for key, value in table.items() if value not in (None, "", [], {})}


def _stated(change: StatedChange) -> dict[str, str]:
    table = {}
    for name in ("front", "rear", "drag"):
        area, std = getattr(change, name), getattr(change, f"{name}_std")
        if area or std:
            table[name] = _load(area, change.speed, change.air_density)
        if std:
            table[f"{name}_std"] = _load(std, change.speed, change.air_density)
    return {**table, **({"note": change.note} if change.note else {})}


def _force(force: PlacedForce) -> dict[str, str]:
    table = {"downforce": _load(force.downforce, force.speed, force.air_density)}
    if force.drag:
        table["drag"] = _load(force.drag, force.speed, force.air_density)
    table["behind_rear_axle"] = _text(force.behind_rear_axle, "m")
    table["height"] = _text(force.height, "m")
    return {**table, **({"note": force.note} if force.note else {})}


def _load(area: float, speed: float | None, density: float | None) -> str:
    """Write a load as it was stated: a force with speed and density, or an area."""
    if speed is None or density is None:
        return _text(area, "m^2")
    force = area * 0.5 * density * speed**2
    return f"{_text(force, 'N')} at {_text(speed * 3.6, 'km/h')} and {_text(density, 'kg/m^3')}"


def _maybe(value: float | None, factor: float, unit: str) -> str | None:
    return None if value is None else _text(value * factor, unit)


def _text(value: float, unit: str) -> str:
    """Write a figure with its unit, to 13 digits, which hides the last bit that factors leave."""
    if not math.isfinite(value):
        raise ValueError(f"found {value}, expected a finite figure to save")
    return f"{value:.13g} {unit}"


def _inline(value: Any) -> Any:
    """Put nested tables on one line each."""
    import tomlkit  # noqa: PLC0415 - as above

    if isinstance(value, dict):
        inline = tomlkit.inline_table()
        for key, held in value.items():
            inline.add(key, _inline(held))
        return inline
    if isinstance(value, list):
        array = tomlkit.array()
        for held in value:
            array.append(_inline(held))
        return array
    return value
