"""What-ifs beside their start: a row a quantity, a column a car."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING

from balance.decide.day.verdict import VerdictWord
from balance.model.channels import DRAG, FRONT, REAR, TOTAL
from balance.tell.figures import NONE, behind_weight, interval, number, percent, points, toward
from balance.tell.parts.change_text import signed
from balance.tell.runs.range_words import balance_to, range_phrase, range_role, range_then
from balance.tell.settings.trim_text import car_lines
from balance.tell.table import Cell, Column, Table
from balance.tell.what_if.assumption_text import expected_words
from balance.tell.words import share_words

if TYPE_CHECKING:
    from collections.abc import Sequence

    from balance.decide.car.car_state import CarState
    from balance.decide.day.estimate import Estimate
    from balance.decide.day.range_verdict import RangeVerdict
    from balance.decide.what_if.what_if import WhatIfResult
    from balance.tell.figures import Show

PENDING = " …"
"""Stands behind a verdict whose interval is still being drawn."""


def _awaited(car: CarState, *, pending: bool) -> RangeVerdict | None:
    """Return the verdict over all speeds; while intervals are being drawn, marked as waiting for them."""
    return None if car.over_range is None else replace(car.over_range, awaited=pending)


def what_if_answer(result: WhatIfResult, show: Show, *, pending: bool) -> tuple[str, str]:
    """Answer in one sentence: what the car does over all its speeds, before and after."""
    cars = [_awaited(one, pending=pending) for one in (result.start, result.result)]
    before, after = ("" if one is None else range_phrase(one, show) for one in cars)
    wait = PENDING if pending else ""
    said = [f"Stays {after}{wait}" if before == after else f"From {before} to {after}{wait}"]
    if not pending and (cars[1] is None or cars[1].word is not VerdictWord.FRONT_OVERPOWERS):
        said += car_lines(result.result, show)[3:]
    if source := expected_words(result.assumptions):
        said.append(source)
    if cars[1] is not None and not (cars[1].certain or cars[1].awaited):
        said.append("cannot tell how sure")
    return "; ".join(said), "" if cars[1] is None else range_role(cars[1])


def what_if_table(
    cars: Sequence[tuple[str, CarState]],
    show: Show,
    *,
    changes: WhatIfResult | None = None,
    pending: bool = False,
) -> Table:
    """Set cars beside one another."""
    keys = [f"car{k}" for k in range(len(cars))]
    asked_for = keys[-1] if changes is not None else ""  # where one has room, it is the result, not the start
    columns = [
        Column("what", "", width=20, priority=0),
        *(
            Column(
                key,
                name,
                unit=f"at {show.bare('speed', car.speed)} {show.unit('speed')}",
                width=15,
                align="right",
                priority=0 if key == asked_for else 1,
            )
            for key, (name, car) in zip(keys, cars, strict=True)
        ),
    ]
    lines: dict[str, dict[str, Cell]] = {}
    for key, (_, car) in zip(keys, cars, strict=True):
        for what, cell in _figures(car, show, pending=pending):
            lines.setdefault(what, {"what": Cell(what)})[key] = cell
    if changes is not None:
        columns.append(Column("change", "change", unit="95 %", width=20, align="right", priority=2))
        for what, text in _changes(changes, show):
            lines[what]["change"] = Cell(text)
    return Table(columns=tuple(columns), rows=tuple(lines.values()))


def _figures(car: CarState, show: Show, *, pending: bool) -> list[tuple[str, Cell]]:
    front, rear, drag, total = (float(car.forces[k]) for k in (FRONT, REAR, DRAG, TOTAL))
    stds = [float(v) for v in car.stds]
    handling = car.handling
    nominal, verdict = handling.nominal, handling.verdicts[0]
    share, surplus = float(handling.aero_balance.value[0]), handling.grip_surplus
    shift, std = handling.neutral_steer_shift, float(surplus.std[0])
    force, power = show.unit("force"), show.unit("power")
    driven = handling.grip_surplus_driven
    with_drive = NONE if driven is None else percent(float(driven.value[0]), float(driven.std[0]))
    balance = f"{percent(share)}" if math.isfinite(share) else share_words(front, rear)
    held = NONE if car.power_speed is None else show.speed(car.power_speed)
    return [
        (f"front load [{force}]", _load(front, stds[FRONT], show)),
        (f"rear load [{force}]", _load(rear, stds[REAR], show)),
        (f"total [{force}]", _load(total, stds[TOTAL], show)),
        (f"drag [{force}]", Cell(show.bare("force", drag, std=stds[DRAG]))),
        ("added, front", _added(float(nominal.front_added_load[0]))),
        ("added, rear", _added(float(nominal.rear_added_load[0]))),
        ("aero balance", Cell(balance)),
        ("behind weight", Cell(_short_points(behind_weight(float(handling.balance_offset[0]))), "")),
        ("grip balance", Cell(percent(float(surplus.value[0]), std), "strong")),
        ("interval [%]", Cell(_interval(surplus, std), "muted")),
        ("powered", Cell(with_drive, "strong" if verdict.with_drive else "")),
        *_at_ground(car),
        *_over_range(_awaited(car, pending=pending), show, pending=pending),
        ("NS shift", Cell(_short_toward(toward(float(shift.value[0]), float(shift.std[0]))), "")),
        (f"power [{power}]", Cell(show.bare("power", car.drag_power))),
        ("drag-limited", Cell(held)),
        ("mass", Cell(show.quantity("mass", car.vehicle.mass))),
        ("front weight", Cell(percent(car.vehicle.front_share))),
        ("air", Cell(show.quantity("density", car.air_density))),
    ]


def _over_range(one: RangeVerdict | None, show: Show, *, pending: bool) -> list[tuple[str, Cell]]:
    """Return what the car does over all its speeds: up to where it is in balance, and then."""
    if one is None:
        return []
    role, wait = range_role(one), PENDING if pending else ""
    to = balance_to(one, show)
    unit = "" if to == "top" else f" {show.unit('speed')}"
    return [("in balance to", Cell(f"{to}{unit}", role)), ("then", Cell(f"{range_then(one)}{wait}", role))]


def _at_ground(car: CarState) -> list[tuple[str, Cell]]:
    """Return the surplus with drag reacted at ground level, where it is held above; marked where the class is another."""
    if car.ground is None:
        return []
    return [
        (
            "drag at ground",
            Cell(percent(car.ground.at_ground), "warn" if car.ground.differs else "muted"),
        )
    ]


def _interval(surplus: Estimate, std: float) -> str:
    return interval(float(surplus.low[0]), float(surplus.high[0]), std).removesuffix(" %") or NONE


def _added(share: float) -> Cell:
    return Cell(f"{percent(share)}{' LIFT' if share < 0.0 else ''}", "danger" if share < 0.0 else "")


def _short_points(text: str) -> str:
    """Cut what the row's head says already."""
    return text.replace(" weight", "").removesuffix(" from")


def _short_toward(text: str) -> str:
    return text.replace(" towards understeer", " under").replace(" towards oversteer", " over")


def _load(force: float, std: float, show: Show) -> Cell:
    return Cell(
        f"{show.bare('force', force, std=std)}{' LIFT' if force < 0.0 else ''}",
        "danger" if force < 0.0 else "",
    )


def _changes(result: WhatIfResult, show: Show) -> list[tuple[str, str]]:
    force = show.unit("force")
    rows = [
        (name, _change(result, k, show))
        for name, k in (
            (f"front load [{force}]", FRONT),
            (f"rear load [{force}]", REAR),
            (f"drag [{force}]", DRAG),
            (f"total [{force}]", TOTAL),
        )
    ]
    surplus = result.grip_surplus
    value, std = float(surplus.value[0]), float(surplus.std[0])
    if math.isfinite(value):
        rows.append(
            ("grip balance", f"{'+' if value > 0 else ''}{percent(value, std).removesuffix(' %')} points")
        )
        rows.append(("interval [%]", _interval(surplus, std)))
    balance = float(result.aero_balance.value[0])
    if math.isfinite(balance):
        rows.append(("aero balance", points(balance)))
    unit = show.system.unit("power")
    extra = number(unit.from_si(result.result.drag_power - result.start.drag_power), 0)
    rows.append((f"power [{show.unit('power')}]", extra if extra.startswith("−") else f"+{extra}"))
    return rows


def _change(result: WhatIfResult, k: int, show: Show) -> str:
    value, std = float(result.forces.value[k]), float(result.forces.std[k])
    text = signed(show, value, std)
    low, high = float(result.forces.low[k]), float(result.forces.high[k])
    if math.isnan(low) or low == high:
        return text
    return f"{text} ({show.low_to_high('force', low, high, std=std)})"
