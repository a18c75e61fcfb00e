"""A plan into a session folder: all of it, or nothing."""

from __future__ import annotations

import contextlib
import csv
import hashlib
import io
import os
import shutil
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from balance.files.day.durable import sync_folder
from balance.files.day.processes import hidden_folder, sweep_leftovers
from balance.files.formats.report import OLD_FILE, REPORT_FILE
from balance.files.formats.versions import KEY
from balance.files.formats.what_if import WHAT_IF_FILE
from balance.files.loader import load_session
from balance.files.session_path import RUNS_FILE, SESSION_FILE
from balance.files.tables.importing.plan import ImportStopped
from balance.files.tables.importing.remembered import answers
from balance.files.tables.reading.grid import cell_text
from balance.files.toml.tree import written_toml
from balance.model.errors import FileFaults, InputError

if TYPE_CHECKING:
    import threading
    from collections.abc import Callable

    from balance.files.tables.importing.plan import ImportPlan
    from balance.model.errors import Fault
    from balance.model.records import Session

IMPORT_FILE = "import.toml"
_OURS = (SESSION_FILE, RUNS_FILE, IMPORT_FILE, REPORT_FILE, OLD_FILE, WHAT_IF_FILE)


def write_import(
    plan: ImportPlan,
    folder: str | Path,
    *,
    dry_run: bool = False,
    progress: Callable[[float, str], None] | None = None,
    stop: threading.Event | None = None,
) -> Session:
    """Write a planned import as a session folder, or try whether it could be written.

    The files are made in a new folder beside it, read back, and put in place by one rename. What a killed import left
    behind there is swept.
    """
    if plan.questions:
        raise InputError("\n".join(map(str, plan.questions)))
    target = Path(folder)
    try:
        if target.exists() and (not target.is_dir() or any(target.iterdir())):
            raise InputError(
                f"{cell_text(str(target))}: found something there already, expected an absent or empty folder"
            )
        new_parents = [parent for parent in target.parents if not parent.exists()]
        target.parent.mkdir(parents=True, exist_ok=True)
        sweep_leftovers(target.parent)
        made = hidden_folder(target)
    except OSError as error:
        raise _unwritable(target, error) from None
    try:
        _tell(progress, stop, 0.0, "writing")
        _fill(made, plan, target)
        _tell(progress, stop, 0.4, "reading it back")
        session = _read_back(made, plan)
        _tell(progress, stop, 1.0, "putting it in place")
        if not dry_run:
            _put_in_place(made, target)
    except OSError as error:
        raise _unwritable(target, error) from None
    finally:
        shutil.rmtree(made, ignore_errors=True)
        for parent in new_parents:
            with contextlib.suppress(OSError):  # not empty: the session stands in it
                parent.rmdir()
    return session if dry_run else replace(session, folder=str(target))


def _tell(
    progress: Callable[[float, str], None] | None, stop: threading.Event | None, share: float, words: str
) -> None:
    if stop is not None and stop.is_set():
        raise ImportStopped("stopped; nothing was written")
    if progress is not None:
        progress(share, words)


def _fill(made: Path, plan: ImportPlan, target: Path) -> None:
    original = kept_name(plan)
    _write(made / original, plan.raw)
    _write(made / RUNS_FILE, runs_text(plan).encode())
    car = _seen_from(plan.vehicle_file, target)
    head = {KEY: plan.file_format} if plan.file_format > 1 else {}
    facts = written_toml({**head, "vehicle": cell_text(car)})
    _write(made / SESSION_FILE, f"{facts}{plan.session_text}".encode())
    _write(made / IMPORT_FILE, import_text(plan, original).encode())
    sync_folder(made)


def _write(place: Path, content: bytes) -> None:
    with place.open("wb") as opened:
        opened.write(content)
        opened.flush()
        os.fsync(opened.fileno())


def kept_name(plan: ImportPlan) -> str:
    """Return the name under which the original is kept in the session folder."""
    name = plan.source.name
    return f"original_{name}" if name in _OURS else name


def runs_text(plan: ImportPlan) -> str:
    """Return the runs.csv that a plan would write."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(plan.header)
    writer.writerows(plan.rows)
    return out.getvalue()


def _seen_from(vehicle: Path, folder: Path) -> str:
    car = vehicle.resolve()
    try:
        return Path(os.path.relpath(car, folder.resolve())).as_posix()
    except ValueError:  # another drive
        return car.as_posix()


def _read_back(made: Path, plan: ImportPlan) -> Session:
    """Read what was written, and turn faults in it into faults of the file it came from."""
    try:
        return load_session(made)
    except FileFaults as faults:
        raise FileFaults([_in_source(fault, plan) for fault in faults.faults]) from None


def _in_source(fault: Fault, plan: ImportPlan) -> Fault:
    if fault.file != RUNS_FILE or fault.line is None:
        return fault
    below = fault.line - 2
    line = plan.lines[below] if 0 <= below < len(plan.lines) else None
    return replace(fault, file=plan.source.name, line=line)


def _put_in_place(made: Path, target: Path) -> None:
    mask = os.umask(0)
    os.umask(mask)
    made.chmod(0o777 & ~mask)
    if target.exists():
        target.rmdir()  # empty, or it raises
    made.rename(target)
    sync_folder(target.parent)


def import_text(plan: ImportPlan, original: str) -> str:
    """Write down how a session came from its file."""
    columns = [
        {"header": c.header, "unit": cell_text(c.unit), "becomes": c.becomes, "as": c.outcome, "why": c.why}
        for c in plan.columns
    ]
    tree = {
        "format": "axletrim-import/1",
        "original": cell_text(original),
        "sha256": hashlib.sha256(plan.raw).hexdigest(),
        "shape": plan.shape,
        "understood": list(plan.understood),
        "assumed": list(plan.assumed),
        "not_stated": list(plan.not_stated),
        "answers": answers(plan.options),
        "columns": [{key: value for key, value in column.items() if value} for column in columns],
        "dropped": [{"line": d.line, "reason": d.reason, "text": d.text} for d in plan.dropped],
    }
    head = f"# How runs.csv was made from {cell_text(original)}, which is kept as it came. Nothing reads this file: it is a record.\n"
    return head + written_toml(tree)


def _unwritable(target: Path, error: OSError) -> InputError:
    return InputError(
        f"{cell_text(str(target))}: cannot be written: {error.strerror or error}; nothing was left there"
    )
