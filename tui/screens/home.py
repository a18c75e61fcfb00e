"""The home screen: the runs of the day, and the card of the picked one."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, ClassVar

import numpy as np
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.screen import Screen
from textual.widgets import Footer, Input, Static

from balance.tell.card import run_card
from balance.tell.curves import speed_chart
from balance.tell.detail import onset_marked
from balance.tell.figures import percent
from balance.tell.head import scatter_words, session_line
from tui.actions import HOME, bindings
from tui.drawing import as_column
from tui.screens.ask_speed import AskSpeed
from tui.screens.detail import Detail
from tui.screens.notes import Notes
from tui.widgets.axle_bars import AxleBars, Bar
from tui.widgets.chart import ChartView
from tui.widgets.line_table import LineTable

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from balance.decide.assessment import Assessment, Sweep
    from tui.app import AxletrimApp
    from tui.state import State

CHART_SPEEDS = 60
_WIDE = 150
_LOW, _CARD_LOW, _CARD_HIGH, _HEAD = 30, 11, 16, 3
"""Rows: below which the screen is low, least heights of the card, and head with footer."""


class Home(Screen[None]):
    """Runs table above, card of the picked run below."""

    BINDINGS: ClassVar = bindings(HOME)
    app: AxletrimApp

    def compose(self) -> ComposeResult:
        """Lay out head, table and card."""
        yield Static("", id="head", markup=False)
        yield Static("", id="banner", markup=False)
        yield LineTable(id="runs", empty="no run has these words: press / and empty the filter")
        yield Input(placeholder="words that must stand in the row; Enter keeps them, Esc clears", id="filter")
        with Horizontal(id="card"):
            with VerticalScroll(id="says", can_focus=False):
                yield Static("", id="headline", markup=False)
                yield AxleBars(id="bars", tick=percent)
                yield Static("", id="why", markup=False)
                yield Static("", id="onset", markup=False)
            with Vertical(id="drawn"):
                yield Static("", id="title", markup=False)
                yield ChartView(id="chart")
        yield Footer()

    def on_mount(self) -> None:
        """Watch the state."""
        self.query_one("#filter").display = False
        self.query_one("#banner").display = False
        self.query_one(LineTable).focus()
        self.watch(self.app, "state", self.show_state)

    def on_resize(self) -> None:
        """Use full words where there is room for them."""
        wide = self.size.width >= _WIDE
        if self.app.state.wide is not wide:
            self.app.state = replace(self.app.state, wide=wide)
        self._share_height()

    def _share_height(self) -> None:
        """Give the table the rows it needs, and the card the rest, of which it always has enough."""
        spare = self.size.height - (_CARD_LOW if self.size.height < _LOW else _CARD_HIGH) - _HEAD
        table = self.query_one(LineTable)
        table.styles.height = max(5, min(table.row_count + 2, spare))

    def show_state(self, before: State, state: State) -> None:
        """Bring the screen to a state, redrawing only what it touches."""
        self._show_head(state)
        table, figures = state.table, state.assessment
        if table is None or figures is None:
            return
        fresh = table is not before.table or before is state
        widget = self.query_one(LineTable)
        if fresh:
            widget.set_columns([as_column(column) for column in table.columns])
        if fresh or state.rows is not before.rows or state.pending != before.pending:
            rows = state.rows

            def cell(position: int, key: str) -> tuple[str, str]:
                text, role = table.cell(rows[position], key)
                if key == "run" and state.folded and (count := len(state.repeats_of(rows[position]))) > 1:
                    return f"{text} ×{count}", role
                return (f"{text} …", role) if key == "verdict" and state.pending else (text, role)

            widget.set_source(len(rows), cell, cursor=state.cursor)
            widget.sort = state.sort
            self._share_height()
        if fresh or state.picked_row != before.picked_row or state.chart != before.chart:
            self._show_card(state, figures)

    def _show_head(self, state: State) -> None:
        head, banner = self.query_one("#head", Static), self.query_one("#banner", Static)
        if state.day is None:
            head.update("axletrim · reading the session …")
            return
        lines = [session_line(state.day.session)]
        if state.assessment is not None:
            at = f"at {state.show.speed(state.speed)}, {state.show.quantity('density', state.assessment.air_density)}"
            lines.append(
                f"{at} · downforce positive, LIFT negative · {scatter_words(state.assessment, state.show)}"
            )
        head.update("\n".join(lines))
        said = []
        if state.faults:
            said.append(
                f"✖ the files have {len(state.faults)} faults now; shown is the last good state (r reads again)"
            )
        if state.wanted:
            said.append(f"filter: {state.wanted} · {len(state.rows)} rows")
        banner.update(" · ".join(said))
        banner.display = any(said)

    def _show_card(self, state: State, figures: Assessment) -> None:
        row = state.picked_row
        if row is None:
            return
        card = run_card(figures, row, state.show)
        headline = self.query_one("#headline", Static)
        headline.update(card.headline)
        headline.set_classes(f"verdict {card.role}")
        self.query_one("#title", Static).update(card.title)
        bars = self.query_one(AxleBars)
        bars.tick = None if self.size.height < _LOW else percent
        bars.bars = tuple(
            Bar(bar.axle, bar.text, bar.share, role="danger" if bar.lift else "bar") for bar in card.bars
        )
        low = self.size.height < _LOW
        self.query_one("#why", Static).update(card.why_brief if low else card.why)
        self.query_one("#onset", Static).update(card.onset)
        self._draw_chart(state, row)

    def _draw_chart(self, state: State, row: int) -> None:
        """Draw the curve at once without its interval, and again with it from a worker."""
        if state.day is None:
            return
        self.show_chart(state, self._swept(state, row, drawn=False))
        self.app.run_worker(lambda: self._sweep_drawn(state, row), thread=True, exclusive=True, group="chart")

    def _swept(self, state: State, row: int, *, drawn: bool) -> Sweep:
        from balance.decide.assessment import speed_range, sweep  # noqa: PLC0415 - after the first paint

        assert state.day is not None  # noqa: S101 - asked for by a state with a day
        whole = speed_range(state.day)
        speeds = np.linspace(whole[0], max(float(whole[-1]), state.speed), CHART_SPEEDS)
        return sweep(state.day, row, speeds, drawn=drawn)

    def _sweep_drawn(self, state: State, row: int) -> None:
        swept = self._swept(state, row, drawn=True)
        self.app.call_from_thread(self.show_chart, state, swept)

    def show_chart(self, state: State, swept: Sweep) -> None:
        """Show a curve, unless the state has moved on to another run, day or quantity."""
        now = self.app.state
        if (now.day, now.picked_row, now.chart, now.units) != (
            state.day,
            swept.row,
            state.chart,
            state.units,
        ):
            return
        onset = float("inf")
        if now.assessment is not None and now.assessment.day is now.day:
            onset = onset_marked(now.assessment, swept.row)
        self.query_one(ChartView).chart = speed_chart(swept, now.chart, now.show, onset=onset)

    def on_line_table_row_moved(self, message: LineTable.RowMoved) -> None:
        """Pick the run under the cursor."""
        state = self.app.state
        if message.index < len(state.rows):
            self.app.state = state.with_picked(state.rows[message.index])

    def on_line_table_row_chosen(self) -> None:
        """Show everything about the picked run."""
        self.action_detail()

    def on_line_table_header_clicked(self, message: LineTable.HeaderClicked) -> None:
        """Sort by the column."""
        self.app.state = self.app.state.sorted_by(message.key)

    def on_input_changed(self, message: Input.Changed) -> None:
        """Filter while words are typed."""
        self.app.state = replace(self.app.state, wanted=message.value)

    def on_input_submitted(self) -> None:
        """Keep the filter and go back to the table."""
        self._close_filter()

    def key_escape(self) -> None:
        """Clear the filter."""
        self.query_one("#filter", Input).value = ""
        self._close_filter()

    def _close_filter(self) -> None:
        self.query_one("#filter").display = False
        self.query_one(LineTable).focus()

    def action_faster(self) -> None:
        """Raise the speed of interest."""
        self.app.set_speed(self.app.state.stepped(+1))

    def action_slower(self) -> None:
        """Lower the speed of interest."""
        self.app.set_speed(self.app.state.stepped(-1))

    def action_type_speed(self) -> None:
        """Ask for the speed of interest."""

        def take(speed: float | None) -> None:
            if speed is not None:
                self.app.set_speed(self.app.state.with_speed(speed))

        self.app.push_screen(AskSpeed(self.app.state), take)

    def action_place(self) -> None:
        """Go to the speed of the next named place."""
        state = self.app.state
        if not state.places:
            self.notify("no places are named in session.toml")
            return
        moved = state.at_next_place()
        self.app.set_speed(moved)
        names = [place.name for place in state.places if place.speed == moved.speed]
        self.notify(f"{' and '.join(names)}: {state.show.speed(moved.speed)}", markup=False, timeout=2)

    def action_fold(self) -> None:
        """Fold or unfold repeats."""
        self.app.state = self.app.state.with_fold_turned()

    def action_next_chart(self) -> None:
        """Draw the next quantity."""
        self.app.state = self.app.state.with_next_chart()

    def action_filter(self) -> None:
        """Ask for the words of the filter."""
        field = self.query_one("#filter", Input)
        field.display = True
        field.focus()

    def action_sort(self) -> None:
        """Sort by the next column."""
        self.app.state = self.app.state.sorted_by_next()

    def action_turn_sort(self) -> None:
        """Turn the order round."""
        state = self.app.state
        if state.sort is not None:
            self.app.state = replace(state, sort=(state.sort[0], not state.sort[1]))

    def action_detail(self) -> None:
        """Show everything about the picked run."""
        if self.app.state.assessment is not None and self.app.state.picked_row is not None:
            self.app.push_screen(Detail())

    def action_notes(self) -> None:
        """Show what was assumed and what is unlikely."""
        if self.app.state.assessment is not None:
            self.app.push_screen(Notes())

    def action_copy(self) -> None:
        """Copy the table as text."""
        from tui.printed import print_table  # noqa: PLC0415 - only when asked

        state = self.app.state
        if state.assessment is not None:
            text, _ = print_table(state.assessment, state.show, 160, None)
            self.app.copy_to_clipboard(text)
            self.notify("table copied as text")
