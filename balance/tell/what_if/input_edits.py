"""Change one thing of a what-if, or bring it back to the start."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any, TypeVar, cast

from balance.model.channels import CHANNELS
from balance.tell.what_if.input_figures import SCALARS

if TYPE_CHECKING:
    from balance.model.libraries import FromLibrary
    from balance.model.records import Stated
    from balance.model.what_ifs import StatedChange, WhatIf

T = TypeVar("T")
LISTS = {"stated": "stated", "force": "forces", "mass": "masses"}
"""Kinds of inputs that are one of many, with the field that holds them."""


def swapped(one: T, name: str, value: object) -> T:
    """Return a record with another value in one of its fields."""
    changes: dict[str, Any] = {name: value}
    return cast("T", replace(cast("Any", one), **changes))


def moved(one: T, name: str, value: float, key: str = "") -> T:
    """Return a record with another figure in a field; what was said of its uncertainty stays."""
    said: Stated | None = cast("Any", one).uncertainties.get(key or name)
    return restated(one, name, value, None if said is None else replace(said, value=value), key)


def restated(one: T, name: str, value: object, said: Stated | None, key: str = "") -> T:
    """Return a record with another value in a field, and what is said of its uncertainty with it."""
    others = {other: kept for other, kept in cast("Any", one).uncertainties.items() if other != (key or name)}
    if said is not None and said.explicit:
        others[key or name] = said
    return swapped(swapped(one, name, value), "uncertainties", others)


def put(some: tuple[T, ...], k: int, one: T) -> tuple[T, ...]:
    """Return a tuple with another entry at a place."""
    return (*some[:k], one, *some[k + 1 :])


def says_something(change: StatedChange) -> bool:
    """Return whether a stated change changes anything, or says how sure that is."""
    return any(says_of(change, one) for one in CHANNELS)


def says_of(change: StatedChange, axle: str) -> bool:
    """Return whether a stated change says something of one of front, rear and drag."""
    return bool(getattr(change, axle) or getattr(change, f"{axle}_std") or axle in change.assumed)


def without(change: StatedChange, axle: str) -> StatedChange:
    """Take one of front, rear and drag out of a stated change."""
    left = swapped(swapped(change, axle, 0.0), f"{axle}_std", 0.0)
    return replace(left, assumed=tuple(one for one in change.assumed if one != axle))


def _label(part: str | FromLibrary) -> str:
    """Return what names a part: the label of its run, or its name in a library."""
    return part if isinstance(part, str) else part.part


def cleared(what_if: WhatIf, key: str) -> WhatIf:
    """Bring one thing back to the start, or take it out."""
    kind, _, rest = key.partition(":")
    if kind in LISTS and rest:
        field, (place, name) = LISTS[kind], rest.split(":")
        some, k = getattr(what_if, field), int(place)
        if kind == "stated":
            left = without(some[k], name)
            if says_something(left):
                return swapped(what_if, field, put(some, k, left))
        return swapped(what_if, field, (*some[:k], *some[k + 1 :]))
    if kind == "setting":
        others = tuple(pair for pair in what_if.settings if pair[0] != rest)
        return restated(what_if, "settings", others, None, f"settings.{rest}")
    if kind in ("on", "off", "library"):
        return swapped(what_if, kind, tuple(one for one in getattr(what_if, kind) if _label(one) != rest))
    if kind == "loading":
        return swapped(what_if, kind, "")
    scalar = next((one for one in SCALARS if one.field == key), None)
    return what_if if scalar is None else restated(what_if, key, None, None, scalar.file_key)
