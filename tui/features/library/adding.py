"""The open day is added to the library: what is like a car or a part that is known is asked, one key each."""

from __future__ import annotations

from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from balance.model.errors import one_line
from tui.host.library_view import Added, add_to_library, library_wanted
from tui.host.questions import Choice, Pick, keyed
from tui.host.workers import Latest

if TYPE_CHECKING:
    from collections.abc import Callable

    from balance.files.library.confirming import Question
    from balance.model.libraries import KeptDay
    from tui.host.host import Host

_YES, _NEW, _OTHER, _EQUAL = "y", "n", "o", "e"


class Adding:
    """Adds the open day: each step is done in a thread, each question over the page."""

    def __init__(self, app: Host, done: Callable[[], None], tell: Callable[[str], None]) -> None:
        self._app, self._done, self._tell = app, done, tell
        self._work = Latest(app, self._take, to_the_end=True)
        self._day, self._busy = "", False

    def begin(self) -> None:
        """Add the day that is open."""
        if self._app.state.work.looking:
            self._tell("looking only: nothing is written")
            return
        if self._busy:
            return
        self._day, self._busy = self._app.state.path, True
        self._tell("adding the day …")
        self._go_on(Added())

    def _go_on(self, before: Added) -> None:
        self._work.ask(partial(add_to_library, library_wanted().folder, self._day, before))

    def _take(self, found: Added) -> None:
        """Ask what is open, or say what became of the day."""
        from balance.tell.library.joining_words import became_words  # noqa: PLC0415 - only when asked

        self._tell("")
        if found.step is not None and found.step.joining.questions:
            self._ask(found, _day_words(found.step.day), found.step.joining.questions[0])
            return
        self._busy = False
        if found.step is None:
            self._tell(f"× {found.fault}")
        else:
            self._tell(became_words(found.step))
            self._done()

    def _ask(self, found: Added, title: str, question: Question) -> None:
        from balance.files.library.confirming import EQUAL, NEW, SAME  # noqa: PLC0415 - only when asked
        from balance.tell.library.joining_words import question_lines  # noqa: PLC0415 - as above

        def take(chosen: str | None) -> None:
            if chosen is None:
                self._busy = False
                self._tell("not added: a question is open")
            elif chosen == _OTHER:
                self._ask_other(found, title, question)
            elif chosen == _EQUAL:
                self._answer(found, {question.key: SAME, EQUAL: SAME})
            else:
                self._answer(found, {question.key: {_YES: SAME, _NEW: NEW}[chosen]})

        of_car = question.kind == "car"
        equal = Choice(_EQUAL, "yes, and so every part that is said in the words of a known one")
        choices = (
            Choice(_YES, f"yes, the same {question.kind}"),
            *(() if of_car else (equal,)),
            Choice(_NEW, f"no, a new {question.kind}"),
            Choice(_OTHER, f"no, another {question.kind} of the library"),
        )
        self._app.push_screen(
            Pick(f"Add {title}: {question.kind}", choices, lines=question_lines(question), by_key=of_car),
            take,
        )

    def _ask_other(self, found: Added, title: str, question: Question) -> None:
        """Let one of the cars or parts that are known be picked."""
        figures = self._app.state.library.figures
        about: dict[str, str] = {}
        if figures is not None and question.kind == "part":
            about = dict.fromkeys((part.name for part in figures.read.parts), "")
        elif figures is not None:
            about = {day.car_name: one_line(day.head.folder) for day in figures.read.days if day.car}
        known = list(about)

        def take(chosen: str | None) -> None:
            if chosen is None:
                self._ask(found, title, question)
            else:
                self._answer(found, {question.key: known[int(chosen)]})

        listed = keyed([(str(k), name, about[name]) for k, name in enumerate(known)])
        self._app.push_screen(Pick(f"Which {question.kind} is it?", listed), take)

    def _answer(self, found: Added, answers: dict[str, str]) -> None:
        self._go_on(found._replace(answers={**found.answers, **answers}, step=None))


def _day_words(day: KeptDay) -> str:
    """Name a day with the end of its folder: days of several cars may have one title."""
    return one_line(f"'{day.title}' ({'/'.join(Path(day.folder).parts[-2:])})")
