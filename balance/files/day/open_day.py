"""A day open for work: each operation is a new state, in the journal and in the file at once; none is ever lost."""

from __future__ import annotations

import contextlib
from dataclasses import dataclass
from pathlib import Path
from threading import RLock
from typing import TYPE_CHECKING, Any, Self

from balance.files.day.day_file import DayFile
from balance.files.day.day_journal import content_identity, find_journal
from balance.files.day.day_steps import DaySteps
from balance.files.day.durable import digest_of
from balance.files.day.half_typed import HalfTyped
from balance.files.day.history import History, Step, same_row, step_between
from balance.files.day.journal import JOURNAL_FILE, identity_at, replay
from balance.files.day.run_sheet import RunSheet, sheet_from
from balance.files.day.stated_disk import Edited, edit_stated, stated_name
from balance.files.formats.plan import PLAN_FILE
from balance.files.formats.plan_edit import checked_plan
from balance.files.loader import session_with, stated_session
from balance.files.session_path import RUNS_FILE
from balance.files.tables.watch.watches import Watches
from balance.model.errors import FileFaults, OutsideChange, SaveError

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from balance.files.day.durable import Stamp
    from balance.files.day.journal import Replayed
    from balance.files.day.lock import SessionLock
    from balance.files.day.run_sheet import RunSheet
    from balance.files.day.writer import Writer
    from balance.files.tables.watch.file_watch import WatchedRow
    from balance.model.records import Session


class OpenDay:
    """A session held open by this process; made by `opening.open_day`, ended by `close`.

    ``sheet`` is the present state of runs.csv, ``session`` the same in SI with the car and the facility. ``recovered`` says
    what only the journal had, ``notes`` what is to be said once of how the day was opened, ``trouble`` why the last save
    failed. With a ``conflict`` nothing is saved until `reload` or `keep_both` has decided between two versions.
    """

    def __init__(self, folder: Path, lock: SessionLock | None) -> None:
        self.folder, self._lock = folder, lock
        self._file = DayFile(folder)
        self._state, self._disk = RLock(), RLock()
        self._writer: Writer | None = None
        self._stated = stated_session(folder)
        self._stands_for = content_identity(folder)
        self.recovered: tuple[str, ...] = ()
        self.conflict: OutsideChange | None = None
        self._at_home = False
        self.trouble = ""
        self.notes: tuple[str, ...] = ()
        self._journal, waiting = find_journal(folder, self._stated.title)
        told = replay(self._journal.lines)
        self.half_typed = HalfTyped(self._journal, told)
        self.watches = Watches(self._journal, told)
        self._steps = self._begin(told)
        self._journal.own_up()
        self._journal.bring_home()
        self._at_home = self._journal.path == folder / JOURNAL_FILE
        self.notes += waiting
        self.sheet = self._sheet(self._steps.text)
        self.session: Session = session_with(self._stated, self.sheet)
        if self.conflict is None:
            with contextlib.suppress(SaveError):  # the reason is in `trouble`
                self.save()

    def _begin(self, told: Replayed) -> DaySteps:
        """Hold the journal against the file, and write down what comes of it."""
        disk = self._file.read()
        begun = resume(disk, told, self._fits)
        self.recovered, self.notes = begun.recovered, begun.notes
        if begun.conflict:
            self.conflict = OutsideChange(RUNS_FILE, mine=begun.history.text, theirs=disk)
        if begun.anew:
            self._journal.restart(disk)
            self.watches.keep_again()
            self.half_typed.keep_again()
        past = DaySteps(self.folder, self._journal, begun.history)
        if begun.adopted is not None:
            past.adopt(begun.adopted)
        elif told.unsaved_steps and past.text == disk:  # ended between saving and saying so
            past.saved()
        if begun.apart:
            with contextlib.suppress(SaveError):
                name = self._file.write_apart(begun.apart).name
                self.notes += (f"what was typed and not saved is in {name}",)
        return past

    def write_with(self, writer: Writer) -> None:
        """Have what is saved from now on written in a thread: a change stands at once, `trouble` follows later."""
        self._writer = self._journal.write = writer

    def settle(self) -> None:
        """Wait until all that was done so far is on the disk, or is in `trouble`."""
        if self._writer is not None:
            self._writer.settle()

    def change(
        self,
        what: str,
        sheet: RunSheet,
        *,
        ends_draft: bool = False,
        taken: WatchedRow | None = None,
        aside: str | None = None,
    ) -> None:
        """Make a sheet the present state: in memory, in the journal, and in runs.csv."""
        with self._state:
            if sheet.text == self._steps.text and taken is None:
                if ends_draft:
                    self.half_typed.keep_run(None)
                self._save()
                return
            row = None
            if taken is not None:
                row = {**self.watches.record_of(taken), "run": label_added(self.sheet, sheet)}
                row |= {} if aside is None else {"aside": aside}
            if ends_draft:
                self.half_typed.end_run()
            self._steps.take(
                step_between(what, self._steps.text, sheet.text, taken=row), ends_draft=ends_draft
            )
            self._stand(sheet)

    def undo(self) -> None:
        """Go one step back, in whichever file it was; as `change` otherwise."""
        self._move("undo")

    def redo(self) -> None:
        """Do again what was undone last; as `undo`."""
        self._move("redo")

    def _move(self, kind: str) -> None:
        with self._state:
            step = self._steps.next(kind)
            if step.file:
                with self._disk:
                    self._stated, sheet = self._steps.write_stated(kind, step)
                    self._stands_for = content_identity(self.folder)
            else:
                sheet = self._sheet(self._steps.after(kind).text)
            self._steps.move(kind)
            self._stand(sheet)

    def _stand(self, sheet: RunSheet) -> None:
        self.sheet, self.session = sheet, session_with(self._stated, sheet)
        self._save()

    def _save(self) -> None:
        """Bring the present state to the disk now, or have the writer do it."""
        if self._writer is None:
            self.save()
        else:
            self._writer(self.save)

    def preview(self, sheet: RunSheet) -> Session:
        """Return the session as it would be with a sheet, for what is unlikely in it before it is saved."""
        return session_with(self._stated, sheet)

    def edit(self, what: str, path: Path, changes: Mapping[str, str | None], *, seen: Stamp) -> None:
        """Change the car's file or session.toml as one step of the day."""
        with self._state, self._disk:
            edited = edit_stated(self.folder, path, changes, seen=seen, runs=self._steps.text)
            self._steps.edit(what, path, edited)
            self._stated, self.sheet = edited.session, edited.sheet
            self._stands_for = content_identity(self.folder)
            self.session = session_with(self._stated, self.sheet)
            self.half_typed.keep_form(self.name_of(path), {})

    def edit_plan(self, what: str, text: str, *, seen: str) -> None:
        """Change plan.toml as one step of the day; ``seen`` is the text that the change was made on."""
        with self._state, self._disk:
            old, new = checked_plan(self.session, self.folder, text, seen=seen)
            self._steps.edit(
                what,
                self.folder / PLAN_FILE,
                Edited(session=self._stated, sheet=self.sheet, old=old, new=new),
            )

    def name_of(self, path: Path) -> str:
        """Name a file as the steps of the day and `half_typed` do."""
        return stated_name(self.folder, path)

    @property
    def car_file(self) -> Path:
        """The file of the session's car."""
        return Path(self._stated.vehicle.source)

    @property
    def can_undo(self) -> str:
        """What `undo` would undo; empty where there is nothing."""
        return self._steps.named("undo")

    @property
    def can_redo(self) -> str:
        """What `redo` would do again; empty where there is nothing."""
        return self._steps.named("redo")

    def moves_file(self, kind: str) -> bool:
        """Return whether ``undo`` or ``redo`` is about to write the car's file or session.toml."""
        return bool(self._steps.next(kind).file)

    @property
    def unsaved(self) -> bool:
        """Whether the present state is not in runs.csv."""
        return not self._file.holds(self._steps.text)

    @property
    def unkept(self) -> str:
        """Why what is typed is in memory only, on no disk at all; empty where it is on one."""
        return self._journal.problem if self.unsaved or self.half_typed.run is not None else ""

    @property
    def decided(self) -> DecidedRows:
        """What was decided of the rows of watched files."""
        return DecidedRows(self._steps.history, self.watches)

    def save(self) -> None:
        """Bring the present state to runs.csv, if it is not there."""
        with self._disk:
            if away := self._away():
                kept = self._journal.path if self._journal.flush() else None
                self.trouble = f"{away}; {self._kept_words(kept)}"
                raise SaveError(self.trouble)
            conflict = self._outside_change(at_a_glance=False)
            if conflict is not None:
                self.trouble = str(conflict)
                raise conflict
            text = self._steps.text  # more may be done while this is written: that is saved next
            if self._file.holds(text):
                self.trouble = ""
                if self._journal.problem:
                    self._journal.flush()
                return
            self._journal.flush()  # steps that were taken while another was saved
            try:
                self._file.write(text)
            except SaveError as error:
                kept = self._journal.path if self._journal.flush() else None
                self.trouble = f"{error}; {self._kept_words(kept)}"
                raise SaveError(self.trouble) from None
            self.trouble = ""
            self._steps.saved(text)

    def _away(self) -> str:
        """State why the folder is this day's no longer: it was moved, or another day stands at its path; empty where it is."""
        if not self.folder.is_dir():
            return f"{self.folder}: found no such folder, it was moved or renamed; open the day under its new name"
        there = identity_at(self.folder / JOURNAL_FILE)
        lost = self._at_home and not there and content_identity(self.folder) != self._stands_for
        if lost or there not in ("", self._journal.day):
            return (
                f"{self.folder}: found another day, expected '{self._stated.title}'; nothing of it is touched"
            )
        return ""

    @staticmethod
    def _kept_words(kept: Path | None) -> str:
        if kept is None:
            return "what was typed is kept in memory only: do not leave before it is saved"
        return f"what was typed is kept in {kept} and comes back when the day is opened"

    def outside_change(self) -> OutsideChange | None:
        """Look whether somebody else has changed runs.csv since it was last read or saved."""
        if not self._disk.acquire(
            blocking=False
        ):  # it is being written at this moment: looked at the next time
            return self.conflict
        try:
            return self._outside_change(at_a_glance=True)
        finally:
            self._disk.release()

    def _outside_change(self, *, at_a_glance: bool) -> OutsideChange | None:
        if self._away():  # what stands there is nobody's version of this day
            return self.conflict
        theirs = self._file.changed_outside(at_a_glance=at_a_glance) if self.conflict is None else None
        if theirs is not None:
            self.conflict = OutsideChange(RUNS_FILE, mine=self._steps.text, theirs=theirs)
        return self.conflict

    def reload(self) -> None:
        """Take the session as it stands on the disk; undo leads back to what was here."""
        self.settle()
        with self._state, self._disk:
            stated = stated_session(self.folder)
            file = DayFile(self.folder)
            text = file.read()
            sheet = sheet_from(text, recorded=stated.recorded_names, file_format=stated.file_format)
            self._file = file
            self._stated, self._stands_for = stated, content_identity(self.folder)
            if text != self._steps.text:
                self._steps.adopt(step_between(OUTSIDE, self._steps.text, text))
            self.conflict, self.trouble = None, ""
            self.sheet, self.session = sheet, session_with(stated, sheet)

    def keep_both(self) -> Path:
        """Put our version into a file of its own beside runs.csv, and reload theirs."""
        self.settle()
        kept = self._file.write_apart(self._steps.text)
        self.reload()
        return kept

    def _fits(self, text: str) -> bool:
        try:
            self._sheet(text)
        except FileFaults:
            return False
        return True

    def _sheet(self, text: str) -> RunSheet:
        stated = self._stated
        return sheet_from(text, recorded=stated.recorded_names, file_format=stated.file_format)

    def close(self) -> str:
        """Give the session free; what could not be saved stays in the journal."""
        self.settle()
        said = self._leave_whole()
        self._journal.flush()
        if self._lock is not None:
            self._lock.release()
        return said

    def _leave_whole(self) -> str:
        """Write a run sheet that is gone once more, for nobody takes a day's only copy away on purpose."""
        if self._away():
            return self.trouble
        if self._file.path.exists():
            return self.trouble if self.unsaved else ""
        try:
            self._file.write(self._steps.text)
        except SaveError as error:
            kept = self._journal.path if self._journal.flush() else None
            return f"{RUNS_FILE} is gone and cannot be written: {error}; {self._kept_words(kept)}"
        return f"{RUNS_FILE} was gone and was written again"

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()


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
        """Return the cells of the rows of a file that were decided on, by key, for `FileWatch`."""
        return {row["key"]: dict(row["cells"]) for row in self._now(file) if row.get("aside") != ""}

    def _now(self, file: str) -> tuple[Mapping[str, Any], ...]:
        """Return the rows of a file since it was begun anew last."""
        begun = self._watches.of(file).begun
        return tuple(row for row in self._of(file) if row.get("begun", 0) == begun)

    def run_of(self, row: WatchedRow) -> str:
        """Name the run that a row has become, whatever its label in the file; empty where it has become none."""
        record = self._watches.record_of(row)
        taken = [step.taken for step in self._history.done if step.taken and same_row(step.taken, record)]
        return next((str(one["run"]) for one in reversed(taken) if one.get("run")), "")

    def aside(self, file: str) -> tuple[Mapping[str, Any], ...]:
        """Return the rows of a file that are set aside as no runs, those from before it was begun anew as well."""
        return tuple(row for row in self._of(file) if row.get("aside"))

    def keys_aside(self, file: str) -> frozenset[str]:
        """Return the keys of the rows that are set aside since the file was begun anew last."""
        return frozenset(row["key"] for row in self._now(file) if row.get("aside"))

    def why_aside(self, row: WatchedRow) -> str:
        """State why a row was set aside, whatever it says by now; empty where it was not."""
        return next(
            (str(one["aside"]) for one in self._now(row.file) if one["key"] == row.key and one.get("aside")),
            "",
        )

    def wait_again(self, row: WatchedRow) -> bool:
        """Return whether a row was decided on and that was taken back: it waits to be taken by hand."""
        record = self._watches.record_of(row)
        again = (one for one in self._of(row.file) if one.get("aside") == "")
        return any(same_row(record, back) for back in (*self._history.given_back, *again))


def label_added(before: RunSheet, after: RunSheet) -> str:
    """Name the one run that a sheet has and an earlier one has not; empty where it is not one."""
    added = [label for label in after.labels if label not in before.labels]
    return added[0] if len(added) == 1 else ""


OUTSIDE = "changed outside axletrim"


@dataclass(frozen=True, slots=True, kw_only=True)
class Resumed:
    """Where a day stands when it is opened.

    ``recovered`` says what only the journal had; ``adopted`` is a change made outside while the day was closed,
    to be taken as one more step; ``apart`` is a text that no longer fits and is to be kept in a file of its own;
    ``anew`` says that the journal has to begin again; ``conflict`` that both sides have gone on.
    """

    history: History
    recovered: tuple[str, ...] = ()
    adopted: Step | None = None
    apart: str = ""
    anew: bool = False
    conflict: bool = False
    notes: tuple[str, ...] = ()


def resume(disk: str, told: Replayed, fits: Callable[[str], bool]) -> Resumed:
    """Decide from what the journal tells and what the file holds where the day stands."""
    history = told.history
    if told.damaged or history is None:
        lost = history.text if history is not None and told.unsaved_steps else ""
        notes = ("the journal was damaged: it is kept beside the new one, and undo begins here",)
        return Resumed(history=History(text=disk), apart=lost, anew=True, notes=notes if told.damaged else ())
    if history.text == disk:
        return Resumed(history=history)
    adopted = step_between(OUTSIDE, history.text, disk)
    digest = digest_of(disk.encode())
    if digest in told.unsaved and told.unsaved_steps:
        last = len(told.unsaved) - 1 - told.unsaved[::-1].index(digest)
        if fits(history.text):
            return Resumed(history=history, recovered=tuple(told.unsaved_steps[last:]))
        notes = ("session.toml was changed so that what was typed and not saved no longer fits it",)
        return Resumed(history=history, adopted=adopted, apart=history.text, notes=notes)
    if told.unsaved_steps and fits(history.text):
        return Resumed(history=history, conflict=True)
    apart = history.text if told.unsaved_steps else ""
    return Resumed(history=history, adopted=adopted, apart=apart)
