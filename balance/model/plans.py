"""What a plan of the day is made of: frozen, times in seconds, with no input or output."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Mapping

    from balance.model.libraries import FromLibrary

LABEL = "configuration"
"""The text setting that a label is where nothing else tells configurations apart."""
Value = float | str
"""Of a setting: a number in the unit of its column, or a text."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Hours:
    """When the day starts and ends, and its breaks, in seconds after midnight."""

    start: float
    end: float
    breaks: tuple[tuple[float, float], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Choose:
    """To choose the best configuration: by downforce less ``drag_worth`` times drag, or by the lap of a ``track``."""

    drag_worth: float | None = None
    track: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Know:
    """To know what each part does, to half of a 95 % interval a channel [N]; absent where it does not matter."""

    front: float | None = None
    rear: float | None = None
    downforce: float | None = None
    drag: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class WantedRun:
    """A run that is to be made: its settings, those not fitted left out. ``must``: it is not dropped for another."""

    configuration: str = ""
    settings: Mapping[str, Value] = field(default_factory=dict, hash=False)
    must: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class ExpectedEffect:
    """What a setting at a value is believed to do before it was tried.

    ``mean`` and ``std`` are (front downforce, rear downforce, drag) as areas [m²]; None where nothing was said.
    ``library`` is where they come from, if a library is to say them.
    """

    setting: str
    value: Value
    mean: tuple[float | None, float | None, float | None]
    std: tuple[float | None, float | None, float | None]
    library: FromLibrary | None = None

    @property
    def known(self) -> bool:
        """Whether anything is expected; not where a library has too little to say."""
        return any(one is not None for one in self.mean)


@dataclass(frozen=True, slots=True, kw_only=True)
class DayPlan:
    """The plan of a day as it is stated; what is absent is assumed, and said.

    Times are in seconds: that of one reading, and those of a change of a setting, by the first word of its
    name that of fitting or taking off. ``baseline_every`` is the number of runs after which the baseline is
    to come back. ``enough`` is below which no gain counts, in the unit of merit: N, or s for a track.
    ``units`` has the unit of each numeric setting that the plan names.
    """

    hours: Hours | None = None
    reading: float | None = None
    changes: Mapping[str, float] = field(default_factory=dict, hash=False)
    baseline_every: int | None = None
    aim: Choose | Know = Choose()
    enough: float | None = None
    wanted: tuple[WantedRun, ...] = ()
    expected: tuple[ExpectedEffect, ...] = ()
    units: Mapping[str, str] = field(default_factory=dict, hash=False)

    @property
    def believed(self) -> tuple[ExpectedEffect, ...]:
        """What is believed before the day and known: a library may have too little to say."""
        return tuple(one for one in self.expected if one.known)
