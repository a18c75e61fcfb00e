"""Joined days: how far other days of this car lie from the open one, and every configuration of all of them against one."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from textwrap import wrap
from typing import TYPE_CHECKING, ClassVar

from textual.widgets import Static

from balance.model.errors import AxletrimError
from balance.tell.over_days.joined_text import (
    against_heading,
    against_table,
    apart_heading,
    configuration_name,
    day_lines,
    first_run_of,
    joined_line,
    joined_notes,
    runs_of,
    runs_sentences,
    shift_table,
)
from tui.host.actions import Action, closing
from tui.host.page import OverRuns
from tui.host.questions import AskText, Choice, Pick
from tui.host.state_sheet import StateSheet
from tui.host.workers import Latest
from tui.widgets.key_footer import KeyFooter
from tui.widgets.plain import pack, plain
from tui.widgets.sheet import Sheet
from tui.widgets.table_lines import table_lines

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from balance.decide.over_days.joined import JoinedFigures
    from balance.model.records import Session
    from tui.host.state import State

_FRAME = 6
"""Cells that the frame of the sheet, its padding and its bar take."""
_TYPED = "…"
"""Stands for a folder that is typed."""

JOINED = (
    Action("other", "d", "other day", "join another day of this car, or take a joined one off again"),
    Action(
        "against", "a", "against", "choose the configuration that all are compared with, of whichever day"
    ),
    Action("copy", "y", "copy", "copy this page as text", on_footer=False),
    closing("runs", "go back to the runs", on_footer=False),
)


@dataclass(frozen=True, slots=True)
class _Asked:
    """What the page stands for: the open day, folders of the others, and what is compared with, by the name of a run."""

    session: Session
    others: tuple[str, ...]
    against: str
    speed: float | None
    air_density: float | None


class JoinedPage(OverRuns, StateSheet):
    """Shifts of the days above, configurations of all of them below, notes at the end."""

    ACTIONS: ClassVar = JOINED

    def __init__(self) -> None:
        super().__init__()
        self._work = Latest(self.app, self._take)
        self._others: tuple[str, ...] = ()
        self._against = ""
        self._asked: _Asked | None = None
        self._found: JoinedFigures | None = None
        self._fault = ""

    def compose(self) -> ComposeResult:
        """Lay out head and sheet."""
        yield Static("", id="head", markup=False)
        yield Sheet(classes="sheet")
        yield KeyFooter()

    def on_mount(self) -> None:
        """Watch the state, and ask which day is to join."""
        super().on_mount()
        self.call_after_refresh(self.action_other)

    def show_state(self, state: State) -> None:
        """Bring the screen to a state."""
        session = state.session
        if session is None:
            return
        speed, density = state.conditions or (None, None)
        asked = _Asked(session, self._others, self._against, speed, density)
        if self._others and asked != self._asked:
            self._asked = asked
            self._work.ask(lambda: _joined(asked))
        self._show(state)

    def _take(self, found: tuple[_Asked, JoinedFigures | None, str]) -> None:
        """Take in figures, unless something else is asked for meanwhile."""
        asked, figures, fault = found
        if asked == self._asked:
            self._found, self._fault = figures, fault
            self._show(self.app.state)

    def _show(self, state: State) -> None:
        figures = self._found if self._others else None
        head = "one car over several days" if figures is None else joined_line(figures, state.show)
        self.write_lines("#head", self.folded(head))
        lines: list[tuple[str, str]] = []
        if self._fault and self._others:
            lines = [(line, "fault") for line in wrap(plain(f"× {self._fault}"), self.line_width - _FRAME)]
        elif figures is None:
            lines = [("d joins another day of this car: what was run on both ties them", "muted")]
        else:
            lines = self._lines(figures, state)
        self.query_one(Sheet).show(lines)

    def _lines(self, figures: JoinedFigures, state: State) -> list[tuple[str, str]]:
        width, joined = self.line_width - _FRAME, figures.joined
        lines = [(line, "") for text in day_lines(joined) for line in pack(text, width)]
        lines.append((apart_heading(joined), "heading"))
        lines += table_lines(shift_table(figures, state.show), width)
        lines.append((against_heading(figures), "heading"))
        lines += table_lines(against_table(figures, state.show), width)
        lines.append(("Notes", "heading"))
        for note in [*joined_notes(figures, state.show), *runs_sentences(joined)]:
            lines += [(line, "warn" if "warning:" in note else "") for line in pack(note, width)]
        return lines

    def action_other(self) -> None:
        """Let a day be picked that joins, or one be taken off."""
        from balance.files.several_days import days_beside  # noqa: PLC0415 - only when asked

        session = self.app.state.session
        if session is None or not session.folder:
            return
        there = [one for one in days_beside(Path(session.folder)) if one not in self._others]
        choices = [Choice("", f"without {Path(one).name}", value=one) for one in self._others]
        choices += [Choice("", Path(one).name, more=str(Path(one).parent.name), value=one) for one in there]
        choices.append(Choice("", "another folder", more="type where it is", value=_TYPED))
        self.app.push_screen(Pick("Join which day of this car?", choices), self._chosen)

    def _chosen(self, folder: str | None) -> None:
        if folder == _TYPED:
            from balance.files.session_path import session_folder  # noqa: PLC0415 - only when asked

            question = AskText(
                "Folder of the day that joins", check=lambda text: session_folder(Path(text).expanduser())
            )
            self.app.push_screen(question, self._chosen)
        elif folder is not None:
            one = str(Path(folder).expanduser())
            taken_off = one in self._others
            self._others = tuple(other for other in self._others if other != one) + (
                () if taken_off else (one,)
            )
            if taken_off:
                self._against = ""
            self._found, self._fault, self._asked = None, "", None
            self.show_state(self.app.state)

    def action_against(self) -> None:
        """Let the configuration be picked that all are compared with."""
        if self._found is None:
            self.notify("no day is joined yet: d joins one")
            return
        joined = self._found.joined

        def take(run: str) -> None:
            self._against = run
            self.show_state(self.app.state)

        things = [
            (first_run_of(joined, k, bare=True), configuration_name(joined, k), runs_of(joined, k))
            for k in range(len(joined.configurations))
        ]
        self.app.pick("Compare all with which configuration?", things, take)

    def action_copy(self) -> None:
        """Copy the page as text."""
        from tui.printing.joined import print_joined  # noqa: PLC0415 - only when asked

        if self._found is not None:
            text, _ = print_joined(self._found, self.app.state.show, 100, full=True)
            self.app.copy_text("joined days", text)


def _joined(asked: _Asked) -> tuple[_Asked, JoinedFigures | None, str]:
    """Join the open day with others, in a thread; what refuses them is said in words."""
    from balance.decide.over_days.joined import join_days, joined_figures  # noqa: PLC0415 - in the thread
    from balance.files.several_days import load_days, settings_in_units_of_first  # noqa: PLC0415 - in the thread
    from balance.tell.over_days.joined_text import day_letters  # noqa: PLC0415 - in the thread

    try:
        sessions = settings_in_units_of_first([asked.session, *load_days(asked.others)])
        joined = join_days(sessions)
        reference = joined.named(asked.against, day_letters(len(sessions))) if asked.against else None
        figures = joined_figures(joined, reference, speed=asked.speed, air_density=asked.air_density)
    except AxletrimError as fault:
        return asked, None, str(fault)
    return asked, figures, ""
