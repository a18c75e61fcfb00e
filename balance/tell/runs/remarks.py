"""What was assumed, what is missing and what looks unlikely, in sentences that stand beside the figures."""

from __future__ import annotations

import math
from enum import IntEnum
from typing import TYPE_CHECKING

import numpy as np

from balance.decide.day.assessment import Assessment
from balance.decide.day.ground_level import ground_level
from balance.decide.day.range_seen import BEYOND_TESTS, highest_tested
from balance.decide.day.verdict import VerdictWord
from balance.decide.doubts.plausibility import doubts
from balance.decide.doubts.standing_out import standing_out
from balance.model.channels import DRAG, FRONT, REAR
from balance.model.records import HALF_95, USUAL_FRONT_TOLERANCE
from balance.reduce.drag_couple import REACTED_WITHIN
from balance.reduce.repeatability import REFIT_FACTOR
from balance.reduce.stated_draws import (
    GRIP_DIFFERENCE,
    GRIP_RANGE,
    GRIP_STATED,
    SHARE_STD,
    STIFFNESS_DIFFERENCE,
    STIFFNESS_RANGE,
    STIFFNESS_STATED,
    friction_std,
    share_std,
)
from balance.tell.figures import Show, number, percent, runs_named
from balance.tell.runs.differing_words import off_first
from balance.tell.runs.doubt_words import doubt_words, reading_doubts
from balance.tell.runs.range_words import beyond_words
from balance.tell.words import REFIT_ASSUMED, danger_words, ground_words, probability_words

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from balance.decide.day.day import Day
    from balance.decide.day.ground_level import GroundLevel
    from balance.decide.day.sweeps import Sweep
    from balance.model.records import Run, Vehicle

_FLOOR_PARTS = ("splitter", "underbody", "diffuser", "undertray", "floor", "skirt")
OF_FLOOR_PARTS = "readings of splitter and underbody parts are taken as they stand, with caution"
"""What stands beside such parts over a fixed floor."""
_SI = Show()
Q_RANGE = (0.5, 1.5)
"""Dynamic pressure over the tested one, within which loads are scaled without a word."""

BY_DRIVE = "the verdict is that under power; the air load alone would not decide it"
CANNOT_PUSH = (
    "the driven tyres cannot push hard enough to hold this speed against drag, at the friction assumed"
)


_CHANNELS = {FRONT: "the front", REAR: "the rear", DRAG: "drag"}


class Weight(IntEnum):
    """How much a remark matters to a decision, the most first."""

    DANGER = 0
    READING = 1
    LIMIT = 2
    FACT = 3


def run_remarks(table: Assessment, row: int, show: Show = _SI) -> Iterator[str]:
    """Return what stands beside one row's figures, what matters most first."""
    yield from (text for _, text in sorted(_weighed(table, row, show), key=lambda one: one[0]))


def deciding_remarks(table: Assessment, show: Show = _SI) -> list[str]:
    """Return what changes a decision about some rows of a day: dangers, doubtful readings, limits of the figures."""
    own = [list(_weighed(table, row, show)) for row in range(len(table.rows))]
    said = {
        weight: gathered(table.labels, [[text for w, text in of_row if w is weight] for of_row in own])
        for weight in (Weight.DANGER, Weight.READING, Weight.LIMIT)
    }
    day = table.day
    shared = (f"warning: {one}" for one in day.session.left_out)
    first = [*off_first(day), *shared]
    return [
        *first,
        *said[Weight.DANGER],
        *(one for one in second_look(day, show) if one not in misleading(day, show)),
        *said[Weight.READING],
        *(one for one in day_warnings(day) if one not in first),
        *_beyond(table, show),
        *said[Weight.LIMIT],
        *left_out(day),
    ]


def _weighed(table: Assessment, row: int, show: Show) -> Iterator[tuple[Weight, str]]:
    """Return what stands beside one row's figures, with its weight."""
    day = table.day
    run, members = table.runs[row], day.rows.members[table.rows[row]]
    verdict = table.handling.verdicts[row]
    if verdict.dangerous:
        yield Weight.DANGER, danger_words(verdict)
    if verdict.word is VerdictWord.OFF_THE_GROUND:
        axle = "front" if table.onsets.lift_off_front[row] else "rear"
        speed = show.speed(float(table.onsets.lift_off_speed[row]))
        yield Weight.DANGER, f"warning: the {axle} axle is unloaded at {speed}"
    if run.status == "suspect":
        yield Weight.READING, f"suspect: {run.reason or 'no reason given'}"
    yield from ((Weight.READING, text) for text in _standing_out(table, row, show))
    if not verdict.certain and not verdict.awaited:
        yield Weight.READING, probability_words(verdict)
    ground = row_at_ground(table, row)
    if ground is not None and ground.differs:
        yield Weight.LIMIT, ground_words(ground)
    yield from ((Weight.LIMIT, text) for text in _lift_at_top_speed(table, row, show))
    if verdict.by_drive:
        yield Weight.LIMIT, BY_DRIVE
    driven = table.handling.grip_surplus_driven
    if driven is not None and cannot_push(driven.value[row]):
        yield Weight.LIMIT, CANNOT_PUSH
    if table.own.density_source[row] != "facility" and not day.session.facility.restated:
        yield Weight.FACT, f"air density from the run's {table.own.density_source[row]}"
    tested = tested_pressures(day, members[0])
    if table.dynamic_pressure > Q_RANGE[1] * max(tested) or table.dynamic_pressure < Q_RANGE[0] * min(tested):
        ratio = table.dynamic_pressure / (
            max(tested) if table.dynamic_pressure > max(tested) else min(tested)
        )
        yield (
            Weight.LIMIT,
            f"scaled to {number(ratio, 1)} times the dynamic pressure this configuration was tested at",
        )


def _standing_out(table: Assessment, row: int, show: Show) -> Iterator[str]:
    """Return which readings of a configuration stand out from its others; of a reading, whether it does."""
    day = table.day
    found, members = standing_out(day), day.rows.members[table.rows[row]]
    beside = day.rows.members[day.rows.standing[members[0]]]
    for reading in members:
        for one in found.get(reading, ()):
            mine, others = (
                show.quantity("force", area * table.dynamic_pressure) for area in (one.area, one.others)
            )
            label = day.readings.labels[reading]
            whose = "the other reading" if len(beside) == 2 else "the mean of the other readings"
            yield (
                f"run {label} stands out at {_CHANNELS[one.channel]}: {mine}, {whose} {others}, outside 99 % of such "
                "readings: was it the same car?"
            )


def row_at_ground(table: Assessment, row: int) -> GroundLevel | None:
    """Judge one row with its drag reacted at ground level; nothing where it is."""
    areas = table.day.areas([table.rows[row]])[:, 0]
    session = table.day.session
    return ground_level(session, areas, table.dynamic_pressure, session.vehicle)


def _lift_at_top_speed(table: Assessment, row: int, show: Show) -> Iterator[str]:
    """Return where lift takes more than 5 % off an axle's weight at the car's top speed."""
    top = table.day.session.vehicle.top_speed
    if top is None:
        return
    factor = (top / table.speed) ** 2
    nominal = table.handling.nominal
    for axle, added in (("front", nominal.front_added_load[row]), ("rear", nominal.rear_added_load[row])):
        if added * factor < -0.05:
            yield (f"at top speed ({show.speed(top)}) lift takes more than 5 % off the {axle} axle's weight")


def session_remarks(table: Assessment | Sweep, show: Show = _SI) -> Iterator[str]:
    """Return what holds for a whole session: what is unlikely, what is left out, what was assumed or is not stated."""
    yield from second_look(table.day, show)
    if isinstance(table, Assessment):
        yield from _beyond(table, show)
    yield from left_out(table.day)
    yield from day_warnings(table.day)
    yield from assumptions(table.day)
    yield from table.day.session.notes


def _beyond(table: Assessment, show: Show) -> Iterator[str]:
    yield from beyond_words(table.ranges, BEYOND_TESTS * highest_tested(table.day.session), show)


def second_look(day: Day, show: Show = _SI) -> Iterator[str]:
    """Return which figures are worth a second look before the day is believed."""
    yield from (doubt_words(doubt, show) for doubt in doubts(day))


def misleading(day: Day, show: Show = _SI) -> list[str]:
    """Return which readings may be wrong, and which names part repeats: what is said before all else of a day."""
    names = [doubt_words(one, show) for one in doubts(day) if one.kind == "names"]
    return [*reading_doubts(day, show), *names]


def left_out(day: Day) -> Iterator[str]:
    """Return which runs are in no figure, and why."""
    void: dict[str, list[str]] = {}
    for run in day.session.runs:
        if run.status == "void":
            void.setdefault(run.reason or "no reason given", []).append(run.label)
    for reason, labels in void.items():
        yield f"{runs_named(labels)}: void, excluded: {reason}"


def day_warnings(day: Day) -> Iterator[str]:
    """Warn of what weakens every verdict of a day: a reading that is off, few repeats, a dangerous side that was opened."""
    yield from off_first(day)
    yield from day.repeatability.notes
    if day.repeatability.refit_assumed:
        yield (
            f"{REFIT_ASSUMED}: repeats were made without changing the car, and the sd of refitting is taken as "
            f"{number(REFIT_FACTOR, 1)} times theirs; no verdict is green and nothing is called significant. Refit the baseline"
        )
    target = day.session.vehicle.target
    if target.front_widened:
        yield (
            f"warning: the car's file has an oversteer limit of {percent(target.front_tolerance)}, where "
            f"{percent(USUAL_FRONT_TOLERANCE)} is usual: a car in balance may have more oversteer than in slow corners"
        )


def assumptions(day: Day) -> Iterator[str]:
    """Return what was assumed because nobody stated it."""
    session, vehicle = day.session, day.session.vehicle
    yield from _about_the_figures(vehicle)
    target = vehicle.target
    sides = (
        ("understeer", target.rear_tolerance, target.tolerance_assumed),
        ("oversteer", target.front_tolerance, target.front_tolerance_assumed),
    )
    assumed = [f"{side} {percent(tolerance)}" for side, tolerance, silent in sides if silent]
    if assumed:
        yield f"limits not stated: {' and '.join(assumed)} assumed"
    if vehicle.driven is None:
        yield "driven axle not stated: the grip that driving against drag costs is not in the verdicts"
    else:
        yield from _about_friction(vehicle)
    yield from _about_the_facility(day)
    if vehicle.frontal_area is None:
        yield "frontal area not stated: no coefficients are given"
    if session.date is None:
        yield "date not stated"


def _about_friction(vehicle: Vehicle) -> Iterator[str]:
    """Return what was assumed of the friction of the driven tyres, or of its uncertainty."""
    if vehicle.friction is None:
        yield f"drive force against drag: friction of {vehicle.tyre_friction:g} assumed at the driven axle ({vehicle.driven})"
    elif "tyres.friction" not in vehicle.uncertainties:
        half = HALF_95 * friction_std(vehicle)
        yield f"friction of the tyres stated without its uncertainty: ± {number(half, 2)} assumed"


def _about_the_figures(vehicle: Vehicle) -> Iterator[str]:
    """Return what was assumed of the car's stated figures, or of those that nobody stated."""
    for name, key, exponent, limits, difference, within in (
        (
            "stiffness",
            "stiffness_load_exponent",
            vehicle.stiffness_exponent,
            STIFFNESS_RANGE,
            STIFFNESS_DIFFERENCE,
            STIFFNESS_STATED,
        ),
        ("grip", "grip_load_exponent", vehicle.grip_exponent, GRIP_RANGE, GRIP_DIFFERENCE, GRIP_STATED),
    ):
        if exponent.assumed:
            yield (
                f"{name} exponent not stated: {exponent.front:g} assumed, drawn over {limits[0]:g} to "
                f"{limits[1]:g} with rear and front within {difference:g} of each other"
            )
        elif not any(other.startswith(f"tyres.{key}") for other in vehicle.uncertainties):
            yield f"{name} exponent stated without its uncertainty: drawn within {within:g} of it"
    if share_std(vehicle) == SHARE_STD and "mass.front_share" not in vehicle.uncertainties:
        yield "front weight share stated without its uncertainty: standard uncertainty of 0.3 points assumed"
    if vehicle.static_margin is None:
        yield "static margin at rest not stated: 0 % of the wheelbase assumed"


def _about_the_facility(day: Day) -> Iterator[str]:
    """Return what is not stated, or stands with caution, about where the readings were taken."""
    facility = day.session.facility
    if facility.drag_reacted_at is None:
        yield "height at which drag is reacted not stated: ground level assumed"
    elif facility.drag_reacted_at > 0.0:
        assumed = "facility.drag_reacted_at" not in day.session.uncertainties
        within = f", the height drawn within {1e3 * REACTED_WITHIN:g} mm of what is stated" if assumed else ""
        yield f"drag was reacted above the ground: its couple was added to the axle loads by geometry{within}"
    if facility.restated:
        yield "forces already corrected by the facility: the runs' own speed and air are kept as a record only"
    for name in ("kind", "floor"):
        if getattr(facility, name) is None:
            yield f"facility's {name} not stated"
    if facility.floor == "fixed" and any(map(floor_parts, day.readings.runs)):
        yield f"fixed floor: {OF_FLOOR_PARTS}"


def gathered(labels: Sequence[str], notes: Sequence[Sequence[str]]) -> list[str]:
    """Return once what several runs share, neighbours in running order drawn together.

    Examples
    --------
    >>> gathered(["1", "2", "3", "5"], [["a"], ["a"], ["a", "b"], ["b"]])
    ['runs 1 to 3: a', 'runs 3, 5: b']
    >>> gathered(["1", "2"], [["a"], ["a"]])
    ['all runs: a']
    """
    holders: dict[str, list[int]] = {}
    for row, own in enumerate(notes):
        for note in own:
            holders.setdefault(note, []).append(row)
    sentences = []
    for note, rows in holders.items():
        stretches: list[list[int]] = []
        for row in rows:
            if stretches and row == stretches[-1][-1] + 1:
                stretches[-1].append(row)
            else:
                stretches.append([row])
        named = [
            f"{labels[s[0]]} to {labels[s[-1]]}" if len(s) > 2 else ", ".join(labels[r] for r in s)
            for s in stretches
        ]
        whose = (
            "all runs"
            if len(rows) == len(labels) > 1
            else f"run{'s' if len(rows) > 1 else ''} {', '.join(named)}"
        )
        sentences.append(f"{whose}: {note}")
    return sentences


def floor_parts(run: Run) -> list[str]:
    """Name the settings of a run that are parts whose reading depends on a moving floor."""
    return [name for name in run.settings if any(part in name.casefold() for part in _FLOOR_PARTS)]


def cannot_push(surplus_driven: float) -> bool:
    """Return whether pushing against drag leaves the driven axle no lateral grip at all."""
    return surplus_driven in (-1.0, math.inf)


def tested_pressures(day: Day, row: int) -> list[float]:
    """List the dynamic pressures at which the run's configuration was tested."""
    return [float(day.readings.dynamic_pressure[r]) for r in day.configurations[day.group_of[row]]]


def sweep_remarks(sweep: Sweep, show: Show = _SI) -> Iterator[str]:
    """Return at which speeds figures are scaled far, judged with the drive force, or dangerous."""
    run = sweep.run
    if run.status == "suspect":
        yield f"suspect: {run.reason or 'no reason given'}"
    tested = tested_pressures(sweep.day, sweep.day.rows.members[sweep.row][0])
    low, high = (float(np.sqrt(2.0 * q / sweep.air_density)) for q in (min(tested), max(tested)))
    slow, fast = low * Q_RANGE[0] ** 0.5, high * Q_RANGE[1] ** 0.5
    if sweep.speeds[0] < slow or sweep.speeds[-1] > fast:
        yield (
            f"scaled far outside {show.speed(slow)} to {show.speed(fast)}: there the dynamic pressure is below "
            f"{Q_RANGE[0]:g} or above {Q_RANGE[1]:g} times that at which this configuration was tested"
        )
    verdicts = sweep.handling.verdicts
    if any(v.with_drive for v in verdicts):
        yield "the grip balance is that under power, as is the verdict"
    by_drive = [float(s) for s, v in zip(sweep.speeds, verdicts, strict=True) if v.by_drive]
    if by_drive:
        where = show.speed(by_drive[0]) + (f" to {show.speed(by_drive[-1])}" if len(by_drive) > 1 else "")
        yield f"at {where} {BY_DRIVE}"
    driven = sweep.handling.grip_surplus_driven
    stuck = (
        []
        if driven is None
        else [s for s, d in zip(sweep.speeds, driven.value, strict=True) if cannot_push(d)]
    )
    if stuck:
        yield f"{CANNOT_PUSH} from {show.speed(float(stuck[0]))}"
    danger = [float(s) for s, v in zip(sweep.speeds, verdicts, strict=True) if v.dangerous]
    if danger:
        yield f"warning: past the oversteer limit in 5 % of draws or more from {show.speed(danger[0])}"
