"""A day that joins a library in words: what is asked about it, and what became of it; the same wherever it is added."""

from __future__ import annotations

from typing import TYPE_CHECKING

from balance.model.errors import one_line

if TYPE_CHECKING:
    from balance.files.library.adding import Step
    from balance.files.library.confirming import Question


def question_words(question: Question) -> str:
    """Ask whether a car or a part is the one that is proposed."""
    kind = question.kind
    return one_line(f"{kind} '{question.said}': the same {kind} as '{question.proposal}' of the library?")


def became_words(step: Step) -> str:
    """State what became of a day."""
    joining, folder = step.joining, step.day.folder
    if joining.questions:
        return one_line(f"not added, {len(joining.questions)} to answer: {folder}")
    words = {"added": "added", "there": "there already", "moved": "moved to"}[step.state]
    new = f", new: {'; '.join(joining.new)}" if joining.new else ""
    known = f", known: {'; '.join(joining.known)}" if joining.known else ""
    parts = len(joining.confirmed.parts)
    counted = f"{parts} part{'s' * (parts != 1)}"
    return one_line(f"{words}: {folder} · {joining.confirmed.car} · {counted}{known}{new}")
