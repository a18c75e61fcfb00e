"""What-ifs beside their start: a row a quantity, a column a car."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING

from balance.decide.verdict import VerdictWord
from balance.tell.figures import NONE, interval, number, percent, points, toward
from balance.tell.table import Cell, Column, Table
from balance.tell.wing_text import car_lines
from balance.tell.words import (
    onset_words,
    share_words,
    verdict_mark,
    verdict_role,
    verdict_short,
    verdict_words,
)

if TYPE_CHECKING:
    from collections.abc import Sequence

    from balance.decide.car_state import CarState
    from balance.decide.estimate import Estimate
    from balance.decide.verdict import Verdict
    from balance.decide.what_if import WhatIfResult
    from balance.tell.figures import Show

PENDING = " …"
"""Stands behind a verdict whose interval is still being drawn."""


def verdict_text(verdict: Verdict, *, pending: bool, short: bool = False) -> str:
    """Write a verdict with its mark; where its interval is still to come, as that of the nominal figures.

    Parameters
    ----------
    verdict : Verdict
        The verdict.
    pending : bool
        Whether intervals are still being drawn.
    short : bool, optional
        In at most 24 characters.

    Returns
    -------
    str
        The words.
    """
    one = replace(verdict, certain=True) if pending else verdict
    words = verdict_short(one) if short else verdict_words(one)
    return f"{verdict_mark(one)} {words}{PENDING if pending else ''}"


def what_if_answer(result: WhatIfResult, show: Show, *, pending: bool) -> tuple[str, str]:
    """Answer in one sentence: which axle is overpowered before and after.

    Parameters
    ----------
    result : WhatIfResult
        As evaluated.
    show : Show
        System of units.
    pending : bool
        Whether intervals are still being drawn.

    Returns
    -------
    tuple of str
        The sentence, and the role of the verdict after.
    """
    before, after = (
        f"{verdict_text(one.handling.verdicts[0], pending=pending)} at {show.speed(one.speed)}"
        for one in (result.start, result.result)
    )
    verdict = result.result.handling.verdicts[0]
    said = [f"Stays {after}" if before == after else f"From {before} to {after}"]
    if not pending and verdict.word is not VerdictWord.FRONT_OVERPOWERS:
        said += car_lines(result.result, show)[3:]
    if verdict.by_drive:
        said.append("the drive force decides that, not the air load alone")
    return "; ".join(said), verdict_role(verdict)


def what_if_table(
    cars: Sequence[tuple[str, CarState]],
    show: Show,
    *,
    changes: WhatIfResult | None = None,
    pending: bool = False,
) -> Table:
    """Set cars beside one another.

    Parameters
    ----------
    cars : sequence of (str, CarState)
        Name and car of each column.
    show : Show
        System of units.
    changes : WhatIfResult, optional
        Adds a column with the changes.
    pending : bool, optional
        Whether intervals are still being drawn.

    Returns
    -------
    Table
        Loads, balance, verdict, power, weights; each with its unit.
    """
    keys = [f"car{k}" for k in range(len(cars))]
    columns = [
        Column(key="what", title="", width=20, priority=0),
        *(
            Column(
                key=key,
                title=name,
                unit=f"at {show.bare('speed', car.speed)} {show.unit('speed')}",
                width=15,
                align="right",
            )
            for key, (name, car) in zip(keys, cars, strict=True)
        ),
    ]
    lines: dict[str, dict[str, Cell]] = {}
    for key, (_, car) in zip(keys, cars, strict=True):
        for what, cell in _figures(car, show, pending=pending):
            if what == "verdict" and changes is not None:
                continue  # the sentence above says it, before and after
            lines.setdefault(what, {"what": Cell(what, "")})[key] = cell
    if changes is not None:
        columns.append(Column(key="change", title="change", unit="95 %", width=20, align="right", priority=2))
        for what, text in _changes(changes, show):
            lines[what]["change"] = Cell(text, "")
    return Table(columns=tuple(columns), rows=tuple(lines.values()))


def _figures(car: CarState, show: Show, *, pending: bool) -> list[tuple[str, Cell]]:
    front, rear, drag, total = (float(v) for v in car.forces)
    stds = [float(v) for v in car.stds]
    handling = car.handling
    nominal, verdict = handling.nominal, handling.verdicts[0]
    share, surplus = float(handling.aero_balance.value[0]), handling.grip_surplus
    shift, std = handling.neutral_steer_shift, float(surplus.std[0])
    force, power = show.unit("force"), show.unit("power")
    driven = handling.grip_surplus_driven
    with_drive = NONE if driven is None else percent(float(driven.value[0]), float(driven.std[0]))
    balance = f"{percent(share)}" if math.isfinite(share) else share_words(front, rear).partition(",")[0]
    held = NONE if car.power_speed is None else show.speed(car.power_speed)
    onset = NONE if car.onsets is None else _onset(car, show)
    return [
        (f"front load [{force}]", _load(front, stds[0], show)),
        (f"rear load [{force}]", _load(rear, stds[1], show)),
        (f"total [{force}]", _load(total, stds[3], show)),
        (f"drag [{force}]", Cell(show.bare("force", drag, std=stds[2]), "")),
        ("front added", _added(float(nominal.front_added_load[0]))),
        ("rear added", _added(float(nominal.rear_added_load[0]))),
        ("front share", Cell(balance, "")),
        ("of weight", Cell(_short_points(points(float(handling.balance_offset[0]))), "")),
        ("grip surplus", Cell(percent(float(surplus.value[0]), std), "strong")),
        ("interval [%]", Cell(_interval(surplus, std), "muted")),
        ("with drive", Cell(with_drive, "strong" if verdict.with_drive else "")),
        *_at_ground(car),
        ("verdict", Cell(verdict_text(verdict, pending=pending, short=True), verdict_role(verdict))),
        ("onset", Cell(onset, "")),
        ("shift toward", Cell(_short_toward(toward(float(shift.value[0]), float(shift.std[0]))), "")),
        (f"power [{power}]", Cell(show.bare("power", car.drag_power), "")),
        ("speed held", Cell(held, "")),
        ("mass", Cell(show.quantity("mass", car.vehicle.mass), "")),
        ("front weight", Cell(percent(car.vehicle.front_share), "")),
        ("air", Cell(show.quantity("density", car.air_density), "")),
    ]


def _at_ground(car: CarState) -> list[tuple[str, Cell]]:
    """Give the surplus with drag reacted at ground level, where it is held above; marked where the class is another."""
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
    return text.replace(" rearward", " rear").replace(" forward", " front")


def _short_toward(text: str) -> str:
    return text.replace(" toward understeer", " under").replace(" toward oversteer", " over")


def _onset(car: CarState, show: Show) -> str:
    assert car.onsets is not None  # noqa: S101 - asked by its caller
    speed = float(car.onsets.speed[0])
    if not math.isfinite(speed):
        return "never"
    words = onset_words(speed, car.onsets.verdict[0], tested=math.inf, top_speed=None, show=show)
    side = "front" if words.startswith("THE FRONT") else "rear"
    return f"{side} {show.speed(speed)}"


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
            (f"front load [{force}]", 0),
            (f"rear load [{force}]", 1),
            (f"drag [{force}]", 2),
            (f"total [{force}]", 3),
        )
    ]
    surplus = result.grip_surplus
    value, std = float(surplus.value[0]), float(surplus.std[0])
    if math.isfinite(value):
        rows.append(("grip surplus", f"{'+' if value > 0 else ''}{percent(value, std)}"))
        rows.append(("interval [%]", _interval(surplus, std)))
    balance = float(result.aero_balance.value[0])
    if math.isfinite(balance):
        rows.append(("front share", _short_points(points(balance))))
    unit = show.system.unit("power")
    extra = number(unit.from_si(result.result.drag_power - result.start.drag_power), 0)
    rows.append((f"power [{show.unit('power')}]", extra if extra.startswith("−") else f"+{extra}"))
    return rows


def _change(result: WhatIfResult, k: int, show: Show) -> str:
    value, std = float(result.forces.value[k]), float(result.forces.std[k])
    text = show.bare("force", value, std=std)
    text = f"+{text}" if value > 0.0 and text.strip("0.") else text
    low, high = float(result.forces.low[k]), float(result.forces.high[k])
    if math.isnan(low) or low == high:
        return text
    return f"{text} ({show.bare('force', low, std=std)} to {show.bare('force', high, std=std)})"
