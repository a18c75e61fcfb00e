"""Results of neighbouring runs or speeds, worked out in pieces that fit a processor's cache, joined again."""

from __future__ import annotations

from dataclasses import fields
from typing import TYPE_CHECKING, Any, TypeVar, cast

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Sequence

_T = TypeVar("_T")
CHUNK = 50_000
"""Numbers in one array of draws: small enough to stay in a processor's cache."""


def take_estimates(whole: _T, places: Sequence[int]) -> _T:
    """Pick some runs or speeds out of a result.

    Field by field: entries of arrays and tuples are picked, in the order asked for.
    """
    index = list(places)
    picked: dict[str, Any] = {}
    for field in fields(cast("Any", whole)):
        held = getattr(whole, field.name)
        if isinstance(held, np.ndarray):
            picked[field.name] = held[index]
        elif isinstance(held, tuple):
            picked[field.name] = tuple(held[k] for k in index) if held else held
        else:
            picked[field.name] = None if held is None else take_estimates(held, index)
    return type(whole)(**picked)


def join_estimates(parts: list[_T]) -> _T:
    """Join results of neighbouring runs or speeds into one.

    Field by field: arrays and tuples are joined end to end.
    """
    if len(parts) == 1:
        return parts[0]
    first = parts[0]
    joined: dict[str, Any] = {}
    for field in fields(cast("Any", first)):
        pieces = [getattr(part, field.name) for part in parts]
        if isinstance(pieces[0], np.ndarray):
            joined[field.name] = np.concatenate(pieces)
        elif isinstance(pieces[0], tuple):
            joined[field.name] = tuple(item for piece in pieces for item in piece)
        else:
            joined[field.name] = None if pieces[0] is None else join_estimates(pieces)
    return type(first)(**joined)
