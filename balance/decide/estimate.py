"""Values with their uncertainty, at any speeds: the engine behind the table of a session and the sweep of a run."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from balance.decide.verdict import Verdict, class_shares, judge
from balance.handling.axle_loads import aero_balance
from balance.handling.axle_state import AxleState, axle_state
from balance.reduce.draws import coverage_interval, spread

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from balance.records import Vehicle
    from balance.reduce.draws import SharedDraws


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Estimate:
    """Nominal values with standard uncertainty and interval, all of one shape; not a number where unknown."""

    value: NDArray[np.float64]
    std: NDArray[np.float64]
    low: NDArray[np.float64]
    high: NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class HandlingEstimates:
    """What the air does to the handling, with uncertainty, and the verdicts.

    ``nominal`` holds loads and shares without uncertainty. ``aero_balance`` is not a number where it is not
    meaningful; ``balance_offset`` is aero balance minus static front weight share. ``grip_surplus_driven`` is ``None`` where the driven axle is not known.
    """

    nominal: AxleState
    aero_balance: Estimate
    balance_offset: NDArray[np.float64]
    neutral_steer_shift: Estimate
    grip_surplus: Estimate
    grip_surplus_driven: Estimate | None
    verdicts: tuple[Verdict, ...]


def estimate_handling(
    areas: NDArray[np.float64],
    draws: NDArray[np.float64] | None,
    dynamic_pressure: NDArray[np.float64],
    total_area_std: NDArray[np.float64],
    vehicle: Vehicle,
    shared: SharedDraws,
    *,
    confidence: float = 0.95,
    set_up: Vehicle | None = None,
) -> HandlingEstimates:
    """Work out the handling quantities of some runs at a speed, or of one run at some speeds.

    Parameters
    ----------
    areas : numpy.ndarray
        (3, n) or (3, 1) area coefficients of front downforce, rear downforce, drag. [m^2]
    draws : numpy.ndarray or None
        (3, draws, n) or (3, draws, 1) of the same; nothing where the scatter is unknown. [m^2]
    dynamic_pressure : numpy.ndarray
        (n,) or (1,) dynamic pressure. [Pa]
    total_area_std : numpy.ndarray
        (n,) or (1,) standard uncertainty of the total downforce area; not a number where unknown. [m^2]
    vehicle : Vehicle
        The car. [1]
    shared : SharedDraws
        The exponents' draws. [1]
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
    nominal = axle_state(areas, dynamic_pressure, vehicle, set_up=set_up)
    clear = ~(nominal.downforce < 3.0 * total_area_std * dynamic_pressure)
    balance = np.where(clear, aero_balance(nominal.front_downforce, nominal.rear_downforce), np.nan)
    if draws is None:
        intervals, shares, spreads = None, None, {}
    else:
        drawn = axle_state(
            draws, dynamic_pressure, vehicle, stiffness=shared.stiffness, grip=shared.grip, set_up=set_up
        )
        decisive = drawn.decisive_surplus
        intervals = coverage_interval(decisive, confidence)
        shares = class_shares(decisive, vehicle.target)
        with np.errstate(divide="ignore", invalid="ignore"):
            share = drawn.front_downforce / drawn.downforce
        spreads = {
            "balance": spread(share, confidence),
            "shift": spread(drawn.beyond_lift_off(drawn.neutral_steer_shift), confidence),
            "surplus": spread(drawn.beyond_lift_off(drawn.grip_surplus), confidence),
        }
        if drawn.grip_surplus_driven is not None:
            spreads["driven"] = spread(drawn.beyond_lift_off(drawn.grip_surplus_driven), confidence)

    def estimate(value: NDArray[np.float64], name: str) -> Estimate:
        hidden = np.full(value.shape, np.nan)
        std, low, high = spreads.get(name, (hidden, hidden, hidden))
        known = np.isfinite(value)
        return Estimate(
            value=value,
            std=np.where(known, std, np.nan),
            low=np.where(known, low, np.nan),
            high=np.where(known, high, np.nan),
        )

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
        )
        for k in range(judged.shape[0])
    )
    driven = nominal.grip_surplus_driven
    return HandlingEstimates(
        nominal=nominal,
        aero_balance=estimate(balance, "balance"),
        balance_offset=balance - vehicle.front_share,
        neutral_steer_shift=estimate(nominal.neutral_steer_shift, "shift"),
        grip_surplus=estimate(nominal.grip_surplus, "surplus"),
        grip_surplus_driven=None if driven is None else estimate(driven, "driven"),
        verdicts=verdicts,
    )
