"""What a day says of its parts, for a library: effects as areas, with covariance and condition, and without draws."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from balance.compare.column_increments import ONLY, column_weights
from balance.compare.fitted import NOT_FITTED
from balance.compare.increments import pair_weights
from balance.compare.pairing import pair_runs
from balance.decide.library.one_day import one_effect_per_size
from balance.model.arrays import read_only
from balance.model.channels import WITH_TOTAL
from balance.model.libraries import KeptColumn
from balance.model.plans import LABEL
from balance.model.records import Setting
from balance.reduce.air import dynamic_pressure
from balance.reduce.fits import fits_of_column
from balance.reduce.totals import with_total

if TYPE_CHECKING:
    from collections.abc import Collection, Hashable, Sequence

    from numpy.typing import NDArray

    from balance.compare.fitted import Fitted
    from balance.compare.pairing import Pair
    from balance.model.records import Session
    from balance.reduce.fits import Fits

    Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class SettingChange:
    """A setting that a part changed: what it was put to, and what it was before; None where it is not fitted."""

    name: str
    value: Setting | None
    before: Setting | None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PartEffect:
    """What a part of one size did on one day.

    Attributes
    ----------
    changes : tuple of SettingChange
        The settings that it changed, sorted by name; several where they were changed together.
    effect : numpy.ndarray
        (4,) change of front downforce, rear downforce, drag and total downforce. [m²]
    covariance : numpy.ndarray
        (4, 4) of those; not a number where the scatter is unknown. [m⁴]
    degrees_of_freedom : numpy.ndarray
        (4,) how well the scatter behind them is known. [1]
    refit_assumed : bool
        Nothing was fitted twice, so that what refitting does is assumed.
    fitted_with : tuple of (str, Setting)
        What else was fitted in the comparison for which the effect is stated, sorted by name.
    runs, baseline_runs : tuple of str
        Labels of the runs with the part, and of those without it or with its value before.
    suspect : tuple of str
        Those of them that are marked suspect.
    comparisons : int
        How many comparisons were combined.
    columns : tuple of KeptColumn
        What it did to every compared column of which both sides have a value.
    """

    changes: tuple[SettingChange, ...]
    effect: Array
    covariance: Array
    degrees_of_freedom: Array
    refit_assumed: bool
    fitted_with: tuple[tuple[str, Setting], ...]
    runs: tuple[str, ...]
    baseline_runs: tuple[str, ...]
    suspect: tuple[str, ...]
    comparisons: int
    columns: tuple[KeptColumn, ...] = ()

    @property
    def std(self) -> Array:
        """Standard uncertainty of each, (4,) [m²]."""
        return np.asarray(np.sqrt(np.diagonal(self.covariance)))

    @property
    def readings(self) -> int:
        """How many readings stand behind it."""
        return len({*self.runs, *self.baseline_runs})


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DayParts:
    """What one day says of its parts.

    Attributes
    ----------
    parts : tuple of PartEffect
        One for each part and size, in running order.
    floor : str or None
        What the car stood on, as the facility's table says it.
    variance : numpy.ndarray
        (4,) of one reading of one fit at the facility's speed and density, as it stands behind the covariances; not a
        number where unknown. [m⁴]
    repeats_variance : numpy.ndarray
        (4,) the same by what was fitted again on this day alone; not a number where nothing was. [m⁴]
    repeats_degrees : float
        How well those are known, 0 where nothing was fitted again. [1]
    """

    parts: tuple[PartEffect, ...]
    floor: str | None
    variance: Array
    repeats_variance: Array
    repeats_degrees: float


@dataclass(frozen=True, slots=True)
class _Comparison:
    """A pair of runs as what it says of a part; ``sign`` is -1 where the run is the one without it."""

    pair: Pair
    sign: int
    changes: tuple[SettingChange, ...]
    fitted_with: tuple[tuple[str, Setting], ...]

    @property
    def part(self) -> tuple[tuple[str, float | str | None], ...]:
        """What tells parts apart: the settings that are changed, and from what."""
        return tuple((one.name, None if one.before is None else one.before.value) for one in self.changes)

    @property
    def size(self) -> tuple[float | str | None, ...]:
        """What tells sizes of a part apart."""
        return tuple(None if one.value is None else one.value.value for one in self.changes)

    def differing(self, stated: _Comparison) -> tuple[tuple[str, float | str | None], ...]:
        """Name the settings, each with its value here, in which the rest of the car differs from another's."""
        own, its = dict(self.fitted_with), dict(stated.fitted_with)
        return tuple(
            (name, None if name not in own else own[name].value)
            for name in sorted(own.keys() | its.keys())
            if (name in own) != (name in its) or own[name].value != its[name].value
        )


def parts_of_day(session: Session, fits: Fits) -> DayParts:
    """Find what a day says of each of its parts.

    The comparisons are those of the day's list of parts, drift not taken out; one that reaches over blocks
    which nothing ties is left out. A part taken off is the part with the sign turned. Comparisons of the same
    settings from the same values are one part, its sizes told apart by the values that they were put to. The
    effect, one for each part and size, is stated as areas for what else was fitted in most of a size's
    comparisons, the first of equals.
    """
    pairs, fitted = pair_runs(session, fits, {})
    shown = {(one.runs, one.baseline_runs): one for one in reversed(pairs) if one.shows_part}
    kept = tuple(reversed(shown.values()))
    weights, tied = fits.tied(pair_weights(fits, fitted, kept))
    groups: dict[tuple[tuple[str, float | str | None], ...], list[tuple[_Comparison, Array]]] = {}
    for pair, own, meaningful in zip(kept, weights, tied.tolist(), strict=True):
        if meaningful:
            found = _comparison(pair, fitted, fits)
            groups.setdefault(found.part, []).append((found, found.sign * own))
    facility = session.facility
    scale = 1.0 / float(dynamic_pressure(facility.speed, facility.air_density)) ** 2
    scatter = fits.repeatability
    repeats = scatter.repeats
    unknown = np.full(len(WITH_TOTAL), np.nan)
    columns = [fits_of_column(session, fits, column) for column in session.columns_with_values]
    parts = [part for group in groups.values() for part in _effects(group, session, fits, columns)]
    return DayParts(
        parts=tuple(sorted(parts, key=lambda part: fits.readings.labels.index(part.runs[0]))),
        floor=session.facility.floor,
        variance=read_only(np.square(scatter.deviation) * scale),
        repeats_variance=read_only(unknown if repeats is None else np.square(repeats.deviation) * scale),
        repeats_degrees=0.0 if repeats is None else repeats.degrees_of_freedom,
    )


def _covariance_of_sums(weights: Array, fits: Fits) -> Array:
    """Find how weighted sums vary together, all channels of all of them, (sums, sums, 4, 4) [m^4].

    Within a channel a quarter of the variance of the sum of two less that of their difference. Between channels the
    correlation of one reading's channels, that of the total from the axles' (JCGM 100:2008, GUM, 5.2). Not a number where
    the scatter is unknown.
    """
    channels = _covariance_within_channels(weights, fits)
    root = np.sign(channels) * np.sqrt(np.abs(channels))
    alike = np.sign(channels)[..., :, None] == np.sign(channels)[..., None, :]
    shared = np.abs(root)[..., :, None] * root[..., None, :]
    known = np.isfinite(channels)
    known = known[..., :, None] & known[..., None, :]
    return np.where(known, np.where(alike, shared, 0.0) * fits.repeatability.with_total, np.nan)


def _covariance_within_channels(weights: Array, fits: Fits) -> Array:
    """Find how weighted sums vary together, each channel by itself, (sums, sums, quantities) [m^4].

    A quarter of the variance of the sum of two less that of their difference.
    """
    count = len(weights)
    one, other = np.triu_indices(count)
    both = np.concatenate([weights[one] + weights[other], weights[one] - weights[other]])
    variance = fits.variance(both)[0]
    channels = np.zeros((count, count, variance.shape[1]))
    channels[one, other] = channels[other, one] = (variance[: one.size] - variance[one.size :]) / 4.0
    return channels


def _comparison(pair: Pair, fitted: Fitted, fits: Fits) -> _Comparison:
    """State what a pair of runs says of a part."""
    run, baseline = fitted.codes[pair.run], fitted.codes[pair.baseline]
    if pair.differs == (LABEL,):
        labels = [fits.readings.runs[row].configuration for row in (pair.run, pair.baseline)]
        changes = [SettingChange(LABEL, *(Setting(value=label) for label in labels))]
        sign = 1
    else:
        changed = np.flatnonzero(run != baseline)
        off = np.all(run[changed] == NOT_FITTED) and np.all(baseline[changed] != NOT_FITTED)
        sign = -1 if off else 1
        on, before = (baseline, run) if off else (run, baseline)
        changes = [
            SettingChange(fitted.names[k], fitted.values[k][on[k]], fitted.values[k][before[k]])
            for k in changed.tolist()
        ]
    alike = np.flatnonzero((run == baseline) & (run != NOT_FITTED)).tolist()
    found = {fitted.names[k]: fitted.values[k][run[k]] for k in alike}
    return _Comparison(
        pair=pair,
        sign=sign,
        changes=tuple(sorted(changes, key=lambda one: one.name)),
        fitted_with=tuple((name, one) for name, one in sorted(found.items()) if one is not None),
    )


def _effects(
    group: Sequence[tuple[_Comparison, Array]], session: Session, fits: Fits, columns: Sequence[Fits]
) -> list[PartEffect]:
    """Combine the comparisons of one part into an effect for each of its sizes."""
    some = [one for one, _ in group]
    weights = np.array([own for _, own in group])
    sizes = [one.size for one in some]
    stated = {size: _stated([one for one in some if one.size == size]) for size in sizes}
    differing = [one.differing(stated[one.size]) for one in some]
    found = one_effect_per_size(
        sizes, with_total(weights @ fits.readings.areas), _covariance_of_sums(weights, fits), differing
    )
    of_columns = [_column_effects(some, differing, session, fits, own) for own in columns]
    degrees = fits.variance(weights)[1]
    effects = []
    for k, size in enumerate(stated):
        own = [row for row, one in enumerate(some) if one.size == size]
        sides = [(some[row].pair.runs, some[row].pair.baseline_runs)[:: some[row].sign] for row in own]
        on, off = (tuple(sorted({row for side in sides for row in side[which]})) for which in (0, 1))
        labels, runs = fits.readings.labels, fits.readings.runs
        suspect = sorted(row for row in {*on, *off} if runs[row].status == "suspect")
        one = stated[size]
        effects.append(
            PartEffect(
                changes=one.changes,
                effect=read_only(found.effects[k].copy()),
                covariance=read_only(found.covariance[k, k].copy()),
                degrees_of_freedom=read_only(degrees[own].min(axis=0)),
                refit_assumed=fits.repeatability.refit_assumed,
                fitted_with=one.fitted_with,
                runs=tuple(labels[row] for row in on),
                baseline_runs=tuple(labels[row] for row in off),
                suspect=tuple(labels[row] for row in suspect),
                comparisons=len(own),
                columns=tuple(kept[size] for kept in of_columns if size in kept),
            )
        )
    return effects


def _column_effects(
    some: Sequence[_Comparison],
    differing: Sequence[Collection[Hashable]],
    session: Session,
    whole: Fits,
    own: Fits,
) -> dict[Hashable, KeptColumn]:
    """Combine the comparisons of one part into what it did to a compared column, for each of its sizes."""
    column, readings = own.readings.column, own.readings
    weights, there = column_weights([one.pair for one in some], whole, own)
    weights, tied = own.tied(weights)
    rows = np.flatnonzero(there & tied).tolist()
    if column is None or not rows:
        return {}
    weights = np.array([some[row].sign for row in rows])[:, None] * weights[rows]
    sizes = [some[row].size for row in rows]
    found = one_effect_per_size(
        sizes,
        weights @ readings.areas,
        _covariance_within_channels(weights, own)[..., None],
        [differing[row] for row in rows],
    )
    stated = readings.column_pressure(session.facility)
    scale = stated * column.factor
    degrees = own.variance(weights)[1][:, ONLY]
    return {
        size: KeptColumn(
            name=column.name,
            unit=column.si_unit,
            scales=column.scales,
            change=float(found.effects[k, ONLY]) * scale,
            variance=float(found.covariance[k, k, ONLY, ONLY]) * scale**2,
            degrees_of_freedom=float(degrees[[one == size for one in sizes]].min()),
            pressure=stated if readings.brought_to_one else float(np.mean(readings.dynamic_pressure)),
        )
        for k, size in enumerate(found.sizes)
    }


def _stated(some: Sequence[_Comparison]) -> _Comparison:
    """Pick the comparison for which the effect of a size is stated."""
    alike = [sum(not one.differing(other) for other in some) for one in some]
    return some[alike.index(max(alike))]
