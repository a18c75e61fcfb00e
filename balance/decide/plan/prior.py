"""What is believed of a car before its runs: a level, a term for each setting and one for each pair of settings."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import combinations
from typing import TYPE_CHECKING, NamedTuple
from zlib import crc32

import numpy as np

from balance.decide.plan.configuration import values_of
from balance.model.channels import CHANNELS
from balance.model.errors import DomainError
from balance.model.plans import LABEL
from balance.reduce.readings import read_only

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
        numbers = [k for k, one in enumerate(self.values) if not isinstance(one, str)]
        at = np.array([float(self.values[k]) for k in numbers])
        for row, value in zip(found, values, strict=True):
            if value is None or value == self.reference:
                continue
            if isinstance(value, str):
                if value in self.values:
                    row[:] = self.means[self.values.index(value)]
            elif numbers:
                row[:] = [
                    np.interp(value, at, self.means[numbers, channel]) for channel in range(len(CHANNELS))
                ]
        return found


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

    def main_covariance(
        self, name: str, some: Sequence[Configuration], others: Sequence[Configuration]
    ) -> NDArray[np.float64]:
        """Return the covariance of the term of one setting, (3, some, others) [m⁴]."""
        setting = next(one for one in self.settings if one.name == name)
        unit = unit_covariance(setting, *(coded_values(setting, _mappings(many)) for many in (some, others)))
        return np.square(setting.scale)[:, None, None] * unit

    def covariance(
        self, some: Sequence[Configuration], others: Sequence[Configuration]
    ) -> NDArray[np.float64]:
        """Return the covariance of the loads of configurations, (3, some, others) [m⁴]."""
        found = np.empty((len(CHANNELS), len(some), len(others)))
        found[:] = np.square(self.level_std)[:, None, None]
        left, right = _mappings(some), _mappings(others)
        units = [
            unit_covariance(setting, coded_values(setting, left), coded_values(setting, right))
            for setting in self.settings
        ]
        for setting, unit in zip(self.settings, units, strict=True):
            found += np.square(setting.scale)[:, None, None] * unit
        for (one, first), (other, second) in combinations(zip(self.settings, units, strict=True), 2):
            share = np.square(PAIR_SHARE * np.minimum(one.scale, other.scale))
            found += share[:, None, None] * (first * second)
        return found

    def variance(self, some: Sequence[Configuration]) -> NDArray[np.float64]:
        """Return the variance of the loads of configurations, (3, some) [m⁴]."""
        mappings = _mappings(some)
        units = [unit_variance(setting, coded_values(setting, mappings)) for setting in self.settings]
        found = np.empty((len(CHANNELS), len(some)))
        found[:] = np.square(self.level_std)[:, None]
        for setting, unit in zip(self.settings, units, strict=True):
            found += np.square(setting.scale)[:, None] * unit
        for (one, first), (other, second) in combinations(zip(self.settings, units, strict=True), 2):
            share = np.square(PAIR_SHARE * np.minimum(one.scale, other.scale))
            found += share[:, None] * (first * second)
        return found


class CodedValues(NamedTuple):
    """Values of a setting in several configurations, (configurations,): numbers, and codes of texts.

    Not a number, and -1, where a value is of the other kind, not fitted, or a text that is the reference.
    """

    numbers: NDArray[np.float64]
    texts: NDArray[np.int_]


def coded_values(setting: SettingPrior, some: Sequence[Mapping[str, Value]]) -> CodedValues:
    """Code the values of a setting.

    A text's code is a sum over its bytes, the same in every call.
    """
    values = [one.get(setting.name) for one in some]
    numbers = np.array([np.nan if one is None or isinstance(one, str) else one for one in values], float)
    texts = [
        crc32(one.encode()) if isinstance(one, str) and one != setting.reference else -1 for one in values
    ]
    return CodedValues(numbers.reshape(len(some)), np.array(texts, dtype=np.int64).reshape(len(some)))


def unit_variance(setting: SettingPrior, values: CodedValues) -> NDArray[np.float64]:
    """Return the variance of a setting's term, for a standard deviation of one.

    Parameters
    ----------
    setting : SettingPrior
        The setting. [1]
    values : CodedValues
        Its values. [1]

    Returns
    -------
    numpy.ndarray
        (configurations,), 0 wherever the setting is at its reference. [1]

    Notes
    -----
    The diagonal of `unit_covariance`.

    References
    ----------
    As of `unit_covariance`.
    """
    if isinstance(setting.reference, float):
        away = np.abs(values.numbers - setting.reference)
        found = away / setting.span if setting.span else 0.0 * away
    else:
        found = 1.0 + 0.0 * values.numbers
    return np.asarray(np.where(values.texts >= 0, 1.0, np.nan_to_num(found)))


def unit_covariance(setting: SettingPrior, some: CodedValues, others: CodedValues) -> NDArray[np.float64]:
    """Return the covariance of a setting's term, for a standard deviation of one.

    Parameters
    ----------
    setting : SettingPrior
        The setting. [1]
    some, others : CodedValues
        Its values in configurations. [1]

    Returns
    -------
    numpy.ndarray
        (some, others), 0 wherever the setting is at its reference. [1]

    Notes
    -----
    Fitted at x and x': ``1 - |x - x'|/(2 R)``, a random walk over the value. A setting that is never absent is centred
    on its reference b: ``(|x - b| + |x' - b| - |x - x'|)/(2 R)``. A text: 1 at equal values, else 0.

    References
    ----------
    D. Duvenaud, H. Nickisch, C. E. Rasmussen, "Additive Gaussian processes", Advances in Neural Information Processing
    Systems 24 (2011); C. E. Rasmussen, C. K. I. Williams, Gaussian Processes for Machine Learning (2006), appendix B
    (Wiener process), from memory.
    """
    far = np.abs(some.numbers[:, None] - others.numbers)
    if isinstance(setting.reference, float):
        away, other_away = (np.abs(one.numbers - setting.reference) for one in (some, others))
        walked = away[:, None] + other_away - far
        found = walked / (2.0 * setting.span) if setting.span else 0.0 * far
    else:
        found = 1.0 - (far / (2.0 * setting.span) if setting.span else 0.0 * far)
    alike = (some.texts[:, None] == others.texts) & (some.texts[:, None] >= 0)
    return np.asarray(np.where(alike, 1.0, np.nan_to_num(found)))


def _mappings(some: Sequence[Configuration]) -> list[dict[str, Value]]:
    return [dict(one.settings) for one in some]


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
    names = sorted({name for one in every for name in one.names} | set(stated))
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
