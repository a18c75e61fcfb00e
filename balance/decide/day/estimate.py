"""Values with their uncertainty, at any speeds: the engine behind the table of a session and the sweep of a run."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from balance.decide.day.verdict import Verdict, class_shares, judge
from balance.handling.axle_loads import aero_balance, drag_power
from balance.handling.axle_state import AxleState, axle_state
from balance.model.channels import DRAG, TOTAL
from balance.model.records import USUAL_FRONT_TOLERANCE
from balance.reduce.air import dynamic_pressure
from balance.reduce.draws import coverage_interval, spread

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

    from balance.model.records import Vehicle
    from balance.reduce.draws import SharedDraws


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Estimate:
    """Nominal values with standard uncertainty and interval, all of one shape; not a number where unknown."""

    value: NDArray[np.float64]
    std: NDArray[np.float64]
    low: NDArray[np.float64]
    high: NDArray[np.float64]

    @classmethod
    def where_known(
        cls,
        value: NDArray[np.float64],
        drawn: tuple[NDArray[np.float64], ...] | None,
        known: NDArray[np.bool_] | None = None,
    ) -> Estimate:
        """Attach to values the standard uncertainty and interval of their draws, as of `spread`, where they are known.

        Known is what is finite, unless ``known`` says otherwise.
        """
        known = np.isfinite(value) if known is None else known
        hidden = np.full(value.shape, np.nan)
        std, low, high = (hidden,) * 3 if drawn is None else (np.where(known, one, np.nan) for one in drawn)
        return cls(value=value, std=std, low=low, high=high)

    def at(self, k: int) -> Estimate:
        """Return one entry of it."""
        return Estimate(value=self.value[k], std=self.std[k], low=self.low[k], high=self.high[k])


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class HandlingEstimates:
    """What the air does to the handling, with uncertainty, and the verdicts.

    ``nominal`` holds loads and shares without uncertainty. ``aero_balance`` is not a number where it is not
    meaningful; ``balance_offset`` is aero balance minus static front weight share. ``grip_surplus_driven`` is ``None`` where the driven axle is not known.
    ``speed`` is (n,) [m/s]; ``stds`` are standard uncertainties of front, rear, drag and total, (n, 4) [N].
    """

    speed: NDArray[np.float64]
    nominal: AxleState
    stds: NDArray[np.float64]
    aero_balance: Estimate
    balance_offset: NDArray[np.float64]
    neutral_steer_shift: Estimate
    grip_surplus: Estimate
    grip_surplus_driven: Estimate | None
    verdicts: tuple[Verdict, ...]

    @property
    def drag_power(self) -> NDArray[np.float64]:
        """What drag takes, (n,) [W]."""
        return drag_power(self.nominal.drag, self.speed)

    @property
    def drag_power_std(self) -> NDArray[np.float64]:
        """Standard uncertainty of the drag power, (n,) [W]."""
        return drag_power(self.stds[:, DRAG], self.speed)


def estimate_handling(
    areas: NDArray[np.float64],
    draws: NDArray[np.float64] | None,
    speed: ArrayLike,
    air_density: float,
    area_stds: NDArray[np.float64],
    vehicle: Vehicle,
    shared: SharedDraws,
    *,
    confidence: float = 0.95,
    set_up: Vehicle | None = None,
) -> HandlingEstimates:
    """Compute the handling quantities of some runs at a speed, or of one run at some speeds.

    Parameters
    ----------
    areas : numpy.ndarray
        (3, n) or (3, 1) area coefficients of front downforce, rear downforce, drag. [m^2]
    draws : numpy.ndarray or None
        (3, draws, n) or (3, draws, 1) of the same; nothing where the scatter is unknown. [m^2]
    speed : array_like
        (n,) or one speed. [m/s]
    air_density : float
        Density of the air. [kg/m^3]
    area_stds : numpy.ndarray
        (4, n) or (4, 1) standard uncertainty of front, rear, drag and total area; not a number where unknown. [m^2]
    vehicle : Vehicle
        The car. [1]
    shared : SharedDraws
        The car's draws. [1]
    confidence : float, optional
        Share of the draws inside an interval. [1]
    set_up : Vehicle, optional
        The car whose set-up this one has, where its weights were changed afterwards. [1]

    Returns
    -------
    HandlingEstimates
        Arrays of shape (n,). [1]

    Notes
    -----
    Values are nominal, never means of draws. Aero balance is given only where total downforce is above 3 of its
    standard uncertainties and both axles are pressed down.

    References
    ----------
    JCGM 101:2008.
    """
    pressure = np.atleast_1d(dynamic_pressure(speed, air_density))
    nominal = axle_state(areas, pressure, vehicle, set_up=set_up)
    stds = np.broadcast_to(area_stds * pressure, (len(area_stds), nominal.downforce.size))
    clear = ~(nominal.downforce < 3.0 * stds[TOTAL])
    balance = np.where(clear, aero_balance(nominal.front_downforce, nominal.rear_downforce), np.nan)
    if draws is None:
        intervals, shares, loose, spreads = None, None, None, {}
    else:
        drawn = axle_state(draws, pressure, vehicle, drawn=shared.car)
        decisive = drawn.decisive_surplus
        intervals = coverage_interval(decisive, confidence)
        shares = class_shares(decisive, vehicle.target)
        loose = np.count_nonzero(decisive < -USUAL_FRONT_TOLERANCE, axis=0) / decisive.shape[0]
        with np.errstate(divide="ignore", invalid="ignore"):
            share = drawn.front_downforce / drawn.downforce
        spreads = {
            "balance": spread(share, confidence),
            "shift": spread(drawn.beyond_lift_off(drawn.neutral_steer_shift), confidence),
            "surplus": spread(drawn.beyond_lift_off(drawn.grip_surplus), confidence),
        }
        if drawn.grip_surplus_driven is not None:
            spreads["driven"] = spread(drawn.beyond_lift_off(drawn.grip_surplus_driven), confidence)

    off = (nominal.front_added_load <= -1.0) | (nominal.rear_added_load <= -1.0)
    judged = nominal.decisive_surplus
    verdicts = tuple(
        judge(
            surplus=float(judged[k]),
            surplus_without_drive=float(nominal.grip_surplus[k]),
            off_the_ground=bool(off[k]),
            added_loads=(float(nominal.front_added_load[k]), float(nominal.rear_added_load[k])),
            target=vehicle.target,
            interval=None if intervals is None else (float(intervals[0][k]), float(intervals[1][k])),
            shares=None if shares is None else shares[:, k],
            loose=None if loose is None else float(loose[k]),
            refit_assumed=shared.refit_assumed,
        )
        for k in range(judged.shape[0])
    )
    driven = nominal.grip_surplus_driven
    return HandlingEstimates(
        speed=np.broadcast_to(np.asarray(speed, float), nominal.downforce.shape),
        nominal=nominal,
        stds=stds.T,
        aero_balance=Estimate.where_known(balance, spreads.get("balance")),
        balance_offset=balance - vehicle.front_share,
        neutral_steer_shift=Estimate.where_known(nominal.neutral_steer_shift, spreads.get("shift")),
        grip_surplus=Estimate.where_known(nominal.grip_surplus, spreads.get("surplus")),
        grip_surplus_driven=None if driven is None else Estimate.where_known(driven, spreads.get("driven")),
        verdicts=verdicts,
    )
