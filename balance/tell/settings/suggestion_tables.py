"""Tables beside a suggested setting: what else would do, and what it does at every named speed."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from balance.decide.settings.trim import best_answer
from balance.model.channels import DRAG, FRONT, REAR, front_rear_drag
from balance.model.kinds import unit_mark
from balance.tell.figures import NONE, decimals_for, number
from balance.tell.settings.setting_words import family_settings, setting_decimals
from balance.tell.settings.suggestion_text import left_alone_range, left_alone_words
from balance.tell.table import Cell, Column, Table
from balance.tell.words import verdict_mark, verdict_role, verdict_short

if TYPE_CHECKING:
    from balance.decide.car.car_state import CarState
    from balance.decide.settings.suggestion import LeftAlone, Suggestion
    from balance.decide.settings.trim import Answer, TrimAnswer
    from balance.tell.figures import Show

Row = dict[str, "Cell"]


def _figure_columns(show: Show) -> tuple[Column, ...]:
    force = show.unit("force")
    return (
        Column("front", "front", unit=force, align="right", width=5, priority=3, term="downforce"),
        Column("rear", "rear", unit=force, align="right", width=5, priority=3, term="downforce"),
        Column("drag", "drag", unit=force, align="right", width=5, priority=4, term="drag"),
        Column("surplus", "grip R−F", unit="%", align="right", width=7, priority=1, term="grip_surplus"),
        Column(
            "offset",
            "behind wt",
            unit="points",
            align="right",
            width=9,
            priority=5,
            term="balance_offset",
        ),
        Column("verdict", "then", unit="at this speed", width=14, priority=6, term="verdict"),
    )


def alternatives_table(suggestion: Suggestion, show: Show) -> Table:
    """List the ways to the target: the answer, the real holes beside it, the other families, less or more at one axle."""
    whole = suggestion.answers.answer
    moved = whole.moved
    family = moved.response.family
    rows = [_row("before it is moved", f"{moved.start:g}", whole.before, show)]
    for k, one in enumerate(whole.solutions):
        way = "► target met" if k == 0 else f"► target met, {k + 1}"
        rows.append(_row(way, _value(one), one.state, show, role="strong"))
        rows += _holes(one, show)
    if whole.closest is not None:
        rows.append(_row("► nearest, short of target", _value(whole.closest), whole.closest.state, show))
        rows += _holes(whole.closest, show)
    for other in suggestion.answers.alternatives:
        rows += _other(other, show)
    rows += [
        {
            "way": Cell(left_alone_words(one, show)),
            "value": Cell(f"{moved.start:g}"),
            **_changed(whole, one, show),
        }
        for one in suggestion.left_alone
    ]
    return Table(
        heading=f"Options, at {show.speed(whole.speed)} and {show.quantity('density', whole.air_density)}",
        columns=(
            Column("way", "option", width=25, flexible=True, term="trim"),
            Column(
                "value",
                "setting",
                unit=unit_mark(family.unit),
                align="right",
                width=5,
                priority=0,
                term="setting",
            ),
            *_figure_columns(show),
        ),
        rows=tuple(rows),
    )


def places_table(suggestion: Suggestion, show: Show) -> Table | None:
    """List what the car as suggested does at every named speed."""
    if not suggestion.places:
        return None
    rows = tuple(
        {
            "place": Cell(place.name),
            "speed": Cell(show.bare("speed", place.speed)),
            **figure_cells(state, show),
        }
        for place, state in suggestion.places
    )
    return Table(
        heading="At every named speed",
        columns=(
            Column("place", "named", width=14, flexible=True, term="place"),
            Column(
                "speed", "speed", unit=show.unit("speed"), align="right", width=5, term="speed_of_interest"
            ),
            *_figure_columns(show),
        ),
        rows=rows,
    )


def figure_cells(state: CarState, show: Show) -> Row:
    """Write the figures of a car at its speed."""
    verdict = state.handling.verdicts[0]
    surplus = state.handling.grip_surplus
    offset = float(state.handling.balance_offset[0])
    value, std = float(surplus.value[0]) * 100.0, float(surplus.std[0]) * 100.0
    return {
        "front": _load(float(state.forces[FRONT]), float(state.stds[FRONT]), show),
        "rear": _load(float(state.forces[REAR]), float(state.stds[REAR]), show),
        "drag": Cell(show.bare("force", float(state.forces[DRAG]), std=float(state.stds[DRAG]))),
        "surplus": Cell(
            f"{verdict_mark(verdict)} {number(value, decimals_for(std, fallback=1, most=1))}", ""
        ),
        "offset": Cell(_offset(offset)),
        "verdict": Cell(verdict_short(verdict), verdict_role(verdict)),
    }


def _offset(offset: float) -> str:
    if not math.isfinite(offset):
        return "none"
    return f"{number(abs(offset) * 100.0, 1)}{'' if offset < 0.0 else ' ahead'}"


def _load(force: float, std: float, show: Show) -> Cell:
    return Cell(show.bare("force", force, std=std), "danger" if force < 0.0 else "")


def _value(one: Answer) -> str:
    return number(one.value, setting_decimals(one.low, one.high))


def _row(way: str, value: str, state: CarState, show: Show, *, role: str = "") -> Row:
    return {"way": Cell(way, role), "value": Cell(value, role), **figure_cells(state, show)}


def _holes(one: Answer, show: Show) -> list[Row]:
    safe = "  hole {}, more rear grip"
    return [
        _row(
            (safe if k == 0 and len(one.holes) > 1 else "  hole {}").format(hole.name),
            f"{hole.value:g}",
            hole.state,
            show,
        )
        for k, hole in enumerate(one.holes)
    ]


def _other(answer: TrimAnswer, show: Show) -> list[Row]:
    """Write the answer of another family."""
    fitted = [
        f"without {called}" if held is None else f"{called} {held.text}"
        for called, held in ((name.replace("_", " "), held) for name, held in family_settings(answer).items())
    ]
    name, best = ", ".join(fitted), best_answer(answer)
    if best is None:
        return [{"way": Cell(f"{name}: no setting in its range", "muted")}]
    met = bool(answer.solutions)
    return [
        _row(name if met else f"{name}, not met", _value(best), best.state, show),
        *_holes(best, show),
    ]


def _changed(whole: TrimAnswer, one: LeftAlone, show: Show) -> Row:
    """Write the loads with more or less on one axle."""
    front, rear, drag = (float(v) for v in front_rear_drag(whole.before.forces))
    front, rear = (front + one.change, rear) if one.axle == "front" else (front, rear + one.change)
    met = number(whole.aim.target * 100.0, 1)
    surplus, offset = (NONE, _offset(whole.aim.target)) if whole.aim.kind == "balance_offset" else (met, NONE)
    return {
        "front": _load(front, math.nan, show),
        "rear": _load(rear, math.nan, show),
        "drag": Cell(show.bare("force", drag)),
        "surplus": Cell(surplus),
        "offset": Cell(offset),
        "verdict": Cell(left_alone_range(one, show)),
    }
