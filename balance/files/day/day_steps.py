"""What was done on a day, step by step, in the journal before it is in its file: where undo and redo lead."""

from __future__ import annotations

from typing import TYPE_CHECKING

from balance.files.day.durable import digest_of, write_atomically
from balance.files.day.stated_disk import move_stated, stated_step, unsettled
from balance.model.errors import InputError, OutsideChange, SaveError

if TYPE_CHECKING:
    from pathlib import Path

    from balance.files.day.history import History, Step
    from balance.files.day.journal import Journal
    from balance.files.day.run_sheet import RunSheet
    from balance.files.day.stated_disk import Edited
    from balance.model.records import Session

_NOTHING = {
    "undo": "undo: found nothing to undo, expected a step of this day",
    "redo": "redo: found nothing that was undone, expected a step taken back",
}


class DaySteps:
    """The steps of a day; ``history`` is where it stands now."""

    def __init__(self, folder: Path, journal: Journal, history: History) -> None:
        self._folder, self._journal, self.history = folder, journal, history
        kind = unsettled(folder, history)
        if kind:
            self.move(kind)

    @property
    def text(self) -> str:
        """The run sheet as it stands now."""
        return self.history.text

    def named(self, kind: str) -> str:
        """Name the step that ``undo`` would undo, or ``redo`` do again; empty where there is none."""
        steps = self._steps(kind)
        return steps[-1].what if steps else ""

    def take(self, step: Step, *, ends_draft: bool = False) -> None:
        """Go one step on."""
        after = self.history.with_step(step)
        self._journal.add_step(step, digest_of(after.text.encode()), ends_draft=ends_draft)
        self.history = after  # known to the journal before a save may find it

    def adopt(self, step: Step) -> None:
        """Take in a change of the run sheet that somebody else has made, so that it is on the disk already."""
        self.take(step)
        self.saved()

    def saved(self, text: str | None = None) -> None:
        """Know that the run sheet is on the disk: as it stands now, or as it stood when it was written."""
        self._journal.add("saved", digest=self._digest if text is None else digest_of(text.encode()))

    def edit(self, what: str, path: Path, edited: Edited) -> None:
        """Write the car's file or session.toml as one step."""
        if edited.old == edited.new:
            return
        step = stated_step(self._folder, path, what, edited.old, edited.new)
        self.take(step)
        self._journal.flush()  # on the disk before the file itself
        try:
            write_atomically(path, edited.new.encode())
        except SaveError:
            self._pass_over("undo", step)
            raise

    def next(self, kind: str) -> Step:
        """Return the step that ``undo`` or ``redo`` is about; `InputError` where there is none."""
        steps = self._steps(kind)
        if not steps:
            raise InputError(_NOTHING[kind])
        return steps[-1]

    def after(self, kind: str) -> History:
        """Return where ``undo`` or ``redo`` would lead."""
        return self.history.undo() if kind == "undo" else self.history.redo()

    def move(self, kind: str) -> None:
        """Go there."""
        self.history = self.after(kind)
        self._journal.add(kind, digest=self._digest)

    def write_stated(self, kind: str, step: Step) -> tuple[Session, RunSheet]:
        """Bring the car's file or session.toml to where ``undo`` or ``redo`` leads."""
        try:
            return move_stated(self._folder, step, back=kind == "undo", runs=self.text)
        except OutsideChange as change:
            self._pass_over(kind, step)
            raise InputError(
                f"{change.file}: found a change made outside axletrim since '{step.what}', expected the file as "
                f"that step left it; nothing was overwritten, and {kind} passes over that step from now on"
            ) from None
        except SaveError as error:
            raise InputError(str(error)) from None

    def _pass_over(self, kind: str, step: Step) -> None:
        self.history = self.history.passing_over(step)
        self._journal.add("pass", of=kind)

    def _steps(self, kind: str) -> tuple[Step, ...]:
        return self.history.done if kind == "undo" else self.history.undone

    @property
    def _digest(self) -> str:
        return digest_of(self.text.encode())
