"""Two configurations side by side in large type: two bars each, and one sentence."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, ClassVar

from textual.containers import Horizontal, Vertical
from textual.widgets import Digits, Footer, Static

from balance.tell.brief.side_by_side import two_sides
from tui.actions import bindings
from tui.decide_actions import CUSTOMER
from tui.following import follow
from tui.latest import Latest
from tui.parts_view import work_out
from tui.speed_actions import AtASpeed
from tui.widgets.car_name import CarName
from tui.widgets.fat_bars import FatBars
from tui.widgets.plain import plain

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from balance.decide.parts import Parts as Figures
    from balance.tell.brief.side_by_side import Bar, Side
    from tui.app import AxletrimApp
    from tui.parts_view import Basis
    from tui.state import State


class Customer(AtASpeed):
    """Baseline on the left, the picked run on the right."""

    CSS_PATH = "../styles/customer.tcss"
    BINDINGS: ClassVar = bindings(CUSTOMER)
    app: AxletrimApp

    def __init__(self) -> None:
        super().__init__()
        self._work = Latest(self.app, self._take)
        self._asked: Basis | None = None

    def compose(self) -> ComposeResult:
        """Lay out the name, both sides and the sentence."""
        session = self.app.state.session
        yield CarName("" if session is None else session.vehicle.name)
        yield Static("working out the parts …", id="sentence", markup=False)
        with Horizontal(id="pair"):
            for side in ("left", "right"):
                with Vertical(id=side, classes="side"):
                    yield Static("", classes="name", markup=False)
                    yield Static("", classes="runs", markup=False)
                    with Horizontal(classes="figures"):
                        for axle in ("front", "rear"):
                            with Vertical(classes="figure"):
                                yield Static("", classes=f"{axle} label", markup=False)
                                yield Digits("", classes=f"{axle} digits")
                    yield FatBars()
                    yield Static("", classes="says", markup=False)
        yield Static("", id="how", markup=False)
        yield Footer(show_command_palette=False)

    def on_mount(self) -> None:
        """Watch the state."""
        follow(self, lambda _, state: self.show_state(state))

    def show_state(self, state: State) -> None:
        """Bring the screen to a state."""
        if state.day is None:
            return
        wanted = state.parts.wanted(state.day, state.speed)
        if wanted not in (state.parts.basis, self._asked):
            self._asked = wanted
            self._work.ask(lambda: work_out(wanted))
        figures, row = state.parts.figures, self._row(state)
        if figures is None or state.parts.basis != wanted:
            return
        if row is None:
            self.query_one("#sentence", Static).update("no run differs from its baseline: nothing to compare")
            return
        two = two_sides(figures, row, state.show)
        self.query_one("#sentence", Static).update(plain(two.sentence))
        self.query_one("#how", Static).update(plain(two.how))
        for name, side in zip(("#left", "#right"), two.sides, strict=True):
            self._show_side(name, side, two.zero)

    def _row(self, state: State) -> int | None:
        """Choose the comparison: that of the picked part, else of the picked run, else the first."""
        figures, view = state.parts.figures, state.parts
        rows = view.rows()
        if figures is None or not rows:
            return None
        wanted = view.picked or (state.run.label if state.run is not None else None)
        return next((row for row in rows if view.run_of(row) == wanted), rows[0])

    def _show_side(self, name: str, side: Side, zero: float) -> None:
        self.query_one(f"{name} .name", Static).update(plain(side.name))
        self.query_one(f"{name} .runs", Static).update(plain(side.runs))
        says = self.query_one(f"{name} .says", Static)
        says.update(plain(side.verdict))
        says.set_classes(f"says verdict {side.role}")
        for bar in side.bars:
            self.query_one(f"{name} .{bar.axle}.label", Static).update(
                f"{bar.axle}{', LIFT' if bar.lift else ''}, %"
            )
            self.query_one(f"{name} .{bar.axle}.digits", Digits).update(_figure(bar))
        bars = self.query_one(f"{name} FatBars", FatBars)
        bars.zero = zero
        bars.bars = tuple((f"{bar.axle}  {bar.text}", bar.left, bar.length, bar.lift) for bar in side.bars)

    def _take(self, found: tuple[Figures, Basis]) -> None:
        """Take in figures; those of a day, speed or baseline no longer looked at are dropped."""
        figures, basis = found
        state = self.app.state
        if state.day is not None and state.parts.wanted(state.day, state.speed) == basis:
            self.app.state = replace(state, parts=state.parts.with_figures(figures, basis))

    def _turn(self, step: int) -> None:
        state = self.app.state
        rows, row = state.parts.rows(), self._row(state)
        if row is not None:
            run = state.parts.run_of(rows[(rows.index(row) + step) % len(rows)])
            self.app.state = replace(state, parts=replace(state.parts, picked=run))

    def action_next_pair(self) -> None:
        """Show the next comparison."""
        self._turn(+1)

    def action_previous_pair(self) -> None:
        """Show the one before."""
        self._turn(-1)

    def action_close(self) -> None:
        """Go back to the runs."""
        self.app.action_runs()


def _figure(bar: Bar) -> str:
    """Give the share of a bar's words, with its sign."""
    share = bar.text.partition(" ")[0]
    return f"-{share}" if bar.lift else share
