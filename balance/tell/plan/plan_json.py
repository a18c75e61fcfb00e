"""The plan of a day as plain records for JSON: SI, stable keys, never a number that is not one."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from balance.files.formats.plan import clock_text
from balance.model.channels import DRAG, FRONT, REAR, TOTAL
from balance.model.plans import Know
from balance.tell.export.quantity_values import finite
from balance.tell.library.library_record import from_library_record
from balance.tell.plan.expected_words import cause_words, facility_pressure, typed_ranges
from balance.tell.plan.next_words import danger_words

if TYPE_CHECKING:
    from collections.abc import Sequence

    from balance.decide.plan.clock import Job, PlannedOrder, Schedule
    from balance.decide.plan.configuration import Configuration
    from balance.decide.plan.expected_reading import ExpectedReading
    from balance.decide.plan.judged_reading import JudgedReading
    from balance.decide.plan.next_run import NextRun
    from balance.decide.plan.planned_day import PlannedDay
    from balance.model.plans import ExpectedEffect
    from balance.model.records import Session
    from balance.tell.figures import Show
    from balance.tell.plan.plan_names import Names

_FORCES = {"front_downforce_N": FRONT, "rear_downforce_N": REAR, "downforce_N": TOTAL, "drag_N": DRAG}
_MINUTE = 60.0


def plan_record(planned: PlannedDay, names: Names, show: Show) -> dict[str, Any]:
    """Return the record of `axletrim plan --json`."""
    found, order, aim = planned.found, planned.order, planned.plan.aim
    facility = planned.session.facility
    return {
        "format": "axletrim-plan/1",
        "aim": _aim(planned),
        "unit": found.unit if found else "N2" if isinstance(aim, Know) else "s" if aim.track else "N",
        "speed_m_s": facility.speed,
        "air_density_kg_m3": facility.air_density,
        "now": {
            "clock": clock_text(planned.now),
            "best": names.fitted(found.best) if found else None,
            "share": found.share if found else None,
        },
        "minutes_left": None if found is None or found.time_left is None else found.time_left / _MINUTE,
        "enough": finite(found.enough) if found else None,
        "stop": found.stop if found else False,
        "verify": [names.fitted(one) for one in found.verify] if found else [],
        "candidates": [_candidate(planned, one, names, show) for one in found.runs] if found else [],
        "order": _slots(order.cheapest, planned, names, show) if order else [],
        "protected_order": _slots(order.protected, planned, names, show) if order else [],
        "minutes": _minutes(order) if order else None,
        "dropped": [_job(job, names) for job in order.dropped] if order else [],
        "drift_shared": _shared(order.cheapest, names) if order else [],
        "detectable": _detectable(planned, names),
        "from_library": [
            _from_library(one, names) for one in planned.plan.expected if one.library is not None
        ],
        "notes": [planned.why_not] if planned.why_not else list(found.notes) if found else [],
    }


def expected_record(
    expected: ExpectedReading, one: Configuration, session: Session, names: Names
) -> dict[str, Any]:
    """Return the record of `axletrim plan --expect --json`."""
    pressure = facility_pressure(session)
    return {
        "configuration": names.fitted(one),
        "settings": settings_record(one, names),
        "expected": forces_record(expected, pressure),
        "units": {
            name: {"range": between, "unit": unit}
            for name, between, unit in typed_ranges(expected, session, pressure)
        },
        "run_before": expected.repeat,
        "first_fit_of": list(expected.first_of),
        "speed_m_s": session.facility.speed,
        "air_density_kg_m3": session.facility.air_density,
    }


def judged_record(judged: JudgedReading, session: Session) -> dict[str, Any]:
    """Return the record of `axletrim plan --judge --json`."""
    pressure = facility_pressure(session)
    return {
        "run": judged.run,
        "inside": judged.inside,
        "likely": list(cause_words(judged)),
        "first_fit_of": list(judged.unseen),
        "read": {name: float(judged.read[k]) * pressure for name, k in _FORCES.items()},
        "expected": None if judged.expected is None else forces_record(judged.expected, pressure),
        "speed_m_s": session.facility.speed,
        "air_density_kg_m3": session.facility.air_density,
    }


def forces_record(expected: ExpectedReading, pressure: float) -> dict[str, Any]:
    """Return what is expected of each force, with the ends of its 95 % range."""
    low, high = expected.low(), expected.high()
    return {
        name: {
            "mean": float(expected.mean[k]) * pressure,
            "low": float(low[k]) * pressure,
            "high": float(high[k]) * pressure,
        }
        for name, k in _FORCES.items()
    }


def settings_record(one: Configuration, names: Names) -> dict[str, Any]:
    """Return the settings of a configuration: numbers with their unit, texts as they are."""
    return {
        name: value if isinstance(value, str) else {"value": value, "unit": names.units.get(name, "")}
        for name, value in one.settings
    }


def _from_library(one: ExpectedEffect, names: Names) -> dict[str, Any]:
    """Return what a library expects of a setting, as areas with their 95 % range; null where it has too little to say."""
    found = one.library
    assert found is not None  # noqa: S101 - asked for where a library is to say it
    value = (
        one.value
        if isinstance(one.value, str)
        else {"value": one.value, "unit": names.units.get(one.setting, "")}
    )
    return {
        "setting": one.setting,
        "value": value,
        **from_library_record(found),
    }


def _aim(planned: PlannedDay) -> dict[str, Any]:
    aim = planned.plan.aim
    if isinstance(aim, Know):
        return {"know": {f"{key}_N": getattr(aim, key) for key in ("front", "rear", "downforce", "drag")}}
    return {"choose": {"drag_worth": aim.drag_worth, "track": aim.track}}


def _candidate(planned: PlannedDay, one: NextRun, names: Names, show: Show) -> dict[str, Any]:
    return {
        "configuration": names.fitted(one.configuration),
        "settings": settings_record(one.configuration, names),
        "kind": one.kind,
        "must": one.must,
        "fits": one.fits,
        "readings": one.fits * one.readings,
        "minutes": one.time / _MINUTE,
        "worth": finite(one.worth),
        "worth_per_minute": finite(one.worth_rate * _MINUTE),
        "changes_choice": one.changes_choice,
        "would_become": None if one.would_become is None else names.fitted(one.would_become),
        "needs": [names.needs([need]) for need in one.needs],
        "expected": forces_record(one.expected, facility_pressure(planned.session)),
        "first_fit_of": list(one.expected.first_of),
        "warning": danger_words(planned, one.configuration, show) or None,
    }


def _slots(schedule: Schedule, planned: PlannedDay, names: Names, show: Show) -> list[dict[str, Any]]:
    return [
        {
            "kind": slot.kind,
            "configuration": None if slot.configuration is None else names.fitted(slot.configuration),
            "settings": {} if slot.configuration is None else settings_record(slot.configuration, names),
            "start": clock_text(slot.start),
            "minutes": (slot.end - slot.start) / _MINUTE,
            "must": slot.must,
            "warning": None
            if slot.configuration is None
            else danger_words(planned, slot.configuration, show) or None,
        }
        for slot in schedule.slots
    ]


def _minutes(order: PlannedOrder) -> dict[str, Any]:
    """Return the time of each order, and what a reading and changes take."""
    times = order.times
    return {
        "order": order.cheapest.time / _MINUTE,
        "protected_order": order.protected.time / _MINUTE,
        "as_typed": order.typed.time / _MINUTE,
        "reading": times.reading / _MINUTE,
        "value_to_value": {name: value / _MINUTE for name, value in times.moves.items()},
        "fit_or_take_off": {name: value / _MINUTE for name, value in times.fits.items()},
        "learnt": times.learnt,
        "assumed": list(times.assumed),
    }


def _job(job: Job, names: Names) -> dict[str, Any]:
    return {
        "configuration": names.fitted(job.configuration),
        "settings": settings_record(job.configuration, names),
        "must": job.must,
    }


def _shared(schedule: Schedule, names: Names) -> list[dict[str, Any]]:
    return [
        {"part": names.part(one.name, one.value), "correlation": finite(one.correlation)}
        for one in schedule.shared
    ]


def _detectable(planned: PlannedDay, names: Names) -> list[dict[str, Any]]:
    """Return how small a part can be detected with the runs made and planned, and with more baselines."""
    if planned.order is None:
        return []
    pressure = facility_pressure(planned.session)
    more = {(one.name, one.value): one for one in planned.more}

    def forces(difference: Sequence[float]) -> dict[str, Any]:
        return {name: finite(float(difference[k]) * pressure) for name, k in _FORCES.items()}

    return [
        {
            "part": names.part(one.name, one.value),
            **forces(one.difference.tolist()),
            "with_more_baselines": forces(more[one.name, one.value].difference.tolist())
            if (one.name, one.value) in more
            else None,
        }
        for one in planned.order.detectable
    ]
