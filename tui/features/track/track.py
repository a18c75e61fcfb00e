"""The customer's track: what configurations and parts are worth there in seconds a lap, and which parts their price."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, ClassVar

from textual.containers import Container, Vertical
from textual.widgets import Static

from balance.tell.table import EMPTY
from balance.tell.words import CAUTION_SHORT
from tui.features.track.track_map import TrackMap
from tui.host.actions import Action, closing
from tui.host.following import follow
from tui.host.page import Page
from tui.host.track_view import (
    LISTS,
    TrackWanted,
    track_wanted,
    work_out_corners,
    work_out_prices,
    work_out_track,
)
from tui.host.workers import Latest
from tui.widgets.key_footer import KeyFooter
from tui.widgets.line_table import LineTable
from tui.widgets.plain import needs_ascii, plain, plain_lines

if TYPE_CHECKING:
    from collections.abc import Sequence

    from textual.app import ComposeResult

    from balance.decide.laps.day_laps import DayLaps
    from tui.host.state import State
    from tui.host.track_view import CornersPicked, PricesFound, TrackFigures, TrackView

_LOOK = 1.0
"""Seconds between looks at the files of the track."""
_LOW = 30
_WIDE = 110
"""Cells from which two lists stand below one another."""
_WIDEST = 40
"""Cells of a column that is not flexible."""

TRACK = (
    Action(
        "lap",
        "d",
        "lap",
        "corners and straights of the picked configuration against the start, and what was assumed; Enter does too",
        shown_key="enter",
    ),
    Action("list", "f2", "list", "the next list: configurations, parts, prices"),
    Action("next_track", "f3", "track", "the next track of the car"),
    Action("copy", "y", "copy", "copy the page as text", on_footer=False),
    closing("runs", "go back to the runs", on_footer=False),
)


class Track(Page[None]):
    """The track with its corners, the configurations by seconds, and what parts or packages are worth."""

    CSS_PATH = "track.tcss"
    ACTIONS: ClassVar = TRACK

    def __init__(self) -> None:
        super().__init__()
        self._work = Latest(self.app, self._take)
        self._corner_work = Latest(self.app, self._take_corners)
        self._price_work = Latest(self.app, self._take_prices)
        self._asked: TrackWanted | None = None
        self._asked_corners: tuple[DayLaps, int] | None = None
        self._priced: DayLaps | None = None
        self._lists_shown: tuple[object, ...] = ()
        self._written: dict[str, tuple[str, ...]] = {}

    def compose(self) -> ComposeResult:
        """Lay out head, drawing and corners, and the lists."""
        yield Static("", id="head", markup=False)
        yield Static("", id="banner", markup=False)
        yield Static("", id="best", markup=False)
        yield Static("", id="missing", markup=False)
        with Container(id="page"):
            with Container(id="left"):
                with Vertical(id="map"):
                    yield TrackMap(id="drawing")
                    yield Static("", id="legend", markup=False)
                yield LineTable(id="corners", empty="no corner on this track")
            with Container(id="right"):
                yield Static("", id="rows_head", classes="heading", markup=False)
                yield LineTable(id="rows", empty="no configuration")
                yield Static("", id="worth_head", classes="heading", markup=False)
                yield LineTable(id="worth", empty="nothing to compare")
        yield Static("", id="notes", markup=False)
        yield Static(CAUTION_SHORT, id="caution", markup=False)
        yield KeyFooter()

    def on_mount(self) -> None:
        """Watch the state, and the files of the track."""
        self.query_one("#missing").display = False
        self.query_one("#page").display = False
        self.set_focus(self._rows)
        self.set_interval(_LOOK, self._look_at_files)
        follow(self, self.show_state)

    def on_resize(self) -> None:
        """Draw and fold anew, once everything has its new size."""
        self.call_after_refresh(self._show_again)

    def _show_again(self) -> None:
        self.show_state(self.app.state, self.app.state)

    @property
    def _rows(self) -> LineTable:
        return self.query_one("#rows", LineTable)

    @property
    def _worth(self) -> LineTable:
        return self.query_one("#worth", LineTable)

    @property
    def _lists(self) -> tuple[str, ...]:
        """The lists that the key goes through: beside the configurations, or in their place."""
        return LISTS[1:] if self.size.width >= _WIDE else LISTS

    def write_lines(self, part: str, lines: Sequence[str]) -> None:
        """Write lines into a part of the page where others stand; as many as before leave the page laid out as it is."""
        there = self._written.get(part)
        if there == tuple(lines):
            return
        self._written[part] = tuple(lines)
        if there is None or len(there) != len(lines) or part == "#notes":
            super().write_lines(part, lines)
        else:
            self.query_one(part, Static).update("\n".join(lines), layout=False)

    def show_state(self, before: State, state: State) -> None:
        """Bring the screen to a state; what is not worked out for it yet is asked for."""
        if state.day is None or not self.size:
            return
        wanted = _wanted(state)
        figures = state.track.figures
        if not wanted.same(figures and figures.wanted) and not wanted.same(self._asked):
            self._asked = wanted
            self._work.ask(lambda: work_out_track(wanted))
        self._ask_more(state.track)
        if before is state or before.track is not state.track or before.units != state.units:
            self._show(state, wanted)

    def _ask_more(self, view: TrackView) -> None:
        """Ask for what stands beside the picked configuration, and for packages once they are to be shown."""
        laps, position = view.figures and view.figures.laps, view.position
        if laps is None or position is None:
            return
        if view.of_picked is None and self._asked_corners != (laps, position):
            self._asked_corners = (laps, position)
            self._corner_work.ask(lambda: work_out_corners(laps, position))
        if self._listed(view) == "prices" and view.prices is None and self._priced is not laps:
            self._priced = laps
            self._price_work.ask(lambda: work_out_prices(laps))

    def _listed(self, view: TrackView) -> str:
        return view.listed if view.listed in self._lists else self._lists[0]

    def _look_at_files(self) -> None:
        """Lap anew where somebody has changed the track."""
        state = self.app.state
        if state.day is not None and not _wanted(state).same(self._asked):
            self.show_state(state, state)

    def _take(self, figures: TrackFigures) -> None:
        """Take in figures; those that are no longer asked for are replaced by the next ones."""
        if figures.wanted.same(self._asked):
            self._look(self.app.state.track.with_figures(figures))

    def _take_corners(self, found: CornersPicked) -> None:
        self._look(self.app.state.track.with_corners(found))

    def _take_prices(self, found: PricesFound) -> None:
        self._look(self.app.state.track.with_prices(found))

    def _look(self, view: TrackView) -> None:
        if view is not self.app.state.track:
            self.app.state = replace(self.app.state, track=view)

    def _show(self, state: State, wanted: TrackWanted) -> None:
        """Show everything, or why there is nothing to show."""
        figures = state.track.figures
        current = wanted.same(figures and figures.wanted)
        laps = None if figures is None else figures.laps
        self.write_lines("#banner", [] if current else ["lapping the day …"])
        self.query_one("#page").display = laps is not None
        missing = self.query_one("#missing", Static)
        missing.display = figures is not None and laps is None
        for part in ("#best", "#notes"):
            self.query_one(part).display = laps is not None
        assert state.day is not None  # noqa: S101 - asked for by a state with a day
        if figures is None or laps is None:
            self.write_lines(
                "#head", self.folded(f"{state.day.session.vehicle.name} · {state.day.session.title}")
            )
            said = () if figures is None else figures.missing
            missing.update("\n\n".join(map(plain_lines, said)))
            return
        self._show_head(state, figures, laps)
        self._show_lists(state, figures, laps)
        self._show_map(state.track, laps)
        self._show_corners(state, laps)
        self._show_notes(state, laps)

    def _show_head(self, state: State, figures: TrackFigures, laps: DayLaps) -> None:
        from balance.tell.laps.track_page import best_line, track_head  # noqa: PLC0415 - after the first paint

        position = state.track.position
        self.write_lines(
            "#head", self.folded(track_head(laps, laps.start if position is None else position, state.show))
        )
        line, role = best_line(laps, figures.ranges, state.show)
        self.write_lines("#best", self.folded(line))
        self.query_one("#best").set_classes(f"verdict {role}")

    def _show_lists(self, state: State, figures: TrackFigures, laps: DayLaps) -> None:
        """Show the configurations, and beside them or in their place parts or packages."""
        from balance.tell.laps.track_page import (  # noqa: PLC0415 - after the first paint
            WORTH_HEADING,
            configurations_table,
            rows_heading,
            worth_table,
        )

        listed, view = self._listed(state.track), state.track
        shown = (laps, state.units, self.size, listed, view.prices)
        if shown == self._lists_shown:
            return  # a cursor that was just moved stays where it is
        self._lists_shown = shown
        rows = configurations_table(laps, figures.ranges, figures.order, state.show)
        self._rows.show_table(rows, widest=_WIDEST, cursor=view.picked)
        self.write_lines("#rows_head", [rows_heading(laps)])
        if listed == "prices":
            self._show_prices(state, view.prices)
        elif figures.parts is not None:
            self._worth.show_table(worth_table(laps, figures.parts), widest=_WIDEST)
            self.write_lines("#worth_head", [WORTH_HEADING])
        both = self.size.width >= _WIDE
        for part, there in (("rows", both or listed == LISTS[0]), ("worth", both or listed != LISTS[0])):
            self.query_one(f"#{part}").display = there
            self.query_one(f"#{part}_head").display = there
        table = self._rows if self._rows.display else self._worth
        if self.focused is None or not self.focused.display:
            self.set_focus(table)

    def _show_prices(self, state: State, found: PricesFound | None) -> None:
        from balance.tell.laps.price_table import price_heading, price_table  # noqa: PLC0415 - after the first paint

        if found is None or found.sale is None:
            self._worth.set_source(0, lambda _row, _key: EMPTY)
            self._worth.empty = (
                found.fault if found is not None else "working out which packages are worth their price …"
            )
            self.write_lines("#worth_head", ["prices"])
            return
        assert state.day is not None  # noqa: S101 - asked for by a state with a day
        self._worth.empty = "no package is offered"
        table = price_table(state.day.session, found.sale, found.packages, confidence=state.day.confidence)
        self._worth.show_table(table, widest=_WIDEST)
        self.write_lines("#worth_head", [price_heading(found.sale, found.packages)])

    def _show_map(self, view: TrackView, laps: DayLaps) -> None:
        """Draw the track with each corner marked by what limits the picked configuration there."""
        from balance.tell.laps.track_page import LEGEND, marked_drawing  # noqa: PLC0415 - after the first paint

        position = laps.start if view.position is None else view.position
        self.query_one(TrackMap).show(
            lambda width, height: marked_drawing(laps, position, width, height, ascii_only=needs_ascii())
        )
        self.write_lines("#legend", [LEGEND])

    def _show_corners(self, state: State, laps: DayLaps) -> None:
        from balance.tell.laps.corner_table import corner_table  # noqa: PLC0415 - after the first paint

        position, found = state.track.position, state.track.of_picked
        if position is not None:
            table = corner_table(laps, position, state.show, losses=None if found is None else found.losses)
            self.query_one("#corners", LineTable).show_table(table, widest=_WIDEST)

    def _show_notes(self, state: State, laps: DayLaps) -> None:
        """Show what drag is paid by at the picked configuration, and what a simulated lap is not."""
        from balance.tell.laps.price_table import price_notes  # noqa: PLC0415 - after the first paint
        from balance.tell.laps.track_page import page_notes  # noqa: PLC0415 - after the first paint

        found = state.track.of_picked
        brief = self.size.height < _LOW
        notes = page_notes(laps, state.show, None if found is None else found.rate, brief=brief)
        prices = state.track.prices
        if self._listed(state.track) == "prices" and prices is not None and prices.sale is not None:
            notes = (price_notes(prices.sale, prices.packages, brief=brief), *notes)
        self.write_lines("#notes", [plain(line) for line in notes if line])

    def on_line_table_row_moved(self, message: LineTable.RowMoved) -> None:
        """Look at the configuration under the cursor."""
        view = self.app.state.track
        if message.table is self._rows and message.table.cursor != view.picked:
            self._look(replace(view, picked=message.table.cursor))

    def on_line_table_row_chosen(self, message: LineTable.RowChosen) -> None:
        """Tell everything about the lap of the configuration."""
        if message.table is not self._worth:
            self.action_lap()

    def action_lap(self) -> None:
        """Tell everything about the lap of the picked configuration."""
        self.app.show_lap()

    def action_list(self) -> None:
        """Show the next list."""
        self._look(self.app.state.track.with_next_list(self._lists))

    def action_next_track(self) -> None:
        """Turn to the next track of the car."""
        figures = self.app.state.track.figures
        if figures is not None and len(figures.wanted.folders) < 2:
            self.app.notify("the car has no other track")
            return
        self._look(self.app.state.track.with_next_track())

    def action_copy(self) -> None:
        """Copy the page as text."""
        from tui.printing.laps import print_laps  # noqa: PLC0415 - only when asked

        view, show = self.app.state.track, self.app.state.show
        figures, found = view.figures, view.of_picked
        if figures is not None and figures.laps is not None and found is not None:
            text = print_laps(
                figures.laps,
                figures.order,
                figures.ranges,
                show,
                100,
                at=found.position,
                rate=found.rate,
                steps=found.steps,
                full=True,
            )
            self.app.copy_text("laps", text)

    def action_close(self) -> None:
        """Go back to the runs."""
        self.app.action_runs()


def _wanted(state: State) -> TrackWanted:
    """Return what the figures of a state hang on."""
    assert state.day is not None  # noqa: S101 - asked for by a state with a day
    return track_wanted(state.day, state.recommended and state.recommended.start, state.track.folder)
