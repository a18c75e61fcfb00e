"""The plan of the day: which run is worth its minutes next, and the order on the clock."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any, ClassVar

from textual.content import Content
from textual.widgets import Static

from balance.tell.words import CAUTION_SHORT
from tui.features.plan.plan_edits import ask_figure, ask_library, ask_wanted
from tui.host.actions import Action, closing
from tui.host.following import follow
from tui.host.page import Page
from tui.host.plan_view import PlanWanted, glance_at_library, glance_at_plan, work_out_plan
from tui.host.workers import Latest
from tui.widgets.key_footer import KeyFooter
from tui.widgets.line_table import LineTable
from tui.widgets.plain import pack, plain

if TYPE_CHECKING:
    from collections.abc import Mapping

    from textual.app import ComposeResult

    from balance.decide.plan.configuration import Configuration
    from balance.files.formats.plan_edit import Key
    from balance.model.plans import DayPlan, WantedRun
    from balance.model.records import Session
    from balance.tell.library.other_cars import Offer
    from balance.tell.table import Table
    from tui.host.plan_view import PlanFigures, PlanView
    from tui.host.state import State

_LOW = 30
_MOST_RUNS = 40
"""Next runs that are listed."""
_WIDEST = 34
"""Cells of a column that is not flexible."""
_LOOK = 1.0
"""Seconds between looks at plan.toml."""
_MINUTE = 60

PLAN = (
    Action(
        "take",
        "f10",
        "take",
        "take the run under the cursor into the entry line; Enter does too",
        shown_key="enter",
    ),
    Action("want", "f2", "want", "add a run to the wanted ones, beginning with the one under the cursor"),
    Action("drop", "delete", "drop", "drop the wanted run under the cursor", shown_key="del"),
    Action("order", "f3", "order", "the order of fewest minutes, or the one least disturbed by drift"),
    Action("figures", "f4", "minutes", "state hours, breaks, minutes of changes, baselines and the aim"),
    Action(
        "library",
        "l",
        "library",
        "let the library state what is expected of the run under the cursor, as other cars show it",
        on_footer=False,
    ),
    Action("must", "m", "must", "the wanted run must be made, or may be dropped", on_footer=False),
    Action("sheet", "p", "run sheet", "write the run sheet, to print and fill in"),
    Action("copy", "y", "copy", "copy the plan as text", on_footer=False),
    closing("runs", "go back to the runs", on_footer=False),
)


class Plan(Page[None]):
    """Where the day stands above, next runs in the middle, the order below."""

    CSS_PATH = "plan.tcss"
    ACTIONS: ClassVar = PLAN

    def __init__(self) -> None:
        super().__init__()
        self._work = Latest(self.app, self._take)
        self._library = Latest(self.app, self._offer)
        self._asked: PlanWanted | None = None
        self._order: Table | None = None

    def compose(self) -> ComposeResult:
        """Lay out head, next runs, the picked one, and the order."""
        yield Static("", id="head", markup=False)
        yield Static("", id="banner", markup=False)
        yield LineTable(id="next", empty="working out what is worth its minutes …")
        yield Static("", id="detail", markup=False)
        yield Static(CAUTION_SHORT, id="caution", markup=False)
        yield Static("", id="over", markup=False)
        yield LineTable(id="order_rows", empty="no runs are wanted yet: F2 adds one")
        yield KeyFooter()

    def on_mount(self) -> None:
        """Read the file, and watch it and the state."""
        self.set_focus(self._next)
        self.set_interval(_LOOK, self._look_at_file)
        follow(self, self.show_state)

    def on_resize(self) -> None:
        """Fold the lines anew."""
        self.show_state(self.app.state, self.app.state)

    @property
    def _next(self) -> LineTable:
        return self.query_one("#next", LineTable)

    @property
    def _rows(self) -> LineTable:
        return self.query_one("#order_rows", LineTable)

    def show_state(self, before: State, state: State) -> None:
        """Bring the screen to a state; what is not worked out for it yet is asked for."""
        session = state.session
        if session is None:
            return
        wanted = _wanted(session, state)
        figures = state.plan.figures
        if not wanted.same(figures and figures.wanted) and not wanted.same(self._asked):
            self._asked = wanted
            self._work.ask(lambda: work_out_plan(wanted))
        fresh = before is state or before.plan is not state.plan or before.units != state.units
        self._show_head(state, wanted)
        if figures is not None and fresh:
            self._show(figures, state)

    def _look_at_file(self) -> None:
        """Plan anew where somebody has changed plan.toml; where the day is today, follow the clock."""
        state = self.app.state
        if state.session is not None and not _wanted(state.session, state).same(self._asked):
            self.show_state(state, state)

    def _take(self, figures: PlanFigures) -> None:
        """Take in figures; those that are no longer asked for are replaced by the next ones."""
        if figures.wanted.same(self._asked):
            self._look(self.app.state.plan.with_figures(figures))

    def _look(self, view: PlanView) -> None:
        self.app.state = replace(self.app.state, plan=view)

    def _show_head(self, state: State, wanted: PlanWanted) -> None:
        """Show where the day stands, and whether the figures are of it."""
        figures, width = state.plan.figures, self.line_width
        faults = figures.disk.faults if figures is not None else ()
        assert state.session is not None  # noqa: S101 - asked for by a state with a session
        said = [f"× {fault}" for fault in faults]
        if not wanted.same(figures and figures.wanted):
            said.append("planning anew …")
        elif state.work.reading:
            said.append(f"FOR READING ONLY: {state.work.reading}")
        if state.day is not None:
            from balance.tell.runs.doubt_words import DOUBT_MARK, scatter_doubts  # noqa: PLC0415 - as below

            said += [f"{DOUBT_MARK} {one}" for one in scatter_doubts(state.day, state.show)[:1]]
        if figures is None:
            lines = pack(state.session.title, width)
        else:
            from balance.tell.plan.next_words import (  # noqa: PLC0415 - after the first paint
                best_line,
                clock_line,
                differs_line,
                stop_line,
            )

            planned, names = figures.planned, figures.names
            stands = best_line(planned, names, state.show)
            stop = stop_line(planned, names, state.show)
            lines = [
                *pack(clock_line(planned), width),
                *pack(f"{stands} · {stop}" if stop else stands, width),
                *([] if self.size.height < _LOW else pack(differs_line(planned, state.show), width)),
            ]
        self.write_lines("#head", [plain(line) for line in lines])
        self.write_lines("#banner", [plain(line) for text in said for line in pack(text, width)])

    def _show(self, figures: PlanFigures, state: State) -> None:
        """Show both tables."""
        from balance.tell.figures import capital  # noqa: PLC0415 - after the first paint
        from balance.tell.plan.next_words import next_table  # noqa: PLC0415 - as above
        from balance.tell.plan.order_words import no_order_words, order_table  # noqa: PLC0415 - as above

        planned, names = figures.planned, figures.names
        runs = next_table(planned, names, state.show, most=_MOST_RUNS)
        order = order_table(planned, names, state.plan.order, whole=True)
        self._order = order
        self._next.empty = capital(planned.why_not) or "no run is worth its minutes"
        self._rows.empty = no_order_words(planned)
        self._next.show_table(runs, widest=_WIDEST)
        self._rows.show_table(order, widest=_WIDEST)
        self._show_over(figures, state)
        self._show_detail()

    def _show_over(self, figures: PlanFigures, state: State) -> None:
        """Show what the order takes, and what is wrong with it."""
        from balance.tell.plan.order_words import (  # noqa: PLC0415 - after the first paint
            detectable_line,
            drift_words,
            order_line,
        )
        from balance.tell.plan.plan_names import lone_settings, plan_sources  # noqa: PLC0415 - as above

        planned, which = figures.planned, state.plan.order
        lines = pack(order_line(planned, which), self.line_width)
        warnings = [
            *drift_words(planned, figures.names, which),
            *lone_settings(planned.session, planned.plan),
            *plan_sources(planned.plan, figures.names, missing=True),
        ]
        for warned in warnings:
            lines += pack(f"! {warned}", self.line_width)
        if not planned.session.used:
            lines += pack(detectable_line(planned, state.show), self.line_width)
        self.write_lines("#over", [plain(line) for line in lines])

    def _show_detail(self) -> None:
        """Show everything about the run under the cursor."""
        figures, state = self._figures, self.app.state
        detail = self.query_one("#detail", Static)
        lines = [] if figures is None else self._detail(figures, state)
        parts = [(f"{plain(text)}\n", _STYLES[role]) for text, role in lines]
        detail.update(Content.assemble(*parts).rstrip())
        detail.display = bool(parts)

    def _detail(self, figures: PlanFigures, state: State) -> list[tuple[str, str]]:
        from balance.tell.plan.next_words import danger_words, next_brief, next_detail  # noqa: PLC0415 - as above

        planned, names = figures.planned, figures.names
        if self.focused is self._rows:
            one = self._picked
            if one is None:
                return []
            warned = danger_words(planned, one, state.show)
            change = "" if self._order is None else self._order.cell(self._rows.cursor, "change").text
            said = f"{names.fitted(one)}{f': {change}' if change else ''}"
            return [(said, "strong"), *([(warned, "danger")] if warned else [])]
        found = planned.found
        if found is None or not found.runs:
            return []
        run = found.runs[min(self._next.cursor, len(found.runs) - 1)]
        tell = next_brief if self.size.height < _LOW else next_detail
        return list(tell(planned, run, names, state.show))

    def on_line_table_row_moved(self) -> None:
        """Show the run under the cursor."""
        self._show_detail()

    def on_descendant_focus(self) -> None:
        """Show the run under the cursor of the table that is worked in."""
        self._show_detail()

    def on_line_table_row_chosen(self) -> None:
        """Take the run into the entry line."""
        self.action_take()

    @property
    def _figures(self) -> PlanFigures | None:
        return self.app.state.plan.figures

    @property
    def _picked(self) -> Configuration | None:
        """What is to be fitted in the run under the cursor."""
        if self._figures is None:
            return None
        planned = self._figures.planned
        if self.focused is self._rows:
            from balance.tell.plan.order_words import order_rows  # noqa: PLC0415 - after the first paint

            rows = order_rows(planned, self.app.state.plan.order, whole=True)
            return rows[self._rows.cursor].configuration if self._rows.cursor < len(rows) else None
        runs = planned.found.runs if planned.found is not None else ()
        return runs[self._next.cursor].configuration if self._next.cursor < len(runs) else None

    @property
    def _wanted(self) -> int | None:
        """The place among the wanted runs of the one under the cursor."""
        from balance.decide.plan.configuration import configuration  # noqa: PLC0415 - after the first paint

        one, figures = self._picked, self._figures
        if one is None or figures is None:
            return None
        wanted = [configuration(run.settings) for run in figures.planned.plan.wanted]
        return wanted.index(one) if one in wanted else None

    def action_take(self) -> None:
        """Take the run under the cursor into the entry line."""
        one, figures, day = self._picked, self._figures, self.app.open_day.ready()
        if one is None or figures is None or day is None:
            return
        from balance.files.day.run_entry import planned_cells  # noqa: PLC0415 - only when asked

        plan, place = figures.planned.plan, self._wanted
        label = plan.wanted[place].configuration if place is not None else ""
        cells, missing = planned_cells(day.sheet, dict(one.settings), plan.units, label=label)
        if missing:
            self.app.notify(
                f"no column yet for {', '.join(missing)}: F6 in the entry adds one",
                severity="warning",
                markup=False,
            )
        self.app.enter_planned(cells)

    def action_want(self) -> None:
        """Add a wanted run."""
        if (figures := self._plan_to_edit()) is not None:
            ask_wanted(self.app, figures, self._picked, self._add)

    def _add(self, run: WantedRun, words: str) -> None:
        from balance.files.formats.plan_edit import with_wanted  # noqa: PLC0415 - only when asked

        if (figures := self._plan_to_edit()) is not None:
            plan = figures.planned.plan
            text = with_wanted(figures.disk.text, len(plan.wanted), run, plan.units)
            self._save(f"wanted: {words}", text, figures.disk.text)

    def action_drop(self) -> None:
        """Drop the wanted run under the cursor."""
        place, figures = self._wanted, self._plan_to_edit()
        if figures is None:
            return
        if place is None:
            self.app.notify("this run is not a wanted one: there is nothing to drop")
            return
        one = self._picked
        assert one is not None  # noqa: S101 - it is wanted
        self._change(f"no longer wanted: {figures.names.fitted(one)}", {("wanted", place): None})

    def action_must(self) -> None:
        """Turn whether the wanted run under the cursor must be made."""
        place, figures = self._wanted, self._plan_to_edit()
        if figures is None or place is None:
            return
        must = figures.planned.plan.wanted[place].must
        self._change(
            f"{'may be dropped' if must else 'must be made'}: wanted run {place + 1}",
            {("wanted", place, "must"): None if must else True},
        )

    def action_order(self) -> None:
        """Show the other order."""
        self._look(self.app.state.plan.with_next_order())

    def action_figures(self) -> None:
        """State hours, minutes, baselines or the aim."""
        if (figures := self._plan_to_edit()) is not None:
            ask_figure(self.app, figures, self._change)

    def action_library(self) -> None:
        """Let the library state what is expected of what the run under the cursor has fitted."""
        figures, one = self._plan_to_edit(), self._picked
        if figures is None or one is None:
            return
        if not one.settings:
            self.app.notify("nothing is fitted in this run: there is nothing to expect of a part")
            return
        plan, session = figures.planned.plan, figures.planned.session
        self._library.ask(lambda: _offers(session, plan, one))

    def _offer(self, found: tuple[Offer, ...] | str) -> None:
        """Offer the parts of the library, or say why there are none."""
        if isinstance(found, str):
            self.app.notify(found, severity="warning", markup=False, timeout=10)
        elif not found:
            self.app.notify("the library has no part yet: axletrim library add takes in days", markup=False)
        elif self.is_current and (figures := self._plan_to_edit()) is not None:
            ask_library(self.app, figures, found, self._change)

    def _plan_to_edit(self) -> PlanFigures | None:
        """Return the figures where the plan can be changed, or say why it cannot."""
        figures = self._figures
        if self.app.open_day.ready() is None or figures is None:
            return None
        if figures.disk.plan is None:
            self.app.notify("plan.toml has faults: mend it in an editor first", severity="warning")
            return None
        return figures

    def _change(self, what: str, changes: Mapping[Key, Any]) -> None:
        from balance.files.formats.plan_edit import edited_plan  # noqa: PLC0415 - only when asked

        if (figures := self._plan_to_edit()) is not None:
            self._save(what, edited_plan(figures.disk.text, changes), figures.disk.text)

    def _save(self, what: str, text: str, seen: str) -> None:
        self.app.run_worker(self._write(what, text, seen))

    async def _write(self, what: str, text: str, seen: str) -> None:
        if await self.app.open_day.edit_plan(f"plan.toml: {what}", text, seen=seen):
            self.app.notify(f"{what} · U takes it back", markup=False)
        if self.is_running:
            self._look_at_file()

    def action_sheet(self) -> None:
        """Write the run sheet."""
        figures = self._figures
        if figures is None:
            return
        from balance.files.day.durable import write_atomically  # noqa: PLC0415 - only when asked
        from balance.tell.plan.sheet import sheet_html  # noqa: PLC0415 - as above

        planned, names, show = figures.planned, figures.names, self.app.state.show
        path = Path(planned.session.folder) / SHEET_FILE

        def write() -> str:
            write_atomically(path, sheet_html(planned, names, show).encode())
            return f"run sheet written: {path}"

        self.app.run_worker(self._say(write))

    async def _say(self, write: Any) -> None:
        from balance.model.errors import AxletrimError  # noqa: PLC0415 - only when asked

        try:
            said = await self.app.open_day.saving.write(write)
        except AxletrimError as fault:
            self.app.notify(str(fault), severity="error", markup=False, timeout=10)
        else:
            self.app.notify(said, markup=False, timeout=10)

    def action_copy(self) -> None:
        """Copy the plan as text."""
        from tui.printing.plan import print_plan  # noqa: PLC0415 - only when asked

        if (figures := self._figures) is not None:
            text = print_plan(figures.planned, figures.names, self.app.state.show, 100, full=False)
            self.app.copy_text("plan", text)

    def action_close(self) -> None:
        """Go back to the runs."""
        self.app.action_runs()


SHEET_FILE = "run_sheet.html"
"""The run sheet in the session's folder."""
_STYLES = {"": "", "muted": "$text-muted", "strong": "bold", "danger": "bold $error", "warn": "bold $warning"}


def _offers(session: Session, plan: DayPlan, one: Configuration) -> tuple[Offer, ...] | str:
    """Ask the library, in a thread, for the parts that a configuration may have."""
    from balance.model.errors import InputError  # noqa: PLC0415 - only when asked
    from balance.tell.library.other_cars import offers_for  # noqa: PLC0415 - as above

    try:
        return offers_for(session, plan, one.settings)
    except InputError as fault:
        return str(fault)


def _wanted(session: Session, state: State) -> PlanWanted:
    """Return what the figures of a state hang on."""
    return PlanWanted(session, state.day, glance_at_plan(session), glance_at_library(), _now(session))


def _now(session: Session) -> float | None:
    """Return the time of day of a day that is today, to the minute; nothing of another day."""
    now = dt.datetime.now().astimezone()
    return float((now.hour * _MINUTE + now.minute) * _MINUTE) if session.date == now.date() else None
