"""What a session leaves unsaid, or says oddly: plain sentences for whoever reads its results."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from balance.kinds import NUMBER, clean_number

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from balance.records import LoadExponent, Session

_FEWEST_TO_JUDGE = 4


def session_notes(session: Session, conditions: Sequence[str]) -> Session:
    """Add to a session the sentences about what was assumed or is absent.

    Parameters
    ----------
    session : Session
        As read.
    conditions : sequence of str
        Which of speed, temperature, pressure and humidity the table of runs has.

    Returns
    -------
    Session
        The same with its notes.
    """
    lines = [*_facility(session, conditions), *_vehicle(session), *_settings(session), *_links(session)]
    return replace(session, notes=tuple(lines))


def _facility(session: Session, conditions: Sequence[str]) -> Iterator[str]:
    facility, stated = session.facility, session.repeatability
    if session.date is None:
        yield "date: not stated"
    for name in ("kind", "floor"):
        if getattr(facility, name) is None:
            yield f"facility.{name}: not stated"
    if facility.drag_reacted_at is None:
        yield "facility.drag_reacted_at: not stated, drag taken as reacted at ground level"
    if stated is None:
        yield "repeatability: not stated, taken from repeated runs alone"
    elif stated.degrees_assumed:
        yield f"repeatability.degrees_of_freedom: not stated, {stated.degrees_of_freedom:g} assumed"
    air = {"temperature", "pressure"} & set(conditions)
    if len(air) == 1:
        yield (
            f"runs.csv has {air.pop()} without its partner: a run's own air needs temperature and "
            "pressure, so the facility's density is used"
        )
    elif air and "humidity" not in conditions:
        yield "humidity: not recorded, 50 % assumed"


def _vehicle(session: Session) -> Iterator[str]:
    vehicle = session.vehicle
    if vehicle.frontal_area is None:
        yield "vehicle size.frontal_area: not stated, so no coefficients of the car are given"
    if vehicle.driven is None:
        yield "vehicle drive.driven: not stated, so the grip that driving costs is left out"
    for key, exponent in (
        ("stiffness_load_exponent", vehicle.stiffness_exponent),
        ("grip_load_exponent", vehicle.grip_exponent),
    ):
        yield from _exponent(key, exponent)
    if vehicle.static_margin is None:
        yield "vehicle tyres.static_margin: not stated, 0 % assumed"
    if vehicle.target.tolerance_assumed:
        rear, front = 100 * vehicle.target.rear_tolerance, 100 * vehicle.target.front_tolerance
        yield (
            f"vehicle target: tolerances not stated, {rear:g} % (rear over front) and {front:g} % "
            "(front over rear) assumed"
        )


def _exponent(key: str, exponent: LoadExponent) -> Iterator[str]:
    if exponent.assumed:
        yield f"vehicle tyres.{key}: not stated, {exponent.front:g} assumed"


def _settings(session: Session) -> Iterator[str]:
    for name in session.setting_names:
        values = [run.settings[name] for run in session.used if name in run.settings]
        texts = [value.value for value in values if isinstance(value.value, str)]
        if texts and all(NUMBER.fullmatch(clean_number(text)) for text in texts):
            yield (
                f"setting '{name}': numbers without a unit are kept as text; write '{name} [mm]', or "
                "whatever its unit is, to have a curve over it ('[1]' for a plain number)"
            )
        distinct = {value.value for value in values}
        if len(distinct) == len(session.used) >= _FEWEST_TO_JUDGE:
            yield (
                f"setting '{name}' differs in every run: if it was recorded rather than set, list it "
                "under [columns] recorded in session.toml"
            )


def _links(session: Session) -> Iterator[str]:
    void = {run.label for run in session.runs if run.status == "void"}
    for run in session.used:
        if run.baseline in void:
            yield f"run '{run.label}': its baseline '{run.baseline}' is void"
