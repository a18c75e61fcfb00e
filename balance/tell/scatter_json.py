"""What a day can show, as a plain record for JSON: SI, stable keys, never a number that is not one."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from balance.reduce.repeatability import QUANTITIES
from balance.tell.parts_json import drift_record, scatter_record
from balance.tell.records_json import finite
from balance.tell.scatter_words import SIZES, scatter_summary, source_words

if TYPE_CHECKING:
    from balance.decide.day_scatter import DayScatter
    from balance.reduce.repeatability import Pooled
    from balance.tell.figures import Show


def day_scatter_record(day: DayScatter, show: Show) -> dict[str, Any]:
    """Make the record of `axletrim scatter --json`.

    Parameters
    ----------
    day : DayScatter
        A day's scatter.
    show : Show
        System of units of the sentences; numbers are SI.

    Returns
    -------
    dict
        Format ``axletrim-scatter/1``.
    """
    runs, facility = day.day.readings.runs, day.day.session.facility
    needed = day.repeats_needed(SIZES["SI"])
    return {
        "format": "axletrim-scatter/1",
        "speed_m_s": facility.speed,
        "air_density_kg_m3": facility.air_density,
        "confidence": day.day.confidence,
        "power": 0.8,
        "repeatability": scatter_record(day.scatter),
        "refitted_repeats": _pooled(day.refitted),
        "untouched_repeats": _pooled(day.untouched),
        "facility": _pooled(day.scatter.stated),
        "agreement": {
            q: {"used": words, "repeats_over_facility": times}
            for q, (words, times) in ((q, source_words(day, k)) for k, q in enumerate(QUANTITIES))
        },
        "least_significant_difference_N": _by_quantity(day.least_significant.tolist()),
        "smallest_detectable_difference_N": _by_quantity(day.detectable.tolist()),
        "runs_on_each_side": [
            {"size_N": size, **dict(zip(QUANTITIES, counts, strict=True))}
            for size, counts in zip(SIZES["SI"], needed, strict=True)
        ],
        "repeats": [
            {
                "configuration": runs[repeats.rows[0]].configuration,
                "runs": [runs[row].label for row in repeats.rows],
                "car_changed_in_between": repeats.after_change,
                "deviations_N": [_by_quantity(day.deviations[row].tolist()) for row in repeats.rows],
            }
            for repeats in day.sets
        ],
        "drift": drift_record(day.drifts),
        "summary": list(scatter_summary(day, show)),
    }


def _pooled(pooled: Pooled | None) -> dict[str, Any] | None:
    if pooled is None:
        return None
    return {
        **{f"{q}_N": finite(float(pooled.deviation[k])) for k, q in enumerate(QUANTITIES)},
        "degrees_of_freedom": pooled.degrees_of_freedom,
    }


def _by_quantity(values: list[float]) -> dict[str, float | None]:
    return {q: finite(value) for q, value in zip(QUANTITIES, values, strict=True)}
