"""What parts did, as plain records for JSON and CSV: SI, stable keys, never a number that is not one."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from balance.compare.column_increments import ONLY
from balance.compare.interactions import find_interactions
from balance.compare.ratios import RatioKind
from balance.tell.export.quantity_values import finite
from balance.tell.export.record_parts import FORCES, ends, estimate_record, session_record
from balance.tell.figures import Show
from balance.tell.parts.part_words import part_notes, part_sentence
from balance.tell.repeatability.scatter_json import drift_record, scatter_record
from balance.units.shown import SI

if TYPE_CHECKING:
    from collections.abc import Sequence

    from balance.compare.column_increments import ColumnIncrements
    from balance.compare.contrasts import Change, Changes
    from balance.compare.ratios import CostRatio
    from balance.decide.parts.parts import Parts


def parts_record(parts: Parts, rows: Sequence[int] | None = None) -> dict[str, Any]:
    """Return the record of `axletrim parts --json`.

    Parameters
    ----------
    parts : Parts
        A day's parts at one speed and density.
    rows : sequence of int, optional
        Which of them, in which order; all in running order if absent.

    Returns
    -------
    dict
        Format ``axletrim-parts/1``; SI. Changes are run less baseline.
    """
    increments, session = parts.increments, parts.day.session
    wanted = range(len(parts)) if rows is None else rows
    return {
        "format": "axletrim-parts/1",
        "session": session_record(session),
        "speed_m_s": parts.speed,
        "air_density_kg_m3": parts.air_density,
        "confidence": parts.day.confidence,
        "drift_corrected": increments.drift_corrected,
        **({"columns": columns_record(parts)} if parts.columns else {}),
        "parts": [part_record(parts, row) for row in wanted],
        "repeatability": scatter_record(increments.repeatability),
        "drift": drift_record(increments.drifts),
        "interactions": interactions_record(parts),
        "notes": list(increments.notes),
    }


def comparison_record(parts: Parts, row: int) -> dict[str, Any]:
    """Return the record of `axletrim compare --json`."""
    record = parts_record(parts, [row])
    (part,) = record.pop("parts")
    about = record.pop("columns", {})
    if about:
        part["columns"] = {name: {**about[name], **change} for name, change in part["columns"].items()}
    return {**record, **part, "notes": [*part["notes"], *record["notes"]], "format": "axletrim-compare/1"}


def part_record(parts: Parts, row: int) -> dict[str, Any]:
    """Return the record of one part."""
    part, increments = parts[row], parts.increments
    i = part.increment
    record: dict[str, Any] = {
        "run": i.run,
        "baseline": i.baseline,
        "runs": list(i.runs),
        "baseline_runs": list(i.baseline_runs),
        "second_baseline": i.second_baseline,
        "interpolated_by": None if i.between is None else i.between.by,
        "interpolated_share": None if i.between is None else i.between.share,
        "baseline_proposed": i.proposed,
        "baseline_later": i.later,
        "differs": list(i.differs),
        "package": i.package,
        "mirrors": i.mirrors,
        "shows_part": increments.pairs[row].shows_part,
        "suspect": list(i.suspect),
        **changes_record(increments.changes, row),
        "downforce_per_drag": i.ratio.value,
        "downforce_per_drag_set": _set(i.ratio),
        "downforce_per_drag_as_typed": _typed(i.rounded_ratio),
        "case": str(i.ratio.case),
        "class": str(i.part_class),
        "class_by_axle": i.by_axle,
        **estimate_record("aero_balance_change", part.aero_balance),
        **estimate_record("grip_surplus_change", part.grip_surplus),
        "moved_toward_target": finite(part.toward_target),
        "verdict_before": str(part.before.word),
        "verdict_after": str(part.after.word),
        "range_verdict_before": str(part.range_before.word),
        "range_verdict_after": str(part.range_after.word),
        "untouched_repeats_only": bool(increments.changes.refit_assumed.any()),
        "refit_assumed": bool(increments.changes.refit_assumed.any()),
        "sentence": part_sentence(parts, row, Show(SI)),
        "notes": list(part_notes(parts, row)),
    }
    record["drift_taken_out"] = bool(increments.drift_corrected and increments.taken[row])
    if parts.columns:
        record["columns"] = {one.column.name: column_record(one, row) for one in parts.columns}
    if increments.corrected is not None:
        record["as_measured"] = changes_record(increments.uncorrected, row)
        record["drift_corrected"] = changes_record(increments.corrected, row)
    return record


def changes_record(changes: Changes, row: int, what: str = "change") -> dict[str, Any]:
    """Return the record of the changes of the forces, or of what else is told of them as changes are."""
    record: dict[str, Any] = {}
    for name, column in FORCES.items():
        record |= change_record(f"{name}_{what}_N", changes.of(row, column))
    return record


def columns_record(parts: Parts) -> dict[str, Any]:
    """Return the record of how the compared columns were compared: in the unit of their file, not in SI."""
    return {one.column.name: _compared(one) for one in parts.columns}


def _compared(one: ColumnIncrements) -> dict[str, Any]:
    readings, scatter = one.fits.readings, one.fits.repeatability
    return {
        "unit": one.column.unit,
        "std": finite(one.deviation),
        "source": scatter.source[ONLY],
        "degrees_of_freedom": finite(scatter.degrees_of_freedom[ONLY]),
        "refit_assumed": scatter.refit_assumed,
        "brought_to_one_dynamic_pressure": one.scaled,
        "lowest_speed_m_s": float(readings.speed.min()),
        "highest_speed_m_s": float(readings.speed.max()),
        "drift_corrected": one.drift_corrected,
        "without_value": list(one.missing),
        "notes": list(scatter.notes),
    }


def column_record(one: ColumnIncrements, row: int) -> dict[str, Any]:
    """Return the record of one change of a compared column, in the unit of its file."""
    return {
        "unit": one.column.unit,
        **change_record("change", one.of(row)),
        "drift_taken_out": bool(one.drift_corrected and one.taken[row]),
    }


def change_record(key: str, change: Change) -> dict[str, Any]:
    """Return the record of one change, its suffixes behind the whole key."""
    return {
        key: finite(change.change),
        f"{key}_std": finite(change.std),
        f"{key}_interval": ends(change.low, change.high),
        f"{key}_resolved": change.resolved,
        f"{key}_detectable": finite(change.detectable),
    }


def interactions_record(parts: Parts) -> list[dict[str, Any]]:
    """Return the record of what parts did together beyond the sum of each alone."""
    found = find_interactions(parts.increments)
    return [
        {
            "parts": [one.first, one.second],
            "base_runs": list(one.base_runs),
            "first_runs": list(one.first_runs),
            "second_runs": list(one.second_runs),
            "together_runs": list(one.together_runs),
            **{
                key: value
                for name, column in FORCES.items()
                for key, value in (
                    (
                        f"{name}_sum_of_parts_N",
                        finite(float(found.first.change[row, column] + found.second.change[row, column])),
                    ),
                    (f"{name}_together_N", finite(float(found.together.change[row, column]))),
                    *change_record(f"{name}_interaction_N", found.interaction.of(row, column)).items(),
                )
            },
        }
        for row, one in enumerate(found)
    ]


def _set(ratio: CostRatio) -> dict[str, Any]:
    closed = ratio.kind in (RatioKind.BOUNDED, RatioKind.OUTSIDE)
    return {
        "kind": str(ratio.kind),
        "low": finite(ratio.low) if closed else None,
        "high": finite(ratio.high) if closed else None,
    }


def _typed(ratio: CostRatio) -> dict[str, Any]:
    known = ratio.value is not None
    return {
        "value": ratio.value,
        "low": finite(ratio.low) if known else None,
        "high": finite(ratio.high) if known else None,
    }
