"""The card of the picked run: verdict, added loads, why, from which speed, and a chart against speed."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.content import Content
from textual.widgets import Static

from balance.tell.figures import percent
from balance.tell.runs.card import run_card
from balance.tell.runs.curves import onset_marked, speed_chart
from tui.host.workers import Latest
from tui.widgets.axle_bars import AxleBars, Bar
from tui.widgets.chart import ChartView
from tui.widgets.plain import plain

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from balance.decide.day.assessment import Assessment
    from balance.decide.day.sweeps import Sweep
    from tui.host.host import Host
    from tui.host.state import State

CHART_SPEEDS = 60
ROWS_AROUND = 40
"""Rows on either side of the picked one of which it is found out at once what would overturn them: a page, and more."""
_ROOMY = 110
"""Columns from which a measure has room for all of its words."""


class Doubts(NamedTuple):
    """What is in doubt about a run's verdict, and of which figures it was said."""

    figures: Assessment
    row: int
    sentences: tuple[str, ...]


class RunCard(Vertical):
    """Shows the picked run of a state; nothing where no run is shown."""

    app: Host

    def __init__(self, *, id: str) -> None:  # noqa: A002 - Textual's own word
        super().__init__(id=id)
        self._sweeps = Latest(self.app, self._take_sweep)
        self._sweep: Sweep | None = None
        self._doubts = Latest(self.app, self._take_doubts)
        self._of_readings: tuple[str, ...] = ()

    def compose(self) -> ComposeResult:
        """Lay out the headline, and words and chart side by side below it."""
        yield Static("", id="headline", markup=False)
        yield Static("", id="doubt", markup=False)
        with Horizontal():
            with VerticalScroll(id="says", can_focus=False):
                yield Static("", id="measure", markup=False)
                yield AxleBars(id="bars", tick=percent)
                yield Static("", id="why", markup=False)
                yield Static("", id="onset", markup=False)
            yield ChartView(id="chart")

    def show(self, state: State, figures: Assessment, *, brief: bool) -> None:
        """Show the picked run."""
        row = state.judged_row
        self.display = row is not None
        if row is None:
            return
        card = run_card(figures, row, state.show)
        self.border_title = Content(plain(card.title))
        headline = self.query_one("#headline", Static)
        headline.update(card.headline)
        headline.set_classes(f"verdict {card.role}")
        of_weight = (
            "% of static weight" if brief or self.app.size.width < _ROOMY else "% of the axle's static weight"
        )
        measure = f"load added at {state.show.speed(figures.speed)}, {of_weight}"
        self.query_one("#measure", Static).update(measure)
        bars = self.query_one(AxleBars)
        bars.tick = None if brief else percent
        bars.bars = tuple(
            Bar(bar.axle, bar.text, bar.share, role="danger" if bar.lift else "bar") for bar in card.bars
        )
        self.query_one("#why", Static).update(card.why_brief if brief else card.why)
        self.query_one("#onset", Static).update("\n".join(filter(None, (card.onset, card.caution))))
        self._of_readings = tuple(plain(one) for one in card.doubted[: 1 if brief else None])
        self._say_doubts(state, figures, row, brief=brief)
        self._draw_chart(state, row)

    def _say_doubts(self, state: State, figures: Assessment, row: int, *, brief: bool) -> None:
        """Show what would overturn the verdict: at once where it is known, else from a worker, for the rows around."""
        if figures.ranges[row].awaited:
            self._show_doubts(())
            return
        from balance.decide.day.overturned import is_worked_out, overturned  # noqa: PLC0415 - after the first paint
        from balance.tell.runs.overturn_words import doubt_sentences  # noqa: PLC0415 - after the first paint

        show = state.show
        if is_worked_out(figures, row):
            self._show_doubts(doubt_sentences(figures, row, show, brief=brief))
            return

        shown = state.rows[max(0, state.cursor - ROWS_AROUND) : state.cursor + ROWS_AROUND]
        around = list(dict.fromkeys((row, *map(state.judged, shown))))

        def work() -> Doubts:
            overturned(figures, around)
            return Doubts(figures, row, doubt_sentences(figures, row, show, brief=brief))

        self._show_doubts(())
        self._doubts.ask(work)

    def _take_doubts(self, found: Doubts) -> None:
        """Show the sentences, unless another run or day was picked meanwhile."""
        if found.figures.day is self.app.state.day and found.row == self.app.state.judged_row:
            self._show_doubts(found.sentences)

    def _show_doubts(self, sentences: tuple[str, ...]) -> None:
        doubt, said = self.query_one("#doubt", Static), (*self._of_readings, *sentences)
        doubt.update("\n".join(said))
        doubt.display = bool(said)

    def _draw_chart(self, state: State, row: int) -> None:
        """Draw the curve at once without its interval, and again with it from a worker."""
        day = state.day
        if day is None:
            return
        from balance.decide.day.sweeps import speed_range, sweep  # noqa: PLC0415 - after the first paint

        whole = speed_range(day)
        speeds = np.linspace(whole[0], max(float(whole[-1]), state.speed), CHART_SPEEDS)
        drawn = self._sweep
        if drawn is not None and drawn.day is day and drawn.row == row and drawn.speeds[-1] == speeds[-1]:
            self._show_chart(drawn)
            return
        self._show_chart(sweep(day, row, speeds, drawn=False))
        self._sweeps.ask(lambda: sweep(day, row, speeds))

    def _take_sweep(self, swept: Sweep) -> None:
        """Show a curve with its interval, unless another run or day was picked meanwhile."""
        state = self.app.state
        if swept.day is state.day and swept.row == state.judged_row:
            self._sweep = swept
            self._show_chart(swept)

    def _show_chart(self, swept: Sweep) -> None:
        state, onset = self.app.state, float("inf")
        if state.assessment is not None and state.assessment.day is swept.day:
            onset = onset_marked(state.assessment, swept.row)
        self.query_one(ChartView).chart = speed_chart(swept, state.chart, state.show, onset=onset)
