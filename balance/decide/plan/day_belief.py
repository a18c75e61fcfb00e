"""What a day leaves to believe: its readings with fits, blocks and a slow drift, and scales from effects seen."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from balance.decide.plan.belief import Belief, ReadingNoise, believe
from balance.decide.plan.configuration import configuration, configurations_of_day, distinct
from balance.decide.plan.prior import UNIT_DRAG, Prior, prior_of, with_scales
from balance.model.arrays import read_only
from balance.model.channels import CHANNELS, MEASURED, WITH_TOTAL
from balance.model.errors import InputError
from balance.reduce.air import dynamic_pressure
from balance.reduce.median import median
from balance.reduce.repeatability import stated_by_facility

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from balance.decide.day.day import Day
    from balance.decide.plan.configuration import Configuration
    from balance.model.plans import DayPlan
    from balance.model.records import Session

UNKNOWN_READING = 0.005
"""Standard deviation of a reading where nothing is known of it; assumed, no source. [m²]"""
REFIT = 2.0
"""Standard deviation of a fit over that of a reading where only both together are known; assumed, no source. [1]"""
DRIFT_A_RUN = 0.2
"""Standard deviation of a step of the drift from run to run, over that of a reading of a fit; assumed, no source. [1]"""
BLOCK_SHARE = 0.03
"""Standard deviation of what a change of block shifts, of the baseline's drag area; assumed, no source. [1]"""
LEAST_NOISE = 1e-10
"""Least variance of a reading, so that no two readings contradict one another. [m⁴]"""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DayBelief:
    """What a day leaves to believe of any configuration, as it would read now, and where the day stands.

    ``fitted`` is what was fitted in each used run, in running order, ``labels`` those of the runs, ``block`` the same in
    the block of the last run, ``tried`` each once. ``start`` is the baseline: what the first run had, nothing fitted before that. ``stated_degrees`` are the degrees
    of freedom of the facility's figure, 0 where it states none.
    """

    session: Session
    belief: Belief
    start: Configuration
    fitted: tuple[Configuration, ...] = ()
    labels: tuple[str, ...] = ()
    block: tuple[Configuration, ...] = ()
    tried: tuple[Configuration, ...] = ()
    stated_degrees: float = 0.0

    @property
    def present(self) -> Configuration:
        """What is fitted to the car as it stands."""
        return self.fitted[-1] if self.fitted else self.start


def belief_of_day(day: Day, plan: DayPlan, *, others: Sequence[Configuration] = ()) -> DayBelief:
    """Work out what a day leaves to believe.

    Readings that enter no mean (suspect beside good ones, at another speed) stay out. Scales come from the effects seen
    with the first scales, in one step. Drift is a random walk a block, which stands at 0 now, or at the end of an
    earlier block; an earlier block is shifted by a constant of its own.
    """
    fitted = configurations_of_day(day)
    rows = [row for row in range(len(fitted)) if day.fits.counts[day.fits.fit_of[row]]]
    start = fitted[0]
    known = day.repeatability
    within = known.within.deviation if known.within else None
    noise = _noise(day.session, known.deviation, within, known.degrees_of_freedom)
    of_start = [row for row in rows if fitted[row] == start] or rows
    drag = float(median(day.readings.drag_area[of_start]))
    tried = distinct(fitted)
    wanted = [configuration(one.settings) for one in plan.wanted]
    prior = prior_of([*tried, *wanted, *others], start, drag, expected=plan.believed)
    read = [fitted[row] for row in rows]
    areas = day.readings.areas[rows]
    covariance = _noise_of_day(day, rows, noise, drag)
    blocks = day.fits.blocks
    return DayBelief(
        session=day.session,
        belief=believe(scaled(prior, read, areas, covariance, tried), read, areas, covariance, noise),
        start=start,
        fitted=fitted,
        labels=day.readings.labels,
        block=tuple(one for one, block in zip(fitted, blocks, strict=True) if block == blocks[-1]),
        tried=tried,
        stated_degrees=known.stated.degrees_of_freedom if known.stated else 0.0,
    )


def belief_before(session: Session, plan: DayPlan, *, others: Sequence[Configuration] = ()) -> DayBelief:
    """State what is believed before the first run.

    Scales come from what is stated, else from the drag area of a usual car.
    """
    stated = stated_by_facility(session)
    unknown = np.full(len(WITH_TOTAL), np.nan)
    degrees = stated.degrees_of_freedom if stated else np.nan
    noise = _noise(session, stated.deviation if stated else unknown, None, np.full(len(WITH_TOTAL), degrees))
    start = configuration({})
    wanted = [configuration(one.settings) for one in plan.wanted]
    area = session.vehicle.frontal_area
    if area is None:
        raise InputError(
            "plan: found no run yet and no frontal area, expected one of the two to judge sizes by; "
            "state frontal_area in the vehicle file, or run the baseline"
        )
    prior = prior_of([*wanted, *others], start, UNIT_DRAG * area, expected=plan.believed, run=False)
    return DayBelief(
        session=session,
        belief=believe(prior, (), np.zeros((0, len(CHANNELS))), np.zeros((len(CHANNELS), 0, 0)), noise),
        start=start,
        stated_degrees=stated.degrees_of_freedom if stated else 0.0,
    )


def _noise(
    session: Session,
    deviation: NDArray[np.float64],
    within: NDArray[np.float64] | None,
    degrees: NDArray[np.float64],
) -> ReadingNoise:
    """State how far a new reading may lie from what is true, at the facility's speed.

    One reading of one fit, and a reading about its fit, in newtons, as of `balance.reduce.repeatability`. Where only the
    former is known, a fit is taken to scatter twice as far as a reading; where nothing is, 0.005 m² a reading and twice
    that a fit.
    """
    facility = session.facility
    pressure = float(dynamic_pressure(facility.speed, facility.air_density))
    fit, reading = np.empty(len(CHANNELS)), np.empty(len(CHANNELS))
    assumed: list[str] = []
    for channel in range(len(CHANNELS)):
        one = float(deviation[channel]) / pressure
        if not np.isfinite(one):
            reading[channel], fit[channel] = UNKNOWN_READING**2, (REFIT * UNKNOWN_READING) ** 2
            assumed.append("scatter")
            continue
        if within is not None:
            own = min(float(within[channel]) / pressure, one)
            reading[channel], fit[channel] = own**2, one**2 - own**2
        else:
            reading[channel] = one**2 / (1.0 + REFIT**2)
            fit[channel] = one**2 - reading[channel]
            assumed.append("refit")
    finite = degrees[MEASURED][np.isfinite(degrees[MEASURED])]
    return ReadingNoise(
        fit=read_only(fit),
        reading=read_only(np.maximum(reading, LEAST_NOISE)),
        degrees=float(finite.min()) if finite.size else float("inf"),
        assumed=tuple(dict.fromkeys(assumed)),
    )


def _noise_of_day(
    day: Day, rows: Sequence[int], noise: ReadingNoise, drag_area: float
) -> NDArray[np.float64]:
    """Return the covariance of what readings of a day, in running order, have besides what is true of their configurations.

    Fits and readings are forces: as areas they go by the reading's own dynamic pressure.
    """
    chosen = list(rows)
    facility = day.session.facility
    pressure = float(dynamic_pressure(facility.speed, facility.air_density))
    place = {run.label: k for k, run in enumerate(day.session.runs)}
    return covariance_of_noise(
        noise,
        fits=day.fits.fit_of[chosen],
        blocks=day.fits.blocks[chosen],
        order=np.array([place[day.readings.labels[row]] for row in chosen], float),
        drag_area=drag_area,
        over=pressure / day.readings.force_pressure[chosen],
    )


def covariance_of_noise(
    noise: ReadingNoise,
    *,
    fits: NDArray[np.int_],
    blocks: NDArray[np.int_],
    order: NDArray[np.float64],
    drag_area: float,
    over: NDArray[np.float64] | float = 1.0,
) -> NDArray[np.float64]:
    """Return the covariance of the noise of readings by their fits, blocks and order.

    Parameters
    ----------
    noise : ReadingNoise
        Of a reading. [1]
    fits, blocks : numpy.ndarray
        (readings,) fit and block of each. [1]
    order : numpy.ndarray
        (readings,) place in the running order. [1]
    drag_area : float
        Of the baseline. [m^2]
    over : numpy.ndarray or float, optional
        (readings,) what a reading's noise is multiplied by, for its own dynamic pressure. [1]

    Returns
    -------
    numpy.ndarray
        (3, readings, readings). [m^4]

    Notes
    -----
    The drift between two readings of a block a steps apart has a standard deviation of ``0.2 s sqrt(a)``, s that of one
    reading of one fit. That of the last block stands at 0 where the next run will be.

    References
    ----------
    Common practice, no source.
    """
    count = len(order)
    times = np.broadcast_to(np.asarray(over, float), (count,))
    step = np.square(DRIFT_A_RUN) * (noise.fit + noise.reading)
    one_fit = fits[:, None] == fits
    one_block = blocks[:, None] == blocks
    last = blocks[np.argmax(order)] if count else -1
    back = np.empty(count)
    for block in np.unique(blocks):
        inside = blocks == block
        back[inside] = order[inside].max() + (block == last) - order[inside]
    walk = np.where(one_block, np.minimum(back[:, None], back), 0.0)
    shift = np.where(one_block & (blocks != last)[:, None], (BLOCK_SHARE * drag_area) ** 2, 0.0)
    own = noise.fit[:, None, None] * one_fit + noise.reading[:, None, None] * np.eye(count)
    return np.asarray((own + step[:, None, None] * walk) * np.outer(times, times) + shift)


def scaled(
    prior: Prior,
    read: Sequence[Configuration],
    areas: NDArray[np.float64],
    noise_covariance: NDArray[np.float64],
    tried: Sequence[Configuration],
) -> Prior:
    """Let the effects that readings show say how far settings act.

    Parameters
    ----------
    prior : Prior
        What was believed. [1]
    read : sequence of Configuration
        What was fitted in each reading. [1]
    areas : numpy.ndarray
        (readings, 3) what was read. [m^2]
    noise_covariance : numpy.ndarray
        (3, readings, readings) as of `believe`. [m^4]
    tried : sequence of Configuration
        What was run. [1]

    Returns
    -------
    Prior
        With other scales for the settings that were tried. [1]

    Notes
    -----
    A setting was tried where it was run away from its reference. Its effect is that of its own term, without pairs.

    References
    ----------
    `balance.decide.plan.prior.with_scales`.
    """
    mean, covariance = prior.of_readings(read)
    weights = np.asarray(np.linalg.solve(covariance + noise_covariance, (areas - mean).T[..., None])[..., 0])
    effects = {}
    for setting in prior.settings:
        at = [one for one in tried if one.value(setting.name) not in (None, setting.reference)]
        if at and len(read):
            effects[setting.name] = np.abs(setting.effect(read, weights, at)).max(axis=0)
    return with_scales(prior, effects)
