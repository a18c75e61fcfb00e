"""Change one thing of a what-if: by steps in round figures of the unit shown, or back to the start."""

from __future__ import annotations

from dataclasses import replace
from math import floor, log10
from typing import TYPE_CHECKING, Any, TypeVar, cast

from balance.model.channels import CHANNELS
from balance.model.what_ifs import Air
from balance.tell.what_if.input_figures import SCALARS, Scalar, scalar_value, speed_and_pressure

if TYPE_CHECKING:
    from balance.decide.car.prepared_day import PreparedDay
    from balance.model.libraries import FromLibrary
    from balance.model.records import Stated
    from balance.model.what_ifs import StatedChange, WhatIf
    from balance.tell.figures import Show

T = TypeVar("T")
LISTS = {"stated": "stated", "force": "forces", "mass": "masses"}
"""Kinds of inputs that are one of many, with the field that holds them."""
_FORCE, _MASS, _LENGTH = ("force", 10.0, 5.0), ("mass", 5.0, 10.0), ("length", 50.0, 2.0)
"""Kinds with their step in SI's shown unit and in US customary units."""


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


def stepped(prepared: PreparedDay, what_if: WhatIf, key: str, steps: int, speed: float, show: Show) -> WhatIf:
    """Move one thing by steps."""
    kind, _, rest = key.partition(":")
    scalar = next((one for one in SCALARS if one.field == key), None)
    if scalar is not None:
        return _step_scalar(prepared, what_if, scalar, steps, speed, show)
    if kind in LISTS:
        place, name = rest.split(":")
        return _step_listed(prepared, what_if, kind, int(place), name, steps, show)
    if kind == "setting":
        return _step_setting(prepared, what_if, rest, steps)
    if kind == "start":
        labels = prepared.day.readings.labels
        return swapped(what_if, "start", labels[(labels.index(what_if.start) + steps) % len(labels)])
    if kind == "loading":
        names = ["", *(one.name for one in prepared.day.session.vehicle.loadings)]
        here = names.index(what_if.loading) if what_if.loading in names else 0
        return swapped(what_if, "loading", names[(here + steps) % len(names)])
    return what_if


def round_step(about: float) -> float:
    """Choose a round step near a size.

    Examples
    --------
    >>> round_step(0.6), round_step(2.5), round_step(0.05)
    (0.5, 2.0, 0.05)
    """
    power = 10.0 ** floor(log10(about) + 1e-9)
    return float(f"{max(k for k in (1.0, 2.0, 5.0) if k * power <= about * (1.0 + 1e-9)) * power:.6g}")


def _wide_unit(kind: str, show: Show) -> bool:
    """Return whether a kind is shown in a unit of its own, several of SI's wide: pounds-force, kilograms-force."""
    return show.system.name == "US" or (kind == "force" and show.system.name == "kgf")


def _step_scalar(
    prepared: PreparedDay, what_if: WhatIf, one: Scalar, steps: int, speed: float, show: Show
) -> WhatIf:
    now, start = scalar_value(one, prepared, what_if, speed, show)
    value = _on_grid(now, one.step_us if _wide_unit(one.kind, show) else one.step, steps)
    if abs(value - start) < 1e-9 * max(1.0, abs(start)):
        return restated(what_if, one.field, None, None, one.file_key)
    if one.kind == "percent":
        value /= 100.0
    elif one.kind != "number":
        value = show.system.unit(one.kind).to_si(value)
    if one.field == "air":
        return swapped(what_if, one.field, Air(density=value))
    return moved(what_if, one.field, value, one.file_key)


def _step_listed(
    prepared: PreparedDay, what_if: WhatIf, kind: str, k: int, name: str, steps: int, show: Show
) -> WhatIf:
    """Move a figure of a stated change, a placed force or a placed mass."""
    some = getattr(what_if, LISTS[kind])
    one = some[k]
    is_load = kind == "stated" or name in ("downforce", "drag")
    step = _FORCE if is_load else _MASS if name == "mass" else _LENGTH
    scale = speed_and_pressure(prepared, one)[1] if is_load else 1.0
    unit = show.system.unit(step[0])
    shown = unit.from_si(getattr(one, name) * scale)
    value = unit.to_si(_on_grid(shown, step[2] if _wide_unit(step[0], show) else step[1], steps)) / scale
    other = swapped(one, name, value) if kind == "stated" else moved(one, name, value)
    return swapped(what_if, LISTS[kind], put(some, k, other))


def _step_setting(prepared: PreparedDay, what_if: WhatIf, name: str, steps: int) -> WhatIf:
    held = prepared.day.readings.runs[prepared.row(what_if.start)].settings.get(name)
    start = float(held.value) if held is not None and not isinstance(held.value, str) else None
    now = dict(what_if.settings).get(name, start)
    sweep = next((s for s in prepared.sweeps if s.setting == name and what_if.start in s.order), None)
    if now is None or sweep is None:
        return what_if
    low, high = float(sweep.values[0]), float(sweep.values[-1])
    value = min(max(_on_grid(now, round_step((high - low) / 20.0), steps), low), high)
    others = tuple(pair for pair in what_if.settings if pair[0] != name)
    if value == start:
        return restated(what_if, "settings", others, None, f"settings.{name}")
    return swapped(what_if, "settings", (*others, (name, value)))


def _on_grid(now: float, step: float, steps: int) -> float:
    """Move to the next multiples of a step."""
    shown = now / step
    nearest = round(shown)
    on_one = abs(shown - nearest) < 1e-6
    moved = nearest + steps if on_one else floor(shown) + (steps if steps > 0 else steps + 1)
    return float(f"{moved * step:.12g}")
