"""What would overturn a verdict, in words: "holds unless the splitter gains 18 % less than measured"."""

from __future__ import annotations

from typing import TYPE_CHECKING

from balance.decide.day.largest_gains import largest_gains
from balance.decide.day.overturned import HIGHEST, overturned
from balance.decide.day.verdict import VerdictWord
from balance.reduce.air import dynamic_pressure
from balance.tell.figures import number, percent
from balance.tell.parts.part_names import differing
from balance.tell.runs.beyond_repeats import beyond_repeats
from balance.tell.runs.run_table import shortened

if TYPE_CHECKING:
    from collections.abc import Sequence

    from balance.decide.day.assessment import Assessment
    from balance.decide.day.largest_gains import LargestGains
    from balance.decide.day.overturn import Overturn
    from balance.tell.figures import Show

ON_A_CARD = 2
"""Changes that a card or a page names; a detail names all."""
_BEYOND = {
    VerdictWord.IN_BALANCE: "in balance",
    VerdictWord.REAR_OVERPOWERS: "more understeer than in slow corners",
    VerdictWord.FRONT_OVERPOWERS: "MORE OVERSTEER than in slow corners",
    VerdictWord.OFF_THE_GROUND: "an axle unloaded",
}


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
        f"{overturn_clause(one, gains, pressure, table.speed, show)}: then {_BEYOND[one.to]}" for one in found
    ]
    return lines


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
