"""The decimal mark of a watched file: asked for where its figures leave it open, and changed at any time."""

from __future__ import annotations

from typing import TYPE_CHECKING

from balance.files.tables.reading.numerals import MARKS, number_text
from tui.host.questions import Choice, Pick

if TYPE_CHECKING:
    from collections.abc import Callable

    from tui.host.host import Host

_SHOWN = "shown"


def ask_decimal(app: Host, then: Callable[[], object] = lambda: None) -> None:
    """Ask for the decimal mark of the watched file."""
    live = app.open_day.live
    if live is None or app.open_day.ready() is None:
        return
    mark, said, example = live.mark, live.said_mark, live.telling_figure

    def more(name: str) -> str:
        read = [number_text(example, one) for one in MARKS if one == name] if example else []
        return f"'{example}' is {read[0] or 'no number'}" if read else ""

    choices = [Choice(name[0], name, more=more(name), value=name) for name in MARKS]
    if said:
        choices.append(Choice("f", "as the figures show", more="ask where they do not", value=_SHOWN))

    def take(chosen: str | None) -> None:
        if chosen is not None and app.open_day.live is live:
            live.read_with(next((one for one in MARKS if one == chosen), ""))
        then()

    question = mark.text if not isinstance(mark, str) else f"which is the decimal mark? {live.mark_words}"
    app.push_screen(
        Pick(
            f"{live.name}: {question}",
            choices,
            lines=("It is that of the file as a whole. Runs that were made of it stay as they are.",),
            start=said,
        ),
        take,
    )
