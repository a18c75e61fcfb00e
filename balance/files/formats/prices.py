"""What parts of a car cost, of vehicle.toml: which setting each belongs to, its price, its mass, what it needs."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

from balance.files.formats.adjusters import in_unit, read_figure
from balance.files.toml.fields import Field
from balance.model.errors import UnitError, quoted
from balance.model.records import Price

if TYPE_CHECKING:
    from balance.files.toml.document import Document
    from balance.model.records import Run, Vehicle

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
        if unit is None or one.value is None:
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
