"""The scatter of the day: what it can show, where that is known from, and how readings moved."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING, ClassVar

from textual.widgets import Static

from balance.decide.day.day_scatter import scatter_of_day
from balance.model.channels import DRAG, FRONT, REAR, TOTAL
from balance.tell.head import session_line
from balance.tell.parts.part_charts import repeats_chart
from balance.tell.repeatability.scatter_words import scatter_sections
from tui.host.actions import Action, closing
from tui.host.page import OverRuns
from tui.host.state_sheet import StateSheet
from tui.host.workers import Latest
from tui.widgets.chart import ChartView
from tui.widgets.key_footer import KeyFooter
from tui.widgets.sheet import Sheet, section_lines

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from balance.decide.day.day import Day
    from balance.decide.day.day_scatter import DayScatter
    from tui.host.state import State

_ORDER = (TOTAL, FRONT, REAR, DRAG)
"""Forces in the order in which a key goes through them; whatever else is compared follows."""

SCATTER = (
    Action("next_quantity", "c", "quantity", "total, front, rear, drag, what else is compared: the next one"),
    Action("copy", "y", "copy", "copy this page as text", on_footer=False),
    closing("runs", "go back to the runs", on_footer=False),
)


class Scatter(OverRuns, StateSheet):
    """Chart of the repeats above, what they mean below."""

    ACTIONS: ClassVar = SCATTER

    def __init__(self) -> None:
        super().__init__()
        self._work = Latest(self.app, self._take)
        self._found: DayScatter | None = None
        self._asked: Day | None = None
        self._place = 0

    def compose(self) -> ComposeResult:
        """Lay out head, chart and sheet."""
        yield Static("", id="head", markup=False)
        yield ChartView(id="repeats")
        yield Sheet(classes="sheet")
        yield KeyFooter()

    def show_state(self, state: State) -> None:
        """Bring the screen to a state."""
        day = state.day
        if day is None:
            return
        head = f"{session_line(day.session)} · repeatability and drift of the day"
        self.write_lines("#head", self.folded(head))
        if self._found is not None and self._found.day is day:
            self._show(self._found, state)
        elif self._asked is not day:
            self._asked = day
            self._work.ask(lambda: _scatter(day))

    def _take(self, found: DayScatter) -> None:
        """Take in figures, unless another day is looked at meanwhile."""
        if found.day is self.app.state.day:
            self._found = found
            self._show(found, self.app.state)

    def _show(self, found: DayScatter, state: State) -> None:
        self.query_one(ChartView).display = bool(found.sets)
        quantities = (*_ORDER, *range(len(_ORDER), len(_ORDER) + len(found.columns)))
        quantity = quantities[self._place % len(quantities)]
        self.query_one(ChartView).chart = repeats_chart(found, quantity, state.show)
        self.query_one(Sheet).show(section_lines(scatter_sections(found, state.show)))

    def action_next_quantity(self) -> None:
        """Draw the next quantity."""
        self._place += 1
        self.show_state(self.app.state)

    def action_copy(self) -> None:
        """Copy the scatter as text."""
        from tui.printing.parts import print_scatter  # noqa: PLC0415 - only when asked

        if self._found is not None:
            self.app.copy_text("scatter", print_scatter(self._found, self.app.state.show, 100))


@lru_cache(maxsize=2)
def _scatter(day: Day) -> DayScatter:
    return scatter_of_day(day)
