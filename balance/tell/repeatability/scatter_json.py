"""What a day can show, as a plain record for JSON: SI, stable keys, never a number that is not one."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from balance.compare.column_increments import ONLY
from balance.model.channels import WITH_TOTAL
from balance.tell.export.quantity_values import finite
from balance.tell.export.record_parts import FORCES, channel_record, deviation_record, ends
from balance.tell.repeatability.scatter_words import SIZES, scatter_summary, source_words

if TYPE_CHECKING:
    from balance.compare.drift import Drift, Drifts
    from balance.decide.day.day_scatter import ColumnScatter, DayScatter
    from balance.reduce.repeatability import Deviations, Repeatability
    from balance.tell.figures import Show


def day_scatter_record(day: DayScatter, show: Show) -> dict[str, Any]:
    """Return the record of `axletrim scatter --json`."""
    runs, facility = day.day.readings.runs, day.day.session.facility
    needed = day.repeats_needed(SIZES["SI"])
    columns = {one.column.name: _column_record(one) for one in day.columns}
    return {
        "format": "axletrim-scatter/1",
        "speed_m_s": facility.speed,
        "air_density_kg_m3": facility.air_density,
        "confidence": day.day.confidence,
        "power": 0.8,
        "repeatability": scatter_record(day.scatter),
        "refitted_repeats": _pooled(day.scatter.repeats),
        "untouched_repeats": _pooled(day.scatter.within),
        "facility": _pooled(day.scatter.stated),
        "agreement": {
            q: {"used": words, "repeats_over_facility": times}
            for q, (words, times) in ((q, source_words(day, k)) for k, q in enumerate(WITH_TOTAL))
        },
        "least_significant_difference_N": _by_quantity(day.least_significant.tolist()),
        "smallest_detectable_difference_N": _by_quantity(day.detectable.tolist()),
        "runs_on_each_side": [
            {"size_N": size, **dict(zip(WITH_TOTAL, counts, strict=True))}
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
        **({"columns": columns} if columns else {}),
        "summary": list(scatter_summary(day, show)),
    }


def scatter_record(scatter: Repeatability) -> dict[str, Any]:
    """Return the record of how well one reading is known, as parts need it."""
    return {
        **deviation_record(scatter),
        "channels": channel_record(scatter),
        "untouched_repeats_only": scatter.refit_assumed,
        "refit_assumed": scatter.refit_assumed,
        "notes": list(scatter.notes),
    }


def drift_record(drifts: Drifts) -> list[dict[str, Any]]:
    """Return the record of drift, block by block."""
    return [
        {
            "block": block.block,
            "returned": [list(runs) for runs in block.returned],
            "span_runs": block.span,
            "degrees_of_freedom": block.degrees_of_freedom,
            **{
                key: value
                for name, k in FORCES.items()
                for key, value in _drift_record(f"{name}_drift_N_per_run", block, k).items()
            },
            "correction_offered": block.offered,
            "brackets": [{"pattern": b.pattern, "runs": list(b.runs)} for b in block.brackets],
        }
        for block in drifts.blocks
    ]


def _pooled(pooled: Deviations | None) -> dict[str, Any] | None:
    if pooled is None:
        return None
    return {
        **{f"{q}_N": finite(float(pooled.deviation[k])) for k, q in enumerate(WITH_TOTAL)},
        "degrees_of_freedom": pooled.degrees_of_freedom,
    }


def _by_quantity(values: list[float]) -> dict[str, float | None]:
    return {q: finite(value) for q, value in zip(WITH_TOTAL, values, strict=True)}


def _column_record(one: ColumnScatter) -> dict[str, Any]:
    """Return the record of what a day can show of a compared column, in the unit of its file."""
    scatter = one.scatter
    return {
        "unit": one.column.unit,
        "std": finite(float(scatter.deviation[ONLY])),
        "source": scatter.source[ONLY],
        "degrees_of_freedom": finite(float(scatter.degrees_of_freedom[ONLY])),
        "refit_assumed": scatter.refit_assumed,
        "least_significant_difference": finite(one.least_significant),
        "smallest_detectable_difference": finite(one.detectable),
        "without_value": list(one.missing),
        "drift": [
            {
                "block": block.block,
                "returned": [list(runs) for runs in block.returned],
                "span_runs": block.span,
                **_drift_record("drift_per_run", block, ONLY),
            }
            for block in one.drifts.blocks
        ],
        "notes": list(scatter.notes),
    }


def _drift_record(key: str, block: Drift, column: int) -> dict[str, Any]:
    """Return the drift of one quantity over a block, run by run."""
    return {
        key: finite(float(block.slope[column])),
        f"{key}_std": finite(float(block.std[column])),
        f"{key}_interval": ends(float(block.low[column]), float(block.high[column])),
        f"{key}_resolved": bool(block.resolved[column]),
    }
