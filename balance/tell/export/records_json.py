"""Results as plain records for JSON: SI, stable keys, never a number that is not one."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

import numpy as np

from balance.decide.day.overturned import overturned
from balance.handling.axle_loads import static_axle_weights
from balance.model.channels import AXLES, CHANNELS, MEASURED
from balance.model.errors import UnknownName
from balance.model.quantities import AT_SPEED, LIMITS, READING, UNITS, quantities
from balance.reduce.stated_draws import GRIP_RANGE, GRIP_STATED, STIFFNESS_RANGE, STIFFNESS_STATED, share_std
from balance.tell.export.quantity_values import finite, records
from balance.tell.export.record_parts import FORCE_NAMES, channel_record, deviation_record, session_record
from balance.tell.runs.remarks import run_remarks, session_remarks

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from balance.decide.day.assessment import Assessment
    from balance.decide.day.day import Day
    from balance.decide.day.overturn import Overturn
    from balance.decide.day.sweeps import Sweep
    from balance.model.records import LoadExponent, Run, Vehicle


def table_record(table: Assessment) -> dict[str, Any]:
    """Return the record of `axletrim table --json`.

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
        "session": session_record(session),
        "speed_m_s": table.speed,
        "air_density_kg_m3": table.air_density,
        "weights_N": {"front": front, "rear": rear},
        "front_weight_share": vehicle.front_share,
        "front_weight_share_std": share_std(vehicle),
        "wheelbase_m": vehicle.wheelbase,
        "tolerance": {"rear": vehicle.target.rear_tolerance, "front": vehicle.target.front_tolerance},
        "target_surplus": vehicle.target.grip_surplus,
        "exponents": {
            "stiffness": _exponent(vehicle, "stiffness", STIFFNESS_RANGE, STIFFNESS_STATED),
            "grip": _exponent(vehicle, "grip", GRIP_RANGE, GRIP_STATED),
        },
        "draws": day.shared.count,
        "seed": day.shared.seed,
        "confidence": day.confidence,
        "repeatability": repeatability_record(day),
        "runs": _runs(table.of(day.rows.singles)),
        "configurations": _configurations(table.of(day.rows.configurations)),
        "warnings": list(session_remarks(table)),
    }


def repeatability_record(day: Day) -> dict[str, Any]:
    """Return the record of how well one reading is known."""
    scatter = day.repeatability
    degrees = [float(d) for d in scatter.degrees_of_freedom[MEASURED] if math.isfinite(d)]
    return {
        **deviation_record(scatter),
        "degrees_of_freedom": min(degrees) if degrees else None,
        "channels": channel_record(scatter),
        "within_fit_N": _by_force(None if scatter.within is None else scatter.within.deviation),
        "between_fits_N": _by_force(scatter.between),
        "fits": int(np.count_nonzero(day.fits.counts)),
        "refit_assumed": scatter.refit_assumed,
    }


def _by_force(figures: NDArray[np.float64] | None) -> dict[str, float | None]:
    """Write figures of front, rear, drag and total under their names; nothing where there are none."""
    return {
        name: None if figures is None else finite(float(figures[k])) for k, name in enumerate(FORCE_NAMES)
    }


def sweep_record(result: Sweep) -> dict[str, Any]:
    """Return the record of `axletrim sweep --json`.

    Parameters
    ----------
    result : Sweep
        One configuration, or one reading, at many speeds.

    Returns
    -------
    dict
        Format ``axletrim-sweep/1``: a list for each key of the table, in the order of the speeds.
    """
    rows = records(result, AT_SPEED, result.speeds.size)
    return {
        "format": "axletrim-sweep/1",
        "run": result.run.label,
        "runs": [result.day.readings.labels[one] for one in result.day.rows.members[result.row]],
        "air_density_kg_m3": result.air_density,
        "speed_m_s": [float(v) for v in result.speeds],
        **{key: [row[key] for row in rows] for key in rows[0]},
    }


def _runs(table: Assessment) -> list[dict[str, Any]]:
    """Return the records of single readings."""
    figures = records(table, (*READING, *AT_SPEED, *LIMITS), len(table.rows))
    return [_of_run(table, row, figures[row]) for row in range(len(table.rows))]


def _configurations(table: Assessment) -> list[dict[str, Any]]:
    """Return the records of configurations: the keys of a reading, and what holds over all speeds of the car."""
    figures = records(table, quantities().values(), len(table.rows))
    overturns, made = overturned(table), []
    for row, one in enumerate(table.ranges):
        rows, place = table.day.rows, table.rows[row]
        members = rows.members[place]
        made.append(
            {
                "name": table.name(row),
                "runs": [table.day.readings.labels[member] for member in members],
                "readings": len(members),
                "fits": len({int(table.day.fits.fit_of[member]) for member in members}),
                **_of_run(table, row, figures[row]),
                "range_m_s": [one.start, one.end],
                "edge": one.edge_axle,
                "with_drive": one.with_drive,
                "beyond_tested": one.beyond_tested,
                "refit_assumed": one.refit_assumed,
                "overturned_by": [_overturn(change, table.dynamic_pressure) for change in overturns[row]],
            }
        )
    return made


def _overturn(one: Overturn, pressure: float) -> dict[str, Any]:
    """Return the record of one change that overturns a verdict: of an axle's downforce in N where it is not relative."""
    in_force = one.area_change is not None and not one.relative
    return {
        "what": one.what,
        "change": one.change * (pressure if in_force else 1.0),
        "relative": one.relative,
        "to": str(one.to),
        "at_m_s": None if one.place is None else one.place.speed,
    }


def _of_run(table: Assessment, row: int, figures: dict[str, Any]) -> dict[str, Any]:
    run = table.runs[row]
    return {
        "run": run.label,
        "configuration": run.configuration,
        "settings": settings_record(run),
        "baseline": run.baseline,
        "status": run.status,
        **figures,
        "notes": list(run_remarks(table, row)),
    }


def settings_record(run: Run) -> dict[str, Any]:
    """Return a run's settings: a number with its unit, or a text."""
    return {
        name: {"value": setting.value, "unit": setting.unit} if setting.numeric else setting.value
        for name, setting in run.settings.items()
    }


def _exponent(vehicle: Vehicle, name: str, limits: tuple[float, float], within: float) -> dict[str, Any]:
    """Return an exponent with the range that it is drawn over, and whether it was assumed."""
    exponent: LoadExponent = getattr(vehicle, f"{name}_exponent")
    key, said = f"tyres.{name}_load_exponent", vehicle.uncertainties

    def drawn(axle: str) -> list[float] | None:
        if exponent.assumed:
            return list(limits)
        value: float = getattr(exponent, axle)
        return None if key in said or f"{key}.{axle}" in said else [value - within, value + within]

    same = exponent.front == exponent.rear and drawn("front") == drawn("rear")
    axles = CHANNELS[AXLES]
    return {
        "value": exponent.front if same else {axle: getattr(exponent, axle) for axle in axles},
        "range": drawn("front") if same else {axle: drawn(axle) for axle in axles},
        "assumed": exponent.assumed,
    }


def pick_quantity(record: dict[str, Any], name: str | None) -> dict[str, Any]:
    """Keep one quantity of a sweep's record, with its uncertainty."""
    if name is None:
        return record
    head = ("format", "run", "runs", "air_density_kg_m3", "speed_m_s")
    known = [key for key in record if key not in head]
    wanted = name.strip().casefold().replace(" ", "_").replace("-", "_")
    found = [
        key for key in known if key.casefold() in {wanted, *(f"{wanted}{unit.casefold()}" for unit in UNITS)}
    ]
    if not found:
        raise UnknownName("quantity", name, known)
    kept = [key for key in known if key in (found[0], f"{found[0]}_std", f"{found[0]}_interval")]
    return {key: record[key] for key in (*head, *kept)}
