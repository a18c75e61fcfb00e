"""Two configurations side by side in large type: what differs, two bars each, and one sentence."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, ClassVar

from textual.containers import Horizontal, Vertical
from textual.widgets import Digits, Static

from balance.tell.report.side_by_side import two_sides
from balance.tell.runs.row_names import configurations_listed
from balance.tell.words import CAUTION_LINE
from tui.features.compare.two_view import TwoAsked, TwoFound, compare_asked, label_of
from tui.host.actions import Action, closing
from tui.host.following import follow
from tui.host.speed_actions import PLACE, STEPS, AtASpeed
from tui.host.workers import Latest
from tui.widgets.car_name import CarName
from tui.widgets.fat_bars import FatBars
from tui.widgets.key_footer import KeyFooter
from tui.widgets.plain import plain, plain_lines

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from balance.tell.report.side_by_side import Bar, Side
    from tui.host.state import State

_SIDES = ("left", "right")

COMPARE = (
    Action("pick_left", "f2", "left", "pick the configuration on the left: what is compared with"),
    Action("pick_right", "enter", "right", "pick the configuration on the right", shown_key="Enter"),
    Action("next_pair", "right,down", "next", "put the day's next configuration on the right", shown_key="→"),
    Action(
        "previous_pair",
        "left,up",
        "previous",
        "put the one before on the right",
        shown_key="←",
        on_footer=False,
    ),
    *STEPS,
    PLACE,
    closing("runs", "go back to the runs", on_footer=False),
)


class Compare(AtASpeed):
    """The start on the left, the recommendation on the right, or any two that were picked."""

    CSS_PATH = "compare.tcss"
    ACTIONS: ClassVar = COMPARE

    def __init__(self) -> None:
        super().__init__()
        self._work = Latest(self.app, self._take)
        self._asked: TwoAsked | None = None
        self._found: TwoFound | None = None

    def compose(self) -> ComposeResult:
        """Lay out the name, both sides and the sentence."""
        session = self.app.state.session
        yield CarName("" if session is None else session.vehicle.name)
        yield Static("", id="day", markup=False)
        yield Static("working out the two …", id="sentence", markup=False)
        with Horizontal(id="pair"):
            for side in _SIDES:
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
        yield Static(CAUTION_LINE, id="cautions", markup=False)
        yield KeyFooter()

    def on_mount(self) -> None:
        """Watch the state."""
        follow(self, lambda _, state: self.show_state(state))

    def show_state(self, state: State) -> None:
        """Bring the screen to a state."""
        if state.day is None:
            return
        wanted = TwoAsked(state.day, state.speed, state.parts.correct_drift, state.two)
        found = self._found
        if found is None or found.asked != wanted:
            if self._asked != wanted:
                self._asked = wanted
                self._work.ask(lambda: compare_asked(wanted))
            return
        if found.parts is None:
            self.query_one("#sentence", Static).update(plain(found.fault))
            return
        two = two_sides(found.parts, found.row, state.show)
        self.query_one("#day", Static).update(plain(f"{two.day.partition(' · ')[2]} · at {two.at}"))
        self.query_one("#sentence", Static).update(plain(two.sentence))
        said = [text for text in (found.why, two.alike) if text]
        self.query_one("#how", Static).update(plain_lines("\n".join([*said, two.how])))
        for name, side in zip(_SIDES, two.sides, strict=True):
            self._show_side(f"#{name}", side, two.zero)

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

    def _take(self, found: TwoFound) -> None:
        """Take in figures; those of a day, speed or pair no longer looked at are dropped."""
        self._found = found
        self.show_state(self.app.state)

    @property
    def _pair(self) -> tuple[str, str] | None:
        """The two runs that stand there, from left to right."""
        return self.app.state.two or (None if self._found is None else self._found.pair)

    def _pick(self, side: int) -> None:
        """Let one side be picked among the day's configurations."""
        state, pair = self.app.state, self._pair
        if pair is None or state.day is None:
            return
        day = state.day

        def take(label: str) -> None:
            two = (label, pair[1]) if side == 0 else (pair[0], label)
            self.app.state = replace(self.app.state, two=two)

        things = [thing for thing in configurations_listed(day) if thing[0] != pair[1 - side]]
        self.app.pick(f"Which configuration stands on the {_SIDES[side]}?", things, take)

    def _turn(self, step: int) -> None:
        """Put the next configuration of the day on the right."""
        day, pair = self.app.state.day, self._pair
        if day is None or pair is None:
            return
        labels = [label for row in day.rows.configurations if (label := label_of(day, row)) != pair[0]]
        own = label_of(day, day.rows.standing[day.readings.labels.index(pair[1])])
        here = labels.index(own) if own in labels else -1
        if labels:
            self.app.state = replace(self.app.state, two=(pair[0], labels[(here + step) % len(labels)]))

    def action_pick_left(self) -> None:
        """Pick what stands on the left."""
        self._pick(0)

    def action_pick_right(self) -> None:
        """Pick what stands on the right."""
        self._pick(1)

    def action_next_pair(self) -> None:
        """Show the next configuration on the right."""
        self._turn(+1)

    def action_previous_pair(self) -> None:
        """Show the one before on the right."""
        self._turn(-1)


def _figure(bar: Bar) -> str:
    """Return the share of a bar's words, with its sign."""
    share = bar.text.partition(" ")[0]
    return f"-{share}" if bar.lift else share
