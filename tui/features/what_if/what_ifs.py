"""What the car would be like if: what is different on the left, start and result on the right, against speed below."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, ClassVar

from textual.containers import Horizontal, Vertical
from textual.widgets import Input, Static

from balance.model.errors import AxletrimError
from balance.model.what_ifs import WhatIf
from balance.tell.head import session_line
from balance.tell.what_if.input_edits import cleared
from balance.tell.what_if.input_steps import stepped
from balance.tell.what_if.input_typing import typed
from balance.tell.what_if.inputs import inputs_of
from balance.tell.what_if.what_if_charts import what_if_chart
from balance.tell.what_if.what_if_table import what_if_answer, what_if_table
from tui.app.actions import bindings
from tui.app.decide_actions import WHAT_IF
from tui.app.following import follow
from tui.app.speed_actions import AtASpeed
from tui.app.workers import Latest
from tui.features.what_if import what_if_edits
from tui.features.what_if.bases import basis_for
from tui.features.what_if.dial_list import DialList
from tui.features.what_if.what_if_lines import rest_lines
from tui.features.what_if.what_if_view import WhatIfFigures, WhatIfWanted, figures_for
from tui.widgets.chart import ChartView
from tui.widgets.key_footer import KeyFooter
from tui.widgets.plain import pack, plain, plain_lines
from tui.widgets.sheet import Sheet
from tui.widgets.table_lines import table_lines

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from balance.decide.car.prepared_day import PreparedDay
    from tui.app.host import Host
    from tui.app.state import State
    from tui.features.what_if.what_if_view import WhatIfView

_ROOMY = 110


class WhatIfs(AtASpeed):
    """Changes, result beside the start, and the curve against speed."""

    CSS_PATH = "what_ifs.tcss"
    BINDINGS: ClassVar = bindings(WHAT_IF)
    app: Host

    def __init__(self) -> None:
        super().__init__()
        self._bases = Latest(self.app, self._take_basis)
        self._draws = Latest(self.app, self._take_drawn)
        self._ready: tuple[PreparedDay, object, object] | None = None
        self.figures: WhatIfFigures | None = None
        self._tried: WhatIfFigures | None = None
        self._typing: str | None = None

    def compose(self) -> ComposeResult:
        """Lay out head, answer, changes and result, and the curve."""
        yield Static("", id="head", markup=False)
        yield Static("", id="answer", markup=False)
        with Horizontal(id="both"):
            with Vertical(id="changes"):
                yield DialList()
                yield Static("", id="asks", markup=False)
                yield Input(id="typing", compact=True, select_on_focus=True)
                yield Static("", id="wrong", markup=False)
            yield Sheet(id="result")
        yield ChartView(id="curve")
        yield KeyFooter(show_command_palette=False)

    def on_mount(self) -> None:
        """Watch the state."""
        for part in ("#asks", "#typing", "#wrong"):
            self.query_one(part).display = False
        self.set_focus(self._dials)
        follow(self, self.show_state)

    def on_resize(self) -> None:
        """Fold the lines anew."""
        self.query_one(KeyFooter).compact = self.size.width < _ROOMY
        self.show_state(self.app.state, self.app.state)

    def show_state(self, before: State, state: State) -> None:
        """Bring the screen to a state: figures without intervals at once, with them from a worker."""
        day = state.day
        if day is None:
            return
        chosen = state.parts.kept(day)
        if self._ready is None or self._ready[1] is not day or self._ready[2] != chosen:
            self._show_head(state)
            self._bases.ask(lambda: (basis_for(day, chosen), day, chosen))
            return
        if state.what_if.present is None:
            if state.run is not None:
                self.look(state.what_if.with_step(WhatIf(start=state.run.label)))
            return
        wanted = WhatIfWanted(day, chosen, state.speed, state.what_if.present)
        fresh = self.figures is None or self.figures.wanted != wanted
        if fresh:
            try:
                tried = self._tried
                known = tried is not None and tried.wanted == wanted
                self.figures = tried if known else figures_for(wanted, drawn=False)
            except AxletrimError as fault:
                self._show_wrong(str(fault))
                return
            self._draws.ask(lambda: figures_for(wanted, drawn=True))
        view, old = state.what_if, before.what_if
        if fresh or before is state or before.units != state.units or view.history is not old.history:
            self._show_dials(state)
            self._show_figures(state)
        elif view.chart != old.chart:
            self._show_chart(state)
        if before is state or view.fault != old.fault:
            self._show_wrong("" if view.fault is None else view.fault[1])
        self._show_head(state)

    def _take_basis(self, made: tuple[PreparedDay, object, object]) -> None:
        """Take in a day made ready."""
        self._ready = made
        self.show_state(self.app.state, self.app.state)

    def _take_drawn(self, figures: WhatIfFigures) -> None:
        """Take in figures with their intervals; those of another what-if, speed or day are dropped."""
        if self.figures is not None and figures.wanted == self.figures.wanted:
            self.figures = figures
            self._show_figures(self.app.state)

    def look(self, view: WhatIfView) -> None:
        """Show another view."""
        self.app.state = replace(self.app.state, what_if=view)

    def _show_head(self, state: State) -> None:
        assert state.day is not None  # noqa: S101 - asked for by a state with a day
        present = state.what_if.present
        name = f"what if: {present.name}" if present is not None and present.name else "what if"
        lines = pack(f"{name} · {session_line(state.day.session)}", max(self.size.width - 2, 20))
        self.query_one("#head", Static).update(lines[0])

    def _show_dials(self, state: State) -> None:
        """List what can be different; the cursor stays on the same thing."""
        present, basis = state.what_if.present, self._ready
        if present is None or basis is None:
            return
        self._dials.show(inputs_of(basis[0], present, state.speed, state.show))

    @property
    def basis(self) -> PreparedDay | None:
        """The day made ready, once it is."""
        return None if self._ready is None else self._ready[0]

    @property
    def _dials(self) -> DialList:
        return self.query_one(DialList)

    def _show_figures(self, state: State) -> None:
        """Write the answer, start and result, and what they rest on; draw the curve."""
        figures = self.figures
        if figures is None or self._ready is None:
            return
        pending = not figures.drawn
        answer, role = what_if_answer(figures.result, state.show, pending=pending)
        widget = self.query_one("#answer", Static)
        widget.update(plain(answer))
        widget.set_classes(f"verdict {role}")
        room = max(self.query_one(Sheet).scrollable_content_region.width, 30)
        cars = (("start", figures.result.start), ("what if", figures.result.result))
        table = what_if_table(cars, state.show, changes=figures.result, pending=pending)
        self.query_one(Sheet).show(
            [
                *table_lines(table, room),
                *rest_lines(self._ready[0], figures.result, state.show, drawn=figures.drawn),
            ]
        )
        self._show_chart(state)

    def _show_chart(self, state: State) -> None:
        if self.figures is not None:
            self.query_one(ChartView).chart = what_if_chart(
                self.figures.result, self.figures.curve, state.what_if.chart, state.places, state.show
            )

    def _show_wrong(self, words: str) -> None:
        wrong = self.query_one("#wrong", Static)
        wrong.update(plain_lines(f"✖ {words}") if words else "")
        wrong.display = bool(words)

    def try_step(self, key: str, what_if: WhatIf) -> bool:
        """Take a step if it makes a car; else say why not, and leave all as it is."""
        state = self.app.state
        if state.day is None or self._ready is None:
            return False
        wanted = WhatIfWanted(state.day, state.parts.kept(state.day), state.speed, what_if)
        try:
            self._tried = figures_for(wanted, drawn=False)
        except AxletrimError as fault:
            self._refuse(key, str(fault))
            return False
        self.look(state.what_if.with_draft(key, None).with_step(what_if))
        return True

    def _refuse(self, key: str, words: str) -> None:
        self.look(replace(self.app.state.what_if, fault=(key, words)))

    def _move(self, steps: int) -> None:
        state, present, dial = self.app.state, self.app.state.what_if.present, self._dials.dial
        if present is None or self._ready is None or dial is None:
            return
        moved = stepped(self._ready[0], present, dial.key, steps, state.speed, state.show)
        if moved != present:
            self.try_step(dial.key, moved)

    def action_more(self) -> None:
        """Move what stands under the cursor one step up."""
        self._move(+1)

    def action_less(self) -> None:
        """Move what stands under the cursor one step down."""
        self._move(-1)

    def action_clear(self) -> None:
        """Bring back to the start what stands under the cursor."""
        present, dial = self.app.state.what_if.present, self._dials.dial
        if present is not None and dial is not None:
            self.try_step(dial.key, cleared(present, dial.key))

    def on_line_table_row_chosen(self) -> None:
        """Type the figure under the cursor."""
        self.action_type()

    def action_type(self) -> None:
        """Type the figure under the cursor."""
        dial = self._dials.dial
        if dial is not None:
            self.ask(dial.key, f"{dial.name.strip()}, as in {dial.example}", dial.text)

    def ask(self, key: str, title: str, text: str) -> None:
        """Open the field for something; what was typed for it before and not taken stands there again."""
        draft = self.app.state.what_if.draft(key)
        self._typing = key
        for part in ("#asks", "#typing"):
            self.query_one(part).display = True
        self.query_one("#asks", Static).update(plain(title))
        field = self.query_one("#typing", Input)
        with field.prevent(Input.Changed):
            field.value = plain(text if draft is None else draft)
        self.set_focus(field)

    def on_input_changed(self, message: Input.Changed) -> None:
        """Keep what is typed."""
        if self._typing is not None:
            self.look(self.app.state.what_if.with_draft(self._typing, message.value))

    def on_input_submitted(self, message: Input.Submitted) -> None:
        """Take what was typed, or say what is wrong with it; the text stays."""
        key, state = self._typing, self.app.state
        present = state.what_if.present
        if key is None or present is None or self._ready is None:
            return
        if any(dial.key == key and dial.text == message.value for dial in self._dials.dials):
            self.look(state.what_if.with_draft(key, None))
            self._close_field()
            return
        try:
            changed = typed(self._ready[0], present, key, message.value, state.show)
        except AxletrimError as fault:
            self._refuse(key, str(fault))
            return
        if self.try_step(key, changed):
            self._close_field()

    def _close_field(self) -> None:
        self._typing = None
        for part in ("#asks", "#typing"):
            self.query_one(part).display = False
        self.look(replace(self.app.state.what_if, fault=None))
        self.set_focus(self._dials)

    def action_add(self) -> None:
        """Pick what is to be added."""
        what_if_edits.add(self)

    def action_save(self) -> None:
        """Save the what-if under a name."""
        what_if_edits.save(self)

    def action_reopen(self) -> None:
        """Open a saved what-if; what stands here is one undo away."""
        what_if_edits.reopen(self)

    def action_copy(self) -> None:
        """Copy the what-if as text."""
        what_if_edits.copy(self)

    def action_undo(self) -> None:
        """Take the last step back."""
        self._turn("undo")

    def action_redo(self) -> None:
        """Do again what was taken back."""
        self._turn("redo")

    def _turn(self, way: str) -> None:
        view = self.app.state.what_if
        if view.history is None:
            return
        history = view.history.undo() if way == "undo" else view.history.redo()
        if history is view.history:
            self.notify(f"nothing to {way} in this what-if")
        else:
            self.look(replace(view, history=history, fault=None))

    def action_beside(self) -> None:
        """Set what-ifs side by side."""
        self.app.show_compared()

    def action_next_chart(self) -> None:
        """Draw the next quantity."""
        self.look(self.app.state.what_if.with_next_chart())

    def action_afresh(self) -> None:
        """Start again from the picked run; what stood here is one undo away."""
        if (run := self.app.state.run) is not None:
            self.try_step("start", WhatIf(start=run.label))

    def action_close(self) -> None:
        """Leave the field and keep what is typed in it; else go back to the runs."""
        if self._typing is not None:
            self._close_field()
        else:
            self.app.action_runs()
