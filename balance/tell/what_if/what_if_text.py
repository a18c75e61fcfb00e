"""A what-if in sentences: the answer first, then start, result and change, then what it rests on."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from balance.decide.parts.part_place import mount_load, part_place, tyre_loads
from balance.model.channels import DRAG, FRONT, REAR, TOTAL
from balance.tell.figures import interval, low_to_high, percent, points, toward
from balance.tell.parts.change_text import quantity_of
from balance.tell.runs.range_words import range_mark, range_phrase, range_sentence
from balance.tell.settings.trim_text import car_lines
from balance.tell.what_if.assumption_text import assumed_doubt, assumption_lines, expected_words
from balance.tell.what_if.hardware_text import mount_words, tyre_words
from balance.tell.words import ground_words, margin_words, onset_words

if TYPE_CHECKING:
    from balance.decide.car.car_state import CarState
    from balance.decide.car.prepared_day import PreparedDay
    from balance.decide.day.estimate import Estimate
    from balance.decide.parts.part_place import PartPlace
    from balance.decide.what_if.what_if import WhatIfResult
    from balance.tell.figures import Show


def what_if_headline(result: WhatIfResult, show: Show) -> str:
    """Answer in one sentence."""
    before, after = result.start, result.result
    words = [range_of(one, show) for one in (before, after)]
    name = f"{result.what_if.name}: " if result.what_if.name else ""
    expected = expected_words(result.assumptions)
    assumed = (f"; {expected}" if expected else "") + assumed_doubt(result.assumptions)
    if words[0] == words[1]:
        return f"{name}stays {words[0]}{assumed}"
    return f"{name}from {words[0]} to {words[1]}{assumed}"


def range_of(car: CarState, show: Show) -> str:
    """Put what a car does over all its speeds in a few words; nothing where it was not judged."""
    return "" if car.over_range is None else range_phrase(car.over_range, show)


def what_if_lines(prepared: PreparedDay, result: WhatIfResult, show: Show) -> list[tuple[str, list[str]]]:
    """Write a what-if."""
    run = prepared.day.readings.runs[prepared.row(result.what_if.start)]
    sections = [
        (f"Start: run {run.label} {run.configuration}", _state_lines(prepared, result.start, show)),
        ("Result", _state_lines(prepared, result.result, show)),
        ("Change, result less start", _change_lines(result, show)),
    ]
    hardware = hardware_lines(prepared, result, show)
    if hardware:
        sections.append(("Mounts and tyres", hardware))
    sections.append(
        ("Assumptions", assumption_lines(result.assumptions, show) or ["none beyond the day's own"])
    )
    return sections


def hardware_lines(prepared: PreparedDay, result: WhatIfResult, show: Show) -> list[str]:
    """State where the parts that are put on act, and what their mounts and the tyres carry at top speed."""
    on = dict.fromkeys(result.what_if.on)
    lines = [line for label in on for line in _part_lines(prepared, label, result, show)]
    return [*lines, *_tyre_lines(result.result, show)]


def _state_lines(prepared: PreparedDay, state: CarState, show: Show) -> list[str]:
    lines = car_lines(state, show)
    if state.over_range is not None:
        lines.append(
            f"at all speeds: {range_mark(state.over_range)} {range_sentence(state.over_range, state.vehicle, show)}"
        )
    lines.append(
        f"{show.quantity('mass', state.vehicle.mass)}, {percent(state.vehicle.front_share)} on the front axle; air of "
        f"{show.quantity('density', state.air_density)}"
    )
    if state.ground is not None:
        lines.append(
            f"with drag reacted at ground level: grip balance {percent(state.ground.at_ground)} at {show.speed(state.speed)}"
        )
        lines += [ground_words(state.ground)] if state.ground.differs else []
    if state.vehicle.static_margin is not None and state.static_margin < 0.0:
        lines.append(f"caution: {margin_words(state.static_margin)}")
    shift = state.handling.neutral_steer_shift
    lines.append(
        f"neutral-steer shift {toward(float(shift.value[0]), float(shift.std[0]))} at {show.speed(state.speed)}, of the wheelbase"
    )
    if state.set_up is not None:
        lines.append(
            f"at rest already: grip balance {percent(state.surplus_at_rest, decimals=2)}, static margin "
            f"{percent(state.static_margin, decimals=2)} of the wheelbase"
        )
    onsets = state.onsets
    if onsets is not None:
        tested = float(prepared.day.readings.speed.max())
        top, speed = state.vehicle.top_speed, float(onsets.speed[0])
        words = onset_words(speed, onsets.verdict[0], tested=tested, top_speed=top, show=show)
        lines.append(f"air loads alone: {words}")
    power = f"drag takes {show.quantity('power', state.drag_power)} at {show.speed(state.speed)}"
    if state.power_speed is not None:
        power += (
            f"; the stated power holds {show.speed(state.power_speed)} against drag alone: rolling resistance and losses "
            "of the drive are not in it"
        )
    return [*lines, power]


def _change_lines(result: WhatIfResult, show: Show) -> list[str]:
    speeds = {show.speed(one.speed) for one in (result.start, result.result)}
    at = f"at {speeds.pop()}" if len(speeds) == 1 else "each at its own speed"
    lines = [f"{quantity_of(k)} {_force(result.forces, k, show)} {at}" for k in (FRONT, REAR, DRAG, TOTAL)]
    balance = result.aero_balance
    if math.isfinite(balance.value[0]):
        lines.append(f"aero balance {_points(balance)} {at}")
    lines.append(f"grip balance {_moved(result.grip_surplus)} {at}")
    return lines


def _force(estimate: Estimate, k: int, show: Show) -> str:
    value, std = float(estimate.value[k]), float(estimate.std[k])
    sign = "+" if value > 0 else ""
    text = f"{sign}{show.quantity('force', value, std=std)}"
    if math.isnan(estimate.low[k]):
        return text
    ends = show.low_to_high("force", float(estimate.low[k]), float(estimate.high[k]), std=std)
    return f"{text} ({ends})"


def _moved(estimate: Estimate) -> str:
    """Write how far a percentage moved, in points, rear over front positive."""
    value, std = float(estimate.value[0]), float(estimate.std[0])
    between = interval(float(estimate.low[0]), float(estimate.high[0]), std).removesuffix(" %")
    moved = f"moves {'+' if value > 0 else ''}{percent(value, std).removesuffix(' %')} points"
    return f"{moved} ({between})" if between else moved


def _points(estimate: Estimate) -> str:
    value, std = float(estimate.value[0]), float(estimate.std[0])
    text = f"moves {points(value, std)}"
    if math.isnan(estimate.low[0]):
        return text
    ends = low_to_high(100.0 * float(estimate.low[0]), 100.0 * float(estimate.high[0]), 1)
    return f"{text} ({ends} points, forward positive)"


def _part_lines(prepared: PreparedDay, run: str, result: WhatIfResult, show: Show) -> list[str]:
    lines = [place_words(part_place(prepared, run), show)]
    load = mount_load(prepared, run, air_density=result.result.air_density)
    if load is not None:
        lines.append(mount_words(run, load, show))
    return lines


def place_words(place: PartPlace, show: Show) -> str:
    """State where a part's measured change acts."""
    if place.behind_rear_axle is None:
        return f"part {place.run}: {' and '.join(place.unresolved)} within noise, no centre of pressure"
    side = "behind" if place.behind_rear_axle >= 0 else "ahead of"
    level = "taken at ground level" if place.at_ground else f"at {show.quantity('length', place.height)} up"
    text = f"part {place.run} acts {show.quantity('length', abs(place.behind_rear_axle))} {side} the rear axle, {level}"
    if math.isfinite(place.low) and math.isfinite(place.high):
        ends = show.low_to_high("length", place.low, place.high)
        text += f" ({ends} {show.unit('length')}, behind positive)"
    if place.mounted_at is not None:
        text += f"; it stands {show.quantity('length', place.mounted_at)} behind it"
    if place.mismatch:
        text += ", far from there: it has changed the flow over the rest of the car"
    return text


def _tyre_lines(state: CarState, show: Show) -> list[str]:
    top = state.vehicle.top_speed
    if top is None:
        return []
    loads = tyre_loads(state.areas, state.vehicle, speed=top, air_density=state.air_density)
    return tyre_words(loads, top, show)
