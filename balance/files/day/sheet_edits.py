"""What is done to runs that stand in the sheet already: correct, mark, part into blocks, move a baseline."""

from __future__ import annotations

from typing import TYPE_CHECKING

from balance.model.baseline_names import named_baselines
from balance.model.columns import LINKS
from balance.model.errors import InputError, quoted

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from balance.files.day.run_sheet import RunSheet
    from balance.model.records import Status


def edit_run(sheet: RunSheet, label: str, cells: Mapping[str, str]) -> RunSheet:
    """Correct cells of a run; a new label is followed wherever the old one is named."""
    changes: dict[str, dict[str, str]] = {label: dict(cells)}
    renamed = " ".join(cells.get("run", label).split())
    if renamed != label:
        for run in sheet.runs:
            for column in LINKS:
                if getattr(run, column) == label:
                    changes.setdefault(run.label, {}).setdefault(column, renamed)
    return sheet.changed(changes)


def mark_runs(sheet: RunSheet, labels: Iterable[str], status: Status, reason: str = "") -> RunSheet:
    """Mark runs good, suspect or void; void ones stay in the file and out of every result."""
    if status != "good" and not reason.strip():
        raise InputError(f"reason: found nothing, expected why the run is {status}; a word will do")
    cells = {"status": "" if status == "good" else status, "reason": reason}
    return sheet.changed(dict.fromkeys(labels, cells))


def move_baseline(sheet: RunSheet, labels: Iterable[str], baseline: str | None) -> RunSheet:
    """Compare runs with another baseline, or with the one that is proposed."""
    for named in named_baselines(baseline or "", sheet.labels):
        sheet.position(named)
    return sheet.changed({label: {"baseline": baseline or ""} for label in labels})


def start_block(sheet: RunSheet, label: str, name: str) -> RunSheet:
    """Begin a new block at a run: it and those after it, as far as the old block goes."""
    if not name.strip():
        raise InputError("block: found no name, expected one, such as 'after re-zero'")
    if any(run.block == name.strip() for run in sheet.runs):
        raise InputError(f"block: found {quoted(name)}, which is there already, expected a new name")
    first = sheet.position(label)
    old = sheet.runs[first].block
    changes = {}
    for run in sheet.runs[first:]:
        if run.block != old:
            break
        changes[run.label] = {"block": name}
    return sheet.changed(changes)
