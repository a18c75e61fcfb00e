"""What a run should read, from what runs so far leave to believe."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from balance.compare.student import student_factor
from balance.model.arrays import read_only
from balance.model.channels import FRONT, REAR

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from balance.decide.plan.configuration import Configuration
    from balance.decide.plan.day_belief import DayBelief

NEVER_RUN = 4.0
"""Degrees of freedom of the range of what was never run; assumed, no source. [1]"""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ExpectedReading:
    """What one reading of a configuration should read: expected, never measured.

    Attributes
    ----------
    mean, std : numpy.ndarray
        (4,) of front downforce, rear downforce, drag and total downforce. [m²]
    degrees : float
        Of freedom of the range: infinite where the scatter is as assumed.
    repeat : bool
        Whether the configuration was run before.
    first_of : tuple of str
        Settings that are fitted for the first time away from the baseline's value.
    """

    mean: NDArray[np.float64]
    std: NDArray[np.float64]
    degrees: float
    repeat: bool
    first_of: tuple[str, ...]

    def half_width(self, confidence: float = 0.95) -> NDArray[np.float64]:
        """Return half of the range that holds the reading with a confidence, (4,) [m²].

        A repeat by Student's t with the degrees of the scatter. What was never run by Student's t with 4, brought to the
        standard deviation that is believed (that of t itself is root 2): 1.96 of them at 95 %, 4.5 at 99.7 %.
        """
        if self.repeat:
            degrees = self.degrees if np.isfinite(self.degrees) else 1e6
            return np.asarray(self.std * float(student_factor(degrees, confidence)))
        spread = np.sqrt(NEVER_RUN / (NEVER_RUN - 2.0))
        return np.asarray(self.std * float(student_factor(NEVER_RUN, confidence)) / spread)

    def low(self, confidence: float = 0.95) -> NDArray[np.float64]:
        """Return the lower end of the range, (4,) [m²]."""
        return np.asarray(self.mean - self.half_width(confidence))

    def high(self, confidence: float = 0.95) -> NDArray[np.float64]:
        """Return the upper end of the range, (4,) [m²]."""
        return np.asarray(self.mean + self.half_width(confidence))


def expected_readings(
    stand: DayBelief, some: Sequence[Configuration], *, over: float = 1.0
) -> tuple[ExpectedReading, ...]:
    """State what one reading of each configuration should read.

    What is believed of the configuration, and the scatter of one reading of one fit. Axles are independent, so that the
    total's variance is the sum of theirs.

    C. E. Rasmussen, C. K. I. Williams, Gaussian Processes for Machine Learning (2006), equation (2.24).
    """
    belief = stand.belief
    mean = belief.mean(some)
    variance = np.square(belief.std(some)) + over**2 * belief.noise.of_mean(1, 1)
    mean = np.column_stack([mean, mean[:, FRONT] + mean[:, REAR]])
    std = np.sqrt(np.column_stack([variance, variance[:, FRONT] + variance[:, REAR]]))
    read = set(belief.read)
    seen = {pair for one in read for pair in one.settings}
    fitted = {name for name, _ in seen}
    references = {one.name: one.reference for one in belief.prior.settings}
    return tuple(
        ExpectedReading(
            mean=read_only(mean[k]),
            std=read_only(std[k]),
            degrees=belief.noise.degrees,
            repeat=one in read,
            first_of=tuple(
                name
                for name, value in one.settings
                if (name not in fitted or _only_reference(name, references.get(name), seen))
                and value != references.get(name)
            ),
        )
        for k, one in enumerate(some)
    )


def _only_reference(name: str, reference: object, seen: set[tuple[str, float | str]]) -> bool:
    """Return whether a setting was only run at the value at which it does nothing."""
    return all(value == reference for other, value in seen if other == name)
