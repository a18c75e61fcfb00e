"""Parts that were measured, put on a car or taken off: what each is measured against there, and what that rests on."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from types import MappingProxyType
from typing import TYPE_CHECKING

import numpy as np

from balance.model.errors import InputError

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from numpy.typing import NDArray

    from balance.compare.fitted import Fitted
    from balance.decide.car.prepared_day import PreparedDay


@dataclass(frozen=True, slots=True, kw_only=True)
class PutPart:
    """A part put on, or taken off where ``times`` is negative: its pair, and the run that it is measured against."""

    pair: int
    times: int
    baseline: int


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PutParts:
    """Parts put on a run's car or taken off, in that order: those taken off first.

    Attributes
    ----------
    parts : tuple of PutPart
        The parts.
    weights : numpy.ndarray
        (runs,) of all of them together over the session's readings. [1]
    codes : numpy.ndarray
        (settings,) what is on the car then, as in `balance.compare.fitted.Fitted`. [1]
    moved : mapping of str to str
        Settings that a part put elsewhere than they were, each with the label of the part's run.
    """

    parts: tuple[PutPart, ...]
    weights: NDArray[np.float64]
    codes: NDArray[np.int_]
    moved: Mapping[str, str]


def put_parts(prepared: PreparedDay, row: int, *, on: Sequence[str], off: Sequence[str]) -> PutParts:
    """Put measured parts on a run's car, or take them off.

    ``on`` names runs of which the settings that differ from their baseline are put on, at those runs' own
    values; ``off`` runs whose measured change is taken off. Where the car has a setting of the part already,
    at another value than the part's baseline, the part is measured against a run that differs from the part's
    in these settings alone and has them as the car has; refused where there is none.
    """
    increments, labels = prepared.increments, prepared.day.readings.labels
    counted = Counter(on)
    counted.subtract(off)
    pairs = {
        labels[pair.run]: k for k, pair in enumerate(increments.pairs) if pair.shows_part or not pair.proposed
    }
    for label in counted:
        prepared.row(label)
        if label not in pairs:
            raise InputError(
                f"part '{label}': found a run without a baseline, expected one that is compared with another; "
                "state its baseline in runs.csv"
            )
    parts: list[PutPart] = []
    weights, codes = np.zeros(len(labels)), increments.fitted.codes[row]
    moved: dict[str, str] = {}
    for label, times in sorted(counted.items(), key=lambda one: one[1] > 0):
        if times:
            part = _put(prepared, codes, pairs[label], times)
            weights = weights + times * _part_weights(prepared, part)
            after = _with_part(prepared, codes, part)
            moved |= {increments.fitted.names[k]: label for k in np.flatnonzero(after != codes).tolist()}
            parts.append(part)
            codes = after
    return PutParts(parts=tuple(parts), weights=weights, codes=codes, moved=MappingProxyType(moved))


def _put(prepared: PreparedDay, codes: NDArray[np.int_], k: int, times: int) -> PutPart:
    """Find what a part is measured against, so that it stands on this car at its run's own values."""
    fitted, pair = prepared.increments.fitted, prepared.increments.pairs[k]
    changed = fitted.codes[pair.run] != fitted.codes[pair.baseline]
    if times < 0 or np.array_equal(codes[changed], fitted.codes[pair.baseline, changed]):
        return PutPart(pair=k, times=times, baseline=pair.baseline)
    wanted = fitted.codes[pair.run].copy()
    wanted[changed] = codes[changed]
    alike = np.all(fitted.codes == wanted, axis=1) & (fitted.blocks == fitted.blocks[pair.run])
    found = np.flatnonzero(alike & (fitted.groups != fitted.groups[pair.run]))
    if np.array_equal(wanted, fitted.codes[pair.run]):
        return PutPart(pair=k, times=times, baseline=pair.run)
    if found.size == 0:
        labels = prepared.day.readings.labels
        has = ", ".join(
            _value(fitted, column, int(codes[column])) for column in np.flatnonzero(changed).tolist()
        )
        raise InputError(
            f"part '{labels[pair.run]}': found {has} on the car, expected what run {labels[pair.baseline]} has there, from "
            f"which run {labels[pair.run]} was measured, or a run to measure it from that has {has} and all else as run "
            f"{labels[pair.run]}; take off what is in its place, or start from another run"
        )
    best = max(found.tolist(), key=lambda other: (len(fitted.sets[other]), -abs(other - pair.run)))
    return PutPart(pair=k, times=times, baseline=best)


def _part_weights(prepared: PreparedDay, part: PutPart) -> NDArray[np.float64]:
    """Write a part as weights over the session's readings, (runs,)."""
    pair = prepared.increments.pairs[part.pair]
    if part.baseline == pair.baseline:
        return np.asarray(prepared.increments.uncorrected.weights[part.pair])
    sets = prepared.increments.fitted.sets
    run, baseline = prepared.day.fits.means([sets[pair.run], sets[part.baseline]])
    return np.asarray(run - baseline)


def _with_part(prepared: PreparedDay, codes: NDArray[np.int_], part: PutPart) -> NDArray[np.int_]:
    """State what is on the car with a part on, or off."""
    fitted, pair = prepared.increments.fitted, prepared.increments.pairs[part.pair]
    changed = fitted.codes[pair.run] != fitted.codes[pair.baseline]
    return np.where(changed, fitted.codes[pair.run if part.times > 0 else pair.baseline], codes)


def _value(fitted: Fitted, column: int, code: int) -> str:
    """Write what a setting is put to."""
    setting = fitted.values[column][code]
    if setting is None:
        return f"no {fitted.names[column]}"
    return f"{fitted.names[column]} {setting.text}"
