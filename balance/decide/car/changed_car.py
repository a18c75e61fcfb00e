"""A run with measured parts put on or taken off, and changes that were stated: areas, scatter, and what was assumed."""

from __future__ import annotations

from dataclasses import dataclass, field
from types import MappingProxyType
from typing import TYPE_CHECKING

import numpy as np

from balance.decide.car.counted_twice import moved_by_library, refuse_twice
from balance.decide.car.expected_change import expected_change, expected_covariance, expected_noise
from balance.decide.car.stated_doubt import force_stds, stated_stds
from balance.decide.day.own_draws import Source, own_normals
from balance.decide.parts.put_parts import put_parts
from balance.handling.part_force import axle_changes
from balance.model.channels import CHANNELS, DRAG, FRONT, REAR
from balance.model.errors import InputError
from balance.model.what_ifs import stated_at
from balance.reduce.air import dynamic_pressure
from balance.reduce.totals import with_total

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from numpy.typing import NDArray

    from balance.decide.car.prepared_day import PreparedDay
    from balance.decide.parts.put_parts import PutPart, PutParts
    from balance.model.libraries import FromLibrary
    from balance.model.what_ifs import PlacedForce, StatedChange

    Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Assumption:
    """What an answer rests on without its having been measured: a kind, and the figures to say it with, SI."""

    kind: str
    values: Mapping[str, float | str] = field(default_factory=lambda: MappingProxyType({}))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ChangedCar:
    """A run and what was changed about it, before any setting is moved along its curve.

    Attributes
    ----------
    areas : numpy.ndarray
        (3,) front downforce, rear downforce, drag. [m^2]
    draws : numpy.ndarray or None
        (3, draws) of the same; nothing where the scatter is unknown. [m^2]
    weights : numpy.ndarray
        (runs,) of the measured part over the session's readings. [1]
    stated_std : numpy.ndarray
        (4,) standard uncertainty of what was stated or expected: front, rear, drag and total. [m^2]
    stated_drag : float
        Drag that was stated or expected, and not measured. [m^2]
    row : int
        The run that it starts from, among those that count.
    codes : numpy.ndarray
        (settings,) what is on it, as `balance.compare.fitted.Fitted` counts settings. [1]
    assumptions : tuple of Assumption
        What it rests on.
    moved : mapping of str to str
        Settings that a part put elsewhere than they are on the run, each with the part.
    """

    areas: Array
    draws: Array | None
    weights: Array
    stated_std: Array
    stated_drag: float
    row: int
    codes: NDArray[np.int_]
    assumptions: tuple[Assumption, ...]
    moved: Mapping[str, str] = field(default_factory=lambda: MappingProxyType({}))

    def refuse_moving(self, setting: str) -> None:
        """Refuse to move a setting along its curve that a part put elsewhere: that would count the part twice."""
        if setting in self.moved:
            raise InputError(
                f"{setting}: found part '{self.moved[setting]}', which changes it, and a move of it along its curve, "
                "expected one of the two; start from a run that has the setting where it is to be moved from"
            )


def change_car(
    prepared: PreparedDay,
    run: str,
    *,
    on: Sequence[str] = (),
    off: Sequence[str] = (),
    stated: Sequence[StatedChange] = (),
    forces: Sequence[PlacedForce] = (),
    library: Sequence[FromLibrary] = (),
    drawn: bool = True,
) -> ChangedCar:
    """Put measured parts on a run's car or take them off, and add changes that were stated.

    ``on`` names runs of which the settings that differ from their baseline are put on, at those runs' own
    values; ``off`` runs whose measured change is taken off. Parts are taken off first. Where the car has a
    setting of the part already, at another value than the part's baseline, the part is measured against a run
    that differs from the part's in these settings alone and has them as the car has. The measured part is one
    contrast over the session's readings, so that what two parts share is counted once. The same part put on
    and taken off leaves no trace.

    Refused is a run that has no baseline, a start with a setting of the part at a value from which it was not
    measured, a library that has too little to say of a part, and a part that the car has on already.
    """
    row = prepared.row(run)
    weights = prepared.start_weights(row)
    put = put_parts(prepared, row, on=on, off=off)
    weights = weights + put.weights
    areas = prepared.areas(weights)
    made = prepared.drawn(weights[None]) if drawn else None
    draws = None if made is None else made[:, :, 0]
    doubts = stated_stds(stated)
    of_forces = [force_stds(force) for force in forces]
    added = np.zeros(len(CHANNELS))
    for change in stated:
        added += [getattr(change, channel) for channel in CHANNELS]
    wheelbase = prepared.day.session.vehicle.wheelbase
    for force in forces:
        front, rear = axle_changes(
            force.downforce,
            force.drag,
            behind_rear_axle=force.behind_rear_axle,
            height=force.height,
            wheelbase=wheelbase,
        )
        added[FRONT] += float(front)
        added[REAR] += float(rear)
        added[DRAG] += force.drag
    refuse_twice(prepared, put, row, library, on=on, off=off)
    for part in library:
        added += expected_change(part)
    if np.any(added != 0.0):
        areas = areas + added
        draws = None if draws is None else draws + added[:, None]
    slopes = [_moved_by(force, wheelbase) for force in forces]
    stds = _stated_std(doubts, of_forces, slopes, library)
    if draws is not None and np.any(stds > 0.0):
        draws = draws + _stated_noise(prepared, doubts, of_forces, slopes, library)
    return ChangedCar(
        areas=areas,
        draws=draws,
        weights=weights,
        stated_std=stds,
        stated_drag=float(added[DRAG]),
        row=row,
        codes=put.codes,
        assumptions=(
            *_about_the_start(prepared, row),
            *_about_parts(prepared, row, put),
            *_about_stated(prepared, stated, doubts),
            *_about_forces(prepared, forces, of_forces),
            *_about_library(prepared, library),
        ),
        moved=MappingProxyType({**moved_by_library(library), **put.moved}),
    )


def _moved_by(force: PlacedForce, wheelbase: float) -> Array:
    """Return what each figure of a force does to the axles, (3, 4): derivatives of ``DFf = -(F x + D h)/L`` and the rest.

    Front downforce, rear downforce and drag by downforce, drag, distance and height, as of `axle_changes`.
    """
    of_front = -np.array([force.behind_rear_axle, force.height, force.downforce, force.drag]) / wheelbase
    return np.array([of_front, np.array([1.0, 0.0, 0.0, 0.0]) - of_front, [0.0, 1.0, 0.0, 0.0]])


def _stated_std(
    doubts: Array, of_forces: Sequence[Array], slopes: Sequence[Array], library: Sequence[FromLibrary]
) -> Array:
    """Return the standard uncertainty of all that was stated, (4,): front, rear, drag and total [m²]."""
    total = with_total(np.eye(len(CHANNELS))).T
    variance = (np.square(total) @ np.square(doubts).T).sum(axis=1)
    for stds, slope in zip(of_forces, slopes, strict=True):
        variance = variance + np.square(total @ slope @ np.diag(stds)).sum(axis=1)
    for part in library:
        variance = variance + np.maximum(np.diagonal(total @ expected_covariance(part) @ total.T), 0.0)
    return np.asarray(np.sqrt(variance))


def _stated_noise(
    prepared: PreparedDay,
    doubts: Array,
    of_forces: Sequence[Array],
    slopes: Sequence[Array],
    library: Sequence[FromLibrary],
) -> Array:
    """Draw what is not known of what was stated, (3, draws): the same for the same place in its list."""
    noise = np.zeros((len(CHANNELS), prepared.shared.count))
    for k, stds in enumerate(doubts):
        noise += stds[:, None] * own_normals(prepared.shared, Source.CHANGE, k, len(CHANNELS))
    for k, (stds, slope) in enumerate(zip(of_forces, slopes, strict=True)):
        if np.any(stds > 0.0):
            noise += slope @ (stds[:, None] * own_normals(prepared.shared, Source.FORCE, k, len(stds)))
    for k, part in enumerate(library):
        noise += expected_noise(prepared.shared, k, part)
    return noise


def _about_the_start(prepared: PreparedDay, row: int) -> list[Assumption]:
    labels, runs = prepared.day.readings.labels, prepared.day.readings.runs
    averaged = prepared.increments.fitted.sets[row]
    found = []
    if len(averaged) > 1:
        found.append(
            Assumption(kind="mean of repeats", values={"runs": ", ".join(labels[r] for r in averaged)})
        )
    found += [
        Assumption(kind="suspect run", values={"run": labels[r]})
        for r in averaged
        if runs[r].status == "suspect"
    ]
    if runs[row].loading:
        found.append(
            Assumption(kind="measured loading", values={"run": labels[row], "loading": runs[row].loading})
        )
    if not prepared.scatter.known:
        found.append(Assumption(kind="scatter unknown"))
    return found


def _about_parts(prepared: PreparedDay, row: int, put: PutParts) -> list[Assumption]:
    """State which parts were measured on another car than they are put on, and whether the package was run."""
    fitted, labels = prepared.increments.fitted, prepared.day.readings.labels
    found = [one for part in put.parts for one in _about_part(prepared, row, part)]
    if len(put.parts) > 1:
        together = ", ".join(labels[prepared.increments.pairs[part.pair].run] for part in put.parts)
        found.append(Assumption(kind="parts added", values={"runs": together}))
    if put.moved:
        same = [labels[r] for r in range(len(labels)) if np.array_equal(fitted.codes[r], put.codes)]
        if same:
            found.append(Assumption(kind="was run together", values={"runs": ", ".join(same)}))
    return found


def _about_part(prepared: PreparedDay, row: int, part: PutPart) -> list[Assumption]:
    """State what one part rests on."""
    fitted, labels = prepared.increments.fitted, prepared.day.readings.labels
    pair, baseline, times = prepared.increments.pairs[part.pair], part.baseline, part.times
    values: dict[str, float | str] = {
        "run": labels[pair.run],
        "baseline": labels[baseline],
        "own": labels[pair.baseline],
        "start": labels[row],
        "times": float(times),
    }
    if baseline == pair.run:
        return [Assumption(kind="part is on already", values=values)]
    found = []
    if baseline != pair.baseline:
        found.append(Assumption(kind="part measured against another run", values=values))
    if fitted.groups[baseline if times > 0 else pair.run] != fitted.groups[row]:
        found.append(Assumption(kind="part measured on another car", values=values))
    if abs(times) > 1:
        found.append(Assumption(kind="part more than once", values=values))
    differs = fitted.differs(pair.run, baseline)
    if len(differs) > 1:
        found.append(Assumption(kind="part is a package", values={**values, "differs": ", ".join(differs)}))
    runs, used = prepared.day.readings.runs, (*fitted.sets[pair.run], *fitted.sets[baseline])
    if any(runs[r].status == "suspect" for r in used):
        found.append(Assumption(kind="suspect part", values=values))
    return found


def _about_stated(prepared: PreparedDay, stated: Sequence[StatedChange], doubts: Array) -> list[Assumption]:
    found = []
    for change, stds in zip(stated, doubts.tolist(), strict=True):
        speed, density, q = _told_at(prepared, change)
        found.append(
            Assumption(
                kind="stated change",
                values={
                    "front": change.front * q,
                    "rear": change.rear * q,
                    "drag": change.drag * q,
                    "front_std": stds[FRONT] * q,
                    "rear_std": stds[REAR] * q,
                    "drag_std": stds[DRAG] * q,
                    "assumed": ", ".join(change.assumed),
                    "speed": speed,
                    "air_density": density,
                    "note": change.note,
                },
            )
        )
    return found


def _about_forces(
    prepared: PreparedDay, forces: Sequence[PlacedForce], of_forces: Sequence[Array]
) -> list[Assumption]:
    found = []
    for force, (downforce_std, drag_std, *_) in zip(forces, of_forces, strict=True):
        speed, density, q = _told_at(prepared, force)
        front, rear = axle_changes(
            force.downforce * q,
            force.drag * q,
            behind_rear_axle=force.behind_rear_axle,
            height=force.height,
            wheelbase=prepared.day.session.vehicle.wheelbase,
        )
        found.append(
            Assumption(
                kind="force at a place",
                values={
                    "downforce": force.downforce * q,
                    "drag": force.drag * q,
                    "downforce_std": float(downforce_std) * q,
                    "drag_std": float(drag_std) * q,
                    "assumed": ", ".join(
                        name for name in ("downforce", "drag") if name not in force.uncertainties
                    ),
                    "behind_rear_axle": force.behind_rear_axle,
                    "height": force.height,
                    "front": float(front),
                    "rear": float(rear),
                    "speed": speed,
                    "air_density": density,
                    "note": force.note,
                },
            )
        )
    return found


def _about_library(prepared: PreparedDay, library: Sequence[FromLibrary]) -> list[Assumption]:
    """State what is expected of parts of a library, at the facility's speed and air density."""
    facility = prepared.day.session.facility
    q = float(dynamic_pressure(facility.speed, facility.air_density))
    found = []
    for part in library:
        stds = np.sqrt(np.diagonal(expected_covariance(part)))
        values: dict[str, float | str] = {
            "part": part.part,
            "cars": float(part.cars),
            "own": float(part.own),
            "own_dates": ", ".join(part.own_dates),
            "measured": part.measured[0] if part.measured else "",
            "speed": facility.speed,
            "air_density": facility.air_density,
        }
        for name, change, std in zip(CHANNELS, expected_change(part).tolist(), stds.tolist(), strict=True):
            values |= {name: change * q, f"{name}_std": std * q}
        found.append(Assumption(kind="expected from library", values=values))
    return found


def _told_at(prepared: PreparedDay, change: StatedChange | PlacedForce) -> tuple[float, float, float]:
    """Return speed, density and dynamic pressure that a change is told at: its own, else the facility's."""
    speed, density = stated_at(prepared.day.session.facility, change)
    return speed, density, float(dynamic_pressure(speed, density))
