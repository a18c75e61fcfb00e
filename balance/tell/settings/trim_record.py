"""Records of `axletrim trim` and `axletrim curve`: plain numbers in SI, settings in the unit of their column."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

import numpy as np

from balance.decide.settings.moved_setting import needed_change
from balance.decide.settings.response import Stall
from balance.model.channels import AXLES, CHANNELS, front_rear_drag
from balance.model.quantities import AT_SPEED
from balance.reduce.draws import spread
from balance.tell.export.quantity_values import finite, records
from balance.tell.figures import Show
from balance.tell.settings.setting_words import family_settings, seen
from balance.tell.settings.ways_table import way_record
from balance.tell.what_if.assumption_text import assumption_lines
from balance.units.shown import SI

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from balance.decide.car.car_state import CarState
    from balance.decide.settings.response import Response, Step
    from balance.decide.settings.trim import Answer, TrimAnswer
    from balance.decide.settings.trim_question import TrimAnswers
    from balance.decide.settings.ways import Way
    from balance.model.records import Run

_POINTS = 13
_CURVE_POINTS = 61


def state_record(state: CarState) -> dict[str, Any]:
    """Return the record of one car at one speed."""
    return records(state, AT_SPEED, 1)[0]


def wing_record(answers: TrimAnswers, ways: Sequence[Way] | None = None) -> dict[str, Any]:
    """Return the record of `axletrim trim --json`."""
    answer, question = answers.answer, answers.question
    moved, response = answer.moved, answer.moved.response
    adjuster = answer.adjuster
    low, high = answer.domain or (math.nan, math.nan)
    values = np.linspace(low, high, _POINTS) if answer.domain is not None else np.empty(0)
    q = answer.before.dynamic_pressure
    needed = needed_change(moved, answer.aim, values, dynamic_pressure=q) if values.size else None
    return {
        "format": "axletrim-wing/1",
        "setting": question.setting,
        "unit": response.family.unit,
        "from_run": question.run,
        "from_value": moved.start,
        "family": list(response.family.labels),
        "target": {answer.aim.kind: answer.aim.target},
        "speed_m_s": answer.speed,
        "air_density_kg_m3": answer.air_density,
        "before": state_record(answer.before),
        "solutions": [_answer(one, answer) for one in answer.solutions],
        "tested_range": list(response.tested),
        "useful_range": list(response.useful),
        "useful_range_ends_because": str(response.ends_because),
        "limit": response.limit,
        "own_axle": response.own_axle,
        "limits": None
        if adjuster is None
        else {"low": adjuster.low, "high": adjuster.high, "confirmed_by": adjuster.confirmed_by or None},
        "closest": None if answer.closest is None else _answer(answer.closest, answer),
        "needed_for_setting": None if needed is None else {"value": values.tolist(), **_of_axles(needed)},
        "ways": [] if ways is None else [way_record(way, moved.prepared, Show(SI)) for way in ways],
        "alternatives": [_alternative(one) for one in answers.alternatives],
        "steps": [step_record(step) for step in response.steps],
        "draws": moved.prepared.shared.count,
        "seed": moved.prepared.shared.seed,
        "confidence": moved.prepared.day.confidence,
        "assumptions": assumption_lines(answer.assumptions),
    }


def _of_axles(needed: Iterable[Sequence[Any]]) -> dict[str, Any]:
    """Write what the front, and what the rear, would still need, with the ends of the intervals."""
    record: dict[str, Any] = {}
    for axle, (change, low, high) in zip(CHANNELS[AXLES], needed, strict=True):
        record[f"{axle}_downforce_change_N"] = [finite(v) for v in change]
        record[f"{axle}_downforce_change_N_interval"] = _ends(low, high)
    return record


def step_record(step: Step) -> dict[str, Any]:
    """Return the record of a step between neighbouring tested settings."""
    return {
        "from": step.start,
        "to": step.end,
        "downforce_area_change_m2": step.downforce,
        "drag_area_change_m2": step.drag,
        "downforce_per_drag": step.downforce / step.drag
        if step.downforce > 0.0 and step.drag > 0.0
        else None,
        "stalled": step.stalled,
        "possibly_stalled": step.possibly_stalled,
        "levels_off": step.levels_off,
        "stalled_share": finite(step.stalled_share),
    }


def curve_record(
    response: Response, runs: Sequence[Run], *, speed: float, dynamic_pressure: float, confidence: float
) -> dict[str, Any]:
    """Return the record of `axletrim curve --json`."""
    family = response.family
    grid = np.unique(np.append(np.linspace(*response.tested, _CURVE_POINTS), family.values))
    useful = (grid >= response.useful[0]) & (grid <= response.useful[1])
    grid = grid[useful | np.isin(grid, family.values)]
    front, rear, drag = front_rear_drag(response.curve(grid) * dynamic_pressure)
    rows = {"front_downforce_N": front, "rear_downforce_N": rear, "drag_N": drag, "downforce_N": front + rear}
    record: dict[str, Any] = {
        "format": "axletrim-curve/1",
        "setting": family.setting,
        "unit": family.unit,
        "family": list(family.labels),
        "differs": list(family.differs),
        "speed_m_s": speed,
        "dynamic_pressure_Pa": dynamic_pressure,
        "tested": family.values.tolist(),
        "tested_range": list(response.tested),
        "useful_range": list(response.useful),
        "useful_range_ends_because": str(response.ends_because),
        "limit": response.limit,
        "own_axle": response.own_axle,
        "steps": [step_record(step) for step in response.steps],
        "value": grid.tolist(),
    }
    if words := seen(runs, family):
        record["seen"] = {name: [one or None for one in some] for name, some in words.items()}
    drawn = None if response.drawn is None else response.drawn(grid) * dynamic_pressure
    for k, (name, nominal) in enumerate(rows.items()):
        record[name] = nominal.tolist()
        if drawn is None:
            record[f"{name}_std"], record[f"{name}_interval"] = None, None
            continue
        std, low, high = spread(drawn[0] + drawn[1] if k == 3 else drawn[k], confidence)
        record[f"{name}_std"] = [finite(v) for v in std]
        record[f"{name}_interval"] = _ends(low, high)
    return record


def curve_rows(record: dict[str, Any]) -> list[dict[str, Any]]:
    """Turn a curve's record into rows for CSV."""
    family = "; ".join(record["family"])
    head = {key: record[key] for key in ("setting", "unit", "speed_m_s")}
    names = [
        key
        for key in record
        if key.startswith(("front_downforce_N", "rear_downforce_N", "downforce_N", "drag_N"))
    ]
    low, high = record["useful_range"]
    return [
        {
            "family": family,
            **head,
            "value": value,
            "tested": value in record["tested"],
            "inside_useful_range": low <= value <= high,
            **{name: None if record[name] is None else record[name][k] for name in names},
            **{
                f"seen.{name}": dict(zip(record["tested"], words, strict=True)).get(value)
                for name, words in record.get("seen", {}).items()
            },
        }
        for k, value in enumerate(record["value"])
    ]


def _answer(one: Answer, whole: TrimAnswer) -> dict[str, Any]:
    low, high = whole.moved.response.useful
    record = {
        "value": one.value,
        "interval": None if math.isnan(one.low) else [finite(one.low), finite(one.high)],
        "reached_share": finite(one.reached_share),
        "inside_useful_range": low <= one.value <= high,
        "possibly_stalled": Stall.POSSIBLY in one.stall,
        "levels_off": Stall.LEVELS_OFF in one.stall,
        "next_to_stall": Stall.NEXT in one.stall,
        **state_record(one.state),
        "range_verdict": str(one.over_range.word),
        "outside_at_a_place": one.outside,
        "holes": [{"hole": h.name, "value": h.value, **state_record(h.state)} for h in one.holes],
    }
    if one is whole.closest:
        record |= {"missing_front_N": one.missing_front, "missing_rear_N": one.missing_rear}
    return record


def _alternative(answer: TrimAnswer) -> dict[str, Any]:
    family = answer.moved.response.family
    fitted = {
        name: None if held is None else {"value": held.value, "unit": held.unit}
        for name, held in family_settings(answer).items()
    }
    return {
        "family": list(family.labels),
        "differs": fitted,
        "tested_range": list(answer.moved.response.tested),
        "useful_range": list(answer.moved.response.useful),
        "useful_range_ends_because": str(answer.moved.response.ends_because),
        "solutions": [_answer(one, answer) for one in answer.solutions],
        "closest": None if answer.closest is None else _answer(answer.closest, answer),
    }


def _ends(low: Any, high: Any) -> list[list[float | None]]:
    return [[finite(a), finite(b)] for a, b in zip(low, high, strict=True)]
