"""How well each part is known, against how well it is wanted: the aim to know."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from balance.decide.plan.configuration import Configuration, names_of, values_of
from balance.model.channels import front_rear_drag
from balance.model.records import HALF_95

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from balance.decide.plan.belief import Belief
    from balance.model.plans import Know, Value


class PartToKnow(NamedTuple):
    """A setting at a value, the run that shows it and what that is compared with."""

    name: str
    value: Value
    fitted: Configuration
    without: Configuration


class Known(NamedTuple):
    """What is asked of contrasts: (parts, 4) half-widths now and wanted, of front, rear, downforce and drag area [m²]."""

    half_width: NDArray[np.float64]
    wanted: NDArray[np.float64]

    @property
    def lack(self) -> float:
        """Sum of the squares of what the half-widths lack [m⁴]."""
        return float(np.sum(np.square(np.maximum(0.0, self.half_width - self.wanted))))


def parts_to_know(some: Sequence[Configuration], start: Configuration) -> tuple[PartToKnow, ...]:
    """List the parts that a day is to show.

    A part is shown by the configuration that has it with the fewest other changes from the baseline, against the same
    with that setting as in the baseline.
    """
    parts = []
    for name in names_of(some):
        for value in values_of(name, some):
            if value == start.value(name):
                continue
            with_it = [one for one in some if one.value(name) == value]
            fitted = min(with_it, key=lambda one: (len(one.changed(start)), one.key))
            parts.append(PartToKnow(name, value, fitted, fitted.put(name, start.value(name))))
    return tuple(parts)


def known_parts(belief: Belief, parts: Sequence[PartToKnow], aim: Know, dynamic_pressure: float) -> Known:
    """State how well parts are known, and how well they are wanted.

    Half of a 95 % interval: 1.96 standard deviations of the believed contrast.

    JCGM 100:2008 (GUM), G.1.3.
    """
    stated = (aim.front, aim.rear, aim.downforce, aim.drag)
    wanted = np.array([np.inf if one is None else one / dynamic_pressure for one in stated])
    count = len(parts)
    covariance = belief.covariance([part.fitted for part in parts] + [part.without for part in parts])
    with_it, without = covariance[:, :count], covariance[:, count:]
    own = np.einsum("ckk->ck", with_it[:, :, :count]) + np.einsum("ckk->ck", without[:, :, count:])
    variance = _with_downforce(own - 2.0 * np.einsum("ckk->ck", with_it[:, :, count:]))
    return Known(HALF_95 * np.sqrt(np.maximum(variance, 0.0)), np.tile(wanted, (len(parts), 1)))


def lack_after(
    belief: Belief,
    parts: Sequence[PartToKnow],
    known: Known,
    runs: Sequence[Configuration],
    noise: NDArray[np.float64],
) -> NDArray[np.float64]:
    """Find what half-widths will lack after a reading.

    Parameters
    ----------
    belief : Belief
        What is believed. [1]
    parts : sequence of PartToKnow
        The parts. [1]
    known : Known
        How well they are known now. [m^2]
    runs : sequence of Configuration
        What might be run. [1]
    noise : numpy.ndarray
        (3,) variance of what is read of a run. [m^4]

    Returns
    -------
    numpy.ndarray
        (runs,) sum of the squares of what is lacking. [m^4]

    Notes
    -----
    A contrast of covariance k with the run loses the variance ``k^2/(own + noise)``, whatever is read.

    References
    ----------
    C. E. Rasmussen, C. K. I. Williams, Gaussian Processes for Machine Learning (2006), equation (2.24).
    """
    fitted, without = [part.fitted for part in parts], [part.without for part in parts]
    shared = belief.covariance(runs, fitted) - belief.covariance(runs, without)
    own = np.square(belief.std(runs)).T
    lost = np.square(shared) / (own + noise[:, None])[:, :, None]
    variance = np.square(known.half_width / HALF_95) - _with_downforce(lost)
    half = HALF_95 * np.sqrt(np.maximum(variance, 0.0))
    return np.asarray(np.sum(np.square(np.maximum(0.0, half - known.wanted)), axis=(1, 2)))


def _with_downforce(variance: NDArray[np.float64]) -> NDArray[np.float64]:
    """Put that of total downforce between the axles and drag: (3, …) to (…, 4), in the order of `Known`."""
    front, rear, drag = front_rear_drag(variance)
    return np.stack([front, rear, front + rear, drag], axis=-1)
