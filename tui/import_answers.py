"""An answer typed or picked for what a foreign table leaves open, as the import takes it."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

from balance.errors import InputError, quoted

if TYPE_CHECKING:
    from balance.files.foreign.plan import ImportOptions, ImportPlan, Question

_PAIRS = ("columns", "units", "status")
_LISTS = ("drop_rows", "keep_rows", "void_rows", "recorded", "settings")


def answered(options: ImportOptions, question: Question, text: str) -> ImportOptions:
    """Add one answer.

    Parameters
    ----------
    options : ImportOptions
        The answers so far.
    question : Question
        What is answered.
    text : str
        The answer.

    Returns
    -------
    ImportOptions
        With it.

    Raises
    ------
    InputError
        If it is empty, or no number or lines where those are asked for.
    """
    text = text.strip()
    if not text:
        raise InputError(f"found nothing, expected an answer, as with {question.option}")
    name = question.field
    value: Any = text
    if name in _PAIRS:
        ours = question.key.partition(".")[2]
        value = {**getattr(options, name), ours: text}
    elif name in _LISTS:
        value = (*getattr(options, name), *(part.strip() for part in text.split(",") if part.strip()))
    elif name == "header_line":
        if not text.isdigit():
            raise InputError(f"found {quoted(text)}, expected the number of a line")
        value = int(text)
    elif name == "lines":
        first, _, last = text.replace(" ", "").partition("-")
        if not (first.isdigit() and last.isdigit()):
            raise InputError(f"found {quoted(text)}, expected two line numbers as 12-40")
        value = (int(first), int(last))
    elif name == "fill_down":
        value = True
    changed: dict[str, Any] = {name: value}
    return replace(options, **changed)


def offered(plan: ImportPlan, question: Question) -> tuple[str, ...]:
    """Give the answers that a list can offer.

    Parameters
    ----------
    plan : ImportPlan
        The plan.
    question : Question
        What is asked.

    Returns
    -------
    tuple of str
        Where few are possible; for a column the headers of the file; for a row its line.
    """
    if question.choices:
        return question.choices
    if question.field == "columns":
        return tuple(column.header for column in plan.columns if column.header)
    line = question.key.rpartition(".")[2]
    if question.field in _LISTS and line.isdigit():
        return (f"line {line}",)
    return ()
