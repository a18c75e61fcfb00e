"""Change one thing of a what-if, or bring it back to the start."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any, TypeVar, cast

from balance.tell.dial_figures import SCALARS

if TYPE_CHECKING:
    from balance.what_ifs import StatedChange, WhatIf

T = TypeVar("T")
AXLES = ("front", "rear", "drag")
LISTS = {"stated": "stated", "force": "forces", "mass": "masses"}
"""Kinds of dials that are one of many, with the field that holds them."""


def swapped(one: T, name: str, value: object) -> T:
    """Give a record with another value in one of its fields.

    Parameters
    ----------
    one : dataclass
        The record.
    name : str
        The field.
    value : object
        What it is to hold.

    Returns
    -------
    dataclass
        A new record.
    """
    changes: dict[str, Any] = {name: value}
    return cast("T", replace(cast("Any", one), **changes))


def put(some: tuple[T, ...], k: int, one: T) -> tuple[T, ...]:
    """Give a tuple with another entry at a place.

    Parameters
    ----------
    some : tuple
        The entries.
    k : int
        The place.
    one : object
        The new entry.

    Returns
    -------
    tuple
        As long as before.
    """
    return (*some[:k], one, *some[k + 1 :])


def says_something(change: StatedChange) -> bool:
    """Tell whether a stated change changes anything, or says how sure that is."""
    return any(getattr(change, one) or getattr(change, f"{one}_std") for one in AXLES)


def cleared(what_if: WhatIf, key: str) -> WhatIf:
    """Bring one thing back to the start, or take it out.

    Parameters
    ----------
    what_if : WhatIf
        As it stands.
    key : str
        Key of its `balance.tell.dials.Dial`.

    Returns
    -------
    WhatIf
        Without the difference.
    """
    kind, _, rest = key.partition(":")
    if kind in LISTS and rest:
        field, (place, name) = LISTS[kind], rest.split(":")
        some, k = getattr(what_if, field), int(place)
        if kind == "stated":
            left = swapped(swapped(some[k], name, 0.0), f"{name}_std", 0.0)
            if says_something(left):
                return swapped(what_if, field, put(some, k, left))
        return swapped(what_if, field, (*some[:k], *some[k + 1 :]))
    if kind == "setting":
        return swapped(what_if, "settings", tuple(pair for pair in what_if.settings if pair[0] != rest))
    if kind in ("on", "off"):
        return swapped(what_if, kind, tuple(one for one in getattr(what_if, kind) if one != rest))
    if kind == "loading":
        return swapped(what_if, kind, "")
    return swapped(what_if, key, None) if any(one.field == key for one in SCALARS) else what_if
