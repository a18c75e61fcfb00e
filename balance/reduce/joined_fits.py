"""Fits of several days side by side: tied by the configurations run on each, each day with the scatter that it has."""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from typing import TYPE_CHECKING, Any

import numpy as np

from balance.model.arrays import read_only
from balance.model.channels import WITH_TOTAL
from balance.reduce.fits import FitLayout, Fits, coded, fits_of_layout
from balance.reduce.repeatability import INDEPENDENT

if TYPE_CHECKING:
    from collections.abc import Hashable, Sequence

    from numpy.typing import NDArray

    from balance.model.records import Session
    from balance.reduce.readings import Readings
    from balance.reduce.repeatability import Repeatability

_OF_DAYS = ("repeatability", "lever_std")
"""What days that are joined do not have from one of them."""


@dataclass(frozen=True, kw_only=True, eq=False)
class JoinedFits(Fits):
    """Fits of several days, in which a block is one of one day.

    Attributes
    ----------
    day_of : numpy.ndarray
        (readings,) which day each reading is of. [1]
    alike : tuple of (numpy.ndarray, Fits)
        Readings of the days that scatter alike, and what knows how far.
    """

    day_of: NDArray[np.int_]
    alike: tuple[tuple[NDArray[np.int_], Fits], ...]

    def variance(self, weights: NDArray[np.float64]) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        """Return how uncertain weighted sums of areas of several days are, as `Fits.variance` does for one.

        Days that scatter alike have one variance between them; those of others add up, with ``(sum v)^2 / sum(v^2/n)``
        degrees of freedom: B. L. Welch, "The generalization of 'Student's' problem when several different population
        variances are involved", Biometrika 34 (1947) 28-35; JCGM 100:2008 (GUM), G.4.1.
        """
        variances = np.zeros((len(self.alike), len(weights), len(WITH_TOTAL)))
        degrees = np.full_like(variances, np.nan)
        for k, (rows, fits) in enumerate(self.alike):
            own = np.asarray(weights)[:, rows]
            used = np.any(own != 0.0, axis=1)
            variances[k, used], degrees[k, used] = fits.variance(own[used])
        return variances.sum(axis=0), effective_degrees(variances, degrees)


def effective_degrees(variances: NDArray[np.float64], degrees: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return how well a sum of independent variances is known.

    Parameters
    ----------
    variances : numpy.ndarray
        (parts, ...) each with a unit of its own kind; a part of 0 is none. [1]
    degrees : numpy.ndarray
        (parts, ...) degrees of freedom of each. [1]

    Returns
    -------
    numpy.ndarray
        (...) effective degrees of freedom, those of the one part where there is one; not a number where there is none. [1]

    Notes
    -----
    ``(sum v)^2 / sum(v^2/n)``, not rounded down; where nothing scatters at all, the least of those that are known.

    References
    ----------
    JCGM 100:2008 (GUM), G.4.1; F. E. Satterthwaite, Biometrics Bulletin 2 (1946) 110-114.

    Examples
    --------
    >>> effective_degrees(np.array([4.0, 4.0]), np.array([5.0, 5.0])).tolist()
    10.0
    """
    with np.errstate(invalid="ignore", divide="ignore"):
        spent = np.where(variances == 0.0, 0.0, np.square(variances) / degrees).sum(axis=0)
        together = np.square(variances.sum(axis=0)) / spent
    return np.asarray(np.where(spent == 0.0, np.fmin.reduce(degrees, axis=0), together))


def join_fits(days: Sequence[tuple[Session, Fits]], alike: Sequence[Hashable]) -> JoinedFits:
    """Put the fits of several days of one car side by side.

    Parameters
    ----------
    days : sequence of (Session, Fits)
        Each day with its readings by fit, numeric settings of one name in one unit. [1]
    alike : sequence of hashable
        (days,) equal for days that scatter alike. [1]

    Returns
    -------
    JoinedFits
        Their readings one after the other, each block of a day a block of its own. [1]

    Notes
    -----
    A configuration of one day is that of another where label and settings are equal, upper and lower case and spaces of
    the label aside. What counts on a day counts, whatever the speed of the others: areas are compared. Days that scatter
    alike are one design, as blocks of one day are, so that what they ran in common tells of their scatter too.

    References
    ----------
    `balance.reduce.fits.Fits.tied`; N. R. Draper, H. Smith, Applied Regression Analysis, analysis of covariance (from
    memory).
    """
    starts = np.cumsum([0, *(len(fits.readings.runs) for _, fits in days)])
    codes = {one: [k for k, other in enumerate(alike) if other == one] for one in dict.fromkeys(alike)}
    known = []
    for some in codes.values():
        rows = np.concatenate([np.arange(starts[k], starts[k + 1]) for k in some])
        known.append((rows, days[some[0]][1] if len(some) == 1 else _one([days[k] for k in some])))
    whole = _one(days)
    scatter = known[0][1].repeatability if len(known) == 1 else _of_any([fits for _, fits in known])
    return JoinedFits(
        **{one.name: getattr(whole, one.name) for one in fields(Fits) if one.name not in _OF_DAYS},
        repeatability=scatter,
        day_of=np.repeat(np.arange(len(days)), np.diff(starts)),
        alike=tuple(known),
    )


def side_by_side(days: Sequence[Fits], names: Sequence[Sequence[Hashable]]) -> tuple[Readings, FitLayout]:
    """Put the readings of several days one after the other, each block of a day a block of its own.

    Parameters
    ----------
    days : sequence of Fits
        The days, of which nothing but their readings and fits is used. [1]
    names : sequence of sequence of hashable
        (days, readings) what each reading's configuration is called, equal where it is one. [1]

    Returns
    -------
    tuple of (Readings, FitLayout)
        Readings of all days, and what makes fits of them. [1]

    Notes
    -----
    A reading keeps its fit, and whether it counts.
    """
    starts = np.cumsum([0, *(len(fits.readings.runs) for fits in days)])[:-1].tolist()
    called = [name for own in names for name in own]
    numbered = {name: k for k, name in enumerate(dict.fromkeys(called))}

    def moved(start: int, rows: tuple[int, ...]) -> tuple[int, ...]:
        return tuple(row + start for row in rows)

    every = list(zip(starts, days, strict=True))
    layout = FitLayout(
        fits=tuple(moved(start, rows) for start, fits in every for rows in fits.fits),
        counts=np.concatenate([fits.counts for fits in days]),
        groups=np.array([numbered[name] for name in called], int),
        blocks=coded([f"{k} {block}" for k, fits in enumerate(days) for block in fits.blocks.tolist()]),
        sets=tuple(moved(start, rows) for start, fits in every for rows in fits.sets),
    )
    return _readings([fits.readings for fits in days]), layout


def _one(days: Sequence[tuple[Session, Fits]]) -> Fits:
    """Assemble days as blocks of one, with one scatter."""
    readings, layout = side_by_side([fits for _, fits in days], [_keys(fits) for _, fits in days])
    stated = next((one for one, _ in days if one.repeatability is not None), days[0][0])
    stated = replace(stated, alongside=_others([one for one, _ in days]))
    return fits_of_layout(stated, readings, layout)


def _others(days: Sequence[Session]) -> tuple[Session, ...]:
    """Gather the days of other cars that shared any of some days, each once, and none that is one of them."""
    others: list[Session] = []
    for other in (other for one in days for other in one.alongside):
        if not any(other.same_day(one) for one in (*days, *others)):
            others.append(other)
    return tuple(others)


def _keys(fits: Fits) -> list[Hashable]:
    """Name the configuration of each reading; two that a day tells apart stay apart."""
    found: dict[int, Hashable] = {}
    for run, group in zip(fits.readings.runs, fits.groups.tolist(), strict=True):
        if group not in found:
            key = run.key_over_days
            found[group] = key if key not in found.values() else (key, run.configuration)
    return [found[group] for group in fits.groups.tolist()]


def _readings(days: Sequence[Readings]) -> Readings:
    """Put the readings of several days one after the other."""
    joined: dict[str, Any] = {
        name: read_only(np.concatenate([getattr(one, name) for one in days]))
        for name in ("areas", "speed", "air_density", "dynamic_pressure", "force_pressure", "resolution")
    }
    return replace(
        days[0],
        runs=tuple(run for one in days for run in one.runs),
        density_source=tuple(source for one in days for source in one.density_source),
        **joined,
    )


def _of_any(several: Sequence[Fits]) -> Repeatability:
    """State what holds for sums over days that scatter differently: nothing is known of how channels vary together."""
    one = [fits.repeatability for fits in several]
    return replace(
        one[0],
        deviation=read_only(np.full_like(one[0].deviation, np.nan)),
        degrees_of_freedom=read_only(np.full_like(one[0].degrees_of_freedom, np.nan)),
        source=(None,) * len(one[0].source),
        correlation=INDEPENDENT,
        systematic=read_only(np.zeros_like(one[0].systematic)),
        repeats=None,
        within=None,
        stated=None,
        assumed=tuple(any(of_day) for of_day in zip(*(known.assumed for known in one), strict=True)),
        notes=(),
    )
