"""A library as plain records for JSON: SI, stable keys, null where too few cars allow nothing to be said."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from balance.model.channels import CHANNELS, WITH_TOTAL
from balance.model.records import HALF_95
from balance.tell.export.quantity_values import finite
from balance.tell.library.car_facts import FACTS, fact_of, with_words
from balance.tell.library.column_rows import column_rows

if TYPE_CHECKING:
    from balance.decide.library.pooled import PooledEffect
    from balance.files.library.library import Library, LibraryDay
    from balance.model.libraries import FromLibrary, KeptEffect
    from balance.tell.library.column_rows import ColumnRows
    from balance.tell.library.part_rows import PartRows

FORMAT = "axletrim-library/1"
_AREAS = (
    "front_downforce_area_m2",
    "rear_downforce_area_m2",
    "drag_area_m2",
    "total_downforce_area_m2",
)


def part_record(part: PartRows) -> dict[str, Any]:
    """Return the record of `axletrim library show --json`."""
    pooled = dict(zip(WITH_TOTAL, part.over.pooled, strict=False))
    columns = _columns(part)
    return {
        "format": FORMAT,
        "part": part.name,
        "speed_m_s": part.speed,
        "air_density_kg_m3": part.air_density,
        "cars": part.over.cars,
        "days": part.days,
        "only": {"body": part.only.body or None, "floor": part.only.floor or None},
        "effects": [_effect(day, effect) for day, effect in part.rows],
        "pooled": {channel: _pooled(pooled.get(channel)) for channel in WITH_TOTAL},
        **({"columns": columns} if columns else {}),
        "facilities": [
            {"facility_name": one.name, "days": one.days, "degrees_of_freedom": one.degrees_of_freedom}
            for one in part.facilities
        ],
    }


def parts_record(parts: list[PartRows]) -> dict[str, Any]:
    """Return the record of `axletrim library parts --json`."""
    records = [part_record(part) for part in parts]
    return {
        "format": FORMAT,
        "parts": [
            {key: value for key, value in record.items() if key != "format"} | {"family": part.family or None}
            for part, record in zip(parts, records, strict=True)
        ],
    }


def days_record(library: Library) -> dict[str, Any]:
    """Return the record of `axletrim library list --json`."""
    return {
        "format": FORMAT,
        "library": str(library.folder),
        "name": library.file.name,
        "days": [_day(day) for day in library.days],
        "broken": [{"day": shown, "fault": str(error)} for shown, error in library.broken],
        "unconfirmed": [
            {"day": day.head.id, "changes": [[one.setting, one.value, one.before] for one in said]}
            for day, said in library.unconfirmed()
        ],
    }


def _day(day: LibraryDay) -> dict[str, Any]:
    head = day.head
    return {
        "day": head.id,
        "folder": head.folder,
        "title": head.title,
        "date": head.date or None,
        "car": day.car_name,
        "facility": head.facility or None,
        "facility_name": head.facility_name or None,
        "floor": head.floor or None,
        "body": head.body or None,
        "runs": head.runs,
        "effects": head.effects,
        "gone": day.gone,
    }


def _effect(day: LibraryDay, effect: KeptEffect) -> dict[str, Any]:
    areas: dict[str, Any] = {}
    for key, value, std in zip(_AREAS, effect.effect, effect.std, strict=True):
        areas |= {key: finite(value), f"{key}_std": finite(std)}
    return {
        "day": day.head.id,
        "car": day.car_name,
        "date": day.head.date or None,
        "runs": list(effect.runs),
        "baseline_runs": list(effect.baseline_runs),
        "suspect": list(effect.suspect),
        **areas,
        "degrees_of_freedom": [finite(one) for one in effect.degrees_of_freedom],
        "with": with_words(effect),
        "facility_name": day.head.facility_name or None,
        "floor": day.head.floor or None,
        "body": day.head.body or None,
        **{one.record_key: fact_of((day, effect), one.key) for one in FACTS},
    }


def _columns(part: PartRows) -> dict[str, Any]:
    """Return the record of what a part did to compared columns, by their names; empty where it was measured of none."""
    rows = column_rows(part)
    names = [one.name for one in rows]
    return {
        one.name if names.count(one.name) == 1 else f"{one.name} [{one.unit}]": _column(one) for one in rows
    }


def _column(one: ColumnRows) -> dict[str, Any]:
    pooled = one.pooled
    return {
        "unit": one.unit,
        "at_the_speed_stated": one.scales,
        "cars": len(set(one.cars)),
        "effects": [
            {
                "day": day.head.id,
                "car": day.car_name,
                "change": value,
                "change_std": finite(np.sqrt(variance)),
                "degrees_of_freedom": finite(degrees),
            }
            for day, value, variance, degrees in zip(
                one.days, one.values, one.variances, one.degrees, strict=True
            )
        ],
        "pooled": None if pooled is None else _pooled(pooled),
    }


def _pooled(pooled: PooledEffect | None) -> dict[str, Any]:
    if pooled is None:
        return dict.fromkeys(("mean", "std", "interval", "between_std", "next_interval"))
    return {
        "mean": finite(pooled.mean),
        "std": finite(pooled.std),
        "interval": _ends(pooled.interval),
        "between_std": finite(pooled.between_std),
        "next_interval": _ends(pooled.next_interval),
    }


def _ends(ends: tuple[float, float]) -> list[float] | None:
    return None if any(finite(end) is None for end in ends) else [float(end) for end in ends]


def from_library_record(found: FromLibrary) -> dict[str, Any]:
    """Return what a library expects of a part, as areas with their 95 % range; null where it has too little to say."""
    areas: dict[str, Any] = dict.fromkeys(_AREAS[: len(CHANNELS)])
    if found.mean is not None and found.std is not None:
        for key, mean, std in zip(areas, found.mean, found.std, strict=True):
            areas[key] = {"mean": mean, "low": mean - HALF_95 * std, "high": mean + HALF_95 * std}
    return {
        "part": found.part or None,
        "cars": found.cars,
        "own_days_left_out": found.own,
        "own_days_used": list(found.own_dates),
        "measured_by_runs": list(found.measured),
        "library_state": found.state or None,
        **areas,
        "why_not": found.why_not or None,
    }
