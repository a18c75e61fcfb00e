"""Packages of priced parts in words, held against the packages themselves."""

import pytest

from balance.decide.laps.buying import ForSale, buying_of_day
from balance.decide.laps.packages import price_packages
from balance.model.plans import DayPlan
from balance.tell.laps.price_table import NO_PRICES, package_name, price_heading, price_notes, price_table


@pytest.fixture(scope="module")
def sale(hatch_laps):
    return buying_of_day(hatch_laps.day, DayPlan(), hatch_laps.track)


@pytest.fixture(scope="module")
def packages(sale):
    return price_packages(sale.buying)


def test_each_package_has_its_price_seconds_and_whether_it_was_run(hatch_laps, sale, packages):
    table = price_table(hatch_laps.day.session, sale, packages, confidence=0.95)
    assert len(table.rows) == len(packages.front)
    assert {column.key: column.unit for column in table.columns}["price"] == "EUR"
    for row, one in enumerate(packages.front):
        assert table.cell(row, "price").value == one.price
        assert table.cell(row, "worth").value == one.seconds
        assert table.cell(row, "worth").text.startswith("~") == (one.seconds_low <= 0.0 <= one.seconds_high)
        assert table.cell(row, "run").text == ("together" if one.run_together else "a sum")
        assert table.cell(row, "within").text != "100 %"  # however many draws agree, none is certainty


def test_the_trimmed_part_says_what_it_is_trimmed_to(hatch_laps, sale, packages):
    session = hatch_laps.day.session
    for one in packages.front:
        name = package_name(session, sale, one)
        assert all(part in name for part in one.parts)
        assert ("°" in name) == ("wing" in one.parts)


def test_what_is_not_offered_is_counted(sale, packages):
    assert price_heading(sale, packages).startswith(f"{len(packages.front)} of {packages.permitted} packages")
    assert price_notes(sale, packages).startswith(f"{packages.outside + packages.risky} packages are outside")
    assert "not offered" in price_notes(sale, packages, brief=True)


def test_without_prices_or_runs_it_says_so():
    assert price_heading(ForSale(None, (), ""), None) == NO_PRICES
    untried = ForSale(None, ("diffuser",), "EUR")
    assert price_heading(untried, None) == "None of the priced parts was run on this day"
    assert price_notes(untried, None) == "Not run: diffuser."
