"""Up to four what-ifs side by side: the present one, and saved ones."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, ClassVar

from textual.widgets import Static

from balance.model.errors import AxletrimError
from balance.tell.what_if.assumption_text import assumption_lines
from balance.tell.what_if.what_if_table import what_if_table
from balance.tell.what_if.what_if_text import range_of
from balance.tell.words import CAUTIONS
from tui.features.what_if.saved_what_ifs import saved_what_ifs
from tui.host.actions import Action, closing
from tui.host.prepared_days import prepared_with
from tui.host.state_sheet import StateSheet
from tui.host.what_if_view import MOST_COMPARED
from tui.host.workers import Latest
from tui.widgets.key_footer import KeyFooter
from tui.widgets.plain import plain
from tui.widgets.sheet import Sheet
from tui.widgets.table_lines import table_lines

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from balance.decide.what_if.what_if import WhatIfResult
    from balance.model.what_ifs import WhatIf
    from tui.host.state import State

Found = tuple[object, list[tuple[str, "WhatIfResult | str"]]]
"""What was asked, and for each what-if its name with its result, or why there is none."""

COMPARED = (
    Action("choose", "f4", "choose", "put a saved what-if beside the others, or take it away"),
    closing("back", "go back to the what-if"),
)


class Compared(StateSheet):
    """A column a what-if."""

    ACTIONS: ClassVar = COMPARED

    def __init__(self) -> None:
        super().__init__()
        self._work = Latest(self.app, self._take)
        self._asked: object = None
        self._found: Found | None = None

    def compose(self) -> ComposeResult:
        """Lay out head and sheet."""
        yield Static("", id="head", markup=False)
        yield Sheet(classes="sheet")
        yield KeyFooter()

    def show_state(self, state: State) -> None:
        """Bring the screen to a state."""
        day, present = state.day, state.what_if.present
        if day is None or present is None:
            return
        saved = {one.name: one for one in saved_what_ifs(self.app)}
        chosen = [saved[name] for name in state.what_if.compared if name in saved]
        asked = (day, state.parts.chosen_baselines(day), state.speed, present, tuple(chosen))
        title = f"{len(chosen) + 1} of at most {MOST_COMPARED} what-ifs at {state.show.speed(state.speed)} · F4 chooses among the saved"
        self.query_one("#head", Static).update(title)
        if self._found is not None and self._found[0] == asked:
            self._show(self._found, state)
        elif self._asked != asked:
            self._asked = asked
            self._work.ask(lambda: self._evaluated(asked, [replace(present, name="as it stands"), *chosen]))

    @staticmethod
    def _evaluated(asked: tuple[object, ...], what_ifs: list[WhatIf]) -> Found:
        """Evaluate what-ifs: for a worker thread."""
        from balance.decide.what_if.what_if import evaluate_what_if  # noqa: PLC0415 - after the first paint
        from balance.tell.library.other_cars import what_ifs_with_library  # noqa: PLC0415 - as above

        day, baselines, speed = asked[:3]
        prepared = prepared_with(day, baselines)
        what_ifs = list(what_ifs_with_library(day.session, what_ifs))  # type: ignore[attr-defined]
        found: list[tuple[str, WhatIfResult | str]] = []
        for one in what_ifs:
            try:
                found.append((one.name, evaluate_what_if(prepared, one, speed=speed)))  # type: ignore[arg-type]
            except AxletrimError as fault:
                found.append((one.name, str(fault)))
        return asked, found

    def _take(self, found: Found) -> None:
        self._found = found
        self.show_state(self.app.state)

    def _show(self, found: Found, state: State) -> None:
        """Write the verdicts, the table, and what each rests on."""
        results = [(plain(name), one) for name, one in found[1] if not isinstance(one, str)]
        lines: list[tuple[str, str]] = []
        for name, one in results:
            lines.append(
                (f"{name} (from run {one.what_if.start}): {range_of(one.result, state.show)}", "strong")
            )
        lines += [(f"× {name}: {words}", "danger") for name, words in found[1] if isinstance(words, str)]
        cars = [(name, one.result) for name, one in results]
        lines += [("", ""), *table_lines(what_if_table(cars, state.show), self.size.width - 4)]
        for name, one in results:
            lines.append((f"{name} rests on", "heading"))
            rests = assumption_lines(one.assumptions, state.show) or ["nothing beyond the day's own"]
            lines += [(f"· {text}", "") for text in rests]
        lines += [("Cautions", "heading"), *((f"· {text}", "") for text in CAUTIONS)]
        self.query_one(Sheet).show(lines)

    def action_choose(self) -> None:
        """Put a saved what-if beside the others, or take it away."""
        view = self.app.state.what_if

        def take(name: str) -> None:
            state = self.app.state
            self.app.state = replace(state, what_if=state.what_if.with_compared(name))

        saved = saved_what_ifs(self.app)
        if not saved:
            self.notify("no what-if is saved on this day: F10 saves the one that is being made")
            return
        choices = [
            (one.name, one.name, "SHOWN: take it away" if one.name in view.compared else "") for one in saved
        ]
        self.app.pick("Which saved what-if?", choices, take)
