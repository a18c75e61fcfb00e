"""Where an expectation from a library comes from, in words: always "expected, from n cars"."""

from __future__ import annotations

from typing import TYPE_CHECKING

from balance.decide.library.pooled import RANGE_NEEDS
from balance.model.errors import one_line

if TYPE_CHECKING:
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


def cars_words(cars: int) -> str:
    """Count cars."""
    return f"{cars or 'no'} car{'s' * (cars != 1)}"


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
    return f"; {found.own} day{'s' * (found.own != 1)} of this car left out" if found.own else ""


def named_source(called: str, found: FromLibrary) -> str:
    """State of a setting what a library expects of it, or why what is believed is assumed."""
    part = f" ({one_line(found.part)})" if found.part else ""
    own = left_out_words(found)
    if found.mean is None:
        return f"{called}{part}: assumed, for the library does not say ({one_line(found.why_not)}){own}"
    return f"{called}{part}: {source_words(found.cars)}{own}"


def offered_words(found: FromLibrary) -> str:
    """State what a part of the library would say, were it asked."""
    return (source_words(found.cars) if found.mean is not None else found.why_not) + left_out_words(found)
