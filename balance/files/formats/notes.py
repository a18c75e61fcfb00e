"""What a table of runs says oddly, or would say otherwise in the newest format: plain sentences."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from balance.files.formats.cells import not_fitted
from balance.files.formats.runs import read_runs
from balance.files.formats.versions import RAISE
from balance.files.session_path import RUNS_FILE
from balance.model.columns import FORMAT, TOTALS
from balance.model.errors import quoted
from balance.model.kinds import NUMBER, clean_number

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from balance.model.records import Session, Vehicle

_FEWEST_TO_JUDGE = 4


def session_notes(session: Session, conditions: Sequence[str]) -> Session:
    """Add to a session the sentences about what its table says oddly."""
    lines = [
        *_air(conditions),
        *_settings(session),
        *_compared(session),
        *_links(session),
        *session.left_out,
    ]
    return replace(session, notes=tuple(lines))


def _air(conditions: Sequence[str]) -> Iterator[str]:
    air = {"temperature", "pressure"} & set(conditions)
    if len(air) == 1:
        yield (
            f"runs.csv has {air.pop()} without its partner: a run's own air needs temperature and "
            "pressure, so the facility's density is used"
        )


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


def _compared(session: Session) -> Iterator[str]:
    for column in session.compared:
        if session.used and all(column.name not in run.recorded for run in session.used):
            yield f"column '{column.name}': listed as compared, and no run that counts has a value of it"


def _links(session: Session) -> Iterator[str]:
    void = {run.label for run in session.runs if run.status == "void"}
    for run in session.used:
        for baseline in (run.baseline, run.second_baseline):
            if baseline in void:
                yield f"run '{run.label}': its baseline '{baseline}' is void"


def read_otherwise(session: Session) -> tuple[str, ...]:
    """State what of an older day would be read otherwise in the newest format, and what is judged otherwise in every one."""
    if session.file_format >= FORMAT or not session.runs:
        return ()
    columns = (*_totals(session), *_words(session), *_faults(session))
    return (*(f"{RUNS_FILE}: {words}" for words in columns), *_figures(session.vehicle))


def _figures(vehicle: Vehicle) -> Iterator[str]:
    """State of the car's stated figures what holds for days of every format."""
    target = vehicle.target
    if target.front_tolerance_assumed and not target.tolerance_assumed:
        yield (
            f"vehicle: tolerance of {100.0 * target.rear_tolerance:g} % holds for the rear over the front alone; the front over "
            f"the rear, the dangerous side, has {100.0 * target.front_tolerance:g} % unless front_tolerance states its own"
        )
    exponents = {"stiffness": vehicle.stiffness_exponent, "grip": vehicle.grip_exponent}
    for name, exponent in exponents.items():
        key = f"{name}_load_exponent"
        if not exponent.assumed and not any(one.startswith(f"tyres.{key}") for one in vehicle.uncertainties):
            yield (
                f"vehicle: {key} is no longer taken as exact: it is drawn about what is stated; to have it exact, write "
                f'{key} = "{exponent.front:g} exactly"'
            )


def _totals(session: Session) -> Iterator[str]:
    for name in TOTALS:
        if name in session.setting_names:
            yield (
                f"{quoted(name)} is read as a setting; from format {FORMAT} on it is the reading of the total and is held "
                f"against the sum of the axles; to have it so, {RAISE}; to keep the setting, give it another name"
            )


def _words(session: Session) -> Iterator[str]:
    for name in session.setting_names:
        found = [
            (run.label, str(run.settings[name].value))
            for run in session.runs
            if name in run.settings and not run.settings[name].numeric
            if not_fitted(str(run.settings[name].value))
        ]
        if found:
            words = " and ".join(dict.fromkeys(quoted(word) for _, word in found))
            labels = ", ".join(label for label, _ in found)
            yield (
                f"{words} under {quoted(name)} is read as a text (run{'s' * (len(found) > 1)} {labels}); from format {FORMAT} "
                f"on it says that the part is not fitted; to have it so, {RAISE}"
            )


def _faults(session: Session) -> Iterator[str]:
    path = Path(session.folder) / RUNS_FILE
    table = read_runs(path, recorded=session.recorded_names, file_format=FORMAT)
    first = {
        fault.column: fault for fault in reversed(table.faults)
    }  # of each column: the rest would be as many as runs
    for fault in table.faults:
        if fault is first[fault.column]:
            column = f"{fault.column}: " if fault.column else ""
            mend = f"{fault.mend}, and " if fault.mend else ""
            yield (
                f"{column}from format {FORMAT} on a fault: found {fault.found}, expected {fault.expected}; {mend}{RAISE}"
            )
