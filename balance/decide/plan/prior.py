"""What is believed of a car before its runs: a level, a term for each setting and one for each pair of settings."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import combinations
from typing import TYPE_CHECKING, NamedTuple
from zlib import crc32

import numpy as np

from balance.decide.plan.configuration import names_of, values_of
from balance.model.arrays import read_only
from balance.model.channels import CHANNELS
from balance.model.errors import DomainError
from balance.model.plans import LABEL

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from numpy.typing import NDArray

    from balance.decide.plan.configuration import Configuration
    from balance.model.plans import ExpectedEffect, Value

PAIR_SHARE = 0.15
"""Standard deviation of what two settings do to one another, over the smaller of their own; assumed, no source. [1]"""
LARGE = (0.20, 0.20, 0.04)
"""Standard deviation of what a large part does, of the baseline's drag area: front, rear, drag; assumed, no source. [1]"""
SMALL = (0.07, 0.07, 0.014)
"""The same of any other part; assumed, no source. [1]"""
LARGE_PARTS = ("wing", "splitter", "spoiler", "diffuser")
UNIT_DRAG = 0.35
"""Drag area over frontal area of a car that was not yet run; assumed, no source. [1]"""
_LEVEL_RUN = (1.0, 1.0, 1.0)
_LEVEL_NOT_RUN = (0.25, 0.25, 0.20)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SettingPrior:
    """What is believed of one setting: how far it acts, and how alike its values are.

    Attributes
    ----------
    name : str
        The setting.
    reference : float, str or None
        The value at which it does nothing; None where that is not fitted.
    span : float
        Between its smallest and its largest value, in the unit of its column; 0 where it has one value or texts.
    scale : numpy.ndarray
        (3,) standard deviation of what it does to front downforce, rear downforce and drag. [m²]
    values : tuple of float or str
        Values at which something was stated, sorted; ``means`` is (values, 3) what it does there. [m²]
    """

    name: str
    reference: Value | None
    span: float
    scale: NDArray[np.float64]
    values: tuple[Value, ...] = ()
    means: NDArray[np.float64] | None = None

    def mean(self, values: Sequence[Value | None]) -> NDArray[np.float64]:
        """Return what it is believed to do at some values, (values, 3) [m²].

        Between numbers on the straight line, beyond them as at the nearest; at the reference, and at a text of which
        nothing was stated, nothing.
        """
        found = np.zeros((len(values), len(CHANNELS)))
        if self.means is None:
            return found
        acting = [k for k, one in enumerate(values) if one is not None and one != self.reference]
        for k in acting:
            if isinstance(values[k], str) and values[k] in self.values:
                found[k] = self.means[self.values.index(values[k])]
        numbers = [k for k in acting if not isinstance(values[k], str)]
        stated = [k for k, one in enumerate(self.values) if not isinstance(one, str)]
        if numbers and stated:
            where = np.array([values[k] for k in numbers], float)
            at = np.array([self.values[k] for k in stated], float)
            for channel in range(len(CHANNELS)):
                found[numbers, channel] = np.interp(where, at, self.means[stated, channel])
        return found

    def unit_variance(self, values: _Coded) -> NDArray[np.float64]:
        """Return the variance of its term for a standard deviation of one: the diagonal of `unit_covariance`."""
        if isinstance(self.reference, float):
            away = np.abs(values.numbers - self.reference)
            found = away / self.span if self.span else 0.0 * away
        else:
            found = 1.0 + 0.0 * values.numbers
        return np.asarray(np.where(values.texts >= 0, 1.0, np.nan_to_num(found)))

    def unit_covariance(self, some: _Coded, others: _Coded) -> NDArray[np.float64]:
        """Return the covariance of its term for a standard deviation of one, (some, others), 0 at the reference.

        Fitted at x and x': ``1 - |x - x'|/(2 R)``, a random walk over the value. A setting that is never absent is
        centred on its reference b: ``(|x - b| + |x' - b| - |x - x'|)/(2 R)``. A text: 1 at equal values, else 0.

        D. Duvenaud, H. Nickisch, C. E. Rasmussen, "Additive Gaussian processes", Advances in Neural Information
        Processing Systems 24 (2011); C. E. Rasmussen, C. K. I. Williams, Gaussian Processes for Machine Learning
        (2006), appendix B (Wiener process), from memory.
        """
        far = np.abs(some.numbers[:, None] - others.numbers)
        if isinstance(self.reference, float):
            away, other_away = (np.abs(one.numbers - self.reference) for one in (some, others))
            walked = away[:, None] + other_away - far
            found = walked / (2.0 * self.span) if self.span else 0.0 * far
        else:
            found = 1.0 - (far / (2.0 * self.span) if self.span else 0.0 * far)
        alike = (some.texts[:, None] == others.texts) & (some.texts[:, None] >= 0)
        return np.asarray(np.where(alike, 1.0, np.nan_to_num(found)))

    def effect(
        self, read: Sequence[Configuration], weights: NDArray[np.float64], some: Sequence[Configuration]
    ) -> NDArray[np.float64]:
        """Return what its own term is believed to do beyond its mean, (some, 3) [m²], by the weights of readings."""
        unit = self.unit_covariance(_coded(self, read), _coded(self, some))
        return np.asarray((np.square(self.scale)[:, None] * (weights @ unit)).T)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Prior:
    """What is believed before any reading, as areas.

    Attributes
    ----------
    level, level_std : numpy.ndarray
        (3,) mean and standard deviation of the car with every setting at its reference. [m²]
    settings : tuple of SettingPrior
        One a setting, by name.
    drag_area : float
        Of the baseline, by which scales go. [m²]
    """

    level: NDArray[np.float64]
    level_std: NDArray[np.float64]
    settings: tuple[SettingPrior, ...]
    drag_area: float

    def mean(self, some: Sequence[Configuration]) -> NDArray[np.float64]:
        """Return the believed loads of configurations, (configurations, 3) [m²]."""
        found = np.tile(self.level, (len(some), 1))
        for setting in self.settings:
            found += setting.mean([one.value(setting.name) for one in some])
        return found

    def covariance(
        self, some: Sequence[Configuration], others: Sequence[Configuration]
    ) -> NDArray[np.float64]:
        """Return the covariance of the loads of configurations, (3, some, others) [m⁴]."""
        units = [one.unit_covariance(_coded(one, some), _coded(one, others)) for one in self.settings]
        return self._summed(units, (len(some), len(others)))

    def variance(self, some: Sequence[Configuration]) -> NDArray[np.float64]:
        """Return the variance of the loads of configurations, (3, some) [m⁴]."""
        return self._summed([one.unit_variance(_coded(one, some)) for one in self.settings], (len(some),))

    def _summed(self, units: Sequence[NDArray[np.float64]], shape: tuple[int, ...]) -> NDArray[np.float64]:
        """Sum the level, what each setting adds and what each pair of settings adds, (3, …)."""
        found = np.multiply.outer(np.square(self.level_std), np.ones(shape))
        for setting, unit in zip(self.settings, units, strict=True):
            found += np.multiply.outer(np.square(setting.scale), unit)
        for (one, first), (other, second) in combinations(zip(self.settings, units, strict=True), 2):
            share = np.square(PAIR_SHARE * np.minimum(one.scale, other.scale))
            found += np.multiply.outer(share, first * second)
        return found

    def of_readings(self, read: Sequence[Configuration]) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        """Return the believed loads of what was read, (readings, 3) [m²], and their covariance [m⁴].

        Each configuration is looked at once, however often it was read.
        """
        place = {one: k for k, one in enumerate(dict.fromkeys(read))}
        each, rows = list(place), [place[one] for one in read]
        return self.mean(each)[rows], self.covariance(each, each)[:, rows][:, :, rows]


class _Coded(NamedTuple):
    """Values of a setting in several configurations, (configurations,): numbers, and codes of texts.

    Not a number, and -1, where a value is of the other kind, not fitted, or a text that is the reference. A text's code
    is a sum over its bytes, the same in every call.
    """

    numbers: NDArray[np.float64]
    texts: NDArray[np.int_]


def _coded(setting: SettingPrior, some: Sequence[Configuration]) -> _Coded:
    values = [one.value(setting.name) for one in some]
    numbers = [np.nan if one is None or isinstance(one, str) else one for one in values]
    texts = [
        crc32(one.encode()) if isinstance(one, str) and one != setting.reference else -1 for one in values
    ]
    return _Coded(np.array(numbers, float), np.array(texts, dtype=np.int64))


def prior_of(
    some: Sequence[Configuration],
    start: Configuration,
    drag_area: float,
    *,
    expected: Sequence[ExpectedEffect] = (),
    run: bool = True,
) -> Prior:
    """State what is believed of a car before its readings.

    Of each setting what was stated, else nothing with a standard deviation of 0.20 (large parts) or 0.07 (any other) of
    the drag area at the axles, 0.04 and 0.014 for drag. A setting that is fitted in the baseline and absent nowhere has
    the baseline's value as its reference; a label and a text that is never absent likewise.
    """
    if not drag_area > 0.0:
        raise DomainError(f"drag area of the baseline: found {drag_area:g} m², expected above 0")
    every = [*some, start]
    stated = [one.setting for one in expected if any(one.setting in other.names for other in every)]
    names = sorted({*names_of(every), *stated})
    return Prior(
        level=read_only(np.array([0.0, 0.0, drag_area])),
        level_std=read_only(drag_area * np.array(_LEVEL_RUN if run else _LEVEL_NOT_RUN)),
        settings=tuple(_setting(name, every, start, drag_area, expected) for name in names),
        drag_area=drag_area,
    )


def _setting(
    name: str,
    every: Sequence[Configuration],
    start: Configuration,
    drag_area: float,
    expected: Sequence[ExpectedEffect],
) -> SettingPrior:
    values = values_of(name, every)
    numbers = [value for value in values if not isinstance(value, str)]
    mine = sorted(
        (one for one in expected if one.setting == name),
        key=lambda one: (isinstance(one.value, str), one.value),
    )
    absent = any(name not in one.names for one in every)
    usual = drag_area * np.array(LARGE if _is_large(name, values) else SMALL)
    stds = np.array([[np.nan if x is None else x for x in one.std] for one in mine]).reshape(
        -1, len(CHANNELS)
    )
    said = {one.value for one in mine}
    silent = not mine or any(isinstance(value, str) and value not in said for value in values)
    largest = np.where(np.isnan(stds), 0.0, stds).max(axis=0, initial=0.0)
    unsaid = np.isnan(stds).any(axis=0) | silent
    means = np.array([[0.0 if x is None else x for x in one.mean] for one in mine]).reshape(-1, len(CHANNELS))
    return SettingPrior(
        name=name,
        reference=None if absent else start.value(name),
        span=float(max(numbers) - min(numbers)) if numbers else 0.0,
        scale=read_only(np.where(unsaid, np.maximum(largest, usual), largest)),
        values=tuple(one.value for one in mine),
        means=read_only(means) if mine else None,
    )


def _is_large(name: str, values: Sequence[Value]) -> bool:
    texts = [name, *(str(value) for value in values if name == LABEL)]
    return any(part in text.casefold() for text in texts for part in LARGE_PARTS)


def with_scales(prior: Prior, effects: Mapping[str, NDArray[np.float64]]) -> Prior:
    """Let the sizes of effects say how far settings act.

    Parameters
    ----------
    prior : Prior
        What was believed. [1]
    effects : mapping of str to numpy.ndarray
        (3,) largest estimated effect beyond what was believed, of each setting that was tried. [m^2]

    Returns
    -------
    Prior
        The same with other scales. [1]

    Notes
    -----
    ``scale^2 = (2 scale_before^2 + d^2)/3`` with d the largest estimated effect: what was believed counts as two
    effects seen. Nothing is optimised, so that three runs cannot talk a scale down to nothing.

    References
    ----------
    Common practice, no source.
    """
    settings = tuple(
        replace(
            one,
            scale=read_only(np.sqrt((2.0 * np.square(one.scale) + np.square(effects[one.name])) / 3.0)),
        )
        if one.name in effects
        else one
        for one in prior.settings
    )
    return replace(prior, settings=settings)
