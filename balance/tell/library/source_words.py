"""Where an expectation from a library comes from, in words: always "expected, from n cars"."""

from __future__ import annotations

from typing import TYPE_CHECKING

from balance.decide.library.pooled import RANGE_NEEDS
from balance.model.errors import one_line
from balance.tell.figures import counted

if TYPE_CHECKING:
    from collections.abc import Sequence

    from balance.model.libraries import FromLibrary

_FIVE = {5: "five"}.get(RANGE_NEEDS, str(RANGE_NEEDS))


def source_words(cars: int) -> str:
    """Name where an expectation comes from.

    Examples
    --------
    >>> source_words(7)
    'expected, from 7 cars'
    """
    return f"expected, from {cars_words(cars)}"


def expected_source(found: FromLibrary) -> str:
    """Name where an expectation comes from: the car's own days, else other cars."""
    return f"expected, from {own_words(found.own_dates)}" if found.own_dates else source_words(found.cars)


def weakest_source(some: Sequence[FromLibrary]) -> FromLibrary:
    """Return of several sources the one that says least: other cars before the car itself, of those the fewest."""
    return min(some, key=lambda one: (bool(one.own_dates), one.cars))


def own_words(dates: Sequence[str]) -> str:
    """Name days of the car itself.

    Examples
    --------
    >>> own_words(["2026-02-11"]), own_words(["2026-02-11", "2026-03-02"])
    ("this car's own day 2026-02-11", "this car's own days 2026-02-11, 2026-03-02")
    """
    return f"this car's own day{'s' * (len(dates) > 1)} {one_line(', '.join(dates))}"


def measured_words(runs: Sequence[str], pointed: str) -> str:
    """Point behind a source to the run of the open day that measured a part; empty where none did."""
    return f"; this day measured it: {pointed}{runs[0]}" if runs else ""


def cars_words(cars: int) -> str:
    """Count cars."""
    return counted(cars, "car") if cars else "no cars"


def too_few_words(cars: int) -> str:
    """State that there are too few cars for what the next one may do.

    Examples
    --------
    >>> too_few_words(2)
    '2 cars: too few for what a next car may do, which takes five'
    """
    return f"{cars_words(cars)}: too few for what a next car may do, which takes {_FIVE}"


def left_out_words(found: FromLibrary) -> str:
    """State behind a source how many days of the car itself are left out; empty where none is."""
    return f"; {counted(found.own, 'day')} of this car left out" if found.own else ""


def named_source(called: str, found: FromLibrary) -> str:
    """State of a setting what a library expects of it, or why what is believed is assumed."""
    part = f" ({one_line(found.part)})" if found.part else ""
    behind = left_out_words(found) + measured_words(found.measured, "run ")
    if found.mean is None:
        return f"{called}{part}: assumed, for the library does not say ({one_line(found.why_not)}){behind}"
    return f"{called}{part}: {expected_source(found)}{behind}"


def offered_words(found: FromLibrary) -> str:
    """State what a part of the library would say, were it asked."""
    said = expected_source(found) if found.mean is not None else found.why_not
    return said + left_out_words(found) + measured_words(found.measured, "run ")
