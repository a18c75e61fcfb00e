"""An answer typed or picked for what a foreign table leaves open, as the import takes it."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from balance.files.tables.importing.plan import AS_RECORD, NOT_FITTED, wanted_lines
from balance.model.errors import InputError, quoted
from tui.host.questions import AskText, Choice, Pick, keyed

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from balance.files.tables.importing.plan import ImportOptions, ImportPlan, Question
    from tui.host.host import Host

_OTHER = "\tother"
"""An answer that no header and no unit can be, for it holds a tab."""
_MEANT = {
    "up": "up: lift is positive",
    "down": "down: downforce is positive",
    "rearward": "rearward: drag is positive",
    "forward": "forward: thrust is positive",
    "one": "one configuration each, by the first of its names",
    "apart": "as they are: something else differed",
    "suffix": "tell them apart: 12 (2)",
    "number": "number all of them on from the last run of the day",
}
"""What an answer in one word means."""
_PAIRS = ("columns", "units", "status", "names")
ABOVE = "the one above"
"""The answer that a blank means what stands above it."""
_ROWS = {"keep": "keep_rows", "drop": "drop_rows", "void": "void_rows"}
_ROW_ANSWER = re.compile(r"(keep|drop|void)\s+(.+)")
_LINE = re.compile(r"'(line \d+)'")
_LISTS = ("drop_rows", "keep_rows", "void_rows", "recorded", "settings", "not_fitted")


def answered(options: ImportOptions, question: Question, text: str) -> ImportOptions:
    """Add one answer."""
    text = text.strip()
    if not text:
        raise InputError(f"found nothing, expected an answer, as with {question.option}")
    name = question.field
    value: Any
    if name == "columns" and text.startswith(AS_RECORD):
        name, value = "recorded", (*options.recorded, text.removeprefix(AS_RECORD))
    elif name == "columns" and text == NOT_FITTED:
        name, value = "not_fitted", (*options.not_fitted, question.key.partition(".")[2])
    elif name in _PAIRS:
        ours = question.key.partition(".")[2]
        value = {**getattr(options, name), ours: text}
    elif name in _ROWS.values() or _ROW_ANSWER.fullmatch(text):
        name, patterns = _of_rows(question, text)
        value = (*getattr(options, name), *patterns)
    elif name in _LISTS:
        value = (*getattr(options, name), *(part.strip() for part in text.split(",") if part.strip()))
    else:
        value = _value(name, text)
    changed: dict[str, Any] = {name: value}
    return replace(options, **changed)


def _value(name: str, text: str) -> Any:
    """Read an answer that is a number, lines, or a yes; any other is its text."""
    if name == "header_line":
        if not text.isdigit():
            raise InputError(f"found {quoted(text)}, expected the number of a line")
        return int(text)
    if name == "lines":
        return wanted_lines(text)
    if name == "fill_down":
        if text != ABOVE:
            raise InputError(
                f"found {quoted(text)}, expected '{ABOVE}', or 'drop' with the rows to leave out"
            )
        return True
    return text


def _of_rows(question: Question, text: str) -> tuple[str, list[str]]:
    """Tell what is to become of which rows: with the word before them, where the question leaves more than one open."""
    match = _ROW_ANSWER.fullmatch(text)
    words = _words(question)
    if match is None and len(words) > 1:
        listed = " or ".join(words)
        raise InputError(
            f"found {quoted(text)}, expected {listed} before the rows, as in '{words[0]} line 12'"
        )
    name = _ROWS[match[1]] if match else question.field
    return name, [part.strip() for part in (match[2] if match else text).split(",") if part.strip()]


def _words(question: Question) -> tuple[str, ...]:
    """Return what the question says may become of a row: drop, keep, void."""
    return tuple(word for word in _ROWS if f"--{word}-rows" in question.option)


def offered(plan: ImportPlan, question: Question) -> tuple[str, ...]:
    """Return the answers that a list can offer."""
    if question.field == "columns":
        return question.choices or tuple(column.header for column in plan.columns if column.header)
    line = _LINE.search(question.option)
    rows = tuple(f"{word} {line[1]}" for word in _words(question)) if line else ()
    return (*question.choices, *((ABOVE,) if question.field == "fill_down" else ()), *rows)


def ask_answer(
    app: Host,
    question: Question,
    options: ImportOptions,
    take: Callable[[ImportOptions | None], None],
    *,
    choices: Sequence[str],
    title: str = "",
    other: str = "another answer, to be typed",
    hint: str = "",
) -> None:
    """Let one of the choices be picked, or an answer be typed; gives the options with it, nothing where left."""

    def said(text: str | None) -> None:
        if text == _OTHER:
            ask_typed()
        else:
            take(None if text is None else answered(options, question, text))

    def ask_typed() -> None:
        def check(text: str) -> None:
            answered(options, question, text)

        app.push_screen(AskText(question.text, hint=hint, check=check), said)

    if not choices:
        ask_typed()
        return
    listed = keyed([(text, _MEANT.get(text, text), "") for text in choices], taken="o")
    last = (Choice("o", other, value=_OTHER),) if other else ()
    app.push_screen(Pick(title or question.text, (*listed, *last)), said)
