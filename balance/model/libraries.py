"""What a library keeps of a day: its effects in the words of that day, as plain figures in SI."""

from __future__ import annotations

from dataclasses import dataclass
from types import MappingProxyType

from balance.model.kinds import with_unit

Figures = tuple[float, ...]
"""Front, rear, drag and total downforce; not a number where unknown."""


def size_words(text: str) -> str:
    """Write a size of a day's file as people read it.

    Examples
    --------
    >>> size_words("5 deg"), size_words("25 mm"), size_words("very low")
    ('5°', '25 mm', 'very low')
    """
    figure, _, unit = text.rpartition(" ")
    try:
        float(figure)
    except ValueError:
        return text
    return with_unit(figure, unit)


@dataclass(frozen=True, slots=True)
class SaidChange:
    """One setting that a part changed, in the words of its day; what is empty is not fitted."""

    setting: str
    value: str
    before: str = ""


Said = tuple[SaidChange, ...]
"""A part as a day says it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptColumn:
    """What a part did to a compared column on a day: change and variance in ``unit``, in SI; not a number where unknown.

    It stands at the dynamic ``pressure`` [Pa] of the day, with which it grows where it ``scales``.
    """

    name: str
    unit: str
    scales: bool
    change: float
    variance: float
    degrees_of_freedom: float
    pressure: float


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptEffect:
    """What a part did on a day: areas [m²], their covariance [m⁴], and the condition for which they hold.

    ``columns`` are what it did to whatever else is compared.
    """

    changes: Said
    effect: Figures
    covariance: tuple[Figures, ...]
    degrees_of_freedom: Figures
    refit_assumed: bool
    fitted_with: tuple[tuple[str, str], ...]
    runs: tuple[str, ...]
    baseline_runs: tuple[str, ...]
    suspect: tuple[str, ...]
    comparisons: int
    columns: tuple[KeptColumn, ...] = ()

    @property
    def std(self) -> Figures:
        """Standard uncertainty of each area [m²]."""
        return tuple(row[k] ** 0.5 for k, row in enumerate(self.covariance))


@dataclass(frozen=True, slots=True, kw_only=True)
class DayEffects:
    """All effects of a day, and the variance of one reading of one fit [m⁴], as assumed and by its repeats alone."""

    effects: tuple[KeptEffect, ...]
    variance: Figures
    repeats_variance: Figures
    repeats_degrees: float


@dataclass(frozen=True, slots=True, kw_only=True)
class CarFacts:
    """What may explain that a part does more on one car than on another, where stated: an angle [rad], heights [m].

    ``mountings`` say for a setting how far behind the rear axle, and how high, its part stands.
    """

    rear_glass_angle: float | None = None
    front_ride_height: float | None = None
    rear_ride_height: float | None = None
    mountings: tuple[tuple[str, float, float], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class CarFigures:
    """What tells one car from another: mass [kg], wheelbase [m], driven axle; not known where nothing is."""

    mass: float | None = None
    wheelbase: float | None = None
    driven: str = ""


FACT_UNITS = MappingProxyType({"rear_glass_angle": "rad", "front_ride_height": "m", "rear_ride_height": "m"})
"""The facts of a car that are one figure, each with its unit."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DayHead:
    """What a library knows of a day but for its effects.

    ``files`` are those that it was read from, each with its SHA-256; ``car_file`` is the one that describes the car.
    ``body`` is its kind in free words, empty where it is not stated. ``facility`` is the facility's kind, and
    ``facility_name`` what it is called.
    """

    id: str
    folder: str
    title: str
    date: str
    car: str
    car_file: str
    facility: str
    facility_name: str
    floor: str
    speed: float
    air_density: float
    runs: int
    files: tuple[tuple[str, str], ...]
    body: str = ""
    facts: CarFacts = CarFacts()
    figures: CarFigures = CarFigures()


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptDay(DayHead):
    """A day as a library keeps it."""

    effects: DayEffects


@dataclass(frozen=True, slots=True, kw_only=True)
class FromLibrary:
    """What a library expects of a part on a car, from other cars: areas [m²] of front, rear and drag.

    ``part`` is empty where the library is to find it by how the day says it; ``cars`` is how many cars it rests on;
    ``own_dates`` are the days of the car itself by which it stands instead, ``own`` counts those that are left out.
    ``measured`` are the runs of the open day that measured it, ``said`` is how it is said in that day's settings.
    ``front_rear`` is the correlation of the two axles.
    ``state`` is that of the library when it was asked. ``why_not`` states why nothing is expected: then ``mean`` and ``std`` are missing, as they are before it was asked.
    """

    part: str = ""
    cars: int = 0
    own: int = 0
    mean: tuple[float, float, float] | None = None
    std: tuple[float, float, float] | None = None
    front_rear: float = 0.0
    state: str = ""
    why_not: str = ""
    own_dates: tuple[str, ...] = ()
    measured: tuple[str, ...] = ()
    said: tuple[Said, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class KnownPart:
    """A part of a library, and how days say it: a day's name and its words.

    ``unasked`` are the words by which every day to come means it without a question.
    """

    name: str
    family: str = ""
    note: str = ""
    sizes: tuple[tuple[str, str], ...] = ()
    seen: tuple[tuple[str, Said], ...] = ()
    unasked: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class KnownCar:
    """A car of a library, and the days on which it ran."""

    name: str
    seen: tuple[str, ...] = ()
