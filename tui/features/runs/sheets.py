"""Sheets that are read and left: everything about a run, about a part, and the day's notes."""

from __future__ import annotations

from typing import TYPE_CHECKING

from balance.tell.parts.part_detail import part_detail
from balance.tell.runs.detail import run_detail
from balance.tell.runs.remarks import assumptions, day_warnings, gathered, left_out, run_remarks, second_look
from balance.tell.words import CAUTIONS
from tui.host.state_sheet import StateSheet
from tui.host.workers import Latest
from tui.widgets.sheet import Sheet, section_lines

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from balance.decide.day.assessment import Assessment
    from balance.decide.plan.judged_reading import JudgedReading
    from balance.tell.figures import Show
    from tui.host.state import State

Lines = list[tuple[str, str]]


class SheetPage(StateSheet):
    """Lines to be read, worked out in a thread whenever the day, the speed or the units change."""

    def __init__(self) -> None:
        super().__init__()
        self._texts = Latest(self.app, self._fill)

    def fill(self, work: Callable[[], Lines]) -> None:
        """Have the lines worked out, and show them."""
        self._texts.ask(work)

    def _fill(self, lines: Lines) -> None:
        self.query_one(Sheet).show(lines)


class Detail(SheetPage):
    """Everything known about the picked run: answer, loads, balance, places, reading, method."""

    def show_state(self, state: State) -> None:
        """Tell of the picked run."""
        table, row, show = state.assessment, state.judged_row, state.show
        if table is not None and row is not None:
            self.fill(lambda: section_lines(run_detail(table, row, show), hanging=True))


class Part(SheetPage):
    """Everything known about the picked part: answer, changes, price, balance, way from the base, notes."""

    def show_state(self, state: State) -> None:
        """Tell of the picked part."""
        figures, row, show = state.parts.figures, state.parts.picked_row(), state.show
        width = self.size.width - 10
        if figures is not None and row is not None:
            self.fill(lambda: section_lines(part_detail(figures, row, show, width)))


class Notes(SheetPage):
    """What was assumed, what is unlikely, and the cautions."""

    def show_state(self, state: State) -> None:
        """Tell what is to be known of the day."""
        table, show = state.assessment, state.show
        if table is not None:
            self.fill(lambda: _notes(table, show, state.far))


def _notes(table: Assessment, show: Show, far: Sequence[JudgedReading]) -> Lines:
    """Gather headings and sentences."""
    singles = table.of(table.day.rows.singles)
    remarks = [list(run_remarks(singles, row, show)) for row in range(len(singles.rows))]
    runs = gathered(singles.labels, remarks)
    from balance.tell.plan.expected_words import far_words  # noqa: PLC0415 - only when asked

    look = [*second_look(table.day, show), *(far_words(one, show) for one in far)]
    lines: Lines = []
    for heading, sentences in (
        *([("Worth a second look", look)] if look else []),
        ("Notes on runs", [*left_out(table.day), *runs]),
        ("Notes on the day", [*day_warnings(table.day), *assumptions(table.day), *table.day.session.notes]),
        ("Cautions", list(CAUTIONS)),
    ):
        lines.append((heading, "heading"))
        lines += [(f"· {sentence}", "") for sentence in sentences or ["none"]]
    return lines
