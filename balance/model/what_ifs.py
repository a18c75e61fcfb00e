"""What a what-if is made of: frozen, in SI, with no input or output."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Mapping

    from balance.model.libraries import FromLibrary
    from balance.model.records import Facility, PlacedMass, Stated


@dataclass(frozen=True, slots=True, kw_only=True)
class StatedChange:
    """A change that was not measured here, as areas [m²]: downforce of each axle positive down, drag rearward.

    ``speed`` [m/s] and ``air_density`` [kg/m³] are those it was stated at, kept to show it as it was stated. ``assumed``
    names those of front, rear and drag that were stated without a word on their uncertainty.
    """

    front: float = 0.0
    rear: float = 0.0
    drag: float = 0.0
    front_std: float = 0.0
    rear_std: float = 0.0
    drag_std: float = 0.0
    speed: float | None = None
    air_density: float | None = None
    note: str = ""
    assumed: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class PlacedForce:
    """A force at a place, as areas [m²], its distance behind the rear axle (negative ahead) and height [m].

    ``uncertainties`` holds what was said of any of them, in the same units.
    """

    downforce: float
    drag: float = 0.0
    behind_rear_axle: float
    height: float
    speed: float | None = None
    air_density: float | None = None
    note: str = ""
    uncertainties: Mapping[str, Stated] = field(default_factory=dict, hash=False)


def stated_at(facility: Facility, change: StatedChange | PlacedForce) -> tuple[float, float]:
    """Return the speed [m/s] and air density [kg/m³] that a change was stated at; the facility's where it states none."""
    speed = facility.speed if change.speed is None else change.speed
    return speed, facility.air_density if change.air_density is None else change.air_density


@dataclass(frozen=True, slots=True, kw_only=True)
class Air:
    """Air as it is known: any of temperature [K], pressure [Pa], humidity [1], altitude [m], density [kg/m³].

    ``uncertainties`` holds what was said of any of them, in the same units.
    """

    temperature: float | None = None
    pressure: float | None = None
    humidity: float | None = None
    altitude: float | None = None
    density: float | None = None
    uncertainties: Mapping[str, Stated] = field(default_factory=dict, hash=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class WhatIf:
    """A car that was not measured: a run, and everything that is to be different.

    The mean of the start's repeats is taken. ``on`` and ``off`` are runs whose measured change against their
    baseline is added, or taken off; a label may stand twice. Settings are moved along their curve, in the
    unit of their column; ``family`` are the runs that make it, where it is not the start's own family. Stated
    changes and forces were not measured; parts of the library are put on as expected from other cars. Mass
    and front share are the weights as they are to be, before the placed masses, which with a negative mass
    are taken out. ``loading`` is a named one of the vehicle file. Exponents and target stand in place of the
    car's own. ``uncertainties`` has what was said of the figures, by the keys of what_if.toml, as ``mass`` or
    ``settings.wing_angle``, in the unit of the figure: SI, but for settings.
    """

    name: str = ""
    start: str
    on: tuple[str, ...] = ()
    off: tuple[str, ...] = ()
    settings: tuple[tuple[str, float], ...] = ()
    family: tuple[str, ...] = ()
    stated: tuple[StatedChange, ...] = ()
    forces: tuple[PlacedForce, ...] = ()
    library: tuple[FromLibrary, ...] = ()
    masses: tuple[PlacedMass, ...] = ()
    mass: float | None = None
    front_share: float | None = None
    loading: str = ""
    air: Air | None = None
    speed: float | None = None
    grip_exponent: float | None = None
    stiffness_exponent: float | None = None
    target_surplus: float | None = None
    note: str = ""
    uncertainties: Mapping[str, Stated] = field(default_factory=dict, hash=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class History:
    """What was tried, in order: every step keeps the states before and after it."""

    past: tuple[WhatIf, ...] = ()
    present: WhatIf
    future: tuple[WhatIf, ...] = ()

    def do(self, state: WhatIf) -> History:
        """Take a new state; what had been undone is gone. An equal state is no step."""
        if state == self.present:
            return self
        return History(past=(*self.past, self.present), present=state)

    def undo(self) -> History:
        """Go one state back; at the first stay there."""
        if not self.past:
            return self
        return History(past=self.past[:-1], present=self.past[-1], future=(self.present, *self.future))

    def redo(self) -> History:
        """Go one state forward again; at the last stay there."""
        if not self.future:
            return self
        return History(past=(*self.past, self.present), present=self.future[0], future=self.future[1:])
