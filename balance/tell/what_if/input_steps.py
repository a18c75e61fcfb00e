"""Move one thing of a what-if by steps, in round figures of the unit shown."""

from __future__ import annotations

from math import floor, log10
from typing import TYPE_CHECKING

from balance.model.what_ifs import Air
from balance.tell.what_if.input_edits import LISTS, moved, put, restated, swapped
from balance.tell.what_if.input_figures import SCALARS, Scalar, scalar_value, speed_and_pressure

if TYPE_CHECKING:
    from balance.decide.car.prepared_day import PreparedDay
    from balance.model.what_ifs import WhatIf
    from balance.tell.figures import Show

_FORCE, _MASS, _LENGTH = ("force", 10.0, 5.0), ("mass", 5.0, 10.0), ("length", 50.0, 2.0)
"""Kinds with their step in SI's shown unit and in US customary units."""


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
