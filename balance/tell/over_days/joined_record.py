"""Days of one car joined, as a plain record for JSON and CSV: SI, stable keys, the day beside each run."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from balance.model.channels import TOTAL
from balance.tell.export.quantity_values import finite
from balance.tell.export.records_json import settings_record
from balance.tell.figures import Show
from balance.tell.over_days.joined_text import (
    compared_words,
    configuration_name,
    day_letters,
    joined_notes,
)
from balance.tell.parts.parts_json import changes_record
from balance.tell.repeatability.scatter_json import scatter_record
from balance.units.shown import SI

if TYPE_CHECKING:
    from balance.decide.over_days.joined import JoinedDays, JoinedFigures

FORMAT = "axletrim-join/1"


def joined_record(figures: JoinedFigures) -> dict[str, Any]:
    """Return the record of `axletrim join --json`: shifts of the days, and each configuration against one of them."""
    joined = figures.joined
    reference = figures.reference
    return {
        "format": FORMAT,
        "car": joined.sessions[0].vehicle.name,
        "speed_m_s": figures.speed,
        "air_density_kg_m3": figures.air_density,
        "confidence": figures.confidence,
        "days": [_day(joined, k) for k in range(len(joined.sessions))],
        "tied_by": [_configuration(joined, k) for k in joined.shared],
        "shifts": _shifts(figures),
        "against": _configuration(joined, reference),
        "parts": [_part(figures, k) for k in range(len(joined.configurations)) if k != reference],
        "departures": [
            {
                **_configuration(joined, configuration),
                **_stratum(joined, place),
                **changes_record(figures.departures, row, "departure"),
            }
            for row, (configuration, place) in enumerate(figures.places)
        ],
        "notes": joined_notes(figures, Show(SI)),
    }


def as_rows(record: dict[str, Any]) -> dict[str, Any]:
    """Return a record whose parts name each run with its day in one text, as B:12, so that a row of CSV can hold them."""

    def texts(part: dict[str, Any]) -> dict[str, Any]:
        return {
            key: [f"{one['day']}:{one['run']}" for one in value]
            if key in ("runs", "baseline_runs", "suspect")
            else value
            for key, value in part.items()
        }

    return {**record, "parts": [texts(part) for part in record["parts"]]}


def _day(joined: JoinedDays, k: int) -> dict[str, Any]:
    session = joined.sessions[k]
    fits = next(fits for rows, fits in joined.fits.alike if joined.fits.day_of[rows[0]] == joined.alike[k])
    return {
        "day": _letter(joined, k),
        "folder": session.folder,
        "title": session.title,
        "date": None if session.date is None else session.date.isoformat(),
        "facility": session.facility.kind,
        "facility_name": session.facility.name or None,
        "floor": session.facility.floor,
        "vehicle": session.vehicle.name,
        "pooled_with": [
            _letter(joined, other)
            for other, code in enumerate(joined.alike)
            if code == joined.alike[k] and other != k
        ],
        "repeatability": scatter_record(fits.repeatability),
    }


def _shifts(figures: JoinedFigures) -> list[dict[str, Any]]:
    joined = figures.joined
    first = _stratum(joined, 0)
    return [
        {
            **_stratum(joined, row + 1),
            "against_day": first["day"],
            "against_block": first["block"],
            "tied": finite(float(figures.shifts.change[row, TOTAL])) is not None,
            **changes_record(figures.shifts, row, "shift"),
        }
        for row in range(len(figures.shifts))
    ]


def _part(figures: JoinedFigures, k: int) -> dict[str, Any]:
    joined, reference = figures.joined, figures.reference
    own, base = _configuration(joined, k), _configuration(joined, reference)
    return {
        "run": own["runs"][0]["run"],
        "day": own["runs"][0]["day"],
        "baseline": base["runs"][0]["run"],
        "baseline_day": base["runs"][0]["day"],
        "configuration": own["configuration"],
        "runs": own["runs"],
        "baseline_runs": base["runs"],
        "settings": own["settings"],
        "differs": _differs(joined, k, reference),
        "compared": compared_words(figures, k),
        "suspect": [
            {"day": _letter(joined, int(joined.fits.day_of[row])), "run": joined.fits.readings.labels[row]}
            for row in (*joined.configurations[k], *joined.configurations[reference])
            if joined.fits.readings.runs[row].status == "suspect"
        ],
        "refit_assumed": bool(figures.against.refit_assumed.any()),
        **changes_record(figures.against, k),
    }


def _differs(joined: JoinedDays, k: int, reference: int) -> list[str]:
    """List the settings in which two configurations differ; ``configuration`` where only the label does."""
    own, base = joined.run_of(k).settings, joined.run_of(reference).settings
    names = [
        name
        for name in dict.fromkeys([*base, *own])
        if (None if name not in own else (own[name].value, own[name].unit))
        != (None if name not in base else (base[name].value, base[name].unit))
    ]
    return names or ["configuration"]


def _configuration(joined: JoinedDays, k: int) -> dict[str, Any]:
    readings = joined.fits.readings
    return {
        "configuration": configuration_name(joined, k),
        "settings": settings_record(joined.run_of(k)),
        "runs": [
            {"day": _letter(joined, int(joined.fits.day_of[row])), "run": readings.labels[row]}
            for row in joined.configurations[k]
        ],
    }


def _stratum(joined: JoinedDays, place: int) -> dict[str, Any]:
    one = joined.strata[place]
    return {"day": _letter(joined, one.day), "block": one.block or None}


def _letter(joined: JoinedDays, day: int) -> str:
    return day_letters(len(joined.sessions))[day]
