"""The home screen: the runs of the day, and the card of the picked one."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, ClassVar

from textual.widgets import Input, Static

from balance.tell.head import session_line, state_line
from balance.tell.runs.doubt_words import doubt_words
from balance.tell.table import EMPTY, Cell
from tui.features.runs import run_edits
from tui.features.runs.actions import HOME
from tui.features.runs.run_card import RunCard
from tui.host.following import follow
from tui.host.speed_actions import AtASpeed
from tui.widgets.key_footer import KeyFooter
from tui.widgets.line_table import LineTable, cells_apart
from tui.widgets.plain import cut, pack, plain

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from balance.tell.runs.run_table import RunTable
    from tui.host.state import State

_WIDE = 150
"""Columns from which verdicts are written in full."""
_INVENTED = "(invented)"
"""What a car is called by that is there to be looked round in."""
_HINTS = (
    "A row is one configuration, judged up to top speed: ▼ is dangerous · ↑↓ picks one · Enter: why · 2: what each part did",
    "▼ is dangerous, ● in balance · ↑↓ picks a row · Enter: why · 2: the parts",
)
"""What one looks at on a first screen, and what to press: in full where there is room."""
_LOW, _CARD_LOW, _CARD_HIGH, _LEAST_TABLE = 30, 13, 19, 5
"""Rows: below which the screen is low, least heights of the card, least height of the table."""


class Home(AtASpeed):
    """Runs table above, card of the picked run below."""

    ACTIONS: ClassVar = HOME

    def compose(self) -> ComposeResult:
        """Lay out head, table and card."""
        yield Static("", id="head", markup=False)
        yield Static("", id="recommended", markup=False)
        yield Static("", id="banner", markup=False)
        yield LineTable(id="runs")
        yield Input(
            placeholder="words to stand in the row: Enter keeps them, Esc clears", id="filter", compact=True
        )
        yield RunCard(id="card")
        yield KeyFooter()

    def on_mount(self) -> None:
        """Watch the state."""
        for part in ("#filter", "#recommended", "#banner", "#card"):
            self.query_one(part).display = False
        self.set_focus(self.query_one(LineTable))
        follow(self, self.show_state)

    def on_screen_resume(self) -> None:
        """Look whether the report names another recommendation by now."""
        self.app.find_recommended()

    def on_resize(self) -> None:
        """Use full words where there is room for them."""
        wide = self.size.width >= _WIDE
        if self.app.state.wide is not wide:
            self.app.state = replace(self.app.state, wide=wide)
        self.show_state(self.app.state, self.app.state)

    def show_state(self, before: State, state: State) -> None:
        """Bring the screen to a state, redrawing only what it touches."""
        if not self.size:
            return  # once it is laid out, it is told its size
        lines = self._show_head(state) + self._show_recommended(state) + self._show_banner(state)
        table, figures = state.table, state.assessment
        if table is None or figures is None:
            self._show_nothing(state)
            return
        fresh = table is not before.table or before is state
        widget = self.query_one(LineTable)
        if fresh:
            widget.set_columns(table.columns)
        if fresh or state.rows is not before.rows or state.pending != before.pending:
            self._show_rows(state, table, keep_cursor=state.rows == before.rows and before is not state)
        self._share_height(lines)
        if fresh or state.judged_row != before.judged_row or state.chart != before.chart:
            self.query_one(RunCard).show(state, figures, brief=self.size.height < _LOW)

    def _show_nothing(self, state: State) -> None:
        """Leave no figures of another day on the screen while those of this one are worked out."""
        table = self.query_one(LineTable)
        table.empty = f"working out {state.run_count} runs …" if state.day else "reading the day …"
        if state.blank is not None:
            table.set_columns([])  # the settings of another car are no heads here
            void = len(state.blank.runs)
            back = f" ({void} void: m brings back)" if void else ""
            table.empty = f"no run counts yet: press a and type the first one{back}"
        table.styles.height = _LEAST_TABLE
        table.set_source(0, lambda _position, _key: EMPTY)
        self.query_one(RunCard).display = False

    def _show_rows(self, state: State, table: RunTable, *, keep_cursor: bool) -> None:
        judged = tuple(state.judged(row) for row in state.rows)
        widget = self.query_one(LineTable)
        apart = cells_apart(table, judged, widget)

        def cell(position: int, key: str) -> Cell:
            one = apart(position, key)
            return Cell(f"{one.text} …", one.role) if key == "verdict" and state.pending else one

        widget.empty = "no run has these words: press / and empty the filter"
        widget.set_source(len(judged), cell, cursor=None if keep_cursor else state.cursor)
        widget.sort = state.sort

    def _share_height(self, lines: int) -> None:
        """Give the table the rows it needs, and the card the rest, of which it always has enough."""
        card = _CARD_LOW if self.size.height < _LOW else _CARD_HIGH
        field = 1 if self.query_one("#filter").display else 0
        spare = self.size.height - lines - field - card - 1
        table = self.query_one(LineTable)
        table.styles.height = max(_LEAST_TABLE, min(max(table.row_count, 1) + 2, spare))

    def _show_head(self, state: State) -> int:
        """Show whose figures these are, at which speed, and how well one reading is known; count the lines."""
        width = self.line_width
        if state.session is None:
            lines = ["axletrim · reading the day …"]
        else:
            whose = session_line(state.session)
            about = (
                ""
                if state.assessment is None
                else state_line(state.assessment, state.show, brief=self.size.height < _LOW)
            )
            apart = [*pack(whose, width), *(pack(about, width) if about else ())]
            joined = pack(f"{whose} · {about}" if about else whose, width)
            lines = apart if len(apart) <= len(joined) else joined
        self.query_one("#head", Static).update("\n".join(lines))
        return len(lines)

    def _show_recommended(self, state: State) -> int:
        """Show what the day arrives at, in as much of a sentence as has room; count the lines."""
        found, figures = state.recommended, state.assessment
        lines = []
        if found is not None and figures is not None:
            from balance.tell.report.recommended import recommended_line  # noqa: PLC0415 - after the first paint

            low = self.size.height < _LOW
            said, role = recommended_line(found, figures, state.show, brief=low)
            lines = [cut(plain(said), self.line_width)] if low else self.folded(said)
            self.query_one("#recommended", Static).set_classes(f"verdict {role}")
        self.write_lines("#recommended", lines)
        return len(lines)

    def _show_banner(self, state: State) -> int:
        """Show what stands between the figures and the files; count the lines."""
        said = list(state.work.sayings)
        if state.blank is not None:
            said.append("a types a run · l watches a file that another computer adds to · i imports a table")
        if state.faults:
            count = len(state.faults)
            said.append(
                f"× {count} fault{'s' * (count != 1)} in the files now · shown is the last good state · r reads again"
            )
        if state.session is not None and state.session.left_out:
            several = len(state.session.left_out)
            said.append(f"! {several} under shares left out: n says why")
        if state.unlikely or state.far:
            said.append(self._unlikely(state))
        if state.assessment is not None and state.assessment.speed != state.speed:
            said.append(f"working out {state.show.speed(state.speed)} …")
        if state.wanted:
            said.append(f"filter: {state.wanted} · {len(state.rows)} row{'s' * (len(state.rows) != 1)}")
        lines = self.folded(" · ".join(said)) if said else []
        if state.session is not None and _INVENTED in state.session.vehicle.name:
            lines.append(next((hint for hint in _HINTS if len(hint) <= self.line_width), _HINTS[-1]))
        self.write_lines("#banner", lines)
        return len(lines)

    def _unlikely(self, state: State) -> str:
        """State which figures are worth a second look; in full where there is room."""
        more = len(state.unlikely) + len(state.far) - 1
        first = state.unlikely[0] if state.unlikely else state.far[0]
        if self.size.height >= _LOW:
            also = f" · n lists {more} more like it" if more else ""
            return f"! {plain(self._first_doubt(state))}{also}"
        what = "the car" if first.run is None else f"run {plain(first.run)}"
        also = f" and {more} more" if more else ""
        return f"! {what}{also}: unlikely figures, n says which and why"

    @staticmethod
    def _first_doubt(state: State) -> str:
        if state.unlikely:
            return doubt_words(state.unlikely[0], state.show)
        from balance.tell.plan.expected_words import far_words  # noqa: PLC0415 - after the first paint

        return far_words(state.far[0], state.show)

    def on_line_table_row_moved(self, message: LineTable.RowMoved) -> None:
        """Pick the run under the cursor."""
        state = self.app.state
        index = message.table.cursor  # where it stands now, should the rows have changed meanwhile
        # a table that is still empty, or of another day, says nothing of the rows that there are by now
        if index < len(state.rows) == message.table.row_count:
            self.app.state = state.with_picked(state.rows[index])

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
        self.set_focus(self.query_one(LineTable))
        self.show_state(self.app.state, self.app.state)

    def action_fold(self) -> None:
        """Fold or unfold repeats."""
        self.app.state = self.app.state.with_fold_toggled()

    def action_next_chart(self) -> None:
        """Draw the next quantity."""
        self.app.state = self.app.state.with_next_chart()

    def action_filter(self) -> None:
        """Ask for the words of the filter."""
        field = self.query_one("#filter", Input)
        field.display = True
        self.set_focus(field)  # at once, so that words typed fast all reach it
        self.show_state(self.app.state, self.app.state)

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
        self.app.show_detail()

    def action_notes(self) -> None:
        """Show what was assumed and what is unlikely."""
        self.app.show_notes()

    def action_copy(self) -> None:
        """Copy the table as text."""
        from tui.printing.run_table import print_table  # noqa: PLC0415 - only when asked

        state = self.app.state
        if state.assessment is not None:
            rows = state.assessment.day.rows
            shown = state.assessment.of(rows.configurations if state.folded else rows.singles)
            text, _ = print_table(shown, state.show, 160, None, full=True)
            self.app.copy_text("table", text)

    def action_add_run(self) -> None:
        """Enter a run."""
        run_edits.add_run(self.app)

    def action_this_run(self) -> None:
        """Pick what to do with the picked run."""
        run_edits.for_reading(self.app, run_edits.ask_what)

    def action_correct(self) -> None:
        """Correct the picked run."""
        run_edits.for_reading(self.app, run_edits.correct)

    def action_copy_run(self) -> None:
        """Enter a run that starts from the picked one."""
        run_edits.for_reading(self.app, run_edits.run_again)

    def action_mark(self) -> None:
        """Mark runs suspect, void or good."""
        run_edits.for_reading(self.app, run_edits.mark, void=True)

    def action_block(self) -> None:
        """Start a new block at the picked run."""
        run_edits.for_reading(self.app, run_edits.block)

    def action_baseline(self) -> None:
        """Choose what the picked run is compared with."""
        run_edits.for_reading(self.app, run_edits.baseline)

    def action_live(self) -> None:
        """Watch a file, or look at the rows of the watched one."""
        run_edits.live(self.app)

    def action_import_file(self) -> None:
        """Bring in a table of somebody else's."""
        run_edits.import_file(self.app)

    def action_edit_car(self) -> None:
        """Correct the car."""
        self.app.edit_car()

    def action_edit_session(self) -> None:
        """Correct the session."""
        self.app.edit_session()

    def action_reload(self) -> None:
        """Read the session's files once more."""
        self.app.reload()
