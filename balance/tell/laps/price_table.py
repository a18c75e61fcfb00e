"""Which packages of priced parts no other beats in price, seconds and balance."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from balance.model.records import Setting
from balance.tell.figures import NONE, percent
from balance.tell.laps.worth_words import half_cell, half_unit
from balance.tell.parts.part_names import setting_words
from balance.tell.table import Cell, Column, Table, table_of

if TYPE_CHECKING:
    from balance.decide.laps.buying import ForSale
    from balance.decide.laps.packages import Package, Packages
    from balance.model.records import Session

NO_PRICES = "No prices: state them under [[prices]] in vehicle.toml, with name, setting and price."


def price_heading(sale: ForSale, found: Packages | None) -> str:
    """Head the packages: how many there are of how many, or why there are none."""
    if sale.buying is None or found is None:
        return "None of the priced parts was run on this day" if sale.untested else NO_PRICES
    return f"{len(found.front)} of {found.permitted} packages: none beats them in price, seconds and balance"


def price_notes(sale: ForSale, found: Packages | None, *, brief: bool = False) -> str:
    """State which packages are not offered, at which speeds that was judged, and what was not run."""
    said = []
    if found is not None:
        said.append(
            f"{found.outside + found.risky} packages are outside the limits at a named speed: not offered."
        )
        if not brief:
            said.append(
                "A sum was not run together; effects are what the day makes most likely, the parts' mass with it."
            )
        if found.start_outside and not brief:
            said.append("The start itself is outside its limits.")
    if sale.untested:
        said.append(f"Not run: {', '.join(sale.untested)}.")
    return " ".join(said)


def price_table(session: Session, sale: ForSale, found: Packages | None, *, confidence: float) -> Table:
    """List the packages, cheapest first: price, seconds with interval, how sure of the balance, and whether it was run."""
    columns = [
        Column("package", "package", width=30, flexible=True, term="package"),
        Column("price", "price", unit=sale.currency, align="right", width=6, term="package"),
        Column(
            "worth", "to start", unit=half_unit(confidence), align="right", width=15, term="seconds_a_lap"
        ),
        Column(
            "within", "in limits", unit="of draws", align="right", width=9, priority=2, term="share_in_limits"
        ),
        Column("run", "run", width=8, priority=1, term="summed_package"),
    ]
    rows = []
    for one in () if found is None else found.front:
        low, high = (math.nan if end is None else end for end in (one.seconds_low, one.seconds_high))
        rows.append(
            [
                Cell(package_name(session, sale, one)),
                Cell(f"{one.price:,.0f}", value=one.price),
                half_cell(one.seconds, low, high),
                Cell(NONE if one.in_band is None else _share(one.in_band)),
                Cell("together" if one.run_together else "a sum", "" if one.run_together else "muted"),
            ]
        )
    return table_of(columns, rows, key="prices")


def package_name(session: Session, sale: ForSale, package: Package) -> str:
    """Name a package by its parts, the trimmed one with the value that it is trimmed to."""
    trimming = None if sale.buying is None else sale.buying.trimming
    names = list(package.parts)
    if trimming is not None and package.trimmed_to is not None:
        held = Setting(value=round(package.trimmed_to, 1), unit=_unit(session, trimming.name))
        if trimming.part in names:
            names[names.index(trimming.part)] = setting_words(trimming.part, held)
        else:
            names.append(setting_words(trimming.name, held))
    return ", ".join(names) or "nothing: the start"


def _share(share: float) -> str:
    """Write a share of draws; however many agree, none of them is certainty."""
    text = percent(share, decimals=0)
    return "> 99 %" if text == "100 %" else text


def _unit(session: Session, name: str) -> str:
    return next((run.settings[name].unit for run in session.runs if name in run.settings), "")
