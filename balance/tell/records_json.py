"""Results as plain records for JSON: SI, stable keys, never a number that is not one."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

from balance.errors import UnknownName
from balance.handling.axle_loads import static_axle_weights
from balance.reduce.coefficients import coefficients
from balance.reduce.draws import GRIP_RANGE, STIFFNESS_RANGE
from balance.tell.remarks import run_remarks, session_remarks

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from balance.decide.assessment import Assessment
    from balance.decide.day import Day
    from balance.decide.estimate import HandlingEstimates
    from balance.decide.onsets import Onsets
    from balance.decide.sweeps import Sweep
    from balance.records import LoadExponent, Run

LOADS = ("front_downforce_N", "rear_downforce_N", "drag_N", "downforce_N")
"""Keys of the forces, in the order of their standard uncertainties."""


def finite(value: float | None) -> float | None:
    """Give a plain float, or nothing where it is no finite number.

    Parameters
    ----------
    value : float or None
        Any number.

    Returns
    -------
    float or None
        For JSON, which has no word for infinity.

    Examples
    --------
    >>> finite(float("inf")), finite(1)
    (None, 1.0)
    """
    return None if value is None or not math.isfinite(value) else float(value)


def table_record(table: Assessment) -> dict[str, Any]:
    """Make the record of `axletrim table --json`.

    Parameters
    ----------
    table : Assessment
        A session at one speed and density.

    Returns
    -------
    dict
        Format ``axletrim-table/1``; SI.
    """
    day = table.day
    session, vehicle = day.session, day.session.vehicle
    front, rear = static_axle_weights(vehicle.mass, vehicle.front_share)
    return {
        "format": "axletrim-table/1",
        "session": {
            "title": session.title,
            "date": None if session.date is None else session.date.isoformat(),
            "floor": session.facility.floor,
            "vehicle": vehicle.name,
        },
        "speed_m_s": table.speed,
        "air_density_kg_m3": table.air_density,
        "weights_N": {"front": front, "rear": rear},
        "front_weight_share": vehicle.front_share,
        "wheelbase_m": vehicle.wheelbase,
        "tolerance": {"rear": vehicle.target.rear_tolerance, "front": vehicle.target.front_tolerance},
        "target_surplus": vehicle.target.grip_surplus,
        "exponents": {
            "stiffness": _exponent(vehicle.stiffness_exponent, STIFFNESS_RANGE),
            "grip": _exponent(vehicle.grip_exponent, GRIP_RANGE),
        },
        "draws": day.shared.count,
        "seed": day.shared.seed,
        "confidence": day.confidence,
        "repeatability": repeatability_record(day),
        "runs": [_run(table, row) for row in range(len(day.readings.runs))],
        "warnings": list(session_remarks(table)),
    }


def repeatability_record(day: Day) -> dict[str, Any]:
    """Make the record of how well one reading is known.

    Parameters
    ----------
    day : Day
        The reduced session.

    Returns
    -------
    dict
        Standard deviations of one reading in N at the tested speed, their source and degrees of freedom.
    """
    scatter = day.repeatability
    sources = {s for s in scatter.source[:3] if s is not None}
    degrees = [float(d) for d in scatter.degrees_of_freedom[:3] if math.isfinite(d)]
    return {
        "front_N": finite(scatter.deviation[0]),
        "rear_N": finite(scatter.deviation[1]),
        "drag_N": finite(scatter.deviation[2]),
        "downforce_N": finite(scatter.deviation[3]),
        "source": None if not sources else sources.pop() if len(sources) == 1 else "facility and repeats",
        "degrees_of_freedom": min(degrees) if degrees else None,
        "channels": {
            name: {"source": scatter.source[k], "degrees_of_freedom": finite(scatter.degrees_of_freedom[k])}
            for k, name in enumerate(("front", "rear", "drag", "downforce"))
        },
    }


def sweep_record(result: Sweep) -> dict[str, Any]:
    """Make the record of `axletrim sweep --json`.

    Parameters
    ----------
    result : Sweep
        One run at many speeds.

    Returns
    -------
    dict
        Format ``axletrim-sweep/1``: a list for each key of the table, in the order of the speeds.
    """
    rows = [quantities_record(result.handling, result.stds, k) for k in range(result.speeds.size)]
    return {
        "format": "axletrim-sweep/1",
        "run": result.day.readings.labels[result.row],
        "air_density_kg_m3": result.air_density,
        "speed_m_s": [float(v) for v in result.speeds],
        **{key: [row[key] for row in rows] for key in rows[0]},
    }


def _run(table: Assessment, row: int) -> dict[str, Any]:
    """Make the record of one run."""
    readings, onsets = table.day.readings, table.onsets
    run = readings.runs[row]
    front, rear, drag = (float(a) for a in readings.areas[row])
    never = not math.isfinite(onsets.speed[row])
    return {
        "run": run.label,
        "configuration": run.configuration,
        "settings": settings_record(run),
        "baseline": run.baseline,
        "status": run.status,
        "speed_m_s": float(readings.speed[row]),
        "dynamic_pressure_Pa": float(readings.dynamic_pressure[row]),
        "air_density_kg_m3": float(readings.air_density[row]),
        "air_density_source": readings.density_source[row],
        "front_downforce_area_m2": front,
        "rear_downforce_area_m2": rear,
        "downforce_area_m2": front + rear,
        "drag_area_m2": drag,
        **_coefficients(front, rear, drag, table.day.session.vehicle.frontal_area),
        **quantities_record(table.handling, table.stds, row),
        "onset_speed_m_s": finite(onsets.speed[row]),
        "onset_speed_interval_m_s": None
        if never or math.isnan(onsets.low[row])
        else [finite(onsets.low[row]), finite(onsets.high[row])],
        "onset_verdict": None if never else str(onsets.verdict[row]),
        **_driven_onset(onsets, row),
        "lift_off_speed_m_s": finite(onsets.lift_off_speed[row]),
        "lift_off_axle": ("front" if onsets.lift_off_front[row] else "rear")
        if math.isfinite(onsets.lift_off_speed[row])
        else None,
        "notes": list(run_remarks(table, row)),
    }


def _driven_onset(onsets: Onsets, row: int) -> dict[str, Any]:
    """Give where the surplus with drive force leaves the band, if drive force has a part in the verdict."""
    speed = math.inf if onsets.driven_speed is None else float(onsets.driven_speed[row])
    known = math.isfinite(speed)
    return {
        "onset_speed_driven_m_s": speed if known else None,
        "onset_driven_verdict": str(onsets.driven_verdict[row]) if known else None,
    }


def settings_record(run: Run) -> dict[str, Any]:
    """Give a run's settings: a number with its unit, or a text."""
    return {
        name: {"value": setting.value, "unit": setting.unit} if setting.numeric else setting.value
        for name, setting in run.settings.items()
    }


def _coefficients(
    front: float, rear: float, drag: float, frontal_area: float | None
) -> dict[str, float | None]:
    """Give the coefficients of SAE J1594, or nothing without a frontal area."""
    c = None if frontal_area is None else coefficients(front, rear, drag, frontal_area)
    return {
        "drag_coefficient": None if c is None else float(c.drag),
        "lift_coefficient": None if c is None else float(c.lift),
        "front_lift_coefficient": None if c is None else float(c.front_lift),
        "rear_lift_coefficient": None if c is None else float(c.rear_lift),
        "pitching_moment_coefficient": None if c is None else float(c.pitching_moment),
    }


def quantities_record(handling: HandlingEstimates, stds: NDArray[np.float64], k: int) -> dict[str, Any]:
    """Give what depends on speed, at one position of a table or a sweep.

    Parameters
    ----------
    handling : HandlingEstimates
        Of some runs or speeds.
    stds : numpy.ndarray
        (4, n) standard uncertainty of front, rear, drag, total, in N.
    k : int
        Which run or speed.

    Returns
    -------
    dict
        Loads, balance, shift, surplus and verdict, None where there is no figure.
    """
    n, verdict = handling.nominal, handling.verdicts[k]
    forces = (n.front_downforce[k], n.rear_downforce[k], n.drag[k], n.downforce[k])
    loads: dict[str, Any] = {}
    for name, force, std in zip(LOADS, forces, stds[:, k], strict=True):
        loads[name], loads[f"{name}_std"] = float(force), finite(std)
    driven = handling.grip_surplus_driven
    balance = handling.aero_balance
    surplus = handling.grip_surplus
    drag_is_positive = n.drag[k] > 0
    return {
        **loads,
        "downforce_to_drag": finite(n.downforce[k] / n.drag[k]) if drag_is_positive else None,
        "aero_balance": finite(balance.value[k]),
        "aero_balance_std": finite(balance.std[k]),
        "balance_offset": finite(handling.balance_offset[k]),
        "front_added_load": float(n.front_added_load[k]),
        "rear_added_load": float(n.rear_added_load[k]),
        "front_load_share": finite(n.front_load_share[k]),
        "neutral_steer_shift": finite(handling.neutral_steer_shift.value[k]),
        "neutral_steer_shift_std": finite(handling.neutral_steer_shift.std[k]),
        "grip_surplus": finite(surplus.value[k]),
        "grip_surplus_std": finite(surplus.std[k]),
        "grip_surplus_interval": None
        if math.isnan(surplus.low[k])
        else [finite(surplus.low[k]), finite(surplus.high[k])],
        "grip_surplus_driven": None if driven is None else finite(driven.value[k]),
        "grip_surplus_driven_interval": None
        if driven is None or math.isnan(driven.low[k])
        else [finite(driven.low[k]), finite(driven.high[k])],
        "verdict": str(verdict.word),
        "nominal_verdict": str(verdict.nominal),
        "verdict_probability": verdict.probability,
        "verdict_shares": None if verdict.shares is None else dict(verdict.shares),
    }


def _exponent(exponent: LoadExponent, limits: tuple[float, float]) -> dict[str, Any]:
    """Give an exponent with its range, and whether it was assumed."""
    same = exponent.front == exponent.rear
    return {
        "value": exponent.front if same else {"front": exponent.front, "rear": exponent.rear},
        "range": list(limits) if exponent.assumed else None,
        "assumed": exponent.assumed,
    }


def pick_quantity(record: dict[str, Any], name: str | None) -> dict[str, Any]:
    """Keep one quantity of a sweep's record, with its uncertainty.

    Parameters
    ----------
    record : dict
        As `sweep_record` makes it.
    name : str or None
        A key; a name without its unit will do; nothing keeps all.

    Returns
    -------
    dict
        The head, the speeds, the quantity and what belongs to it.

    Raises
    ------
    UnknownName
        If there is no such quantity.
    """
    if name is None:
        return record
    head = ("format", "run", "air_density_kg_m3", "speed_m_s")
    known = [key for key in record if key not in head]
    wanted = name.strip().casefold().replace(" ", "_").replace("-", "_")
    found = [key for key in known if key.casefold() in (wanted, f"{wanted}_n")]
    if not found:
        raise UnknownName("quantity", name, known)
    kept = [key for key in known if key in (found[0], f"{found[0]}_std", f"{found[0]}_interval")]
    return {key: record[key] for key in (*head, *kept)}
