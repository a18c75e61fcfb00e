"""what_if.toml beside the session: named what-ifs, written so that they explain themselves."""

from __future__ import annotations

from dataclasses import fields
from typing import TYPE_CHECKING, Any, NamedTuple

from balance.files.formats.adjusters import in_unit, read_figure, read_placed_mass
from balance.files.formats.stated_text import read_placed_force, read_stated
from balance.files.toml.document import read_toml
from balance.files.toml.fields import Field, described, read_fields, read_words
from balance.model.channels import CHANNELS
from balance.model.errors import FileFaults, UnitError, UnknownName, quoted
from balance.model.libraries import FromLibrary
from balance.model.what_ifs import Air, WhatIf
from balance.units.stated import parse_stated, stated_in

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

    from balance.files.toml.document import Document
    from balance.model.records import PlacedMass, Session, Stated


class MovedSetting(NamedTuple):
    """A setting to be moved, and what was stated of it, both in the unit of its column."""

    name: str
    value: float
    stated: Stated


WHAT_IF_FILE = "what_if.toml"
_CHANGES = (*CHANNELS, *(f"{channel}_std" for channel in CHANNELS))
_RENAMED = {
    "from": "start",
    "stiffness_load_exponent": "stiffness_exponent",
    "grip_load_exponent": "grip_exponent",
}
_AIR = (
    Field("temperature", "temperature", "29 degC", chosen=True),
    Field("pressure", "pressure", "940 hPa", chosen=True),
    Field("humidity", "fraction", "40 %", low="0 %", high="100 %", chosen=True),
    Field("altitude", "length", "500 m", low="-500 m", high="5000 m", chosen=True),
    Field("density", "density", "1.18 kg/m^3", chosen=True),
)


def what_if_fields(session: Session) -> tuple[Field, ...]:
    """State what a what-if may hold."""
    units = {name: s.unit for run in session.runs for name, s in run.settings.items() if s.numeric}
    density = session.facility.air_density

    def read_settings(_one: Field, value: Any) -> tuple[MovedSetting, ...]:
        if not isinstance(value, dict):
            raise UnitError(described(value), 'a table such as { wing_angle = "9 deg" }')
        read = []
        for name, held in value.items():
            if name not in units:
                raise UnitError(
                    f"setting {quoted(name)}", f"a numeric setting of the day: {', '.join(units)}"
                )
            figure = read_figure(Field(name, "text", f"9 {units[name]}", measurable=True), held)
            read.append(
                MovedSetting(name, in_unit(figure, units[name]), stated_in(figure.stated, units[name]))
            )
        return tuple(read)

    def read_change_list(_one: Field, value: Any) -> tuple[Any, ...]:
        return tuple(
            _stated(table, density) for table in _tables(value, 'stated = [{ front = "120 N at 160 km/h" }]')
        )

    def read_force_list(_one: Field, value: Any) -> tuple[Any, ...]:
        sample = (
            'forces = [{ downforce = "300 N at 160 km/h", behind_rear_axle = "600 mm", height = "1200 mm" }]'
        )
        return tuple(_force(table, density) for table in _tables(value, sample))

    return (
        Field("name", "text", "more wing", required=True),
        Field("from", "text", "16", required=True),
        Field("on", "texts", '["21"]', read=_read_labels),
        Field("off", "texts", '["21"]', read=_read_labels),
        Field("settings", "settings", '{ wing_angle = "9 deg" }', read=read_settings),
        Field("family", "texts", '["14", "16", "18"]', read=_read_labels),
        Field("stated", "changes", "", read=read_change_list),
        Field("forces", "changes", "", read=read_force_list),
        Field("library", "texts", '["Splitter, 60 mm"]', read=_read_library),
        Field("masses", "masses", "", read=_read_masses),
        Field("mass", "mass", "1200 kg", low="100 kg", high="10000 kg", measurable=True),
        Field("front_share", "fraction", "55 %", low="10 %", high="90 %", measurable=True),
        Field("loading", "text", "race"),
        Field("air", "table", 'air = { temperature = "29 degC", pressure = "940 hPa" }', fields=_AIR),
        Field("speed", "speed", "185 km/h", low="1 km/h", high="600 km/h", chosen=True),
        Field("stiffness_load_exponent", "number", "0.75", low="0.3", high="1.2", measurable=True),
        Field("grip_load_exponent", "number", "0.86", low="0.3", high="1.2", measurable=True),
        Field("target_surplus", "fraction", "1 %", low="-50 %", high="50 %", chosen=True),
        Field("note", "text", "free text"),
    )


def what_if_from(document: Document, values: Mapping[str, Any], path: tuple[str | int, ...] = ()) -> WhatIf:
    """Make a what-if of fields that were read."""
    said = {
        ".".join(map(str, where[len(path) :])): stated
        for where, stated in document.stated.items()
        if where[: len(path)] == path
    }
    made = {_RENAMED.get(key, key): value for key, value in values.items() if value is not None}
    if air := made.get("air"):
        about = {key.removeprefix("air."): one for key, one in said.items() if key.startswith("air.")}
        made["air"] = Air(**air, uncertainties=about)
    moved: tuple[MovedSetting, ...] = made.get("settings", ())
    made["settings"] = tuple((one.name, one.value) for one in moved)
    others = {key: one for key, one in said.items() if not key.startswith("air.")}
    others |= {f"settings.{one.name}": one.stated for one in moved if one.stated.explicit}
    known = {one.name for one in fields(WhatIf)}
    return WhatIf(**{key: value for key, value in made.items() if key in known}, uncertainties=others)


def read_what_ifs(session: Session, folder: Path) -> tuple[WhatIf, ...]:
    """Read the named what-ifs of a session."""
    path = folder / WHAT_IF_FILE
    if not path.exists():
        return ()
    document = read_toml(path, shown_as=WHAT_IF_FILE, what="a day's what_if.toml")
    tables = Field("what_if", "tables", "[[what_if]]", fields=what_if_fields(session))
    values = read_fields(document, (tables,))["what_if"] or []
    _refuse_twins(document, [one["name"] for one in values])
    if document.faults:
        raise FileFaults(document.in_order)
    return tuple(what_if_from(document, one, ("what_if", k)) for k, one in enumerate(values))


def pick_what_if(what_ifs: tuple[WhatIf, ...], name: str) -> WhatIf:
    """Find a what-if by its name."""
    for one in what_ifs:
        if one.name == name:
            return one
    raise UnknownName("what-if", name, [one.name for one in what_ifs] or ["none is saved in this day"])


def _refuse_twins(document: Document, names: list[str | None]) -> None:
    for k, name in enumerate(names):
        if name is not None and name in names[:k]:
            document.fault(("what_if", k, "name"), quoted(name), "a name of its own", "rename one of the two")


def _read_labels(one: Field, value: Any) -> tuple[str, ...]:
    items = [value] if isinstance(value, str | int) and not isinstance(value, bool) else value
    if not isinstance(items, list):
        raise UnitError(described(value), "a list of runs", f"write {one.key} = {one.example}")
    return tuple(read_words(one, str(item) if isinstance(item, int) else item) for item in items)


def _read_library(one: Field, value: Any) -> tuple[FromLibrary, ...]:
    """Read the names of parts that a library is to say what is expected of."""
    items = [value] if isinstance(value, str) else value
    if not isinstance(items, list):
        raise UnitError(
            described(value), "a list of parts of the library", f"write {one.key} = {one.example}"
        )
    names = [read_words(one._replace(required=True), item) for item in items]
    if twice := [name for k, name in enumerate(names) if name in names[:k]]:
        raise UnitError(f"the part {quoted(twice[0])} twice", "each part once", "take one of the two out")
    return tuple(FromLibrary(part=name) for name in names)


def _read_masses(_one: Field, value: Any) -> tuple[PlacedMass, ...]:
    if not isinstance(value, dict):
        raise UnitError(
            described(value),
            "a table of masses",
            'write masses = { ballast = { mass = "20 kg", behind_front_axle = "300 mm" } }',
        )
    return tuple(read_placed_mass(name, table) for name, table in value.items())


def _tables(value: Any, sample: str) -> list[dict[str, Any]]:
    if not isinstance(value, list) or not all(isinstance(item, dict) for item in value):
        raise UnitError(described(value), "a list of tables", f"write {sample}")
    return value


def _texts(table: dict[str, Any], known: tuple[str, ...]) -> dict[str, str]:
    for key, value in table.items():
        if key not in known:
            raise UnitError(f"{quoted(key)}", f"one of {', '.join(known)}")
        if not isinstance(value, str):
            raise UnitError(f"{key} = {described(value)}", "text with a unit, in quotes")
    return table


def _stated(table: dict[str, Any], density: float) -> Any:
    texts = dict(_texts(table, (*_CHANGES, "note")))
    note = texts.pop("note", "")
    return read_stated(texts, air_density=density, note=note)


def _force(table: dict[str, Any], density: float) -> Any:
    places = ("behind_rear_axle", "height")
    texts = _texts(table, ("downforce", "drag", *places, "note"))
    for key in ("downforce", *places):
        if key not in texts:
            raise UnitError(f"a force without {key}", "downforce, behind_rear_axle and height")
    behind, height = (parse_stated(texts[key], "length") for key in places)
    return read_placed_force(
        texts["downforce"],
        texts.get("drag"),
        behind_rear_axle=behind,
        height=height,
        air_density=density,
        note=texts.get("note", ""),
    )
