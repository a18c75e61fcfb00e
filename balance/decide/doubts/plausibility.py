"""Figures that are possible but unlikely: worth a second look before a day's results are believed."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import lru_cache
from types import MappingProxyType
from typing import TYPE_CHECKING

import numpy as np

from balance.compare.fitted import named_otherwise, what_was_fitted
from balance.decide.day.ground_level import judged_otherwise
from balance.decide.doubts.expected import Expectations, changed_settings
from balance.handling.axle_loads import STANDARD_GRAVITY, static_axle_weights
from balance.model.axle_sum import WITHIN_STDS, total_parts
from balance.model.channels import AXLES, CHANNELS, FRONT, REAR, TOTAL, front_rear_drag
from balance.reduce.median import median

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from balance.decide.day.day import Day
    from balance.model.records import Run, Session

FRONT_TOLERANCE_DOUBT = 0.03
DRAG_AREA_RANGE = (0.3, 2.0)
SPEED_DEPARTURE = 0.20
DENSITY_DEPARTURE = 0.03
SCALED_ALIKE = 0.05
APART = 15.0
_OF_READINGS = (
    "total",
    "sign",
    "turned",
    "wing",
    "digits",
    "magnitude",
    "apart",
    "scaled alike",
    "above weight",
    "drag area",
)
_MISLEADING = (*_OF_READINGS, "names", "front share", "mass", "wheelbase", "sides")
"""Kinds of doubt, those that turn most of a day's figures wrong first; what is not listed follows in its own order."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Doubt:
    """One figure worth a second look: what kind, of which run, and the numbers behind it in SI."""

    kind: str
    run: str | None = None
    other: str | None = None
    axle: str | None = None
    setting: str | None = None
    unit: str = ""
    values: Mapping[str, float] = field(default_factory=dict)

    @property
    def of_reading(self) -> bool:
        """Whether it says that a reading may be wrong: its sign, its column, its unit or its digits."""
        return self.kind in _OF_READINGS


@lru_cache(maxsize=4)
def doubts(day: Day) -> tuple[Doubt, ...]:
    """Look a session through for figures that are possible but unlikely.

    Those that mislead most first (`_MISLEADING`). Limits: drag area 0.3 to 2
    m^2; total downforce below the car's weight; speed within 20 % and density within 3 % of the facility's; a
    total that was read within four standard deviations of one reading of the sum of both axles, or 2 % of the
    larger where none is known; repeats that differ by one factor in every channel (of two, the one further
    from the day's other drags is named), or in one of them by more than 15 times the scatter; an axle that
    turns its sign against what the runs before it lead one to expect, by more than any part of the day did
    there, unless a part of that axle was put on or taken off; a wing that takes load off the rear axle or
    puts it on the front; front weight share 0.3 to 0.7; sides within 10 %; a front tolerance above 3 %; a
    static margin at rest below 0; a configuration that would be of another class were its drag reacted at
    ground level.

    What a reading is held against is `expected`'s alone.
    """
    usual = Expectations(day)
    found = (
        *_of_the_car(day.session),
        *_of_the_height(day),
        *_of_runs(day),
        *_of_repeats(day, usual),
        *_of_turned(day, usual),
        *_of_wings(day, usual),
        *_of_names(day),
        *_of_scaling(day),
    )
    place = {kind: k for k, kind in enumerate(_MISLEADING)}
    return tuple(sorted(found, key=lambda one: place.get(one.kind, len(place))))


@lru_cache(maxsize=4)
def doubted(day: Day) -> Mapping[str, tuple[Doubt, ...]]:
    """Gather the doubts that a reading itself may be wrong, by its run; a run that is marked suspect is judged already."""
    found: dict[str, tuple[Doubt, ...]] = {run.label: () for run in day.readings.runs if run.status == "good"}
    for one in doubts(day):
        if one.of_reading and one.run in found:
            found[one.run] += (one,)
    return MappingProxyType({label: own for label, own in found.items() if own})


def _of_the_car(session: Session) -> Iterator[Doubt]:
    vehicle = session.vehicle
    if not 0.3 <= vehicle.front_share <= 0.7:
        yield Doubt(kind="front share", values={"share": vehicle.front_share})
    if vehicle.corners is not None:
        front_left, front_right, rear_left, rear_right = vehicle.corners
        left, right = front_left + rear_left, front_right + rear_right
        if abs(left - right) > 0.1 * vehicle.mass:
            yield Doubt(kind="sides", values={"left": left, "right": right})
    if vehicle.target.front_tolerance > FRONT_TOLERANCE_DOUBT:
        yield Doubt(kind="front tolerance", values={"tolerance": vehicle.target.front_tolerance})
    if vehicle.static_margin is not None and vehicle.static_margin < 0.0:
        yield Doubt(kind="static margin", values={"margin": vehicle.static_margin})
    if not 300.0 <= vehicle.mass <= 3500.0:
        yield Doubt(kind="mass", values={"mass": vehicle.mass})
    if not 1.5 <= vehicle.wheelbase <= 4.0:
        yield Doubt(kind="wheelbase", values={"wheelbase": vehicle.wheelbase})


def _of_the_height(day: Day) -> Iterator[Doubt]:
    """Find configurations whose class hangs on the height at which drag is reacted."""
    rows = list(day.rows.configurations)
    runs = day.readings.runs
    hanging = [row for row, does in zip(rows, judged_otherwise(day, rows), strict=True) if does]
    if hanging:
        names = (runs[day.rows.members[row][0]].configuration for row in hanging)
        height = day.session.facility.drag_reacted_at or 0.0
        yield Doubt(
            kind="drag height",
            other=", ".join(dict.fromkeys(names)),
            values={"height": height, "of": float(len(rows)), "hanging": float(len(hanging))},
        )


def _of_runs(day: Day) -> Iterator[Doubt]:
    readings, facility = day.readings, day.session.facility
    weight = day.session.vehicle.mass * STANDARD_GRAVITY
    for row, run in enumerate(readings.runs):
        front, rear, drag = (float(a) for a in front_rear_drag(readings.areas[row]))
        if not DRAG_AREA_RANGE[0] <= drag <= DRAG_AREA_RANGE[1]:
            yield Doubt(kind="drag area", run=run.label, values={"area": drag})
        total = (front + rear) * float(readings.dynamic_pressure[row])
        if total > weight:
            yield Doubt(kind="above weight", run=run.label, values={"force": total, "weight": weight})
        axles = run.reading
        if run.total is not None and total_parts(
            axles.front, axles.rear, run.total, "down", allowed=_allowed_of_total(day, row)
        ):
            values = {"front": axles.front, "rear": axles.rear, "total": run.total}
            yield Doubt(kind="total", run=run.label, unit=day.session.columns["front"].form, values=values)
        speed, density = float(readings.speed[row]), float(readings.air_density[row])
        if abs(speed / facility.speed - 1.0) > SPEED_DEPARTURE:
            yield Doubt(kind="speed", run=run.label, values={"speed": speed, "facility": facility.speed})
        if abs(density / facility.air_density - 1.0) > DENSITY_DEPARTURE:
            yield Doubt(
                kind="density", run=run.label, values={"density": density, "facility": facility.air_density}
            )


def _allowed_of_total(day: Day, row: int) -> float | None:
    """Return how far a total may be from its axles, in the unit of the reading; nothing where no scatter is known.

    The repeats of the run itself are left out: a turned sign among them would hide itself.
    """
    readings, stated = day.readings, day.repeatability.stated
    areas, pressure = readings.downforce_area, float(readings.force_pressure[row])
    if stated is not None and np.isfinite(stated.deviation[TOTAL]):
        std = float(stated.deviation[TOTAL])
    else:
        others = [list(g) for k, g in enumerate(day.configurations) if k != day.group_of[row] and len(g) > 1]
        if not others:
            return None
        apart = [(areas[g] - areas[g].mean()) * readings.force_pressure[g] for g in others]
        std = float(np.sqrt(np.sum(np.square(np.concatenate(apart))) / sum(len(g) - 1 for g in others)))
    form, rounded = day.session.columns["front"].form, readings.runs[row].resolution
    unit = {"force": 1.0, "area": pressure, "coefficient": pressure * day.session.reference_area}[form]
    return max(WITHIN_STDS * std / unit, 2.0 * (rounded.front + rounded.rear))


def _of_repeats(day: Day, expectations: Expectations) -> Iterator[Doubt]:
    """Find runs whose channels are all scaled alike against their repeats, or of which one has its sign turned."""
    readings = day.readings
    for row, run in enumerate(readings.runs):
        usual = expectations.of_repeats(row)
        if usual is None:
            continue
        others = usual.why.rows
        if run.status == "good" and len(others) == 1 and row != _odd_of_two(day, row, others[0]):
            continue
        mine, mean, std = readings.areas[row], usual.mean, usual.std
        pressure, other = float(readings.force_pressure[row]), readings.runs[others[0]].label
        reversed_sign = [
            axle
            for k, axle in enumerate(CHANNELS[AXLES])
            if abs(mine[k] + mean[k]) < 4.0 * std[k] and abs(mean[k]) > 6.0 * std[k]
        ]
        for axle in reversed_sign:
            yield Doubt(kind="sign", run=run.label, other=other, axle=axle)
        factor = float(mine @ mean / (mean @ mean))
        scaled = abs(factor - 1.0) > SCALED_ALIKE and bool(np.all(np.abs(mine - factor * mean) < 4.0 * std))
        if run.status == "good" and not scaled:
            for k, axle in enumerate(CHANNELS):
                if axle not in reversed_sign and abs(mine[k] - mean[k]) > APART * std[k]:
                    values = {"force": float(mine[k]) * pressure, "usual": float(mean[k]) * pressure}
                    yield Doubt(kind="apart", run=run.label, other=other, axle=axle, values=values)
        if not reversed_sign and scaled:
            speed = float(readings.speed[row])
            values = {"factor": factor, "speed": speed, "perhaps": speed * float(np.sqrt(max(factor, 0.0)))}
            yield Doubt(kind="scaled alike", run=run.label, other=other, values=values)


def _odd_of_two(day: Day, one: int, other: int) -> int:
    """Return of two repeats the one whose drag is further from the day's other drags; the later where there are none."""
    drags = day.readings.drag_area
    rest = [k for k in range(len(drags)) if day.group_of[k] != day.group_of[one]]
    if not rest:
        return max(one, other)
    usual = float(median(drags[rest]))
    return max((one, other), key=lambda k: (round(abs(float(drags[k]) - usual), 9), k))


_PARTS_OF = {
    "rear": ("wing", "spoiler", "gurney", "flap", "rear", "boot", "diffuser", "tail"),
    "front": ("splitter", "canard", "dive", "lip", "dam", "front"),
}
"""Words in the name of a setting or configuration that tell which axle a part is for."""


def is_for_axle(words: str, axle: str) -> bool:
    """Return whether a part is for an axle by its name.

    As a wing and a spoiler are for the rear, a splitter for the front: a name says so where it holds one of
    the usual words.

    Examples
    --------
    >>> is_for_axle("wing_angle", "rear"), is_for_axle("wing_angle", "front")
    (True, False)
    """
    told = words.casefold()
    return any(word in told for word in _PARTS_OF[axle])


def _of_turned(day: Day, expectations: Expectations) -> Iterator[Doubt]:
    """Find axles that turn their sign against the runs before by more than any part of the day did."""
    readings = day.readings
    runs = readings.runs
    before = {
        row: usual
        for row in range(len(runs))
        if (usual := expectations.of(row, without=slice(row + 1, None))) is not None
    }
    rows, nears = np.array([(row, usual.why.rows[0]) for row, usual in before.items()], int).reshape(-1, 2).T
    steps = np.abs(readings.areas[rows] - readings.areas[nears])
    for row, usual in before.items():
        near = usual.why.rows[0]
        if runs[row].status != "good" or day.group_of[row] == day.group_of[near]:
            continue  # repeats are held against one another
        pressure = float(readings.force_pressure[row])
        for k, axle in enumerate(CHANNELS[AXLES]):
            mine, mean, its = (
                float(readings.areas[row, k]),
                float(usual.mean[k]),
                float(readings.areas[near, k]),
            )
            clear = min(abs(mine), abs(mean)) >= 10.0 * usual.std[k]
            if not clear or max(mine * mean, mine * its) >= 0.0:
                continue
            if is_for_axle(_changed_words(runs[row], runs[near]), axle):
                continue
            most = float(np.max(steps[(rows != row) & (nears != row), k], initial=0.0))
            if abs(mine - its) > most:
                values = {"force": mine * pressure, "usual": its * pressure, "most": most * pressure}
                yield Doubt(
                    kind="turned", run=runs[row].label, other=runs[near].label, axle=axle, values=values
                )


def _changed_words(run: Run, other: Run) -> str:
    """Gather the names of what was changed between two runs: settings, their words, and words of the labels."""
    names = changed_settings(run, other)
    texts = [
        str(s.value) for one in (run, other) for n in names if (s := one.settings.get(n)) and not s.numeric
    ]
    labels = set(run.configuration.casefold().split()) ^ set(other.configuration.casefold().split())
    return " ".join((*names, *texts, *labels)).casefold()


def _without_wing(run: Run) -> tuple[tuple[str, float | str], ...]:
    """Name what was fitted apart from any wing."""
    kept = ((n, s.value) for n, s in run.settings.items() if "wing" not in n and "flap" not in n)
    return tuple(sorted(kept, key=lambda item: item[0]))


def _of_wings(day: Day, expectations: Expectations) -> Iterator[Doubt]:
    """Find wings that put load on the front, or take it off the rear, as a wrong sign or column makes them."""
    readings = day.readings
    winged = np.array([any("wing" in name for name in run.settings) for run in readings.runs], bool)
    front_weight, _ = static_axle_weights(day.session.vehicle.mass, day.session.vehicle.front_share)
    for row in np.flatnonzero(winged).tolist():
        bare = expectations.of(row, without=winged)
        run = readings.runs[row]
        if bare is None or _without_wing(run) != _without_wing(readings.runs[bare.why.rows[0]]):
            continue
        pressure = float(readings.force_pressure[row])
        change = (readings.areas[row] - bare.mean) * pressure
        enough = np.maximum(5.0 * bare.std * pressure, 0.005 * front_weight)
        odd = (change[FRONT] > enough[FRONT], change[REAR] < -enough[REAR])
        for k, axle in enumerate(CHANNELS[AXLES]):
            if odd[k]:
                yield Doubt(
                    kind="wing",
                    run=run.label,
                    other=readings.runs[bare.why.rows[0]].label,
                    axle=axle,
                    values={"change": float(change[k])},
                )


def _of_names(day: Day) -> Iterator[Doubt]:
    """Find runs of the same settings under several names, which are repeats if nothing else differed."""
    runs = day.readings.runs
    for rows in named_otherwise(what_was_fitted(day.fits)):
        names = dict.fromkeys(runs[row].configuration for row in rows)
        yield Doubt(
            kind="names",
            other=", ".join(runs[row].label for row in rows),
            setting=", not ".join((next(iter(names)), " or ".join(list(names)[1:]))),
        )


def _of_scaling(day: Day) -> Iterator[Doubt]:
    """Find configurations whose coefficients change with speed by more than their scatter."""
    readings = day.readings
    for rows in day.configurations:
        slow = min(rows, key=lambda r: readings.speed[r])
        fast = max(rows, key=lambda r: readings.speed[r])
        if readings.speed[fast] <= 1.02 * readings.speed[slow]:
            continue
        group = [r for r in rows if abs(readings.speed[r] / readings.speed[fast] - 1.0) <= 0.02]
        mean = readings.areas[group].mean(axis=0)
        for k, axle in enumerate(CHANNELS):
            deviation = day.repeatability.deviation[k]
            if not np.isfinite(deviation):
                continue
            noise = deviation * float(
                np.hypot(
                    1.0 / readings.force_pressure[slow],
                    1.0 / (readings.force_pressure[fast] * np.sqrt(len(group))),
                )
            )
            change = float(mean[k] - readings.areas[slow, k])
            if abs(change) > 3.0 * noise:
                yield Doubt(
                    kind="scaling",
                    run=readings.runs[slow].label,
                    other=readings.runs[fast].label,
                    axle=axle,
                    values={
                        "change": change,
                        "slow": float(readings.speed[slow]),
                        "fast": float(readings.speed[fast]),
                    },
                )
