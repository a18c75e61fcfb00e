"""What was decided of the rows of watched files: they became runs, were set aside, or wait again."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from balance.files.day.history import same_row

if TYPE_CHECKING:
    from collections.abc import Mapping

    from balance.files.day.history import History
    from balance.files.day.run_sheet import RunSheet
    from balance.files.tables.watch.file_watch import WatchedRow
    from balance.files.tables.watch.watches import Watches


class DecidedRows:
    """Looks through the steps of a day for the rows that came in with them, the last decision of each counting.

    A row is a mapping: its ``file``, ``key``, ``cells`` and ``begun`` as `Watches.record_of` gives them, ``run`` where
    it has become one, and ``aside`` where it was set aside: why, or empty where that was taken back.
    """

    def __init__(self, history: History, watches: Watches) -> None:
        self._history, self._watches = history, watches

    def _of(self, file: str) -> tuple[Mapping[str, Any], ...]:
        last: dict[tuple[Any, Any], Mapping[str, Any]] = {}
        for step in self._history.done:
            if step.taken and step.taken["file"] == file:
                last[step.taken.get("begun", 0), step.taken["key"]] = step.taken
        return tuple(last.values())

    def taken_from(self, file: str) -> dict[str, dict[str, str]]:
        """Give the cells of the rows of a file that were decided on, by key, for `FileWatch`."""
        return {row["key"]: dict(row["cells"]) for row in self._now(file) if row.get("aside") != ""}

    def _now(self, file: str) -> tuple[Mapping[str, Any], ...]:
        """Give the rows of a file since it was begun anew last."""
        begun = self._watches.of(file).begun
        return tuple(row for row in self._of(file) if row.get("begun", 0) == begun)

    def run_of(self, row: WatchedRow) -> str:
        """Name the run that a row has become, whatever its label in the file; empty where it has become none."""
        record = self._watches.record_of(row)
        taken = [step.taken for step in self._history.done if step.taken and same_row(step.taken, record)]
        return next((str(one["run"]) for one in reversed(taken) if one.get("run")), "")

    def aside(self, file: str) -> tuple[Mapping[str, Any], ...]:
        """Give the rows of a file that are set aside as no runs, those from before it was begun anew as well."""
        return tuple(row for row in self._of(file) if row.get("aside"))

    def keys_aside(self, file: str) -> frozenset[str]:
        """Give the keys of the rows that are set aside since the file was begun anew last."""
        return frozenset(row["key"] for row in self._now(file) if row.get("aside"))

    def why_aside(self, row: WatchedRow) -> str:
        """Say why a row was set aside, whatever it says by now; empty where it was not."""
        return next(
            (str(one["aside"]) for one in self._now(row.file) if one["key"] == row.key and one.get("aside")),
            "",
        )

    def wait_again(self, row: WatchedRow) -> bool:
        """Tell whether a row was decided on and that was taken back: it waits to be taken by hand."""
        record = self._watches.record_of(row)
        again = (one for one in self._of(row.file) if one.get("aside") == "")
        return any(same_row(record, back) for back in (*self._history.given_back, *again))


def label_added(before: RunSheet, after: RunSheet) -> str:
    """Name the one run that a sheet has and an earlier one has not; empty where it is not one."""
    added = [label for label in after.labels if label not in before.labels]
    return added[0] if len(added) == 1 else ""
