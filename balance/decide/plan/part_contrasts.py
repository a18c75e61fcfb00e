"""The contrasts by which runs show parts, how a drift disturbs them, and how small a part they can show."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from balance.compare.student import detectable_factor
from balance.decide.plan.configuration import names_of, values_of
from balance.model.channels import FRONT, REAR

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from balance.decide.plan.belief import ReadingNoise
    from balance.decide.plan.configuration import Configuration
    from balance.model.plans import Value

SHARED = 0.3
"""Correlation with a linear drift from which a part cannot well be told from it; assumed, no source. [1]"""
_ESTIMABLE = 1e-6


class PartContrast(NamedTuple):
    """A part, and its weights over runs, (runs,) [1].

    ``value`` is that of a text; None where the setting is a number: fitted against not fitted at the mean of its values,
    or, where it is never absent, the step over its span.
    """

    name: str
    value: Value | None
    weights: NDArray[np.float64]


class DriftShared(NamedTuple):
    """A part, and the correlation of its contrast with a linear drift of the order, -1 to 1 [1]."""

    name: str
    value: Value | None
    correlation: float

    @property
    def confused(self) -> bool:
        """Whether this order cannot well tell the part from a drift."""
        return abs(self.correlation) > SHARED


class Detectable(NamedTuple):
    """The smallest true effect of a part that is resolved on 80 % of such days, (4,) front, rear, drag, total [m²]."""

    name: str
    value: Value | None
    difference: NDArray[np.float64]


def part_contrasts(runs: Sequence[Configuration], start: Configuration) -> tuple[PartContrast, ...]:
    """Find the contrasts by which runs show parts.

    Least squares of parts that add up: a constant, a column for each text value other than the baseline's, and for each
    numeric setting one for being fitted and one for its value about the mean. The weights of a part do not hang on the
    order of the runs.

    N. R. Draper, H. Smith, Applied Regression Analysis (from memory).
    """
    columns: list[NDArray[np.float64]] = [np.ones(len(runs))]
    parts: list[tuple[int, str, Value | None]] = []
    for name in names_of(runs):
        values = [one.value(name) for one in runs]
        for text in values_of(name, runs):
            if isinstance(text, str) and text != start.value(name):
                parts.append((len(columns), name, text))
                columns.append(np.array([value == text for value in values], float))
        numbers = np.array([np.nan if value is None or isinstance(value, str) else value for value in values])
        fitted = np.isfinite(numbers)
        if not np.any(fitted):
            continue
        if not np.all(fitted):
            parts.append((len(columns), name, None))
            columns.append(fitted.astype(float))
        span = float(np.ptp(numbers[fitted]))
        if span > 0.0:
            if np.all(fitted):
                parts.append((len(columns), name, None))
            columns.append(np.where(fitted, (numbers - numbers[fitted].mean()) / span, 0.0))
    if not runs:
        return ()
    design = np.column_stack(columns)
    inverse = np.linalg.pinv(design)
    told = inverse @ design
    return tuple(
        PartContrast(name, value, inverse[column])
        for column, name, value in parts
        if np.all(np.abs(told[column] - np.eye(len(columns))[column]) < _ESTIMABLE)
    )


def drift_shared(contrasts: Sequence[PartContrast]) -> tuple[DriftShared, ...]:
    """Find how far each part shares its contrast with a linear drift, its runs being in running order.

    ``w · (t - mean t) / (|w| |t - mean t|)``: 0 where a steady drift cancels, 1 where it looks like the part.

    C. Daniel, F. Wilcoxon, "Factorial 2^(p-q) plans robust against linear and quadratic trends", Technometrics 8 (1966).
    """
    count = len(contrasts[0].weights) if contrasts else 0
    away = np.arange(count, dtype=float) - (count - 1) / 2.0
    length = float(np.linalg.norm(away))
    return tuple(
        DriftShared(
            one.name,
            one.value,
            float(one.weights @ away / (np.linalg.norm(one.weights) * length)) if length > 0.0 else 0.0,
        )
        for one in contrasts
    )


def smallest_detectable_parts(
    runs: Sequence[Configuration], start: Configuration, noise: ReadingNoise, degrees: float
) -> tuple[Detectable, ...]:
    """Find how small a part a day of runs can show, before any of them is made.

    Runs of one configuration straight after one another are readings of one fit. Degrees of freedom: the facility's,
    and fits less configurations. The true effect that Student's t finds on 80 % of days at 95 % confidence, times the
    standard uncertainty of the part's contrast over fits.
    """
    fits: list[Configuration] = []
    counts: list[int] = []
    for one in runs:
        if fits and fits[-1] == one:
            counts[-1] += 1
        else:
            fits.append(one)
            counts.append(1)
    free = degrees + len(fits) - len(set(fits))
    factor = float(detectable_factor(free)) if free >= 1.0 else float("nan")
    share = 1.0 / np.array(counts, float)
    found = []
    for part in part_contrasts(fits, start):
        square = np.square(part.weights)
        variance = square.sum() * noise.fit + (square @ share) * noise.reading
        variance = np.append(variance, variance[FRONT] + variance[REAR])
        found.append(Detectable(part.name, part.value, factor * np.sqrt(variance)))
    return tuple(found)
