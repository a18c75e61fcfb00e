"""Everything known about one run, section by section."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from balance.decide.day.sweeps import sweep
from balance.handling.axle_loads import static_axle_weights
from balance.model.channels import DRAG, FRONT, REAR, TOTAL
from balance.model.quantities import READING, quantities
from balance.tell.export.quantity_values import held
from balance.tell.figures import behind_weight, interval, number, percent, toward
from balance.tell.runs.overturn_words import beyond_repeats, overturn_lines
from balance.tell.runs.range_words import range_line, range_mark, range_sentence
from balance.tell.runs.reading_words import reading_lines
from balance.tell.runs.remarks import row_at_ground, run_remarks
from balance.tell.runs.row_names import row_title
from balance.tell.words import (
    explanation,
    headline,
    onset_words,
    percent_of,
    probability_words,
    share_words,
    target_words,
    verdict_mark,
    verdict_words,
)

if TYPE_CHECKING:
    from balance.decide.day.assessment import Assessment
    from balance.model.records import Run
    from balance.tell.figures import Show


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """A heading, and lines of label and text under it; a line without a label is a sentence."""

    heading: str
    lines: tuple[tuple[str, str], ...]


def run_detail(table: Assessment, row: int, show: Show) -> tuple[Section, ...]:
    """Gather everything known about one run."""
    run = table.runs[row]
    sections = (
        (row_title(table, row), _answer(table, row, show)),
        ("What would change this", _overturned(table, row, show)),
        (
            f"Loads at {show.speed(table.speed)}, {show.quantity('density', table.air_density)}",
            _loads(table, row, show),
        ),
        ("Balance", _balance(table, row, show)),
        ("At each named speed", _places(table, row, show)),
        ("The reading", reading_lines(table, table.reading(row), show)),
        ("Coefficients after SAE J1594, lift positive up", _coefficients(table, row)),
        ("What was fitted", _fitted(run)),
        ("Notes", [("", note) for note in run_remarks(table, row, show)]),
    )
    return tuple(Section(heading=heading, lines=tuple(lines)) for heading, lines in sections if lines)


def _answer(table: Assessment, row: int, show: Show) -> list[tuple[str, str]]:
    verdict, session, over = table.handling.verdicts[row], table.day.session, table.ranges[row]
    return [
        ("", f"{range_mark(over)} {range_sentence(over, session.vehicle, show, day=table.day)}"),
        ("", range_line(over, show)),
        ("", f"{verdict_mark(verdict)} {headline(verdict, table.speed, show)}"),
        ("", explanation(verdict, table.speed, session.vehicle.target, show)),
        ("", onset_line(table, row, show)),
        ("", probability_words(verdict)),
    ]


def _overturned(table: Assessment, row: int, show: Show) -> list[tuple[str, str]]:
    said = [*overturn_lines(table, row, show), beyond_repeats(table, row, show)]
    return [("", one) for one in said if one]


def label(key: str) -> str:
    """Return what a registered quantity is called in a list."""
    return quantities()[key].title


def onset_line(table: Assessment, row: int, show: Show) -> str:
    """State from which speed the tolerance is passed, with its interval."""
    onsets, day = table.onsets, table.day
    tested = max(float(day.readings.speed[r]) for r in day.configurations[day.group_of[table.reading(row)]])
    top = day.session.vehicle.top_speed
    if onsets.driven_speed is not None:
        speed, side = float(onsets.driven_speed[row]), onsets.driven_verdict[row]
        return f"Under power: {onset_words(speed, side, tested=tested, top_speed=top, show=show)}"
    text = onset_words(float(onsets.speed[row]), onsets.verdict[row], tested=tested, top_speed=top, show=show)
    low, high = float(onsets.low[row]), float(onsets.high[row])
    if not math.isfinite(float(onsets.speed[row])) or math.isnan(low):
        return f"From air loads: {text}"
    end = show.speed(high) if math.isfinite(high) else "never"
    return f"From air loads: {text}, interval {show.bare('speed', low)} to {end}"


def _loads(table: Assessment, row: int, show: Show) -> list[tuple[str, str]]:
    n, stds = table.handling.nominal, table.stds[:, row]
    weights = static_axle_weights(table.day.session.vehicle.mass, table.day.session.vehicle.front_share)
    front, rear, drag = float(n.front_downforce[row]), float(n.rear_downforce[row]), float(n.drag[row])
    return [
        ("front", show.uncertain_load(front, float(stds[FRONT]))),
        ("rear", show.uncertain_load(rear, float(stds[REAR]))),
        ("total", show.uncertain_load(front + rear, float(stds[TOTAL]))),
        ("drag", show.uncertain("force", drag, float(stds[DRAG]))),
        (label("drag_power_W"), show.quantity("power", float(table.handling.drag_power[row]))),
        (label("downforce_to_drag"), number(float(n.downforce_to_drag[row]), 2)),
        ("static weight, front", show.quantity("force", weights[FRONT])),
        ("static weight, rear", show.quantity("force", weights[REAR])),
    ]


def _balance(table: Assessment, row: int, show: Show) -> list[tuple[str, str]]:
    h = table.handling
    n = h.nominal
    share = float(h.aero_balance.value[row])
    std = float(h.aero_balance.std[row])
    shift, shift_std = float(h.neutral_steer_shift.value[row]), float(h.neutral_steer_shift.std[row])
    wheelbase = table.day.session.vehicle.wheelbase
    if math.isnan(share):
        text = f"none: {share_words(float(n.front_downforce[row]), float(n.rear_downforce[row]))}"
    else:
        text = f"{percent(share, std)} of the downforce, {behind_weight(float(h.balance_offset[row]), std)}"
    ends = interval(float(h.neutral_steer_shift.low[row]), float(h.neutral_steer_shift.high[row]), shift_std)
    moved = f"{toward(shift, shift_std)}, {show.quantity('length', abs(shift) * wheelbase)}"
    moved += f" ({ends})" if ends else ""
    lines = [
        (label("aero_balance"), text),
        ("front weight share", percent(table.day.session.vehicle.front_share)),
        (label("front_load_share"), percent(float(n.front_load_share[row]))),
        (label("front_added_load"), _added(float(n.front_added_load[row]))),
        (label("rear_added_load"), _added(float(n.rear_added_load[row]))),
        (label("neutral_steer_shift"), moved),
        (label("grip_surplus"), percent_of(h.grip_surplus, row)),
    ]
    if h.grip_surplus_driven is not None:
        lines.append((label("grip_surplus_driven"), percent_of(h.grip_surplus_driven, row)))
    ground = row_at_ground(table, row)
    if ground is not None:
        lines.append(("with drag reacted at ground level", f"grip balance {percent(ground.at_ground)}"))
    lines.append(("target", target_words(h.verdicts[row], table.day.session.vehicle.target)))
    return lines


def _added(share: float) -> str:
    return f"{percent(share)} of its static weight" + (" (LIFT)" if share < 0 else "")


def _places(table: Assessment, row: int, show: Show) -> list[tuple[str, str]]:
    session = table.day.session
    if not session.places:
        return [("", "No speeds are named in session.toml.")]
    speeds = np.array([place.speed for place in session.places])
    at = sweep(table.day, row, speeds, air_density=table.air_density)
    lines = []
    for k, place in enumerate(session.places):
        n, verdict = at.handling.nominal, at.handling.verdicts[k]
        front, rear = (show.bare("force", float(one[k])) for one in (n.front_downforce, n.rear_downforce))
        loads = f"front {front}, rear {rear}, drag {show.quantity('force', float(n.drag[k]))}"
        at_speed = f"{place.name}, {show.speed(place.speed)}"
        lines.append((at_speed, f"{verdict_mark(verdict)} {verdict_words(verdict)}"))
        lines.append(("", f"{loads}, grip balance {percent(verdict.surplus)}"))
    return lines


def _coefficients(table: Assessment, row: int) -> list[tuple[str, str]]:
    if table.own.coefficients is None:
        return [("", "Not given: the car's frontal area is not stated.")]
    return [
        (f"{one.title}, {one.head}", number(float(held(table, one.value)[row]), 4))
        for one in READING
        if one.kind == "coefficient"
    ]


def _fitted(run: Run) -> list[tuple[str, str]]:
    everything = [*run.settings.items(), *((f"{name} (recorded)", s) for name, s in run.recorded.items())]
    return [(name.replace("_", " "), setting.text) for name, setting in everything]
