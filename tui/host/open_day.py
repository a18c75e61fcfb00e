"""The day on the screen: open for work in this process, and every change of it as one step that is saved at once."""

from __future__ import annotations

import asyncio
from contextlib import suppress
from dataclasses import replace
from functools import partial
from pathlib import Path
from time import monotonic
from typing import TYPE_CHECKING, TypeVar

from textual.worker import NoActiveWorker

from balance.files.day.writer import Writer
from balance.model.errors import AlreadyOpen, AxletrimError, FileFaults, InputError, OutsideChange, SaveError
from tui.host.work_view import WorkView
from tui.host.workers import once_shown

if TYPE_CHECKING:
    from collections.abc import Callable
    from concurrent.futures import Future
    from typing import Any

    from balance.files.day.open_day import OpenDay
    from balance.files.day.run_sheet import RunSheet
    from balance.files.tables.watch.file_watch import WatchedRow
    from tui.host.live_file import LiveFile
    from tui.host.stateful import StatefulApp
    from tui.host.typed_run import TypedRun

T = TypeVar("T")

_SLOW = 1.0
"""Seconds after which it is said that something is still being written."""
_PATIENCE = 5.0
"""Seconds for which keys wait for a day that is being opened."""


class Saving:
    """The writer of the interface, and how much of what it was asked to write is not on the disk yet."""

    def __init__(self, app: StatefulApp, written: Callable[[], None]) -> None:
        self.writer = Writer(self._begins, self._done)
        """Takes work that writes; it is done in a thread, in the order of asking."""
        self._app, self._all_written = app, written
        self._waiting, self._since = 0, 0.0

    @property
    def busy(self) -> bool:
        """Whether something is not on the disk yet."""
        return self._waiting > 0

    @property
    def slow(self) -> bool:
        """Whether the disk keeps what is being saved waiting."""
        return self.busy and monotonic() - self._since > _SLOW

    async def write(self, work: Callable[[], T]) -> T:
        """Have something written after all that was asked before, and wait for it."""
        return await asyncio.wrap_future(self.writer.submit(work))

    async def settle(self) -> None:
        """Wait until all that was asked to be written is, or has failed."""
        await self.write(bool)

    def _begins(self) -> None:
        if not self._waiting:
            self._since = monotonic()
        self._waiting += 1
        self._app.at_work += 1

    def _done(self, future: Future[Any]) -> None:
        """Tell the interface, from the writer's thread, that something was written or could not be."""
        with suppress(RuntimeError):  # the loop is closed: nobody is there to be told
            self._app.call_later(self._written, future.exception())

    def _written(self, fault: BaseException | None) -> None:
        self._waiting -= 1
        self._app.at_work -= 1
        if fault is not None and not isinstance(fault, AxletrimError):
            raise fault
        if not self._waiting:
            self._all_written()


class DayOnScreen:
    """Holds the open day of the application, and tells its state what came of each step."""

    def __init__(self, app: StatefulApp, *, looking: bool = False) -> None:
        self.app, self.looking = app, looking
        self.path = ""
        self.day: OpenDay | None = None
        self.live: LiveFile | None = None
        self.saving = Saving(app, self._written)
        self._asked_to_save = False
        self._reading = ""
        self._opening_since: float | None = None
        self.looks_at_run = False
        """Whether a run that is to be saved is looked at first: keys wait until it is known what is doubted."""
        self.typed_now: Callable[[], TypedRun] | None = None
        """Gives what stands in the field of an open screen at this moment."""

    def open(self, path: str, *, take_over: bool = False) -> None:
        """Open a day for work in a thread; the one that was open is closed."""
        self.close()
        if self.looking:
            self._look(path)
            return
        self.path, self._opening_since = path, monotonic()
        once_shown(self.app, partial(self._begin, path, take_over=take_over))

    def _look(self, path: str) -> None:
        """Follow a day without opening it: no lock is taken, and nothing is written into its folder or its car's."""
        from balance.files.day.durable import only_look_at  # noqa: PLC0415 - only where a day is looked at

        self.path, self._reading = path, "this screen only looks at the day, which open --look says"
        only_look_at(Path(path), Path(path).resolve().parent)
        self.tell()

    @property
    def opening(self) -> bool:
        """Whether the day is about to be open, unless that takes unusually long."""
        return self._opening_since is not None and monotonic() - self._opening_since < _PATIENCE

    def _begin(self, path: str, *, take_over: bool) -> None:
        if path == self.path:
            self.app.run_worker(lambda: self._open(path, take_over=take_over), thread=True)

    def _open(self, path: str, *, take_over: bool) -> None:
        from balance.files.day.opening import open_day  # noqa: PLC0415 - after the first paint

        outcome: OpenDay | InputError
        try:
            outcome = open_day(path, take_over=take_over)
        except InputError as fault:
            outcome = fault
        if self.app.is_running:
            with suppress(NoActiveWorker):
                self.app.call_from_thread(self._opened, path, outcome)
        elif not isinstance(outcome, InputError):
            outcome.close()

    def _opened(self, path: str, outcome: OpenDay | InputError) -> None:
        if path != self.path or self.day is not None:
            if not isinstance(outcome, InputError):
                outcome.close()
            return
        self._opening_since = None
        if not isinstance(outcome, InputError):
            outcome.write_with(self.saving.writer)
        if isinstance(outcome, AlreadyOpen):
            self._reading = f"open in another axletrim since {open_since(outcome)}"
            self.tell()
            self.app.ask_reading_only(outcome)
            return
        if isinstance(outcome, InputError):  # its faults are on the screen already
            self.path = ""
            return
        self.day = outcome
        self.app.leave_faults()
        self.app.state = replace(self.app.state, brief_typed=outcome.half_typed.brief)
        self.show()
        self.app.ask_after_opening(outcome)

    def close(self) -> None:
        """Give the session free."""
        if self.day is not None and (said := self.day.close()):
            self.app.parting += (said,)
            self.app.notify(said, severity="warning", markup=False, timeout=10)
        self.day, self.live, self.path, self._reading = None, None, "", ""
        self._opening_since = None
        self.tell()

    def _written(self) -> None:
        day, trouble = self.day, self.app.state.work.trouble
        if day is None:
            return
        if day.trouble:
            self._asked_to_save = False
        elif self._asked_to_save or trouble:
            self.app.notify("saved" if self._asked_to_save else "saved: the trouble is over")
            self._asked_to_save = False
            self.show()
        self.tell()
        if day.conflict is not None:
            self._ask_conflict()

    def ready(self) -> OpenDay | None:
        """Return the open day, or say why nothing can be entered."""
        if self.day is None:
            why = self._reading or "no day is open"
            self.app.notify(f"nothing can be changed here: {why}", severity="warning", markup=False)
        return self.day

    def change(
        self,
        what: str,
        sheet: RunSheet,
        *,
        pick: str | None = None,
        ends_draft: bool = False,
        taken: WatchedRow | None = None,
        aside: str | None = None,
    ) -> None:
        """Make a sheet the present state: shown at once, and saved by the writer."""
        day = self.ready()
        if day is None:
            return
        day.change(what, sheet, ends_draft=ends_draft, taken=taken, aside=aside)
        if pick is not None:
            self.app.state = replace(self.app.state, picked=pick)
        self.show()

    def keep_baseline(self, run: str, chosen: str | None) -> bool:
        """Write into runs.csv what a run is compared with; tells whether the run stands there."""
        day = self.day
        if day is None or run not in day.sheet.labels:
            return False
        from balance.files.day.run_sheet import move_baseline  # noqa: PLC0415 - only when asked

        try:
            sheet = move_baseline(day.sheet, [run], chosen)
        except InputError as fault:
            self.app.notify(str(fault), severity="error", markup=False)
            return True
        with_what = f"run {chosen}" if chosen is not None else "the automatic baseline"
        self.change(f"run {run} compared with {with_what}", sheet)
        return True

    async def edit_plan(self, what: str, text: str, *, seen: str) -> bool:
        """Change plan.toml as one step of the day; tells whether it was written."""
        day = self.ready()
        if day is None:
            return False
        try:
            await self.saving.write(partial(day.edit_plan, what, text, seen=seen))
        except OutsideChange:
            self.app.notify(
                "plan.toml was changed outside axletrim meanwhile: nothing was overwritten, and it was read again",
                severity="warning",
            )
            return False
        except InputError as fault:
            self.app.notify(str(fault), severity="error", markup=False, timeout=10)
            return False
        self.tell()
        return True

    def undo(self) -> None:
        """Take the last step back."""
        self._step("undo")

    def redo(self) -> None:
        """Do again what was taken back last."""
        self._step("redo")

    def _step(self, which: str) -> None:
        day = self.ready()
        if day is None:
            return
        what = day.can_undo if which == "undo" else day.can_redo
        if not what:
            self.app.notify(f"nothing to {which} on this day")
            return
        move = day.undo if which == "undo" else day.redo
        if day.moves_file(which):  # the car's file or session.toml is written first
            self.app.run_worker(self._step_of_file(move, which, what))
            return
        self._moved(move, which, what)

    async def _step_of_file(self, move: Callable[[], None], which: str, what: str) -> None:
        done = self.saving.writer.submit(move)
        await asyncio.wait([asyncio.wrap_future(done)])
        self._moved(done.result, which, what)

    def _moved(self, move: Callable[[], None], which: str, what: str) -> None:
        """Go a step, or take in that it was gone, and show the day."""
        try:
            move()
        except SaveError:
            pass  # the reason is in `trouble`
        except InputError as fault:
            self.app.notify(f"{which}: {fault}", severity="error", markup=False, timeout=10)
            self.tell()
            return
        if self.live is not None:  # a row that was taken waits again, or waits no more
            self.watch(str(self.live.path))
        word = "taken back" if which == "undo" else "done again"
        self.app.notify(f"{word}: {what}", markup=False)
        self.show()

    def save_again(self) -> None:
        """Bring to the disk what is not there yet."""
        day = self.ready()
        if day is not None:
            self._asked_to_save = True
            self.saving.writer(day.save)

    def keep_typing(self, typing: TypedRun) -> None:
        """Put what is half typed on the disk, so that it can be offered again."""
        day = self.day
        if day is not None and (typing.draft or day.half_typed.run) and typing.draft != day.half_typed.run:
            day.half_typed.keep_run(typing.draft)
            self.tell()

    def flush(self) -> None:
        """Put on the disk what stands in the fields of open screens at this moment."""
        if self.typed_now is not None:
            self.keep_typing(self.typed_now())
        if self.day is not None:
            self.day.half_typed.keep_brief(self.app.state.brief_typed)
        self.app.keep_forms()

    def drop_typing(self) -> None:
        """Give up what is half typed."""
        if self.day is not None and self.day.half_typed.run:
            self.day.half_typed.keep_run(None)
            self.tell()

    def reload(self) -> None:
        """Go on with what is on the disk; what was here is one undo away."""
        self._after_conflict(keep_both=False)

    def keep_both(self) -> None:
        """Put what is here into a file of its own, and go on with what is on the disk."""
        self._after_conflict(keep_both=True)

    def _after_conflict(self, *, keep_both: bool) -> None:
        day = self.ready()
        if day is not None:
            self.app.run_worker(self._after_conflict_of(day, keep_both=keep_both))

    async def _after_conflict_of(self, day: OpenDay, *, keep_both: bool) -> None:
        try:
            if keep_both:
                kept = await self.saving.write(day.keep_both)
                self.app.notify(f"what was here is in {kept.name}", markup=False)
            else:
                await self.saving.write(day.reload)
                self.app.notify("runs.csv was read again; undo leads back to what was here")
        except FileFaults as faults:
            self.app.take_faults(faults.faults)
        except SaveError as fault:
            self.app.notify(str(fault), severity="error", markup=False, timeout=10)
        self.show()

    def changed_outside(self, path: str) -> bool:
        """Take in that files of a session were changed by somebody else."""
        day = self.day
        if day is None or path != self.path:
            return False
        self.flush()
        conflict = day.outside_change()
        if conflict is not None and (day.unsaved or day.half_typed.run):
            self._ask_conflict()
            self.tell()
            return True
        try:
            day.reload()
        except FileFaults as faults:
            if self.typed_now is None and not self.app.forms:
                self.app.take_faults(faults.faults)
            else:  # said above the line: nothing may cover what is being typed
                self.app.state = self.app.state.with_faults(faults.faults)
            return True
        if conflict is not None:
            self.app.notify(
                "runs.csv was changed outside axletrim, and read again; undo leads back", timeout=8
            )
        self.show()
        return True

    def tick(self) -> None:
        """Do what the clock does: save again what could not be saved, look at the watched file."""
        day = self.day
        if self.saving.busy:
            self.tell()
        elif day is not None:
            in_trouble = day.trouble and day.conflict is None
            if in_trouble or (day.unkept and not day.trouble):
                self.saving.writer(day.save)
        if self.live is not None:
            self.live.look()

    def watch(self, file: str) -> None:
        """Watch a file that another computer adds to."""
        from tui.host.live_file import LiveFile  # noqa: PLC0415 - only when asked

        if self.day is not None:
            self.live = LiveFile(self, self.day, Path(file))
            self.live.look()
            self.tell()

    def watch_no_more(self) -> None:
        """Let the watched file be."""
        self.live = None
        if self.day is not None:
            self.day.watches.stop()
        self.tell()

    def tell(self) -> None:
        """Tell the state of the application how the day stands."""
        view = self._view()
        if view != self.app.state.work:
            self.app.state = replace(self.app.state, work=view)

    def _view(self) -> WorkView:
        day, live = self.day, self.live
        if day is None:
            return WorkView(reading=self._reading, looking=self.looking)
        view = WorkView(
            open=True,
            trouble=day.trouble,
            slow=self.saving.slow,
            undo=day.can_undo,
            redo=day.can_redo,
            half_typed=day.half_typed.run is not None,
            unkept=day.unkept,
        )
        if live is None:
            return view
        return replace(
            view,
            watched=live.name,
            waiting=live.waiting,
            half_row=live.half_row,
            watch_trouble=live.trouble,
            waiting_rows=live.waiting_rows,
            aside=len(live.aside),
            chosen=live.chosen,
        )

    def show(self) -> None:
        """Show the day as it stands now."""
        day = self.day
        if day is None:
            return
        self.tell()
        if day.conflict is not None:
            self._ask_conflict()
        self.app.take_session(day.session, self.path)

    def _ask_conflict(self) -> None:
        if self.day is not None and isinstance(self.day.conflict, OutsideChange):
            self.app.ask_conflict(self.day.conflict)


def open_since(other: AlreadyOpen) -> str:
    """State since when another copy has the session."""
    return other.since[:16].replace("T", " ") or "an unknown time"
