"""What a trim aims at: a balance offset, or a grip surplus at a speed; and how far a car is from it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Protocol

import numpy as np

from balance.handling.axle_loads import static_axle_weights
from balance.handling.decisive_surplus import drive_ratio
from balance.model.channels import FRONT, REAR
from balance.model.errors import DomainError
from balance.model.records import USUAL_FRICTION

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

    from balance.model.records import Driven, Vehicle
    from balance.reduce.draws import SharedDraws

    Areas = NDArray[np.float64]

_TURNS = 30  # each brings the effect of drive nearer by a factor of ten or more


_NEAREST = 1e-6  # of an axle's share to nothing, in a draw


class Aim(Protocol):
    """What every aim can answer, for areas of front downforce, rear downforce and drag of any one shape [m²]."""

    @property
    def kind(self) -> str:
        """Name what is aimed at."""
        ...

    @property
    def target(self) -> float:
        """Return the figure aimed at."""
        ...

    def miss(self, front: Areas, rear: Areas, drag: Areas) -> Areas:
        """Return how far beyond the aim: 0 on it, rising steadily with one axle's area and falling with the other's."""
        ...

    def slopes(self, front: Areas, rear: Areas) -> tuple[Areas, Areas]:
        """Return the derivatives of the miss by front and by rear area."""
        ...

    def needed(self, front: Areas, rear: Areas, drag: Areas) -> tuple[Areas, Areas]:
        """Return how much front area alone, or rear area alone, would meet the aim; not a number where none would."""
        ...

    def of(self, draws: NDArray[np.int_]) -> Aim:
        """Return the aim for some of the draws."""
        ...


@dataclass(frozen=True, slots=True, eq=False)
class OffsetAim:
    """A balance offset: ``share`` is the aero balance that it asks for [1], one a draw where drawn."""

    target: float
    share: Areas | float
    kind: str = "balance_offset"

    def miss(self, front: Areas, rear: Areas, drag: Areas) -> Areas:  # noqa: ARG002 - a share knows no drag
        """Return the front downforce beyond its share of the total."""
        return np.asarray((1.0 - self.share) * front - self.share * rear)

    def slopes(self, front: Areas, rear: Areas) -> tuple[Areas, Areas]:  # noqa: ARG002 - the same anywhere
        """Return the derivatives of the miss by front and by rear area."""
        return np.asarray(1.0 - self.share), np.asarray(-self.share)

    def needed(self, front: Areas, rear: Areas, drag: Areas) -> tuple[Areas, Areas]:  # noqa: ARG002 - as above
        """Return what either axle alone would need."""
        ratio = self.share / (1.0 - self.share)
        more_front, more_rear = rear * ratio - front, front / ratio - rear
        return np.where(rear > 0.0, more_front, np.nan), np.where(front > 0.0, more_rear, np.nan)

    def of(self, draws: NDArray[np.int_]) -> OffsetAim:
        """Return the aim for some of the draws."""
        return replace(self, share=_some(self.share, draws))


@dataclass(frozen=True, slots=True, eq=False)
class SurplusAim:
    """A grip surplus at a dynamic pressure [Pa], the lower of without and under power; exponents as in the model.

    ``weights`` are the axles' [N], ``grip`` their exponents and ``friction`` that of the tyres, one a draw where drawn.
    """

    target: float
    pressure: float
    driven_axle: Driven | None
    weights: tuple[Areas | float, Areas | float]
    grip: tuple[Areas | float, Areas | float]
    friction: Areas | float = USUAL_FRICTION
    kind: str = "grip_surplus"

    def miss(self, front: Areas, rear: Areas, drag: Areas) -> Areas:
        """Return the logarithm of grip ratio over the one aimed at; infinite where an axle is off the ground."""
        loads = self._loads(front, rear)
        with np.errstate(divide="ignore", invalid="ignore"):
            value = self.grip[REAR] * np.log(loads[REAR]) - self.grip[FRONT] * np.log(loads[FRONT])
            value = value + self._by_drive(front, rear, drag)
        value = np.asarray(value - np.log1p(self.target))
        return np.where(loads[REAR] <= 0.0, -np.inf, np.where(loads[FRONT] <= 0.0, np.inf, value))

    def slopes(self, front: Areas, rear: Areas) -> tuple[Areas, Areas]:
        """Return the derivatives of the miss by front and by rear area, from air loads alone: near enough to close in."""
        loads, growth = self._loads(front, rear), self._growth
        with np.errstate(divide="ignore", invalid="ignore"):
            by_front = -np.asarray(self.grip[FRONT]) * growth[FRONT] / loads[FRONT]
            by_rear = np.asarray(self.grip[REAR]) * growth[REAR] / loads[REAR]
        return np.asarray(by_front), np.asarray(by_rear)

    def needed(self, front: Areas, rear: Areas, drag: Areas) -> tuple[Areas, Areas]:
        """Return what either axle alone would need."""
        pf, pr = (np.asarray(one) for one in self.grip)
        goal, growth = np.log1p(self.target), self._growth
        more_front, more_rear = np.zeros(np.shape(front)), np.zeros(np.shape(rear))
        with np.errstate(divide="ignore", invalid="ignore"):
            of_front, of_rear = (np.log(load) for load in self._loads(front, rear))
            for _ in range(_TURNS if self.driven_axle is not None else 1):
                to_front = goal - self._by_drive(front + more_front, rear, drag)
                to_rear = goal - self._by_drive(front, rear + more_rear, drag)
                more_front = np.expm1((pr * of_rear - to_front) / pf) / growth[FRONT] - front
                more_rear = np.expm1((pf * of_front + to_rear) / pr) / growth[REAR] - rear
        return np.asarray(more_front), np.asarray(more_rear)

    def of(self, draws: NDArray[np.int_]) -> SurplusAim:
        """Return the aim for some of the draws."""
        return replace(
            self,
            weights=(_some(self.weights[FRONT], draws), _some(self.weights[REAR], draws)),
            grip=(_some(self.grip[FRONT], draws), _some(self.grip[REAR], draws)),
            friction=_some(self.friction, draws),
        )

    @property
    def _growth(self) -> tuple[Areas, Areas]:
        """Added load of the axles per area [1/m²]."""
        front, rear = (self.pressure / np.asarray(weight) for weight in self.weights)
        return front, rear

    def _loads(self, front: Areas, rear: Areas) -> tuple[Areas, Areas]:
        """Return the axles' loads over their weights."""
        growth = self._growth
        return 1.0 + growth[FRONT] * front, 1.0 + growth[REAR] * rear

    def _by_drive(self, front: Areas, rear: Areas, drag: Areas) -> Areas | float:
        """Return what drive takes off the logarithm of the grip ratio, 0 where it would add to it."""
        if self.driven_axle is None:
            return 0.0
        loads = [load * weight for load, weight in zip(self._loads(front, rear), self.weights, strict=True)]
        drive = np.asarray(drag) * self.pressure
        left = drive_ratio(loads[FRONT], loads[REAR], drive, self.driven_axle, self.friction)
        return np.asarray(np.minimum(np.nan_to_num(np.log(left), nan=0.0, neginf=-np.inf), 0.0))


def _some(value: Areas | float, draws: NDArray[np.int_]) -> Areas | float:
    """Take some draws of a figure; a number is the same in all."""
    return np.asarray(value)[draws] if np.ndim(value) else value


def offset_aim(vehicle: Vehicle, offset: float) -> OffsetAim:
    """Aim at a balance offset.

    Aero balance less static front weight share, negative rearward of the weight. Met where ``(1 - c) DFf = c
    DFr`` with c the front share asked for, which must lie between 0 and 1.
    """
    share = vehicle.front_share + offset
    if not 0.0 < share < 1.0:
        raise DomainError(
            f"target offset: found {100.0 * offset:g} points, which asks for {100.0 * share:.1f} % of the downforce on "
            "the front axle, expected between 0 and 100 %"
        )
    return OffsetAim(offset, share)


def surplus_aim(vehicle: Vehicle, surplus: float, pressure: float) -> SurplusAim:
    """Aim at a grip surplus at a dynamic pressure, with the car's own exponents.

    For that pressure alone [Pa]. The surplus is that which verdicts are judged on: where the driven axle is
    known, the lower of without and under power. Refused is one where the front counts as overpowering the
    rear.
    """
    if not -vehicle.target.front_tolerance <= surplus < np.inf:
        raise DomainError(
            f"target grip balance: found {100.0 * surplus:g} %, expected not below {-100.0 * vehicle.target.front_tolerance:g} "
            "%: there the car is past the oversteer limit; choose a target in balance or a little above"
        )
    if not 0.0 < pressure < np.inf:
        raise DomainError(f"dynamic pressure: found {pressure:g} Pa, expected above 0")
    grip = vehicle.grip_exponent
    weights = static_axle_weights(vehicle.mass, vehicle.front_share)
    return SurplusAim(
        surplus, pressure, vehicle.driven, weights, (grip.front, grip.rear), vehicle.tyre_friction
    )


def drawn_aim(aim: Aim, shared: SharedDraws) -> Aim:
    """Return the aim as the draws see it: with the car's drawn weights, exponents and friction.

    Parameters
    ----------
    aim : Aim
        The nominal aim. [1]
    shared : SharedDraws
        The car's draws. [1]

    Returns
    -------
    Aim
        For arrays whose last axis is the draws. [1]

    Notes
    -----
    A balance offset is counted from the drawn weight share, and knows no exponents.

    References
    ----------
    JCGM 101:2008.
    """
    car = shared.car
    if isinstance(aim, OffsetAim):
        share = np.clip(_flat(car.front_share) + aim.target, _NEAREST, 1.0 - _NEAREST)
        return replace(aim, share=share)
    if not isinstance(aim, SurplusAim):
        return aim
    weights = static_axle_weights(_flat(car.mass), _flat(car.front_share))
    grip = _flat(car.grip[FRONT]), _flat(car.grip[REAR])
    return replace(aim, weights=weights, grip=grip, friction=_flat(car.friction))


def _flat(value: ArrayLike) -> Areas | float:
    """Return a figure's draws along the last axis; a number as it is."""
    values = np.asarray(value, float)
    return values[:, 0] if values.ndim else float(values)
