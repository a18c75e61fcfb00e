"""The values of the registered quantities, out of the results that hold them."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any, Protocol

import numpy as np

from balance.model.channels import WITH_TOTAL

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from balance.decide.day.estimate import HandlingEstimates
    from balance.model.quantities import Quantity


class Result(Protocol):
    """What holds quantities: a session at one speed, one run at many speeds, or one car at one speed."""

    @property
    def handling(self) -> HandlingEstimates:
        """Loads, balance, shift, surplus and verdicts."""


def held(result: Result, path: str) -> Any:
    """Return what a result holds at a place: the values of all its runs or speeds."""
    found: Any = result
    for name in path.split("."):
        if isinstance(found, np.ndarray):
            found = found[..., WITH_TOTAL.index(name)]
        elif isinstance(found, tuple):
            found = tuple(getattr(item, name) for item in found)
        elif found is not None:
            found = getattr(found, name)
    return found


def finite(value: float | None) -> float | None:
    """Return a plain float, or nothing where it is no finite number.

    Examples
    --------
    >>> finite(float("inf")), finite(1)
    (None, 1.0)
    """
    return None if value is None or not math.isfinite(value) else float(value)


def records(result: Result, wanted: Iterable[Quantity], count: int) -> list[dict[str, Any]]:
    """Return the wanted quantities of each run or speed as plain records."""
    columns: dict[str, list[Any]] = {}
    for quantity in wanted:
        values = _plain(held(result, quantity.value), count)
        columns[quantity.key] = values
        if quantity.std:
            columns[f"{quantity.key}_std"] = _plain(held(result, quantity.std), count)
        if quantity.interval:
            key = quantity.interval_key or f"{quantity.key}_interval"
            columns[key] = _intervals(held(result, quantity.interval), values)
    return [dict(zip(columns, row, strict=True)) for row in zip(*columns.values(), strict=True)]


def _plain(values: Any, count: int) -> list[Any]:
    """Turn an array, a tuple or one figure into plain values, one for each run or speed."""
    if values is None:
        return [None] * count
    return [_plain_value(value) for value in (values if isinstance(values, tuple) else np.atleast_1d(values))]


def _plain_value(value: Any) -> Any:
    if value is None or isinstance(value, str):
        return None if value is None else str(value)
    return dict(value) if hasattr(value, "items") else finite(value)


def _intervals(estimate: Any, values: Sequence[Any]) -> list[Any]:
    """Pair low and high ends; nothing where there is no interval, and nothing for an end that is never reached."""
    if estimate is None:
        return [None] * len(values)
    ends = zip(values, np.atleast_1d(estimate.low), np.atleast_1d(estimate.high), strict=True)
    return [
        None if math.isnan(low) or (value is None and math.isinf(low)) else [finite(low), finite(high)]
        for value, low, high in ends
    ]
