"""What the car would be like if: what is different on the left, start and result on the right, against speed below."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar, NamedTuple

from textual.containers import Horizontal, Vertical
from textual.widgets import Input, Static

from balance.model.errors import AxletrimError, one_line
from balance.model.what_ifs import WhatIf
from balance.tell.head import session_line
from balance.tell.runs.curves import what_if_chart
from balance.tell.table import Cell, Column
from balance.tell.what_if.assumption_text import assumption_lines
from balance.tell.what_if.input_edits import cleared, stepped, swapped
from balance.tell.what_if.input_typing import NEW, typed
from balance.tell.what_if.inputs import inputs_of
from balance.tell.what_if.what_if_table import what_if_answer, what_if_table
from balance.tell.what_if.what_if_text import hardware_lines
from balance.tell.words import CAUTIONS
from tui.features.what_if.saved_what_ifs import saved_what_ifs
from tui.host.actions import Action, closing
from tui.host.following import follow
from tui.host.page import blanks
from tui.host.prepared_days import measured_parts, prepared_with
from tui.host.questions import AskText
from tui.host.speed_actions import PLACE, AtASpeed
from tui.host.what_if_view import WhatIfWanted
from tui.host.workers import Latest
from tui.widgets.chart import ChartView
from tui.widgets.key_footer import KeyFooter
from tui.widgets.line_table import LineTable
from tui.widgets.plain import plain, plain_lines
from tui.widgets.sheet import Sheet
from tui.widgets.table_lines import table_lines

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from balance.decide.car.prepared_day import PreparedDay
    from balance.decide.what_if.what_if import WhatIfCurve, WhatIfResult
    from balance.model.libraries import FromLibrary
    from balance.model.records import Session
    from balance.tell.figures import Show
    from balance.tell.what_if.inputs import WhatIfInput
    from tui.host.state import State
    from tui.host.what_if_view import WhatIfView

_CHART_SPEEDS = 100
_COLUMNS = (
    Column(key="name", title="what if", width=16),
    Column(key="value", title="now", width=14, flexible=True),
    Column(key="start", title="start", width=11, priority=3),
)

WHAT_IF = (
    Action("more", "right", "more", "one step up", shown_key="→", group="step"),
    Action("less", "left", "less", "one step down", shown_key="←", group="step"),
    Action("type", "f2", "type", "type the figure under the cursor; Enter does too"),
    Action("add", "f6", "add", "add a part, a stated change, a force or a mass"),
    Action(
        "clear", "delete", "clear", "bring back to the start what stands under the cursor", shown_key="Del"
    ),
    Action("undo", "f7", "undo", "take the last step back", shown_key="f7"),
    Action("redo", "f9", "redo", "do again what was taken back", on_footer=False),
    Action("save", "f10", "save", "save this what-if under a name, in what_if.toml"),
    Action("reopen", "f3", "open saved", "open a saved what-if", on_footer=False),
    Action("beside", "f4", "compare", "set up to four what-ifs side by side"),
    Action("next_chart", "c", "chart", "draw the next quantity against speed"),
    Action("afresh", "f8", "afresh", "start again from the picked run", on_footer=False),
    PLACE._replace(group="", on_footer=False),
    Action("copy", "y", "copy", "copy the what-if as text", on_footer=False),
    closing("back", "leave the field; else go back to the runs", on_footer=False),
)


class InputList(LineTable):
    """Inputs with what they stand at and what they started from."""

    def __init__(self) -> None:
        super().__init__(_COLUMNS, id="inputs", empty="making the day ready …")
        self.inputs: tuple[WhatIfInput, ...] = ()

    def show(self, inputs: tuple[WhatIfInput, ...]) -> None:
        """List other inputs, or the same ones with other figures."""
        here = None if self.picked is None else self.picked.key
        at = next((k for k, one in enumerate(inputs) if one.key == here), min(self.cursor, len(inputs) - 1))
        self.inputs = inputs
        self.set_source(len(inputs), self._words, cursor=at)

    @property
    def picked(self) -> WhatIfInput | None:
        """What the cursor stands on; nothing before there is anything."""
        return self.inputs[min(self.cursor, len(self.inputs) - 1)] if self.inputs else None

    def _words(self, row: int, key: str) -> Cell:
        one = self.inputs[row]
        role = "strong" if one.changed else ""
        if key == "name":
            return Cell(f"{'◆' if one.changed else ' '} {one.name}", role)
        if key == "value":
            return Cell(one.value, role)
        return Cell(
            one.start.removesuffix(" (assumed)"), "muted"
        )  # beside what is assumed now, it is said there


class WhatIfFigures(NamedTuple):
    """Result and curve, with what they hang on, and whether their intervals are drawn."""

    wanted: WhatIfWanted
    result: WhatIfResult
    curve: WhatIfCurve
    drawn: bool


def figures_for(wanted: WhatIfWanted, *, drawn: bool) -> WhatIfFigures:
    """Work out a what-if and its curve against speed; quick enough for every key without draws."""
    import numpy as np  # noqa: PLC0415 - after the first paint

    from balance.decide.day.sweeps import speed_range  # noqa: PLC0415 - as above
    from balance.decide.what_if.what_if import evaluate_what_if, what_if_curve  # noqa: PLC0415 - as above

    prepared = prepared_with(wanted.day, wanted.baselines)
    result = evaluate_what_if(prepared, wanted.what_if, speed=wanted.speed, drawn=drawn)
    whole = speed_range(wanted.day)
    fastest = max(float(whole[-1]), wanted.speed, result.result.speed)
    speeds = np.linspace(float(whole[0]), fastest, _CHART_SPEEDS)
    return WhatIfFigures(wanted, result, what_if_curve(prepared, result, speeds, drawn=drawn), drawn)


class WhatIfs(AtASpeed):
    """Changes, result beside the start, and the curve against speed."""

    CSS_PATH = "what_ifs.tcss"
    ACTIONS: ClassVar = WHAT_IF

    def __init__(self) -> None:
        super().__init__()
        self._preparing = Latest(self.app, self._take_prepared)
        self._draws = Latest(self.app, self._take_drawn)
        self._library = Latest(self.app, self._pick_from_library)
        self._reopening = Latest(self.app, self._reopen)
        self._ready: tuple[PreparedDay, object, object] | None = None
        self.figures: WhatIfFigures | None = None
        self._tried: WhatIfFigures | None = None
        self._typing: str | None = None

    def compose(self) -> ComposeResult:
        """Lay out head, answer, changes and result, and the curve."""
        yield from blanks("head", "answer")
        with Horizontal(id="both"):
            with Vertical(id="changes"):
                yield InputList()
                yield Static("", id="asks", markup=False)
                yield Input(id="typing", compact=True, select_on_focus=True)
                yield Static("", id="wrong", markup=False)
            yield Sheet(id="result")
        yield ChartView(id="curve")
        yield KeyFooter()

    def on_mount(self) -> None:
        """Watch the state."""
        for part in ("#asks", "#typing", "#wrong"):
            self.query_one(part).display = False
        self.set_focus(self._inputs)
        follow(self, self.show_state)

    def on_resize(self) -> None:
        """Fold the lines anew."""
        self.show_state(self.app.state, self.app.state)

    def show_state(self, before: State, state: State) -> None:
        """Bring the screen to a state: figures without intervals at once, with them from a worker."""
        day = state.day
        if day is None:
            return
        chosen = state.parts.chosen_baselines(day)
        if self._ready is None or self._ready[1] is not day or self._ready[2] != chosen:
            self._show_head(state)
            self._preparing.ask(lambda: (prepared_with(day, chosen), day, chosen))
            return
        if state.what_if.present is None:
            if state.run is not None:
                self._look(state.what_if.with_step(WhatIf(start=state.run.label)))
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
            self._show_inputs(state)
            self._show_figures(state)
        elif view.chart != old.chart:
            self._show_chart(state)
        if before is state or view.fault != old.fault:
            self._show_wrong("" if view.fault is None else view.fault[1])
        self._show_head(state)

    def _take_prepared(self, made: tuple[PreparedDay, object, object]) -> None:
        """Take in a day made ready."""
        self._ready = made
        self.show_state(self.app.state, self.app.state)

    def _take_drawn(self, figures: WhatIfFigures) -> None:
        """Take in figures with their intervals; those of another what-if, speed or day are dropped."""
        if self.figures is not None and figures.wanted == self.figures.wanted:
            self.figures = figures
            self._show_figures(self.app.state)

    def _look(self, view: WhatIfView) -> None:
        """Show another view."""
        self.app.state = replace(self.app.state, what_if=view)

    def _show_head(self, state: State) -> None:
        assert state.day is not None  # noqa: S101 - asked for by a state with a day
        present = state.what_if.present
        name = f"what if: {present.name}" if present is not None and present.name else "what if"
        self.write_lines("#head", self.folded(f"{name} · {session_line(state.day.session)}")[:1])

    def _show_inputs(self, state: State) -> None:
        """List what can be different; the cursor stays on the same thing."""
        present, prepared = state.what_if.present, self._ready
        if present is None or prepared is None:
            return
        self._inputs.show(inputs_of(prepared[0], present, state.speed, state.show))

    @property
    def _inputs(self) -> InputList:
        return self.query_one(InputList)

    def _show_figures(self, state: State) -> None:
        """Write the answer, start and result, and what they rest on; draw the curve."""
        figures = self.figures
        if figures is None or self._ready is None:
            return
        pending = not figures.drawn
        answer, role = what_if_answer(figures.result, state.show, pending=pending)
        self.write_verdict("#answer", [plain(answer)], role)
        room = max(self.query_one(Sheet).scrollable_content_region.width, 30)
        cars = (("start", figures.result.start), ("what if", figures.result.result))
        table = what_if_table(cars, state.show, changes=figures.result, pending=pending)
        self.query_one(Sheet).show(
            [
                *table_lines(table, room),
                *_rest_lines(self._ready[0], figures.result, state.show, drawn=figures.drawn),
            ]
        )
        self._show_chart(state)

    def _show_chart(self, state: State) -> None:
        if self.figures is not None:
            self.query_one(ChartView).chart = what_if_chart(
                self.figures.result, self.figures.curve, state.what_if.chart, state.places, state.show
            )

    def _show_wrong(self, words: str) -> None:
        self.write_lines("#wrong", [plain_lines(f"× {words}")] if words else [])

    def _try_step(self, key: str, what_if: WhatIf) -> bool:
        """Take a step if it makes a car; else say why not, and leave all as it is."""
        state = self.app.state
        if state.day is None or self._ready is None:
            return False
        wanted = WhatIfWanted(state.day, state.parts.chosen_baselines(state.day), state.speed, what_if)
        try:
            self._tried = figures_for(wanted, drawn=False)
        except AxletrimError as fault:
            self._refuse(key, str(fault))
            return False
        self._look(state.what_if.with_draft(key, None).with_step(what_if))
        return True

    def _refuse(self, key: str, words: str) -> None:
        self._look(replace(self.app.state.what_if, fault=(key, words)))

    def _move(self, steps: int) -> None:
        state, present, one = self.app.state, self.app.state.what_if.present, self._inputs.picked
        if present is None or self._ready is None or one is None:
            return
        moved = stepped(self._ready[0], present, one.key, steps, state.speed, state.show)
        if moved != present:
            self._try_step(one.key, moved)

    def action_more(self) -> None:
        """Move what stands under the cursor one step up."""
        self._move(+1)

    def action_less(self) -> None:
        """Move what stands under the cursor one step down."""
        self._move(-1)

    def action_clear(self) -> None:
        """Bring back to the start what stands under the cursor."""
        present, one = self.app.state.what_if.present, self._inputs.picked
        if present is not None and one is not None:
            self._try_step(one.key, cleared(present, one.key))

    def on_line_table_row_chosen(self) -> None:
        """Type the figure under the cursor."""
        self.action_type()

    def action_type(self) -> None:
        """Type the figure under the cursor."""
        one = self._inputs.picked
        if one is not None and one.key.startswith("library:"):
            self._look_into_library()
        elif one is not None:
            self._ask(one.key, f"{one.name.strip()}, as in {one.example}", one.text)

    def _ask(self, key: str, title: str, text: str) -> None:
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
            self._look(self.app.state.what_if.with_draft(self._typing, message.value))

    def on_input_submitted(self, message: Input.Submitted) -> None:
        """Take what was typed, or say what is wrong with it; the text stays."""
        key, state = self._typing, self.app.state
        present = state.what_if.present
        if key is None or present is None or self._ready is None:
            return
        if any(one.key == key and one.text == message.value for one in self._inputs.inputs):
            self._look(state.what_if.with_draft(key, None))
            self._close_field()
            return
        try:
            changed = typed(self._ready[0], present, key, message.value, state.show)
        except AxletrimError as fault:
            self._refuse(key, str(fault))
            return
        if self._try_step(key, changed):
            self._close_field()

    def _close_field(self) -> None:
        self._typing = None
        for part in ("#asks", "#typing"):
            self.query_one(part).display = False
        self._look(replace(self.app.state.what_if, fault=None))
        self.set_focus(self._inputs)

    def action_add(self) -> None:
        """Pick what is to be added, then which part, or have the figure typed."""

        def take(kind: str) -> None:
            if kind in ("on", "off"):
                self._pick_part(kind)
            elif kind == "library":
                self._look_into_library()
            else:
                self._ask(f"new:{kind}", f"{NEW[kind][0]}, as in {NEW[kind][1]}", "")

        self.app.pick("What is to be added?", [(key, words, "") for key, (words, _) in NEW.items()], take)

    def _pick_part(self, kind: str) -> None:
        if self._ready is None:
            return

        def take(label: str) -> None:
            if (present := self.app.state.what_if.present) is not None:
                self._try_step(f"new:{kind}", swapped(present, kind, (*getattr(present, kind), label)))

        self.app.pick(f"Which measured part goes {kind}?", measured_parts(self._ready[0]), take)

    def _look_into_library(self) -> None:
        """Ask the library for its parts, in a thread."""
        if (day := self.app.state.day) is not None:
            self._library.ask(lambda: _parts_of_library(day.session))

    def _pick_from_library(self, found: tuple[FromLibrary, ...] | str) -> None:
        """Let a part of the library be put on, or say why there is none; one that says too little is refused."""
        if isinstance(found, str) or not found:
            words = found or "the library has no part yet: axletrim library add takes in days"
            self.app.notify(str(words), severity="warning", markup=False, timeout=10)
            return
        if not self.is_current:
            return
        from balance.tell.library.source_words import offered_words  # noqa: PLC0415 - only when asked

        def take(place: str) -> None:
            if (present := self.app.state.what_if.present) is not None:
                part = found[int(place)]
                others = tuple(one for one in present.library if one.part != part.part)
                self._try_step("new:library", replace(present, library=(*others, part)))

        listed = [(str(k), one_line(one.part), offered_words(one)) for k, one in enumerate(found)]
        self.app.pick("Which part of the library is put on?", listed, take)

    def action_save(self) -> None:
        """Save the what-if under a name."""
        state, present = self.app.state, self.app.state.what_if.present
        if present is None or state.day is None:
            return
        session = state.day.session

        def take(name: str | None) -> None:
            if name:
                self.app.run_worker(self._save(session, replace(present, name=name)))

        self.app.push_screen(AskText("Save this what-if under which name?", value=present.name), take)

    async def _save(self, session: Session, named: WhatIf) -> None:
        from balance.files.formats.what_if_save import save_what_if  # noqa: PLC0415 - only when asked

        try:
            path = await self.app.open_day.saving.write(
                lambda: save_what_if(session, Path(session.folder), named)
            )
        except AxletrimError as fault:
            self.app.notify(str(fault), severity="error", markup=False, timeout=10)
            return
        if self in self.app.screen_stack:
            self._look(self.app.state.what_if.with_step(named))
        self.app.notify(f"saved '{named.name}' in {path.name}", markup=False)

    def action_reopen(self) -> None:
        """Open a saved what-if; what stands here is one undo away."""
        saved = saved_what_ifs(self.app)

        def take(name: str) -> None:
            chosen = next(one for one in saved if one.name == name)
            day = self.app.state.day
            if chosen.library and day is not None:
                self._reopening.ask(lambda: _with_library(chosen, day.session))
            else:
                self._reopen(chosen)

        if saved:
            listed = [(one.name, one.name, f"from run {one.start}") for one in saved]
            self.app.pick("Open which what-if?", listed, take)
        elif not (Path(self.app.state.path) / "what_if.toml").exists():
            self.notify("no what-if is saved on this day: F10 saves the one that is being made")

    def _reopen(self, saved: WhatIf) -> None:
        """Go on with a saved what-if."""
        self._try_step("start", saved)

    def action_copy(self) -> None:
        """Copy the what-if as text."""
        from balance.tell.what_if.what_if_text import what_if_headline, what_if_lines  # noqa: PLC0415 - only when asked
        from tui.printing.lines import print_sections  # noqa: PLC0415 - as above

        state = self.app.state
        if self.figures is not None and self._ready is not None and state.day is not None:
            result = self.figures.result
            heads = [session_line(state.day.session), what_if_headline(result, state.show)]
            lines = what_if_lines(self._ready[0], result, state.show)
            self.app.copy_text("what-if", print_sections(heads, lines, 100))

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
            self._look(replace(view, history=history, fault=None))

    def action_beside(self) -> None:
        """Set what-ifs side by side."""
        self.app.show_compared()

    def action_next_chart(self) -> None:
        """Draw the next quantity."""
        self._look(self.app.state.what_if.with_next_chart())

    def action_afresh(self) -> None:
        """Start again from the picked run; what stood here is one undo away."""
        if (run := self.app.state.run) is not None:
            self._try_step("start", WhatIf(start=run.label))

    def action_close(self) -> None:
        """Leave the field and keep what is typed in it; else go back to the runs."""
        if self._typing is not None:
            self._close_field()
        else:
            self.app.action_runs()


def _parts_of_library(session: Session) -> tuple[FromLibrary, ...] | str:
    """Read the parts of the library, or say why there are none."""
    from balance.tell.library.other_cars import parts_to_put_on  # noqa: PLC0415 - only when asked

    try:
        return parts_to_put_on(session)
    except AxletrimError as fault:
        return str(fault)


def _with_library(saved: WhatIf, session: Session) -> WhatIf:
    """Let the library say again what a saved what-if expects from it."""
    from balance.tell.library.other_cars import what_ifs_with_library  # noqa: PLC0415 - only when asked

    return what_ifs_with_library(session, [saved])[0]


def _rest_lines(
    prepared: PreparedDay, result: WhatIfResult, show: Show, *, drawn: bool
) -> list[tuple[str, str]]:
    """List assumptions, mounts and tyres, cautions."""
    rests = assumption_lines(result.assumptions, show) or ["none beyond the day's own"]
    lines = [("Assumptions", "heading"), *((f"· {text}", "") for text in rests)]
    hardware = hardware_lines(prepared, result, show) if drawn else []
    if hardware:
        lines += [("Mounts and tyres", "heading"), *((f"· {text}", "") for text in hardware)]
    return [*lines, ("Cautions", "heading"), *((f"· {text}", "") for text in CAUTIONS)]
