"""Entering a run: one line does it, or the fields below it; what was understood stands beside them."""

from __future__ import annotations

from time import monotonic
from typing import TYPE_CHECKING, ClassVar

from textual.containers import Horizontal, Vertical
from textual.widgets import Input, Static

from tui.features.entry.entry_suggester import LineSuggester, TextSuggester
from tui.features.entry.entry_words import change_lines, doubt_lines, order_words, understood, verdict_lines
from tui.host.actions import HELP, Action, closing
from tui.host.following import follow
from tui.host.page import Page
from tui.host.questions import ask_to_drop
from tui.host.typed_run import TypedRun, draft_words
from tui.host.workers import Latest
from tui.widgets.car_name import CarName
from tui.widgets.key_footer import KeyFooter
from tui.widgets.sheet import Sheet
from tui.widgets.typed_form import FormField, TypedForm

if TYPE_CHECKING:
    from collections.abc import Callable

    from textual.app import ComposeResult
    from textual.timer import Timer

    from balance.decide.day.day import Day
    from balance.files.formats.runs_header import ColumnPlan
    from tui.features.entry.entry_words import Lines, Understood
    from tui.host.state import State

_SOON, _KEEP = 0.05, 0.2
"""Seconds after the last key until it is looked at, and until it is kept on the disk."""

ENTRY = (
    Action(
        "save",
        "f10",
        "save",
        "save the run; Enter in the line, or in the last field, does too; asks once more where it is doubted",
    ),
    Action("changed", "f2", "what changed?", "pick the one thing that was changed, then type its figure"),
    Action("repeat", "f3", "repeat", "nothing was changed since the last run"),
    Action("new_column", "f6", "new setting", "add a column for a setting not there yet"),
    Action(
        "new_block",
        "f7",
        "new block",
        "this run begins a new block: repair, re-zero, refit, weighing",
        on_footer=False,
    ),
    Action("afresh", "f8", "afresh", "drop what is typed and begin anew", on_footer=False),
    Action("correct_last", "f4", "last run", "correct the last run of the day", on_footer=False),
    closing("runs", "go back to the runs; what is half typed is kept"),
    HELP,
)
CORRECT = (
    Action(
        "save",
        "f10",
        "save",
        "save the corrections; Enter in the line, or in the last field, does too; asks where they are doubted",
    ),
    closing("runs", "go back and leave the run as it is; what was typed is asked about"),
    HELP,
)


class RunForm(Vertical):
    """Shows what was understood of a run, field by field; its fields are made anew where the columns change."""

    def __init__(self) -> None:
        super().__init__()
        self._typing: TypedRun | None = None
        self._plans: tuple[ColumnPlan, ...] | None = None

    def show(self, typing: TypedRun) -> None:
        """Bring the fields to a run."""
        self._typing = typing
        if self._plans == typing.sheet.plans:
            self._fill()
        else:
            self._plans = typing.sheet.plans
            self.call_after_refresh(self._make)

    async def _make(self) -> None:
        typing = self._typing
        assert typing is not None  # noqa: S101 - shown before
        units = {plan.name: plan.unit for plan in typing.sheet.plans}
        fields = [
            FormField(
                key=name,
                label=header,
                suggester=None if units.get(name) else TextSuggester(typing.sheet, name),
            )
            for name, header in typing.columns
        ]
        await self.remove_children()
        await self.mount(TypedForm(fields, heads=self._heads(typing)))
        self._fill()

    def _fill(self) -> None:
        typing = self._typing
        if typing is None or not (forms := self.query(TypedForm)):
            return
        form = forms.first()
        cells = typing.entry.cells
        form.set_values({name: cells.get(name, "") for name, _ in typing.columns})
        form.set_heads(self._heads(typing))
        changed = {name for name, _, _ in typing.changes}
        start = typing.edited or typing.base.start
        for name, _ in typing.columns:
            before = typing.before(name)
            text = f"◄ {before or 'off'}" if name in changed else before
            form.set_beside(name, text if start else "", "changed" if name in changed else "")

    @staticmethod
    def _heads(typing: TypedRun) -> tuple[str, str, str]:
        if typing.edited is not None:
            return "", f"run {typing.edited}", "so far"
        start = typing.base.start
        return "", f"run {typing.label}", f"run {start}" if start else ""


class TypingScreen(Page[None]):
    """Line above, fields at the left, what was understood at the right."""

    def __init__(self, typing: TypedRun) -> None:
        super().__init__()
        self._typing = typing
        self._looks = Latest(self.app, self._take_look)
        self._guards = Latest(self.app, self._take_guard, to_the_end=True)
        self._outcomes = Latest(self.app, self._take_outcome)
        self.looked_at: TypedRun | None = None
        """What is typed, once it was looked at and is shown."""
        self._understood: Understood | None = None
        self._doubted: TypedRun | None = None
        """What is saved by a second Enter: its doubts are on the screen."""
        self._doubts_since = 0.0
        self._left = False
        self._saved: str | None = None
        self._saved_from: str | None = None
        self._shown_day: Day | None = None
        self._due: list[Timer] = []

    @property
    def typing(self) -> TypedRun:
        """What is typed at this moment."""
        return self._typing

    def compose(self) -> ComposeResult:
        """Lay out name, line, fields and words."""
        session = self.app.state.session
        yield CarName(session.vehicle.name if session else "")
        yield Static("", id="banner", markup=False)
        yield Input(
            self._typing.line, id="line", suggester=LineSuggester(self._typing.sheet), select_on_focus=False
        )
        yield Static("", id="order", markup=False)
        with Horizontal(id="typed"):
            yield RunForm()
            yield Sheet(id="preview")
        yield KeyFooter()

    def on_mount(self) -> None:
        """Begin with the line."""
        line = self.query_one("#line", Input)
        line.cursor_position = len(line.value)
        self.set_focus(line)
        self.query_one(Sheet).can_focus = False
        self.app.open_day.typed_now = lambda: self._typing
        self._begin()
        follow(self, lambda _, state: self.show_state(state))

    def on_unmount(self) -> None:
        """Leave the day alone."""
        self._left = True
        self.app.open_day.typed_now = None
        self.app.open_day.looks_at_run = False

    def on_resize(self) -> None:
        """Fold the words anew."""
        self._show_order()
        self._show_banner(self.app.state)

    def _begin(self) -> None:
        """Show a run of which nothing is typed yet, or what was typed of it."""
        self._show_order()
        self.query_one(RunForm).show(self._typing)
        self._look()

    def _show_order(self) -> None:
        """Show in which order and units the line is typed."""
        self.write_lines("#order", self.folded(order_words(self._typing)))

    def show_state(self, state: State) -> None:
        """Follow the day: other figures, other units, trouble with saving."""
        if self._left:
            return
        self._show_banner(state)
        day = self.app.open_day.day
        if day is not None and day.sheet is not self._typing.sheet:
            self._typing = self._typing.on(day.sheet)
            self._begin()
        self._ask_outcome(state)

    def _show_banner(self, state: State) -> None:
        said = list(state.work.troubles)
        if state.faults:
            said.append(f"× the files cannot be read now: {state.faults[0]} · what is typed is kept")
        self.write_lines("#banner", self.folded(" · ".join(said)) if said else [])

    def on_input_changed(self, message: Input.Changed) -> None:
        """Take what is typed into the line."""
        if message.value != self._typing.line:
            self._take(self._typing.with_line(message.value))

    def on_typed_form_typed(self, message: TypedForm.Typed) -> None:
        """Take what is typed into a field; what the line said is in the fields by then."""
        self._into_field(message.key, message.text)

    def _take(self, typing: TypedRun) -> None:
        self._typing = typing
        self._saved = self._doubted = None
        for timer in self._due:
            timer.stop()
        self._due = [
            self.set_timer(_SOON, self._look),
            self.set_timer(_KEEP, lambda: self.app.open_day.keep_typing(self._typing)),
        ]

    def _look(self) -> None:
        """Have what is typed looked at in a thread."""
        typing, day, show = self._typing, self.app.open_day.day, self.app.state.show
        if day is not None:
            self._looks.ask(lambda: (typing, understood(typing, day, show)))

    def _take_look(self, found: tuple[TypedRun, Understood]) -> None:
        typing, said = found
        if typing is not self._typing or self._left:
            return
        self.query_one(RunForm).show(typing)
        self.looked_at, self._understood = typing, said
        if self._saved is None and self._doubted is None:
            self.query_one(Sheet).show(said.lines)

    def on_input_submitted(self) -> None:
        """Save the run."""
        self.action_save()

    def on_typed_form_left(self, message: TypedForm.Left) -> None:
        """Go on to the next field; behind the last one, or where its doubts were asked about, save the run."""
        if self._doubted is not None or not message.form.go_on(message.key):
            self.action_save()

    def on_descendant_focus(self) -> None:
        """Ask anew about a doubted run once another field was gone to: Enter there may be meant to go on."""
        self._ask_anew()

    def _ask_anew(self) -> bool:
        """Show what was understood in place of the doubts; tells whether they were being asked about."""
        asked, self._doubted = self._doubted is not None, None
        if asked:
            self._look()
        return asked

    def action_save(self) -> None:
        """Save the run, ask about it first where it is doubted, or say what stands in the way; what is typed stays."""
        typing = self._typing
        day = self.app.open_day.ready()
        if day is None:
            return
        if typing.after is None:
            self.query_one(Sheet).show([("Not yet", "heading"), (f"× {typing.problem}", "danger")])
        elif typing is self._doubted:
            if self.app.pressed_at > self._doubts_since:  # else nobody had seen them
                self._save(typing)
        elif typing is self.looked_at and self._understood is not None:
            self._save_or_ask(typing, self._understood)
        else:
            show, self.app.open_day.looks_at_run = self.app.state.show, True
            self._guards.ask(lambda: (typing, understood(typing, day, show)))

    def _take_guard(self, found: tuple[TypedRun, Understood]) -> None:
        """Go on with saving once it is known what is doubted."""
        typing, said = found
        self.app.open_day.looks_at_run = False
        if self._left:
            return
        if typing is self._typing:
            self._save_or_ask(typing, said)
        else:  # a run arrived meanwhile: this one is held against that one too
            self.action_save()

    def _save_or_ask(self, typing: TypedRun, said: Understood) -> None:
        if said.guard.doubted:
            self._doubted, self._doubts_since = typing, monotonic()
            sheet = self.query_one(Sheet)
            sheet.show(doubt_lines(typing, said.guard))
            sheet.scroll_home(animate=False)
        else:
            self._save(typing)

    def _save(self, typing: TypedRun) -> None:
        after = typing.after
        assert after is not None  # noqa: S101 - looked at before
        self._doubted = None
        what = f"run {typing.label} added" if typing.edited is None else f"run {typing.edited} corrected"
        for timer in self._due:
            timer.stop()
        self.app.open_day.change(what, after, pick=typing.label, ends_draft=True, taken=typing.row)
        if typing.row is not None and self.app.open_day.live is not None:
            self.app.open_day.live.decided(typing.row)
        self._after_saving(typing)

    def _after_saving(self, typing: TypedRun) -> None:
        """Go back."""
        del typing
        self._leave()

    def _ask_outcome(self, state: State) -> None:
        """Have what came of the saved run worked out, once the day has it."""
        label, day = self._saved, state.day
        if label is None or day is None or day is self._shown_day or label not in day.readings.labels:
            return
        self._shown_day = day
        start, speed, show = self._saved_from, state.speed, state.show

        def change(verdict: Lines) -> Lines:
            return [*verdict[:3], *change_lines(day, label, start, speed, show), *verdict[3:]]

        self._outcomes.ask(lambda: (verdict_lines(day, label, speed, show), change))

    def _take_outcome(self, found: tuple[Lines, Callable[[Lines], Lines] | None]) -> None:
        """Show the verdict at once, and what changed as soon as it is worked out."""
        lines, more = found
        if self._saved is None or self._left:
            return
        waiting = [("working out what it changed …", "muted")] if more is not None else []
        self.query_one(Sheet).show([*lines, *waiting])
        if more is not None:
            self._outcomes.ask(lambda: (more(lines), None))

    def action_changed(self) -> None:
        """Pick the one thing that was changed."""
        from tui.features.entry.entry_picks import pick_change  # noqa: PLC0415 - only when asked

        pick_change(self.app, self._typing, self.write)

    def write(self, words: str) -> None:
        """Add words to the line, and go on behind them."""
        line = self.query_one("#line", Input)
        before = line.value.rstrip()
        space = "" if words.endswith('"') else " "
        line.value = f"{before} {words}{space}".lstrip()
        line.cursor_position = len(line.value)
        self.set_focus(line)

    def action_repeat(self) -> None:
        """Type that nothing was changed."""
        self.write("repeat")

    def action_new_column(self) -> None:
        """Add a column for a setting."""
        from tui.features.entry.entry_picks import ask_column  # noqa: PLC0415 - only when asked

        ask_column(self.app)

    def action_new_block(self) -> None:
        """Let this run begin a new block."""
        from tui.features.entry.entry_picks import ask_block  # noqa: PLC0415 - only when asked

        ask_block(self.app, self._typing, self._into_field)

    def _into_field(self, key: str, text: str) -> None:
        """Take a text for a field; what the line said stands in the fields from then on."""
        self._take(self._typing.with_field(key, text))
        line = self.query_one("#line", Input)
        if line.value:
            with line.prevent(Input.Changed):
                line.value = ""

    def action_afresh(self) -> None:
        """Drop what is typed."""
        self._fresh(TypedRun(sheet=self._typing.sheet))
        self.app.open_day.drop_typing()

    def _fresh(self, typing: TypedRun) -> None:
        line = self.query_one("#line", Input)
        with line.prevent(Input.Changed):
            line.value = ""
        self._typing, self._doubted = typing, None
        self.set_focus(line)
        self._begin()

    def action_correct_last(self) -> None:
        """Correct the last run of the day."""
        if (labels := self._typing.sheet.labels) and self._typing.draft is None:
            self._leave()
            self.app.correct_run(labels[-1])
        elif labels:
            self.app.notify("a run is half typed: save it first, or F8 drops it")

    def _leave(self) -> None:
        self._left = True
        self.app.open_day.typed_now = None
        self.dismiss(None)

    def action_close(self) -> None:
        """Go back to the field where a doubt is asked about, else to the runs; what is half typed is kept."""
        if self._ask_anew():
            return
        self.app.open_day.keep_typing(self._typing)
        self._leave()


class Entry(TypingScreen):
    """Enters new runs, one after the other; what came of each stands beside the next."""

    ACTIONS: ClassVar = ENTRY

    def _after_saving(self, typing: TypedRun) -> None:
        """Be ready for the next run, and show what came of this one."""
        day = self.app.open_day.day
        if typing.row is not None or day is None:
            self._leave()
            return
        self._saved, self._saved_from = typing.label, typing.base.start
        self.query_one(Sheet).show(
            [(f"Run {typing.label} entered", "heading"), ("working out what it did …", "")]
        )
        self._fresh(TypedRun(sheet=day.sheet))


class Correct(TypingScreen):
    """Corrects a run that is there already."""

    ACTIONS: ClassVar = CORRECT

    def action_close(self) -> None:
        """Go back and leave the run as it is; what was typed is dropped only after a question."""
        if self._ask_anew():
            return
        if draft := self._typing.draft:
            ask_to_drop(self.app, draft_words(draft), self._drop)
        else:
            self._drop()

    def _drop(self) -> None:
        self.app.open_day.drop_typing()
        self._leave()
