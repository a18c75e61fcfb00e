"""What of a day of an older format would be read otherwise in the newest one, and how to raise it."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from balance.files.formats.cells import not_fitted
from balance.files.formats.runs import read_runs
from balance.files.formats.versions import RAISE
from balance.files.session_path import RUNS_FILE
from balance.model.columns import FORMAT, TOTALS
from balance.model.errors import quoted

if TYPE_CHECKING:
    from collections.abc import Iterator

    from balance.model.records import Session, Vehicle


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
