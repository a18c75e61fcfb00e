"""What of a day of an older format would be read otherwise in the newest one, and how to raise it."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from balance.columns import FORMAT, TOTALS
from balance.errors import quoted
from balance.files.cells import not_fitted
from balance.files.formats import RAISE
from balance.files.runs_table import read_runs
from balance.files.session_path import RUNS_FILE

if TYPE_CHECKING:
    from collections.abc import Iterator

    from balance.records import Session


def read_otherwise(session: Session) -> tuple[str, ...]:
    """Say what of an older day would be read otherwise in the newest format, and how to raise it.

    Parameters
    ----------
    session : Session
        As loaded from its folder.

    Returns
    -------
    tuple of str
        A sentence for each column; nothing where the day would be read the same.
    """
    if session.file_format >= FORMAT or not session.runs:
        return ()
    return tuple(
        f"{RUNS_FILE}: {words}" for words in (*_totals(session), *_words(session), *_faults(session))
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
