"""What is fitted to the car, as the plan sees it: its settings, and a label only where that alone tells two apart."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

from balance.compare.fitted import what_was_fitted
from balance.model.plans import LABEL

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from balance.decide.day.day import Day
    from balance.model.plans import Value
    from balance.model.records import Run

_NO_PART = re.compile(r"\b(again|back|base|baseline|off|removed|repeat|standard)\b", re.IGNORECASE)


@dataclass(frozen=True, slots=True, order=True)
class Configuration:
    """What is fitted: names of settings and their values, sorted by name; what is not fitted is left out."""

    settings: tuple[tuple[str, Value], ...] = ()

    @property
    def names(self) -> frozenset[str]:
        """Names of the settings that are fitted."""
        return frozenset(name for name, _ in self.settings)

    def value(self, name: str) -> Value | None:
        """Return the value of a setting, nothing where it is not fitted."""
        for one, value in self.settings:
            if one == name:
                return value
        return None

    def put(self, name: str, value: Value | None) -> Configuration:
        """Return the configuration with one setting at another value, or not fitted."""
        kept = {**dict(self.settings), name: value}
        return configuration({key: one for key, one in kept.items() if one is not None})

    def changed(self, other: Configuration) -> tuple[str, ...]:
        """Name the settings in which two configurations differ."""
        return tuple(
            sorted(name for name in self.names | other.names if self.value(name) != other.value(name))
        )

    @property
    def key(self) -> tuple[tuple[str, int, float, str], ...]:
        """Something to sort by, numbers before texts."""
        return tuple(
            (name, 1, 0.0, value) if isinstance(value, str) else (name, 0, float(value), "")
            for name, value in self.settings
        )


def configuration(settings: Mapping[str, Value]) -> Configuration:
    """Make a configuration of settings.

    Numbers are kept as floats, so that 8 and 8.0 are one value.

    Examples
    --------
    >>> configuration({"wing_angle": 8, "vents": "open"}).settings
    (('vents', 'open'), ('wing_angle', 8.0))
    """
    return Configuration(
        tuple(
            (name, value if isinstance(value, str) else float(value))
            for name, value in sorted(settings.items())
        )
    )


def configurations_of_day(day: Day) -> tuple[Configuration, ...]:
    """State what was fitted in each reading of a day.

    A label tells two readings of equal settings apart where it makes another car of them (`balance.compare.fitted`),
    unless it says that something was taken off or comes back; the first label of some settings stands for none. A day
    without any setting is told apart by its labels alone. A run that repeats another is of that one's configuration.
    """
    runs = day.readings.runs
    of_group = [fitted_in(runs[rows[0]]) for rows in day.configurations]
    cars = what_was_fitted(day.fits).cars
    labels = [runs[int((cars == cars[rows[0]]).argmax())].configuration for rows in day.configurations]
    plain: dict[Configuration, str] = {}
    for one, label in zip(of_group, labels, strict=True):
        plain.setdefault(one, label)
    told = [
        one if label == plain[one] or _NO_PART.search(label) else one.put(LABEL, label)
        for one, label in zip(of_group, labels, strict=True)
    ]
    return tuple(told[group] for group in day.group_of)


def fitted_in(run: Run) -> Configuration:
    """State what was fitted in a run by its settings alone.

    What was recorded rather than set does not count.
    """
    return configuration({name: one.value for name, one in run.settings.items()})


def distinct(some: Iterable[Configuration]) -> tuple[Configuration, ...]:
    """Keep each configuration once, in an order that does not hang on how they came.

    Numbers are sorted before texts.
    """
    return tuple(sorted(set(some), key=lambda one: one.key))


def names_of(some: Iterable[Configuration]) -> tuple[str, ...]:
    """Gather the names of the settings that are fitted in any of some configurations, sorted."""
    return tuple(sorted(frozenset().union(*(one.names for one in some))))


def values_of(name: str, some: Sequence[Configuration]) -> tuple[Value, ...]:
    """Gather the values of a setting.

    Configurations in which it is not fitted have none.
    """
    found = {value for one in some if (value := one.value(name)) is not None}
    return tuple(sorted(found, key=lambda value: (isinstance(value, str), value)))
