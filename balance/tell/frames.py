"""Results as frames for a notebook: a row a configuration, speed, part, setting or car; units in ``attrs``."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from balance.decide.day.assessment import Assessment
from balance.decide.day.sweeps import Sweep
from balance.decide.parts.parts import Parts
from balance.decide.settings.response import Response
from balance.decide.what_if.what_if import WhatIfResult
from balance.model.channels import DRAG, FRONT, REAR
from balance.model.quantities import AT_SPEED, UNITS, quantities
from balance.tell.export.quantity_values import records
from balance.tell.parts.parts_json import parts_record
from balance.tell.settings.trim_record import state_record

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    import pandas as pd

_ENDS = ("low", "high")


def frame(
    result: Assessment | Sweep | Parts | Response | WhatIfResult | Sequence[WhatIfResult],
) -> pd.DataFrame:
    """Lay a result out as a frame.

    Parameters
    ----------
    result : Assessment, Sweep, Parts, Response, WhatIfResult, or sequence of WhatIfResult
        What was worked out. [1]

    Returns
    -------
    pandas.DataFrame
        SI; an interval is two columns, ``_low`` and ``_high``. ``attrs["units"]`` names the unit of each column of numbers, and
        ``attrs`` what the whole was stated at. [1]

    Raises
    ------
    TypeError
        If it is none of these.

    Notes
    -----
    The keys are those of ``--json``: the registry of quantities stands behind both. Compared columns stand beside a part's
    forces under their own names, in the unit of their file.

    References
    ----------
    Common practice, no source.

    Examples
    --------
    >>> import balance
    >>> day = balance.reduce_day(balance.load_session("vehicles/brindlow_hatch/tunnel_day"), draws=200)
    >>> table = balance.frame(balance.assess(day, rows=day.rows.configurations))
    >>> table.index[0], table.attrs["units"]["front_downforce_N"], round(table.attrs["speed_m_s"], 2)
    ('as delivered (mean of runs 1, 2, 6, 13, 24)', 'N', 44.44)
    """
    if isinstance(result, Assessment):
        rows = records(result, quantities().values(), len(result.rows))
        names = [result.name(row) for row in range(len(result.rows))]
        return _frame(rows, names, "configuration", _stated(result.speed, result.air_density))
    if isinstance(result, Sweep):
        rows = records(result, AT_SPEED, result.speeds.size)
        about = {"configuration": result.name, "air_density_kg_m3": result.air_density}
        return _frame(rows, result.speeds.tolist(), "speed_m_s", about)
    if isinstance(result, Parts):
        found = parts_record(result)["parts"]
        labels = [one["run"] for one in found]
        laid = _frame(
            [_with_columns(one) for one in found], labels, "run", _stated(result.speed, result.air_density)
        )
        laid.attrs["units"] |= _units_of_columns(result, laid.attrs["units"])
        return laid
    if isinstance(result, Response):
        return _of_response(result)
    cars = [result] if isinstance(result, WhatIfResult) else list(result)
    if not all(isinstance(one, WhatIfResult) for one in cars):
        raise TypeError(
            f"frame: found {type(result).__name__}, expected an assessment, a sweep, parts, a response or what-ifs"
        )
    rows = [state_record(state) for one in cars for state in (one.start, one.result)]
    names = [f"{one.what_if.name or 'what if'}, {side}" for one in cars for side in ("start", "result")]
    speeds = [state.speed for one in cars for state in (one.start, one.result)]
    made = [{"speed_m_s": speed, **row} for speed, row in zip(speeds, rows, strict=True)]
    return _frame(made, names, "car", {})


def _with_columns(record: Mapping[str, Any]) -> dict[str, Any]:
    """Return a part's record with its changes of compared columns beside those of the forces."""
    columns: Mapping[str, Mapping[str, Any]] = record.get("columns", {})
    return {key: value for key, value in record.items() if key != "columns"} | {
        f"{name}_{key}": value
        for name, column in columns.items()
        for key, value in column.items()
        if key.startswith("change")
    }


def _units_of_columns(result: Parts, keys: Iterable[str]) -> dict[str, str]:
    """Return the units of the keys that hold changes of compared columns: those of their file."""
    return {
        key: one.column.unit
        for one in result.columns
        for key in keys
        if key.startswith(f"{one.column.name}_change")
    }


def _of_response(result: Response) -> pd.DataFrame:
    """Lay out a setting's curve at the settings that were tested."""
    tested = np.asarray(result.family.values)
    areas = result.curve(tested)
    low, high = result.useful
    rows = [
        {
            "front_downforce_area_m2": float(areas[FRONT, k]),
            "rear_downforce_area_m2": float(areas[REAR, k]),
            "drag_area_m2": float(areas[DRAG, k]),
            "inside_useful_range": low <= value <= high,
            "runs": ", ".join(result.family.runs[k]),
        }
        for k, value in enumerate(tested.tolist())
    ]
    about = {"setting": result.family.setting, "unit": result.family.unit}
    return _frame(rows, tested.tolist(), result.family.setting, about)


def _stated(speed: float, air_density: float) -> dict[str, float]:
    return {"speed_m_s": speed, "air_density_kg_m3": air_density}


def _frame(
    rows: Sequence[Mapping[str, Any]], index: Sequence[Any], name: str, about: Mapping[str, Any]
) -> pd.DataFrame:
    """Make the frame of some records: intervals as two columns, lists as text, words as they are."""
    import pandas as pd  # noqa: PLC0415 - for a notebook alone

    made = pd.DataFrame([_flat(row) for row in rows], index=pd.Index(index, name=name))
    made.attrs.update(about)
    made.attrs["units"] = {
        column: _unit(column) for column in made.columns if pd.api.types.is_float_dtype(made[column])
    }
    return made


def _flat(row: Mapping[str, Any]) -> dict[str, Any]:
    """Flatten a record."""
    flat: dict[str, Any] = {}
    intervals = {key for key in row if key.endswith("_interval")}
    for key, value in row.items():
        if key in intervals:
            ends = value or (None, None)
            flat |= {
                f"{key.removesuffix('_interval')}_{end}": one for end, one in zip(_ENDS, ends, strict=True)
            }
        elif isinstance(value, dict):
            flat |= {f"{key}: {name}": one for name, one in value.items() if not isinstance(one, dict | list)}
        elif isinstance(value, list):
            flat[key] = ", ".join(map(str, value))
        else:
            flat[key] = value
    return flat


def _unit(column: str) -> str:
    """Read the unit off a key; a share or a ratio has none."""
    stem = column.partition(":")[0]
    for end in (*(f"_{end}" for end in _ENDS), "_std", "_detectable"):
        stem = stem.removesuffix(end)
    return next((unit for suffix, unit in UNITS.items() if stem.endswith(suffix)), "1")
