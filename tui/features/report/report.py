"""The customer's report: what it holds, edited into report.toml, and written by one key."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual.containers import Horizontal, Vertical
from textual.content import Content
from textual.widgets import Input, OptionList, Static, TextArea
from textual.widgets.option_list import Option

from balance.model.errors import AxletrimError
from balance.tell.report.outline import (
    LABELS,
    contents,
    not_written,
    other_faults,
    page_line,
    stale_lines,
    state_line,
    words_faults,
    words_head,
)
from tui.features.report.report_typing import BriefTyping, ByPage, chosen_by_page
from tui.host.actions import HELP, Action, closing
from tui.host.following import follow
from tui.host.page import Page
from tui.host.workers import Latest
from tui.printing.page import PAGE_FILE, write_page
from tui.widgets.asked_form import AskedForm
from tui.widgets.car_name import CarName
from tui.widgets.key_footer import KeyFooter
from tui.widgets.plain import plain, plain_lines
from tui.widgets.typed_form import FormField, TypedForm

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from textual.app import ComposeResult
    from textual.timer import Timer

    from balance.decide.day.day import Day
    from balance.files.formats.report import BriefChoices
    from balance.tell.report.outline import Entry
    from tui.host.state import State

_PAUSE = 1.0
"""Seconds without a key after which what is typed is saved, and between looks at the files."""

BRIEF = (
    Action("write", "f10", "write", "write report.html into the day's folder, over the last one"),
    Action(
        "turn", "space", "in or out", "put the section or the what-if under the cursor in, or leave it out"
    ),
    Action(
        "raise",
        "left_square_bracket",
        "up",
        "move the section under the cursor up",
        shown_key="[",
        group="move",
    ),
    Action(
        "lower",
        "right_square_bracket",
        "down",
        "move the section under the cursor down",
        shown_key="]",
        group="move",
    ),
    Action("edit", "f2", "fields", "type title, runs, parts, units and speed"),
    Action("words", "f6", "own words", "type your own words under the section in Markdown; Enter does too"),
    closing("back", "leave the field; else go back to the runs. What was typed is kept"),
    HELP,
)


class Holds(OptionList):
    """Lists entries under a first line of its own; the cursor stays where it was."""

    def __init__(self, first: str) -> None:
        super().__init__(id="holds", markup=False)
        self._first = first
        self._entries: tuple[Entry, ...] = ()

    def show(self, entries: Sequence[Entry]) -> None:
        """Replace the entries."""
        here = self.highlighted
        self._entries = tuple(entries)
        with self.prevent(OptionList.OptionHighlighted):
            self.clear_options()
            self.add_option(Option(Content.styled(self._first, "bold $primary")))
            for entry in entries:
                style = "" if entry.inside else "$text-muted"
                self.add_option(Option(Content.styled(plain(entry.words), style)))
            self.highlighted = 1 if here is None else min(here, self.option_count - 1)

    @property
    def entry(self) -> Entry | None:
        """What is under the cursor; nothing on the first line."""
        place = self.highlighted
        return self._entries[place - 1] if place and place <= len(self._entries) else None

    def go_to(self, name: str) -> None:
        """Put the cursor on a section."""
        names = [one.name for one in self._entries if one.kind == "section"]
        self.highlighted = names.index(name) + 1


class Brief(Page[None]):
    """Fields and own words on the left, sections and what-ifs on the right, what came of it below."""

    CSS_PATH = "report.tcss"
    ACTIONS: ClassVar = BRIEF

    def __init__(self) -> None:
        super().__init__()
        day = self.app.state.day
        assert day is not None  # noqa: S101 - the application shows this screen for a day alone
        self._typing = BriefTyping(self.app, day)
        self._writes = Latest(self.app, self._written, to_the_end=True)
        self._outlines = Latest(self.app, self._take_own)
        self._asked: tuple[Day, BriefChoices] | None = None
        self._section = "answer"
        self._stale: dict[str, str] = {}
        self._pause: Timer | None = None

    def compose(self) -> ComposeResult:
        """Lay out name, fields, words, list and outcome."""
        text = self._typing.text
        yield CarName(self._typing.day.session.vehicle.name)
        yield Static("", id="said", markup=False)
        with Horizontal(id="both"):
            with Vertical(id="typed"):
                yield AskedForm(
                    [FormField(key=key, label=label, value=text(key)) for key, label in LABELS.items()]
                )
                yield Static("", id="over", markup=False)
                yield TextArea(text(self._words_key), compact=True, id="words", highlight_cursor_line=False)
            yield Holds(f"write the report, {PAGE_FILE}")
        yield Static("", id="page", markup=False)
        yield KeyFooter()

    def on_mount(self) -> None:
        """Show the file, and look whether it changes."""
        self.set_interval(_PAUSE, self._look)
        self.set_focus(self.query_one(Holds))
        self._show()
        self._say_page(page_line(str(self._typing.folder / PAGE_FILE)))
        self.call_after_refresh(self._save)
        follow(self, self.show_state, init=False)

    def on_resize(self) -> None:
        """Fold the words anew."""
        self._say_state()

    def show_state(self, before: State, state: State) -> None:
        """Look at the file again where the runs have changed; leave where another session was opened."""
        if state.path != before.path:
            self.call_later(self.app.action_runs)
        elif state.day is not None and state.day is not before.day:
            self._typing.day = state.day
            self._read()

    @property
    def _stands(self) -> bool:
        """Whether the screen has not been left."""
        return self in self.app.screen_stack

    @property
    def _words_key(self) -> str:
        return f"words.{self._section}"

    def _look(self) -> None:
        if self._typing.changed_outside():
            self._read()

    def _read(self) -> None:
        self._typing.read()
        self._show()

    def _show(self) -> None:
        """Bring every widget to the file and to what is typed."""
        typing = self._typing
        self.query_one(AskedForm).set_values({key: typing.text(key) for key in LABELS})
        self.call_after_refresh(self._show_beginnings)
        self._show_words()
        self.query_one(Holds).show(contents(typing.brief))
        self._say_state()
        choices = typing.brief.choices
        if choices is not None and self._asked != (wanted := (typing.day, choices)):
            self._asked = wanted
            self._outlines.ask(lambda: chosen_by_page(*wanted))

    def _show_beginnings(self) -> None:
        """Show long texts from their beginning, where they are not being typed in."""
        for field in self.query(Input):
            if not field.has_focus:
                field.cursor_position = 0
                field.scroll_to(0, animate=False)

    def _show_words(self) -> None:
        area, text = self.query_one(TextArea), self._typing.text(self._words_key)
        self.query_one("#over", Static).update(words_head(self._section))
        if not area.has_focus and area.text.strip("\n") != text:  # what is typed may be ahead of what is kept
            area.load_text(text)

    def _take_own(self, own: ByPage) -> None:
        """Show in empty fields what the report chooses for itself, and which own words are out of date."""
        if self._stands:
            for key, words in own.chosen.items():
                self.query_one(AskedForm).show_blank(key, words)
            self._stale = own.stale
            self._say_state()

    def _say_state(self) -> None:
        """Show what is saved, and put every fault beside its field."""
        faults, typing = self._typing.faults, self._typing
        self.query_one(AskedForm).show_faults(faults)
        lines = [f"× {text}" for text in other_faults(typing.brief)]
        lines += [f"× {text}" for text in words_faults(faults)]
        lines += [f"! {text}" for text in stale_lines(self._stale)]
        said = self.query_one("#said", Static)
        said.set_class(bool(lines), "danger")
        if typing.typed or not lines:
            lines += self.folded(state_line(typing.typed, typing.brief.file))
        said.update("\n".join(map(plain_lines, lines)))

    def _say_page(self, text: str, role: str = "") -> None:
        page = self.query_one("#page", Static)
        page.update(plain_lines(text))
        page.set_classes(f"verdict {role}" if role else "")

    def on_typed_form_typed(self, message: TypedForm.Typed) -> None:
        """Keep what is typed, and save it after a pause."""
        self._keep(message.key, message.text.strip())

    async def on_typed_form_left(self, message: TypedForm.Left) -> None:
        """Save, and go on to the next field."""
        await self._save()
        if message.key not in self._typing.wrong and not self.query_one(AskedForm).go_on(message.key):
            self.set_focus(self.query_one(TextArea))

    async def on_descendant_blur(self) -> None:
        """Save what was typed into the field that was left."""
        await self._save()

    def on_text_area_changed(self) -> None:
        """Keep the words typed."""
        self._take_words()

    def _take_words(self) -> None:
        text = self.query_one(TextArea).text.strip("\n")
        if text != self._typing.text(self._words_key):
            self._keep(self._words_key, text)

    def _keep(self, key: str, text: str) -> None:
        self._typing.keep(key, text)
        self._say_state()
        if self._pause is not None:
            self._pause.stop()
        self._pause = self.set_timer(_PAUSE, self._save)

    async def _save(self) -> None:
        if self._typing.typed:
            await self._typing.save()
            if self._stands:
                self._show()

    def on_option_list_option_highlighted(self) -> None:
        """Show the own words of the section under the cursor."""
        entry = self.query_one(Holds).entry
        if entry is not None and entry.kind == "section" and entry.name != self._section:
            self._take_words()
            self._section = entry.name
            self._show_words()

    async def on_option_list_option_selected(self) -> None:
        """Write the page, go to the words of a section, or turn a what-if."""
        entry = self.query_one(Holds).entry
        if entry is None:
            await self.action_write()
        elif entry.kind == "section":
            self.action_words()
        else:
            await self.action_turn()

    async def action_turn(self) -> None:
        """Put what is under the cursor in, or leave it out."""
        if (entry := self.query_one(Holds).entry) is not None:
            self._after(await self._typing.turn(entry))

    async def action_raise(self) -> None:
        """Move the section under the cursor up."""
        await self._move(-1)

    async def action_lower(self) -> None:
        """Move the section under the cursor down."""
        await self._move(+1)

    async def _move(self, step: int) -> None:
        entry = self.query_one(Holds).entry
        if entry is None or entry.kind != "section":
            return
        self._after(await self._typing.move(entry, step))
        self.query_one(Holds).go_to(entry.name)

    def _after(self, why_not: str) -> None:
        self._show()
        if why_not:
            self.notify(why_not, severity="warning", markup=False)

    def action_edit(self) -> None:
        """Go to the fields."""
        self.query_one(AskedForm).go_to(next(iter(LABELS)))

    def action_words(self) -> None:
        """Go to the own words."""
        self.set_focus(self.query_one(TextArea))

    async def action_write(self) -> None:
        """Leave the field, save what is typed, and write the page from the files."""
        self._take_words()
        self.set_focus(self.query_one(Holds))  # keys that follow must not go into the customer's text
        await self._save()
        self.app.open_day.flush()
        await self.app.open_day.saving.settle()
        typing = self._typing
        if typing.typed or typing.brief.faults:
            self._say_page(not_written(), "danger")
            return
        folder = typing.folder
        self._say_page(page_line(str(folder / PAGE_FILE), stage="writing"))
        self._writes.ask(lambda: _write(folder))

    def _written(self, outcome: Path | AxletrimError) -> None:
        """Show where the page is, or why there is none."""
        wrong = isinstance(outcome, AxletrimError)
        text = not_written(str(outcome)) if wrong else page_line(str(outcome), stage="written")
        if self._stands:
            self._say_page(text, "danger" if wrong else "good")
        else:
            self.app.notify(text, severity="error" if wrong else "information", markup=False, timeout=10)

    async def action_close(self) -> None:
        """Leave the field; else go back to the runs."""
        self._take_words()
        await self._save()
        if isinstance(self.focused, Input | TextArea):
            self.set_focus(self.query_one(Holds))
        else:
            self.app.action_runs()


def _write(folder: Path) -> Path | AxletrimError:
    try:
        return write_page(folder)
    except AxletrimError as fault:
        return fault
