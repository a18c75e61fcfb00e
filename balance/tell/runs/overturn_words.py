"""What would overturn a verdict, "holds unless the splitter gains 18 % less", and what it rests on that no repeat shows."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from balance.decide.day.largest_gains import largest_gains
from balance.decide.day.overturned import HIGHEST, overturned
from balance.decide.day.verdict import VerdictWord
from balance.model.channels import AXLES, CHANNELS
from balance.reduce.air import dynamic_pressure
from balance.tell.figures import number, percent
from balance.tell.parts.part_names import differing
from balance.tell.runs.remarks import floor_parts
from balance.tell.runs.run_table import shortened
from balance.tell.words import CLASSES

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from balance.decide.day.assessment import Assessment
    from balance.decide.day.largest_gains import LargestGains
    from balance.decide.day.overturn import Overturn, What
    from balance.tell.figures import Show

ON_A_CARD = 2
"""Changes that a card or a page names; a detail names all."""
NEAR = 3.0
"""Usual doubts within which something assumed is large enough to be named."""


def overturn_sentence(table: Assessment, row: int, show: Show, *, most: int = ON_A_CARD) -> str:
    """State what would overturn the verdict on a row, the nearest first."""
    found = overturned(table, [row])[0][:most]
    if not found:
        return ""
    gains = largest_gains(table.day, table.rows[row])
    pressure = float(dynamic_pressure(table.speed, table.air_density))
    return holds_unless(found, gains, pressure, table.speed, show)


def doubt_sentences(table: Assessment, row: int, show: Show, *, brief: bool = False) -> tuple[str, ...]:
    """State what would overturn the verdict on a run, and what no repeat shows of it."""
    if brief:
        nearest = overturn_sentence(table, row, show, most=1)
        return (nearest,) if nearest else ()
    found = (overturn_sentence(table, row, show), beyond_repeats(table, row, show))
    return tuple(one for one in found if one)


def holds_unless(
    found: Sequence[Overturn], gains: LargestGains | None, pressure: float, speed: float, show: Show
) -> str:
    """State that a verdict holds unless one of some changes is so."""
    if not found:
        return ""
    place = found[0].place
    whether = "Holds" if place is None else f"In balance at {place.name}"
    clauses = ", or ".join(overturn_clause(one, gains, pressure, speed, show) for one in found)
    return f"{whether} unless {clauses}."


def overturn_lines(table: Assessment, row: int, show: Show) -> list[str]:
    """List everything that would overturn the verdict on a row, with the class that each leads to."""
    verdict, found = table.ranges[row], overturned(table, [row])[0]
    if not found:
        if verdict.awaited or verdict.word in (VerdictWord.AT_THE_EDGE, VerdictWord.CANNOT_TELL):
            return []
        nothing = (
            "Nothing looked at, one change at a time: downforce of an axle within half of itself, front weight share "
            f"within 10 points, the rear's grip exponent within 0.3, drag reacted up to {show.quantity('length', HIGHEST)} high"
        )
        return [nothing]
    gains = largest_gains(table.day, table.rows[row])
    pressure = float(dynamic_pressure(table.speed, table.air_density))
    place = found[0].place
    held = "It holds" if place is None else f"In balance at {place.name} ({show.speed(place.speed)}) holds"
    lines = [f"{held} unless one of these is so, all else as measured; the nearest to its usual doubt first"]
    lines += [
        f"{overturn_clause(one, gains, pressure, table.speed, show)}: then {_turned(one.to)}" for one in found
    ]
    return lines


def _turned(to: VerdictWord) -> str:
    """Name what a car turns to, compared with itself in slow corners where it has more of one side."""
    past = to in (VerdictWord.REAR_OVERPOWERS, VerdictWord.FRONT_OVERPOWERS)
    return f"{CLASSES[to].turns}{' than in slow corners' * past}"


def overturn_clause(
    one: Overturn, gains: LargestGains | None, pressure: float, speed: float, show: Show
) -> str:
    """Write one change in a clause."""
    upward = one.change > 0.0
    if one.what == "front_weight_share":
        return f"the front weight share is {number(abs(one.change) * 100.0, 1)} points {_way(upward)}"
    if one.what == "exponent_difference":
        return f"the rear's grip exponent is {number(abs(one.change), 2)} {_way(upward)}"
    if one.what == "drag_height":
        height = one.height or 0.0
        before = height - one.change
        at = show.quantity("length", height)
        was = f", not {show.quantity('length', before)}" if before > 0.0 else ""
        return f"drag acts {at} above the road{was}"
    return _load_clause(one, gains, pressure, speed, show)


def _load_clause(one: Overturn, gains: LargestGains | None, pressure: float, speed: float, show: Show) -> str:
    axle = "front" if one.what == "front_downforce" else "rear"
    area = one.area_change or 0.0
    gain = None if gains is None else getattr(gains, axle)
    if gains is not None and gain is not None and abs(area) <= gain.area:
        both = gains.front is not None and gains.rear is not None
        same = both and gains.front.increment == gains.rear.increment  # type: ignore[union-attr]
        where = f" at the {axle}" if same else ""
        more = "more" if area > 0.0 else "less"
        return f"{_part(gains, gain.increment)} {_share(area / gain.area)} {more}{where} than measured"
    if one.relative:
        lift = (one.change > 0.0) != (area > 0.0)
        more = "more" if one.change > 0.0 else "less"
        return f"the {axle} has {_share(one.change)} {more} {'LIFT' if lift else 'downforce'}"
    more = "more" if area > 0.0 else "less"
    return f"the {axle} has {show.quantity('force', abs(area) * pressure)} {more} downforce at {show.speed(speed)}"


def _part(gains: LargestGains, row: int) -> str:
    """Name a part as the one that gains: the setting where it was fitted anew, else the step."""
    increments = gains.increments
    pair, fitted = increments.pairs[row], increments.fitted
    name = pair.differs[0]
    if name not in fitted.names:
        return f"{increments.readings.runs[pair.run].configuration} gains"
    column = fitted.names.index(name)
    if fitted.values[column][fitted.codes[pair.baseline, column]] is not None:
        return f"the step “{differing(increments, row)[0]}” gains"
    short = shortened(name, fitted.names)
    return f"the {short} gain{'' if short.endswith('s') else 's'}"


def _share(value: float) -> str:
    return percent(abs(value), decimals=0 if abs(value) >= 0.0995 else 1)


def _way(upward: bool) -> str:  # noqa: FBT001 - one bit, named where it is asked
    return "higher" if upward else "lower"


def beyond_repeats(table: Assessment, row: int, show: Show) -> str:
    """State what repeats do not show of a verdict, where it is large."""
    found = [] if table.ranges[row].awaited else list(_named(table, row, show))
    return f"Repeats do not show: {'; '.join(found)}." if found else ""


def _named(table: Assessment, row: int, show: Show) -> Iterator[str]:
    session, vehicle = table.day.session, table.day.session.vehicle
    parts = floor_parts(table.runs[row])
    if session.facility.floor == "fixed" and parts:
        names = [shortened(name, session.setting_names) for name in parts]
        yield f"what the fixed floor does under the {' and the '.join(names)}"
    scatter = table.day.repeatability
    large = [
        f"{axle} sd {show.quantity('force', float(scatter.systematic[k]))}"
        for k, axle in enumerate(CHANNELS[AXLES])
        if scatter.systematic[k] > 0.0 and not scatter.systematic[k] < np.nan_to_num(scatter.deviation[k])
    ]
    if large:
        yield f"the facility's systematic figure ({', '.join(large)})"
    stated = vehicle.uncertainties.get("mass.front_share")
    guessed = vehicle.corners is None and (stated is None or not stated.explicit)
    if guessed and _matters(table, row, "front_weight_share"):
        yield "the front weight share, stated without corner weights"
    if vehicle.grip_exponent.assumed and _matters(table, row, "exponent_difference"):
        yield "the tyre load sensitivity, assumed"


def _matters(table: Assessment, row: int, what: What) -> bool:
    """Return whether a quantity could overturn the verdict within a few of its usual doubts, or the verdict is open anyway."""
    found, word = overturned(table, [row])[0], table.ranges[row].word
    if not found and word in (VerdictWord.AT_THE_EDGE, VerdictWord.CANNOT_TELL):
        return True
    return any(one.what == what and one.doubts <= NEAR for one in found)
