"""What each part did: the comparisons of the day, and the card of the picked one."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, ClassVar

from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.content import Content
from textual.geometry import Size
from textual.widgets import Static

from balance.tell.head import session_line
from balance.tell.parts.part_card import part_card
from balance.tell.parts.part_charts import increments_map
from balance.tell.parts.part_detail import way_lines
from balance.tell.parts.part_head import parts_banner, parts_line
from balance.tell.parts.part_table import RANK_COLUMNS, RANKS
from tui.host.actions import Action, closing
from tui.host.following import follow
from tui.host.parts_view import work_out
from tui.host.speed_actions import PLACE, STEPS, AtASpeed
from tui.host.workers import Latest
from tui.widgets.axle_bars import AxleBars, Bar
from tui.widgets.chart import ChartView
from tui.widgets.key_footer import KeyFooter
from tui.widgets.line_table import LineTable
from tui.widgets.plain import pack, plain

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from balance.decide.parts.parts import Parts as Figures
    from tui.host.parts_view import PartsView, PartsWanted
    from tui.host.state import State

_WIDE = 150
_LOW, _CARD_LOW, _CARD_HIGH, _LEAST_TABLE = 30, 12, 17, 5
"""Rows: below which the screen is low, least heights of the card, least height of the table."""

PARTS = (
    *STEPS,
    PLACE,
    Action("rank", "s", "order", "put the parts in order of the next quantity"),
    Action("baseline", "b", "baseline", "choose what the picked run is compared with"),
    Action("drift", "f4", "drift", "remove drift from the changes, or leave it in"),
    Action(
        "next_picture",
        "c",
        "chart",
        "the map of downforce against drag, or the way from the first baseline part by part",
    ),
    Action("detail", "d", "detail", "everything about the picked part; Enter does too"),
    Action("copy", "y", "copy", "copy the parts as text", on_footer=False),
    closing("runs", "go back to the runs", on_footer=False),
)


class Parts(AtASpeed):
    """Table of parts above, card of the picked one below."""

    ACTIONS: ClassVar = PARTS

    def __init__(self) -> None:
        super().__init__()
        self._work = Latest(self.app, self._take)
        self._asked: PartsWanted | None = None
        self._shown_in = Size(0, 0)

    def compose(self) -> ComposeResult:
        """Lay out head, table and card."""
        yield Static("", id="head", markup=False)
        yield Static("", id="banner", markup=False)
        yield LineTable(id="parts", empty="no run differs from its baseline: nothing to compare")
        with Vertical(id="card"):
            yield Static("", id="headline", markup=False)
            with Horizontal():
                with VerticalScroll(id="says", can_focus=False):
                    yield AxleBars(id="changes")
                    yield Static("", id="lines", markup=False)
                yield ChartView(id="chart")
                with VerticalScroll(id="way", can_focus=False):
                    yield Static("", id="bars_of_way", markup=False)
        yield KeyFooter()

    def on_mount(self) -> None:
        """Watch the state."""
        self.query_one("#card").display = False
        self.query_one("#banner").display = False
        self.set_focus(self.query_one(LineTable))
        follow(self, self.show_state)

    def on_resize(self) -> None:
        """Use full words where there is room for them, and lay the way out beside what has its width by now."""
        if self.size != self._shown_in or self.app.state.parts.chart != "map":
            self.show_state(self.app.state, self.app.state)

    def on_line_table_columns_dropped(self) -> None:
        """Say in which order the parts stand where their column has no room."""
        state = self.app.state
        if state.parts.figures is not None:
            self._share_height(self._show_head(state))

    def show_state(self, before: State, state: State) -> None:
        """Bring the screen to a state, redrawing only what it touches."""
        if state.day is None or not self.size:
            return  # once it is laid out, it is told its size
        self._shown_in = self.size
        wanted = state.parts.wanted(state.day, state.speed)
        if wanted not in (state.parts.worked_out_for, self._asked):
            self._asked = wanted
            self._work.ask(lambda: work_out(wanted))
        figures = state.parts.figures
        if figures is None:
            self._show_head(state)
            return
        wide = self.size.width >= _WIDE
        table = state.parts.table(state.units, wide=wide)
        fresh = before is state or before.parts.figures is not figures or before.units != state.units
        moved = before.parts.rank != state.parts.rank
        widget = self.query_one(LineTable)
        rows = state.parts.rows()
        if table is not None and (fresh or moved):
            widget.set_columns(table.columns)
            picked = state.parts.picked_row()
            cursor = 0 if picked is None else rows.index(picked)
            widget.sort = (RANK_COLUMNS[state.parts.rank], True)
            widget.set_source(len(rows), lambda k, key: table.cell(rows[k], key), cursor=cursor)
        self._share_height(self._show_head(state))
        if (
            fresh
            or moved
            or before.parts.picked != state.parts.picked
            or before.parts.chart != state.parts.chart
        ):
            self._show_card(state, figures)

    def _take(self, found: tuple[Figures, PartsWanted]) -> None:
        """Take in figures; those of a day, speed or baseline no longer looked at are dropped."""
        figures, wanted = found
        state = self.app.state
        if state.day is not None and state.parts.wanted(state.day, state.speed) == wanted:
            self._look(state.parts.with_figures(figures, wanted))

    def _look(self, view: PartsView) -> None:
        self.app.state = replace(self.app.state, parts=view)

    def _order(self, view: PartsView) -> str | None:
        """State in which order the parts stand, where no mark over a column does."""
        dropped = self.query_one(LineTable).dropped
        column = RANK_COLUMNS[view.rank]
        return RANKS[view.rank][1] if column in dropped else None

    def _show_head(self, state: State) -> int:
        """Show whose figures these are, at which speed, and how well one reading is known; count the lines."""
        assert state.day is not None  # noqa: S101 - asked for by a state with a day
        width = self.line_width
        view = state.parts
        text = session_line(state.day.session)
        pending = view.wanted(state.day, state.speed) != view.worked_out_for
        said = [f"working out the parts at {state.show.speed(state.speed)} …"] if pending else []
        if view.figures is not None:
            text = f"{text} · {parts_line(view.figures, state.show)}"
            said += parts_banner(
                view.figures, by_hand=len(view.baselines), order=self._order(view), drift_key="F4"
            )
        head = pack(text, width)
        self.query_one("#head", Static).update("\n".join(head))
        lines = pack(" · ".join(said), width) if said else []
        self.write_lines("#banner", lines)
        return len(head) + len(lines)

    def _share_height(self, lines: int) -> None:
        """Give the table the rows it needs, and the card the rest, of which it always has enough."""
        card = _CARD_LOW if self.size.height < _LOW else _CARD_HIGH
        table = self.query_one(LineTable)
        spare = self.size.height - lines - card - 1
        table.styles.height = max(_LEAST_TABLE, min(max(table.row_count, 1) + 2, spare))

    def _show_card(self, state: State, figures: Figures) -> None:
        row = state.parts.picked_row()
        box = self.query_one("#card")
        box.display = row is not None
        if row is None:
            return
        card = part_card(figures, row, state.show)
        box.border_title = Content(plain(card.title))
        self.query_one("#headline", Static).update(card.headline)
        self.query_one(AxleBars).bars = tuple(
            Bar(bar.name, bar.text, bar.value, bar.low, bar.high) for bar in card.bars
        )
        self.query_one("#lines", Static).update("\n".join(card.lines))
        on_map = state.parts.chart == "map"
        self.query_one(ChartView).display = on_map
        self.query_one("#way").display = not on_map
        if on_map:
            rows = state.parts.rows()
            self.query_one(ChartView).chart = increments_map(
                figures,
                rows,
                row,
                state.show,
                brief=self.size.height < _LOW,
                paid=None if state.day is None else state.track.paid(state.day),
            )
        else:
            room = self.size.width - self.query_one("#says").outer_size.width - 3
            lines = way_lines(figures, row, state.show, room)
            self.query_one("#bars_of_way", Static).update("\n".join(lines))

    def on_line_table_row_moved(self, message: LineTable.RowMoved) -> None:
        """Pick the part under the cursor."""
        view = self.app.state.parts
        rows = view.rows()
        index = message.table.cursor
        if index < len(rows) and view.run_of(rows[index]) != view.picked:
            self._look(replace(view, picked=view.run_of(rows[index])))

    def on_line_table_row_chosen(self) -> None:
        """Show everything about the picked part."""
        self.action_detail()

    def action_close(self) -> None:
        """Go back to the runs."""
        self.app.action_runs()

    def action_rank(self) -> None:
        """Put the parts in the next order."""
        self._look(self.app.state.parts.with_next_rank())

    def action_next_picture(self) -> None:
        """Draw the other picture."""
        self._look(self.app.state.parts.with_next_chart())

    def action_drift(self) -> None:
        """Take the drift out, or leave it in."""
        view = self.app.state.parts
        if view.figures is not None and not view.figures.drift_offered:
            self.notify(
                "no drift is significant on this day: there is none to remove (3 shows the repeatability)"
            )
            return
        self._look(view.with_drift_toggled())

    def action_baseline(self) -> None:
        """Choose what the picked run is compared with."""
        view = self.app.state.parts
        row = view.picked_row()
        if row is None:
            return
        run = view.run_of(row)

        def take(chosen: tuple[str | None] | None) -> None:
            if chosen is not None:
                kept = self.app.open_day.keep_baseline(run, chosen[0])
                self._look(self.app.state.parts.with_baseline(run, None if kept else chosen[0]))

        self.app.ask_baseline(run, take)

    def action_detail(self) -> None:
        """Show everything about the picked part."""
        if self.app.state.parts.picked_row() is not None:
            self.app.show_part()

    def action_copy(self) -> None:
        """Copy the parts as text."""
        from tui.printing.parts import print_parts  # noqa: PLC0415 - only when asked

        state = self.app.state
        if state.parts.figures is not None:
            text, _ = print_parts(state.parts.figures, state.parts.rank, state.show, 160, full=True)
            self.app.copy_text("parts", text)
