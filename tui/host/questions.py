"""Questions that any screen may ask: a short list, a line of text, a speed, whether what was typed is dropped."""

from __future__ import annotations

from dataclasses import KW_ONLY, dataclass
from typing import TYPE_CHECKING, ClassVar

from textual.containers import Vertical
from textual.content import Content
from textual.widgets import Input, OptionList, Static
from textual.widgets.option_list import Option

from balance.model.errors import AxletrimError
from tui.host.actions import CLOSE
from tui.host.page import Question
from tui.host.state import FASTEST
from tui.widgets.plain import plain, plain_lines

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from textual.app import App, ComposeResult
    from textual.events import Key
    from textual.suggester import Suggester

    from tui.host.state import State


@dataclass(frozen=True, slots=True)
class Choice:
    """One thing to pick: its key, its words, what stands muted behind them, and what is given back."""

    key: str
    words: str
    _: KW_ONLY
    more: str = ""
    value: str = ""


class Pick(Question[str | None]):
    """Gives the value of what was picked, its key where it has none; nothing where left.

    ``by_key`` has no cursor: what may do harm is answered by its own key, never by an Enter too many.
    """

    ACTIONS: ClassVar = CLOSE

    def __init__(
        self,
        title: str,
        choices: Sequence[Choice],
        *,
        lines: Sequence[str] = (),
        start: str = "",
        by_key: bool = False,
    ) -> None:
        super().__init__()
        self._by_key = by_key
        self._title, self._choices, self._lines = title, tuple(choices), tuple(lines)
        self._start = start

    def compose(self) -> ComposeResult:
        """Lay out title, what is to be known, and the list."""
        with Vertical(classes="question wide"):
            yield Static(plain(self._title), classes="heading", markup=False)
            if self._lines:
                yield Static(plain_lines("\n".join(self._lines)), classes="told", markup=False)
            width = max((len(choice.key) for choice in self._choices), default=0)
            if self._by_key:
                prompts = Content("\n").join(_prompt(choice, width) for choice in self._choices)
                yield Static(prompts, markup=False)
                yield Static("a key · esc leaves", classes="hint", markup=False)
                return
            yield OptionList(*(Option(_prompt(choice, width)) for choice in self._choices))
            yield Static("a key, or ↑ ↓ and Enter · esc leaves", classes="hint", markup=False)

    def on_mount(self) -> None:
        """Let keys reach the list."""
        if self._by_key:
            return
        listed = self.query_one(OptionList)
        values = [choice.value for choice in self._choices]
        if self._start in values:
            listed.highlighted = values.index(self._start)
        self.set_focus(listed)

    def take_key(self, key: Key) -> bool:
        """Take the key of a choice."""
        pressed = key.character or key.key
        for choice in self._choices:
            if choice.key == pressed:
                self._give(choice)
                return True
        return False

    def on_option_list_option_selected(self, message: OptionList.OptionSelected) -> None:
        """Take the choice under the cursor."""
        self._give(self._choices[message.option_index])

    def _give(self, choice: Choice) -> None:
        self.dismiss(choice.value or choice.key)


def _prompt(choice: Choice, width: int) -> Content:
    more = f"  {plain(choice.more)}" if choice.more else ""
    return Content.assemble((choice.key.ljust(width), "bold"), "  ", plain(choice.words), (more, "italic"))


def keyed(words: Sequence[tuple[str, str, str]], taken: str = "") -> tuple[Choice, ...]:
    """Make choices of many things, each with a key of its own: digits first, then letters."""
    keys = iter([key for key in "123456789acdefghijklmnopqrstuvwxyz" if key not in taken])
    return tuple(Choice(next(keys, ""), name, more=more, value=value) for value, name, more in words)


class AskText(Question[str | None]):
    """Gives the text typed, once it is what is expected; what is wrong with it stands below it."""

    ACTIONS: ClassVar = CLOSE

    def __init__(
        self,
        title: str,
        *,
        value: str = "",
        hint: str = "",
        check: Callable[[str], object] | None = None,
        suggester: Suggester | None = None,
    ) -> None:
        super().__init__()
        self._title, self._value, self._hint, self._check = title, value, hint, check
        self._suggester = suggester

    def compose(self) -> ComposeResult:
        """Lay out title, field and hint."""
        with Vertical(classes="question wide"):
            yield Static(plain(self._title), classes="heading", markup=False)
            yield Input(self._value, id="text", suggester=self._suggester, select_on_focus=bool(self._value))
            yield Static(plain_lines(self._hint), id="wrong", markup=False)
            yield Static("Enter takes it · esc leaves", classes="hint", markup=False)

    def on_mount(self) -> None:
        """Begin in the field."""
        self.set_focus(self.query_one(Input))

    def on_input_submitted(self, message: Input.Submitted) -> None:
        """Give the text, or say what is wrong with it."""
        text = message.value.strip()
        wrong = self.query_one("#wrong", Static)
        if self._check is not None:
            try:
                self._check(text)
            except AxletrimError as fault:
                wrong.update(f"× {plain_lines(str(fault))}")
                wrong.set_classes("danger")
                return
        self.dismiss(text)


class AskSpeed(Question[float | None]):
    """Gives the speed typed in m/s; a bare number is in the unit shown."""

    ACTIONS: ClassVar = CLOSE

    def __init__(self, state: State) -> None:
        super().__init__()
        self._state = state

    def compose(self) -> ComposeResult:
        """Lay out the question."""
        unit = self._state.show.unit("speed")
        places = ", ".join(f"{plain(p.name)} {self._state.show.speed(p.speed)}" for p in self._state.places)
        with Vertical(classes="question"):
            yield Static(f"Speed shown, in {unit} or with its unit", classes="heading", markup=False)
            yield Input(self._state.show.bare("speed", self._state.speed), id="speed")
            yield Static(places, id="wrong", markup=False)

    def on_input_submitted(self, message: Input.Submitted) -> None:
        """Read the speed, or say what is wrong with it."""
        from balance.model.errors import UnitError  # noqa: PLC0415 - only when typed
        from balance.units.stated import parse_chosen  # noqa: PLC0415 - the unit library, only when typed

        text = message.value.strip()
        bare = text.replace(".", "", 1).isdigit()
        try:
            speed = parse_chosen(f"{text} {self._state.show.unit('speed')}" if bare else text, "speed")
        except UnitError as fault:
            self.query_one("#wrong", Static).update(plain_lines(str(fault)))
            return
        if not 0 < speed <= FASTEST:
            self.query_one("#wrong", Static).update(
                plain(f"found {text}, expected a speed above 0, at most {self._state.show.speed(FASTEST)}")
            )
            return
        self.dismiss(speed)


def ask_to_drop(app: App[None], typed: str, drop: Callable[[], object]) -> None:
    """Ask whether something typed is to be dropped."""

    def take(chosen: str | None) -> None:
        if chosen == "d":
            drop()

    app.push_screen(
        Pick(
            "Drop what was typed?",
            (
                Choice("g", "go on with it"),
                Choice("d", "drop it", more="nothing is written"),
            ),
            lines=(f"Typed and not written: {typed}.",),
        ),
        take,
    )
