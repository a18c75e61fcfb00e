"""What a car's settings can be put to, what parts cost and where they stand, how it may be loaded: tables of vehicle.toml."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any, NamedTuple

from balance.files.toml.fields import Field, certain, described, read_quantity, read_words
from balance.model.errors import UnitError, quoted
from balance.model.records import Adjuster, Loading, Mounting, PlacedMass, Price, Stated
from balance.units.stated import explicit, figure_of, parse_stated
from balance.units.text import dimension_of, unit_scale

if TYPE_CHECKING:
    from collections.abc import Mapping

    from balance.files.toml.document import Document
    from balance.model.records import Run, Vehicle


class Figure(NamedTuple):
    """A number in the unit that it was typed in, and what was stated, in SI."""

    value: float
    unit: str
    stated: Stated


def read_figure(one: Field, value: Any) -> Figure:
    """Read a number and its unit as they were typed."""
    figure, unit = figure_of(value) if isinstance(value, str) else ("", "")
    if not isinstance(value, str) or not unit:
        raise UnitError(described(value), "a setting with its unit", f'write "{one.example}"')
    kind = dimension_of(unit)
    if kind is None:
        raise UnitError(f"the unit {quoted(unit)}", "a known unit", f'as in "{one.example}"')
    return Figure(float(figure), unit, certain(one, parse_stated(value, kind), value))


def _read_holes(one: Field, value: Any) -> tuple[tuple[str, Figure], ...]:
    if not isinstance(value, dict) or not value:
        raise UnitError(described(value), "a table of holes", f"write {one.example}")
    figure = Field(one.key, "text", "2 deg", chosen=True)
    return tuple((read_words(figure, name), read_figure(figure, held)) for name, held in value.items())


ADJUSTERS = Field(
    "adjusters",
    "tables",
    '[[adjusters]] with setting = "wing_angle"',
    fields=(
        Field("setting", "text", "wing_angle", required=True),
        Field("holes", "table of figures", 'holes = { "1" = "2 deg", "2" = "5 deg" }', read=_read_holes),
        Field(
            "limits",
            "table",
            'limits = { low = "0 deg", high = "12 deg", confirmed_by = "who, when" }',
            fields=(
                Field("low", "figure", "0 deg", read=read_figure, chosen=True),
                Field("high", "figure", "12 deg", read=read_figure, chosen=True),
                Field("confirmed_by", "text", "scrutineer, 12 May"),
            ),
        ),
    ),
)
_PLACED = {
    "mass": Field("mass", "mass", "80 kg", low="-2000 kg", high="2000 kg", measurable=True),
    "behind_front_axle": Field(
        "behind_front_axle", "length", "1350 mm", low="-3000 mm", high="9000 mm", measurable=True
    ),
}


def _exactly(fields: Mapping[str, Field], name: str, value: Any, what: str, mend: str) -> dict[str, Any]:
    """Read a table that has to hold just these quantities: their values, and what is said of their uncertainties."""
    if not isinstance(value, dict) or set(value) != set(fields):
        pairs = ", ".join(f'{key} = "{one.example}"' for key, one in fields.items())
        raise UnitError(f"{name} = {described(value)}", what, f"write {name} = {{ {pairs} }}; {mend}")
    stated = {key: read_quantity(one, value[key]) for key, one in fields.items()}
    return {key: one.value for key, one in stated.items()} | {"uncertainties": explicit(stated)}


def _read_loadings(one: Field, value: Any) -> tuple[Loading, ...]:
    if not isinstance(value, dict):
        raise UnitError(described(value), "tables such as [loadings.race]", one.example)
    return tuple(_read_loading(name, masses) for name, masses in value.items())


def _read_loading(name: str, masses: Any) -> Loading:
    if not isinstance(masses, dict):
        raise UnitError(described(masses), f"a table [loadings.{name}]")
    return Loading(name=name, masses=tuple(read_placed_mass(key, mass) for key, mass in masses.items()))


def read_placed_mass(name: str, value: Any) -> PlacedMass:
    """Read a mass at a place."""
    what = "a mass and its distance behind the front axle"
    return PlacedMass(name=name, **_exactly(_PLACED, name, value, what, 'taken out: "-80 kg"'))


LOADINGS = Field(
    "loadings",
    "loadings",
    '[loadings.race] with fuel = { mass = "-25 kg", behind_front_axle = "2300 mm" }',
    read=_read_loadings,
)


_STANDS = {
    "behind_rear_axle": Field(
        "behind_rear_axle", "length", "550 mm", low="-9000 mm", high="3000 mm", measurable=True
    ),
    "height": Field("height", "length", "1300 mm", low="0 mm", high="3000 mm", measurable=True),
}


def _read_mountings(one: Field, value: Any) -> tuple[Mounting, ...]:
    if not isinstance(value, dict):
        raise UnitError(described(value), "one line for each setting", one.example)
    what = "how far behind the rear axle and how high the part stands"
    return tuple(
        Mounting(setting=name, **_exactly(_STANDS, name, place, what, 'ahead of the axle: "-300 mm"'))
        for name, place in value.items()
    )


MOUNTINGS = Field(
    "mountings",
    "mountings",
    '[mountings] with wing_angle = { behind_rear_axle = "550 mm", height = "1300 mm" }',
    read=_read_mountings,
)


def adjusters_from(document: Document, tables: list[dict[str, Any]] | None) -> tuple[Adjuster, ...]:
    """Make adjusters from what was read, adding faults to the document."""
    made: list[Adjuster] = []
    for k, table in enumerate(tables or []):
        here = ("adjusters", k)
        limits = table.get("limits") or {}
        holes, ends = table.get("holes") or (), (limits.get("low"), limits.get("high"))
        figures = [*(figure for _, figure in holes), *(end for end in ends if end is not None)]
        if not figures:
            document.fault(
                here, "an adjuster without figures", "holes, limits or both", ADJUSTERS.fields[1].example
            )
            continue
        unit = figures[0].unit
        if table.get("setting") in {one.setting for one in made}:
            document.fault(here, f"a second adjuster of {quoted(table['setting'])}", "one for each setting")
        if len({dimension_of(other.unit) for other in figures}) > 1:
            document.fault(here, "figures of different kinds", f"all of the kind of {quoted(unit)}")
            continue
        low, high = (None if end is None else _converted(end.value, end.unit, unit) for end in ends)
        if low is not None and high is not None and low > high:
            document.fault(
                (*here, "limits"), f"a low end of {low:g} {unit}", f"at most the high one, {high:g} {unit}"
            )
        if ends != (None, None) and not limits.get("confirmed_by"):
            document.fault(
                (*here, "limits"),
                "limits confirmed by nobody",
                "who confirmed them",
                'add confirmed_by = "who, when"',
            )
        made.append(
            Adjuster(
                setting=table.get("setting") or "",
                unit=unit,
                holes=tuple((name, _converted(figure.value, figure.unit, unit)) for name, figure in holes),
                low=low,
                high=high,
                confirmed_by=limits.get("confirmed_by") or "",
            )
        )
    return tuple(made)


def adjusters_in_units_of(vehicle: Vehicle, runs: tuple[Run, ...]) -> tuple[Vehicle, tuple[str, ...]]:
    """Bring the adjusters' figures to the units of the settings' columns."""
    units = {name: s.unit for run in runs for name, s in run.settings.items() if s.numeric}
    kept, notes = [], []
    for one in vehicle.adjusters:
        unit = units.get(one.setting)
        if unit is None:
            kept.append(one)
            continue
        if dimension_of(unit) != dimension_of(one.unit):
            notes.append(
                f"adjuster of {one.setting} left out: the vehicle file has it in {one.unit}, runs.csv in {unit}"
            )
            continue
        low, high = (None if end is None else _converted(end, one.unit, unit) for end in (one.low, one.high))
        holes = tuple((name, _converted(figure, one.unit, unit)) for name, figure in one.holes)
        kept.append(replace(one, unit=unit, holes=holes, low=low, high=high))
    return replace(vehicle, adjusters=tuple(kept)), tuple(notes)


def in_unit(figure: Figure, unit: str) -> float:
    """Bring a figure to another unit of the same kind."""
    if dimension_of(figure.unit) != dimension_of(unit):
        raise UnitError(f"'{figure.value:g} {figure.unit}'", f"a figure in {unit}")
    return _converted(figure.value, figure.unit, unit)


def _converted(value: float, own: str, unit: str) -> float:
    kind = dimension_of(own)
    if own == unit or kind is None:
        return value
    factor, offset = unit_scale(own, kind)
    into, shifted = unit_scale(unit, kind)
    return float(f"{(value * factor + offset - shifted) / into:.12g}")


_VALUE = Field("value", "text", "8 deg")
PRICES = Field(
    "prices",
    "tables",
    '[[prices]] with name = "wing", setting = "wing_angle", price = 1450',
    fields=(
        Field("name", "text", "wing", required=True),
        Field("setting", "text", "wing_angle", required=True),
        _VALUE,
        Field("price", "number", "1450", required=True, low="0", high="10000000"),
        Field("currency", "text", "EUR"),
        Field("mass", "mass", "6 kg", low="-200 kg", high="200 kg"),
        Field("needs", "texts", '["splitter"]'),
    ),
)


def prices_from(document: Document, tables: list[dict[str, Any]] | None) -> tuple[Price, ...]:
    """Make prices from what was read, adding faults to the document."""
    made: list[Price] = []
    for k, table in enumerate(tables or []):
        name = table["name"] or ""
        if name and name in {one.name for one in made}:
            document.fault(
                ("prices", k, "name"),
                f"{quoted(name)} a second time",
                "a name of its own for each part",
                "give one of them another name",
            )
        made.append(
            Price(
                name=name,
                setting=table["setting"] or "",
                value=table["value"] or None,
                price=table["price"] or 0.0,
                currency=table["currency"] or "",
                mass=table["mass"] or 0.0,
                needs=table["needs"] or (),
            )
        )
    _hold_together(document, made)
    return tuple(made)


def _hold_together(document: Document, made: list[Price]) -> None:
    """Find needs of what has no price, and prices that cannot be added up."""
    names = [one.name for one in made]
    for k, one in enumerate(made):
        others = [quoted(name) for name in names if name != one.name]
        for needed in one.needs:
            if quoted(needed) not in others:
                document.fault(
                    ("prices", k, "needs"),
                    quoted(needed),
                    "the name of another part that has a price",
                    f"the others are called {', '.join(others)}" if others else "there is no other yet",
                )
    currencies = sorted({one.currency for one in made if one.currency})
    if len(currencies) > 1:
        document.fault(
            ("prices",),
            f"prices in {' and '.join(currencies)}",
            "one currency, since prices are added up",
            "bring all to one",
        )


def prices_in_units_of(vehicle: Vehicle, runs: tuple[Run, ...]) -> tuple[Vehicle, tuple[str, ...]]:
    """Bring the values of priced settings to what the columns of a day hold."""
    units = {name: one.unit for run in runs for name, one in run.settings.items() if one.numeric}
    kept, notes = [], []
    for one in vehicle.prices:
        unit = units.get(one.setting)
        if unit is None or not isinstance(one.value, str):  # none, or brought to it before
            kept.append(one)
            continue
        try:
            kept.append(replace(one, value=in_unit(read_figure(_VALUE, one.value), unit)))
        except UnitError as fault:
            notes.append(
                f"price of {one.name} left out: {one.setting} of the vehicle file: found {fault.found}, "
                f"expected a figure in {unit}"
            )
    return replace(vehicle, prices=tuple(kept)), tuple(notes)
