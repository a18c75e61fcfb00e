"""Figures that are possible but unlikely: worth a second look before a day's results are believed."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np

from balance.axle_sum import total_parts
from balance.handling.axle_loads import STANDARD_GRAVITY, static_axle_weights

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from balance.decide.day import Day
    from balance.records import Run, Session

FRONT_TOLERANCE_DOUBT = 0.03
DRAG_AREA_RANGE = (0.3, 2.0)
CHANNELS = ("front", "rear", "drag")
SPEED_DEPARTURE = 0.20
DENSITY_DEPARTURE = 0.03
SCALED_ALIKE = 0.05
APART = 15.0


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


def doubts(day: Day) -> tuple[Doubt, ...]:
    """Look a session through for figures that are possible but unlikely.

    Parameters
    ----------
    day : Day
        The reduced session. [1]

    Returns
    -------
    tuple of Doubt
        In a fixed order: the car, single runs, repeats, parts, scaling with speed. [1]

    Notes
    -----
    Limits: drag area 0.3 to 2 m^2; total downforce below the car's weight; speed within 20 % and density
    within 3 % of the facility's; a total that was read within 2 % of the larger axle of the sum of both; repeats that differ by one factor in every channel (of two, the one further from the
    day's other drags is named), or in one of them by more than 15 times the scatter; an axle that turns its sign
    against the run before it that is most like it, by more than any part of the day did there, unless a part of that
    axle was put on or taken off; a wing that takes load off the rear axle or puts it on the front; front weight share 0.3 to
    0.7; sides within 10 %; a front tolerance above 3 %.

    References
    ----------
    Common practice, no source.
    """
    return (
        *_of_the_car(day.session),
        *_of_runs(day),
        *_of_repeats(day),
        *_of_turned(day),
        *_of_wings(day),
        *_of_scaling(day),
    )


def _of_the_car(session: Session) -> Iterator[Doubt]:
    vehicle = session.vehicle
    if not 0.3 <= vehicle.front_share <= 0.7:
        yield Doubt(kind="front share", values={"share": vehicle.front_share})
    if vehicle.corners is not None:
        left, right = vehicle.corners[0] + vehicle.corners[2], vehicle.corners[1] + vehicle.corners[3]
        if abs(left - right) > 0.1 * vehicle.mass:
            yield Doubt(kind="sides", values={"left": left, "right": right})
    if vehicle.target.front_tolerance > FRONT_TOLERANCE_DOUBT:
        yield Doubt(kind="front tolerance", values={"tolerance": vehicle.target.front_tolerance})
    if not 300.0 <= vehicle.mass <= 3500.0:
        yield Doubt(kind="mass", values={"mass": vehicle.mass})
    if not 1.5 <= vehicle.wheelbase <= 4.0:
        yield Doubt(kind="wheelbase", values={"wheelbase": vehicle.wheelbase})


def _of_runs(day: Day) -> Iterator[Doubt]:
    readings, facility = day.readings, day.session.facility
    weight = day.session.vehicle.mass * STANDARD_GRAVITY
    for row, run in enumerate(readings.runs):
        front, rear, drag = (float(a) for a in readings.areas[row])
        if not DRAG_AREA_RANGE[0] <= drag <= DRAG_AREA_RANGE[1]:
            yield Doubt(kind="drag area", run=run.label, values={"area": drag})
        total = (front + rear) * float(readings.dynamic_pressure[row])
        if total > weight:
            yield Doubt(kind="above weight", run=run.label, values={"force": total, "weight": weight})
        axles = run.reading
        if run.total is not None and total_parts(axles.front, axles.rear, run.total, "down"):
            values = {"front": axles.front, "rear": axles.rear, "total": run.total}
            yield Doubt(kind="total", run=run.label, unit=day.session.columns["front"].form, values=values)
        speed, density = float(readings.speed[row]), float(readings.air_density[row])
        if abs(speed / facility.speed - 1.0) > SPEED_DEPARTURE:
            yield Doubt(kind="speed", run=run.label, values={"speed": speed, "facility": facility.speed})
        if abs(density / facility.air_density - 1.0) > DENSITY_DEPARTURE:
            yield Doubt(
                kind="density", run=run.label, values={"density": density, "facility": facility.air_density}
            )


def _of_repeats(day: Day) -> Iterator[Doubt]:
    """Find runs whose channels are all scaled alike against their repeats, or of which one has its sign turned."""
    readings = day.readings
    for rows in day.configurations:
        near = [r for r in rows if abs(readings.speed[r] / readings.speed[rows[0]] - 1.0) <= SPEED_DEPARTURE]
        for row in near:
            others = [r for r in near if r != row]
            if not others or (len(others) == 1 and row != _odd_of_two(day, row, others[0])):
                continue
            mean = np.median(readings.areas[others], axis=0)
            mine = readings.areas[row]
            pressure = float(readings.force_pressure[row])
            noise = noise_force(day) / pressure
            label, other = readings.runs[row].label, readings.runs[others[0]].label
            turned = [
                axle
                for k, axle in enumerate(("front", "rear"))
                if abs(mine[k] + mean[k]) < 4.0 * noise and abs(mean[k]) > 6.0 * noise
            ]
            for axle in turned:
                yield Doubt(kind="sign", run=label, other=other, axle=axle)
            factor = float(mine @ mean / (mean @ mean))
            left = mine - factor * mean
            scaled = abs(factor - 1.0) > SCALED_ALIKE and bool(np.all(np.abs(left) < 4.0 * noise))
            if scaled and len(others) == 2 and _factor(day, *others) > SCALED_ALIKE:
                continue  # the others differ likewise between themselves: one of them is meant
            if readings.runs[row].status == "good" and not scaled:
                usual = np.median(readings.areas[near], axis=0) if len(near) > 2 else mean
                for k, axle in enumerate(CHANNELS):
                    if axle not in turned and abs(mine[k] - usual[k]) > APART * noise:
                        values = {"force": float(mine[k]) * pressure, "usual": float(usual[k]) * pressure}
                        yield Doubt(kind="apart", run=label, other=other, axle=axle, values=values)
            if not turned and scaled:
                speed = float(readings.speed[row]) * float(np.sqrt(max(factor, 0.0)))
                yield Doubt(
                    kind="scaled alike",
                    run=label,
                    other=other,
                    values={"factor": factor, "speed": float(readings.speed[row]), "perhaps": speed},
                )


def _factor(day: Day, one: int, other: int) -> float:
    """Tell by how much two runs differ in drag, as a part."""
    drags = day.readings.areas[[one, other], 2]
    return float(abs(drags[0] / drags[1] - 1.0)) if drags[1] else float("inf")


def _odd_of_two(day: Day, one: int, other: int) -> int:
    """Name of two repeats the one whose drag is further from the day's other drags; the later where there are none."""
    drags = day.readings.areas[:, 2]
    rest = [k for k in range(len(drags)) if day.group_of[k] != day.group_of[one]]
    if not rest:
        return max(one, other)
    usual = float(np.median(drags[rest]))
    return max((one, other), key=lambda k: (round(abs(float(drags[k]) - usual), 9), k))


_PARTS_OF = {
    "rear": ("wing", "spoiler", "gurney", "flap", "rear", "boot", "diffuser", "tail"),
    "front": ("splitter", "canard", "dive", "lip", "dam", "front"),
}
"""Words in the name of a setting or configuration that tell which axle a part is for."""


def _of_turned(day: Day) -> Iterator[Doubt]:
    """Find axles that turn their sign against the run before by more than any part of the day did."""
    readings = day.readings
    runs, noise = readings.runs, noise_force(day)
    before = {row: _most_like(runs, row) for row in range(1, len(runs))}
    steps = {
        row: readings.areas[row] - readings.areas[near] for row, near in before.items() if near is not None
    }
    for row, near in before.items():
        if near is None or runs[row].status != "good" or day.group_of[row] == day.group_of[near]:
            continue  # repeats are held against one another
        told = _changed_words(runs[row], runs[near])
        clear = 10.0 * noise / float(readings.force_pressure[row])
        for k, axle in enumerate(("front", "rear")):
            mine, its = float(readings.areas[row, k]), float(readings.areas[near, k])
            if (
                mine * its >= 0.0
                or min(abs(mine), abs(its)) < clear
                or any(w in told for w in _PARTS_OF[axle])
            ):
                continue
            others = [
                abs(float(step[k])) for other, step in steps.items() if other != row and before[other] != row
            ]
            if abs(mine - its) > max(others, default=0.0):
                pressure = float(readings.force_pressure[row])
                yield Doubt(
                    kind="turned", run=runs[row].label, other=runs[near].label, axle=axle,
                    values={"force": mine * pressure, "usual": its * pressure, "most": max(others, default=0.0) * pressure},
                )  # fmt: skip


def _most_like(runs: Sequence[Run], row: int) -> int | None:
    """Find the good run before this one that differs in fewest settings; of several the latest."""
    good = [other for other in range(row) if runs[other].status == "good"]
    return min(good, key=lambda other: (len(_changed(runs[row], runs[other])), row - other), default=None)


def _changed(run: Run, other: Run) -> set[str]:
    names = run.settings.keys() | other.settings.keys()
    return {
        name
        for name in names
        if (a := run.settings.get(name)) is None
        or (b := other.settings.get(name)) is None
        or a.value != b.value
    }


def _changed_words(run: Run, other: Run) -> str:
    """Gather the names of what was changed between two runs: settings, their words, and words of the labels."""
    names = _changed(run, other)
    texts = [
        str(s.value) for one in (run, other) for n in names if (s := one.settings.get(n)) and not s.numeric
    ]
    labels = set(run.configuration.casefold().split()) ^ set(other.configuration.casefold().split())
    return " ".join((*names, *texts, *labels)).casefold()


def noise_force(day: Day) -> float:
    """Give a scatter that one wrong run cannot blow up.

    Parameters
    ----------
    day : Day
        The reduced session. [1]

    Returns
    -------
    float
        The facility's standard deviation of one reading, the largest channel's; else 1 % of the usual drag. [N]

    Notes
    -----
    For judging what is unlikely, never for an interval.

    References
    ----------
    Common practice, no source.
    """
    stated = day.repeatability.stated
    if stated is not None and np.all(np.isfinite(stated.deviation[:3])):
        return float(np.max(stated.deviation[:3]))
    readings = day.readings
    return 0.01 * float(np.median(np.abs(readings.areas[:, 2]) * readings.force_pressure))


def _without_wing(run: Run) -> tuple[tuple[str, float | str], ...]:
    """Name what was fitted apart from any wing."""
    kept = ((n, s.value) for n, s in run.settings.items() if "wing" not in n and "flap" not in n)
    return tuple(sorted(kept, key=lambda item: item[0]))


def _of_wings(day: Day) -> Iterator[Doubt]:
    """Find wings that put load on the front, or take it off the rear, as a wrong sign or column makes them."""
    readings = day.readings
    bare: dict[object, int] = {}
    for row, run in enumerate(readings.runs):
        if not any("wing" in name for name in run.settings):
            bare.setdefault(_without_wing(run), row)
    front_weight, _ = static_axle_weights(day.session.vehicle.mass, day.session.vehicle.front_share)
    for row, run in enumerate(readings.runs):
        base = bare.get(_without_wing(run)) if any("wing" in name for name in run.settings) else None
        if base is None:
            continue
        change = (readings.areas[row] - readings.areas[base]) * float(readings.force_pressure[row])
        enough = max(5.0 * noise_force(day), 0.005 * front_weight)
        for k, axle, odd in ((0, "front", change[0] > enough), (1, "rear", change[1] < -enough)):
            if odd:
                yield Doubt(
                    kind="wing",
                    run=run.label,
                    other=readings.runs[base].label,
                    axle=axle,
                    values={"change": float(change[k])},
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
