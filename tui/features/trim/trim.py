"""What a setting should be: the question beside its curve, the answer above, and all that it rests on below."""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING, ClassVar

from textual.containers import Horizontal
from textual.widgets import Input

from balance.tell.head import session_line
from balance.tell.runs.row_names import configurations_listed
from balance.tell.settings.setting_charts import setting_chart
from balance.tell.settings.suggestion_tables import alternatives_table, places_table
from balance.tell.settings.suggestion_text import suggestion_card, suggestion_sections
from balance.tell.settings.ways_table import ways_table
from tui.features.trim.question import answer_question, asked_run, default_setting, read_question
from tui.host.actions import Action, closing
from tui.host.following import follow
from tui.host.page import blanks
from tui.host.prepared_days import measured_parts, prepared_with
from tui.host.speed_actions import PLACE, STEPS, AtASpeed
from tui.host.trim_view import WingWanted
from tui.host.workers import Latest
from tui.widgets.asked_form import AskedForm
from tui.widgets.chart import ChartView
from tui.widgets.key_footer import KeyFooter
from tui.widgets.plain import pack
from tui.widgets.sheet import Sheet, section_lines
from tui.widgets.table_lines import table_lines
from tui.widgets.typed_form import FormField

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from balance.decide.settings.suggestion import Suggestion
    from tui.features.trim.question import WingAnswer
    from tui.host.state import State
    from tui.host.trim_view import WingView
    from tui.widgets.typed_form import TypedForm

_LABELS = {
    "run": ("from run", "", ""),
    "setting": ("move", "", ""),
    "front": ("change front", "none", "120 N at 160 km/h ± 20 N"),
    "rear": ("change rear", "none", "-30 N at 160 km/h"),
    "drag": ("change drag", "none", "8 N at 160 km/h"),
    "on": ("part on", "none · F6 picks one", ""),
    "target": ("target", "", ""),
}
"""Label, what a blank field stands for, and an example."""

WING = (
    Action("ask", "f2", "ask", "type the question: run, setting, changes, target"),
    Action("pick_run", "f3", "run", "pick the present configuration among the runs of a sweep"),
    Action("pick_setting", "f4", "setting", "pick the setting that is to be moved"),
    Action("pick_part", "f6", "part", "put a measured part on, or leave it off again"),
    Action("afresh", "f8", "afresh", "empty all fields: the picked run as it stands", on_footer=False),
    *STEPS,
    PLACE,
    Action("next_chart", "c", "chart", "target quantity, front, rear, drag: the next one"),
    Action("copy", "y", "copy", "copy the page as text", on_footer=False),
    closing("back", "leave the field; else go back to the runs"),
)


class Wing(AtASpeed):
    """Answer, question and curve, alternatives and assumptions."""

    CSS_PATH = "trim.tcss"
    ACTIONS: ClassVar = WING

    def __init__(self) -> None:
        super().__init__()
        self._work = Latest(self.app, self._take)
        self._asked: WingWanted | None = None

    def compose(self) -> ComposeResult:
        """Lay out head, answer, question and curve, and the rest."""
        yield from blanks("head", "banner", "answer", "verdict", "warnings", "hardware")
        view = self.app.state.wing
        with Horizontal(id="middle"):
            yield AskedForm(
                [
                    FormField(key=key, label=label, value=view.text(key), blank=blank, example=example)
                    for key, (label, blank, example) in _LABELS.items()
                ],
                id="question",
            )
            yield ChartView(id="curve")
        yield Sheet(id="rest")
        yield KeyFooter()

    def on_mount(self) -> None:
        """Watch the state."""
        for part in ("#banner", "#warnings"):
            self.query_one(part).display = False
        self.set_focus(self.query_one("#rest"))
        follow(self, self.show_state)

    def on_resize(self) -> None:
        """Fold the lines anew."""
        self.show_state(self.app.state, self.app.state)

    def show_state(self, before: State, state: State) -> None:
        """Bring the screen to a state, redrawing only what it touches."""
        day, run = state.day, state.run
        if day is None or run is None:
            return
        question, faults = read_question(state.wing, day, run.label)
        wanted = None
        if question is not None:
            wanted = WingWanted(day, state.parts.chosen_baselines(day), state.speed, question)
            self._want(wanted, state.wing)
            if state.wing.fault is not None and state.wing.refused == wanted:
                faults = dict([state.wing.fault])
        self.query_one(AskedForm).show_faults(faults)
        self._show_defaults(state, run.label)
        self._show_head(state, run.label, wanted, faults)
        figures = state.wing.figures
        if figures is not None and (
            before is state
            or before.wing.figures is not figures
            or before.units != state.units
            or before.wing.chart != state.wing.chart
        ):
            self._show_answer(figures, state)

    def _want(self, wanted: WingWanted, view: WingView) -> None:
        """Have a question answered, unless it is already, or is being so."""
        if wanted not in (view.answered, view.refused, self._asked):
            self._asked = wanted
            self._work.ask(lambda: answer_question(wanted))

    def _take(self, answer: WingAnswer) -> None:
        """Take in an answer; `show_state` sees whether it is still the one that is asked for."""
        self._asked = None
        view = self.app.state.wing
        if answer.figures is None:
            self._look(replace(view, fault=answer.fault, refused=answer.wanted))
        else:
            self._look(
                replace(view, figures=answer.figures, answered=answer.wanted, fault=None, refused=None)
            )

    def _look(self, view: WingView) -> None:
        self.app.state = replace(self.app.state, wing=view)

    def _show_defaults(self, state: State, picked: str) -> None:
        """Show in empty fields what they stand for."""
        assert state.day is not None  # noqa: S101 - asked for by a state with a day
        form, labels = self.query_one(AskedForm), state.day.readings.labels
        run = asked_run(state.wing, state.day, picked)
        own = state.wing.text("run") or run == picked
        form.show_blank("run", f"{picked} · the picked run" if own else f"{run} · nearest to {picked}")
        if run in labels:
            form.show_blank("setting", default_setting(state.day, run) or "no setting in this run")
        surplus, speed = state.day.session.vehicle.target.grip_surplus, state.show.bare("speed", state.speed)
        form.show_blank(
            "target", f"{surplus * 100.0:g} % · grip balance · at {speed} {state.show.unit('speed')}"
        )

    def _show_head(
        self, state: State, picked: str, wanted: WingWanted | None, faults: dict[str, str]
    ) -> None:
        """Show whose figures these are, and whether they answer what is typed."""
        assert state.day is not None  # noqa: S101 - as above
        width, view = self.line_width, state.wing
        self.write_lines("#head", pack(session_line(state.day.session), width)[:1])
        old = view.figures is not None and view.answered != wanted
        said = ""
        if faults:
            said = (
                f"× {len(faults)} fault{'s' * (len(faults) != 1)} to correct in the question (F2 goes there)"
            )
        elif old or view.figures is None:
            said = f"working it out at {state.show.speed(state.speed)} …"
        if old and faults:
            said += " · below is the result of the question before"
        if not faults and not view.text("run") and (run := asked_run(view, state.day, picked)) != picked:
            nearest = f"run {picked} has no setting to move: this is run {run}, the nearest that has · F3 picks another"
            said = f"{nearest} · {said}" if said else nearest
        if view.figures is not None:
            from balance.tell.settings.trim_text import trim_doubts  # noqa: PLC0415 - after the first paint

            said = " · ".join([*filter(None, [said]), *trim_doubts(view.figures.answers, state.show)[:1]])
        self.write_lines("#banner", pack(said, width) if said else [])
        self.set_class(old and bool(faults), "-stale")

    def _show_answer(self, figures: Suggestion, state: State) -> None:
        """Write the answer, draw the curve, and list the rest."""
        show, width = state.show, self.line_width
        card = suggestion_card(figures, show)
        self.write_lines("#answer", [card.answer])
        verdict = pack(f"{card.verdict} · {card.car.replace('; ', ' · ', 2)}", width)
        self.write_verdict("#verdict", verdict, card.role)
        warnings = " · ".join(f"! {text}" for text in card.warnings)
        self.write_lines("#warnings", pack(warnings, width) if warnings else [])
        care = f"Care: {card.hardware}{f' · Seen: {card.seen}' if card.seen else ''}"
        self.write_lines("#hardware", pack(care, width))
        self.query_one(ChartView).chart = setting_chart(figures, state.wing.chart, show)
        lines = table_lines(ways_table(figures.ways, figures.answers.answer, show), width - 2)
        lines += table_lines(alternatives_table(figures, show), width - 2)
        places = places_table(figures, show)
        if places is not None:
            lines += table_lines(places, width - 2)
        lines += section_lines(suggestion_sections(figures, show))
        self.query_one(Sheet).show(lines)

    def on_typed_form_typed(self, message: TypedForm.Typed) -> None:
        """Take what is typed."""
        self._look(self.app.state.wing.with_text(message.key, message.text))

    def on_typed_form_left(self, message: TypedForm.Left) -> None:
        """Go to the next field; after the last one, to the answer."""
        if not message.form.go_on(message.key):
            self.set_focus(self.query_one("#rest"))

    def _set(self, field: str, text: str) -> None:
        """Put a text into a field."""
        self.query_one(AskedForm).write(field, text)
        self._look(self.app.state.wing.with_text(field, text))

    def action_ask(self) -> None:
        """Go to the question."""
        self.set_focus(self.query_one(AskedForm).query(Input).first())

    def action_pick_run(self) -> None:
        """Pick the present configuration."""
        day = self.app.state.day
        if day is None:
            return
        choices = [thing for thing in configurations_listed(day) if default_setting(day, thing[0])]
        self.app.pick("From which run?", choices, partial(self._set, "run"))

    def action_pick_setting(self) -> None:
        """Pick what is to be moved."""
        state = self.app.state
        if state.day is None or state.run is None:
            return
        day = state.day
        run = asked_run(state.wing, day, state.run.label)
        if run not in day.readings.labels:
            return
        held = day.readings.runs[day.readings.labels.index(run)].settings
        choices = [
            (name, name.replace("_", " "), f"{s.value:g} {s.unit}") for name, s in held.items() if s.numeric
        ]
        self.app.pick(f"Which setting of run {run} is to be moved?", choices, partial(self._set, "setting"))

    def action_pick_part(self) -> None:
        """Put a measured part on, or leave it off."""
        state = self.app.state
        if state.day is None:
            return
        on = [part.strip() for part in state.wing.text("on").split(",") if part.strip()]
        choices = [
            (label, f"{words}{' (ON: leave it off)' if label in on else ''}", more)
            for label, words, more in measured_parts(
                prepared_with(state.day, state.parts.chosen_baselines(state.day))
            )
        ]

        def take(label: str) -> None:
            left = [one for one in on if one != label] if label in on else [*on, label]
            self._set("on", ", ".join(left))

        self.app.pick("Which measured part goes on?", choices, take)

    def action_afresh(self) -> None:
        """Empty all fields."""
        for field in _LABELS:
            self._set(field, "")

    def action_next_chart(self) -> None:
        """Draw the next quantity."""
        self._look(self.app.state.wing.with_next_chart())

    def action_copy(self) -> None:
        """Copy the answer as text."""
        from balance.tell.settings.trim_text import trim_doubts, wing_headline, wing_lines  # noqa: PLC0415 - only when asked
        from tui.printing.lines import print_sections  # noqa: PLC0415 - as above

        state = self.app.state
        if state.wing.figures is not None and state.day is not None:
            answers = state.wing.figures.answers
            heads = [session_line(state.day.session), wing_headline(answers, state.show)]
            heads += trim_doubts(answers, state.show)
            self.app.copy_text("answer", print_sections(heads, wing_lines(answers, state.show), 100))

    def action_close(self) -> None:
        """Leave the field that is typed in; else go back to the runs."""
        if isinstance(self.focused, Input):
            self.set_focus(self.query_one("#rest"))
        else:
            self.app.action_runs()
