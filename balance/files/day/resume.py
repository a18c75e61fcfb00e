"""How a day goes on after the tool ended, well or badly: the journal held against the file."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from balance.files.day.durable import digest_of
from balance.files.day.history import History, Step, step_between

if TYPE_CHECKING:
    from collections.abc import Callable

    from balance.files.day.journal import Replayed

OUTSIDE = "changed outside axletrim"


@dataclass(frozen=True, slots=True, kw_only=True)
class Resumed:
    """Where a day stands when it is opened.

    ``recovered`` says what only the journal had; ``adopted`` is a change made outside while the day was closed,
    to be taken as one more step; ``apart`` is a text that no longer fits and is to be kept in a file of its own;
    ``anew`` says that the journal has to begin again; ``conflict`` that both sides have gone on.
    """

    history: History
    recovered: tuple[str, ...] = ()
    adopted: Step | None = None
    apart: str = ""
    anew: bool = False
    conflict: bool = False
    notes: tuple[str, ...] = ()


def resume(disk: str, told: Replayed, fits: Callable[[str], bool]) -> Resumed:
    """Decide from what the journal tells and what the file holds where the day stands."""
    history = told.history
    if told.damaged or history is None:
        lost = history.text if history is not None and told.unsaved_steps else ""
        notes = ("the journal was damaged: it is kept beside the new one, and undo begins here",)
        return Resumed(history=History(text=disk), apart=lost, anew=True, notes=notes if told.damaged else ())
    if history.text == disk:
        return Resumed(history=history)
    adopted = step_between(OUTSIDE, history.text, disk)
    digest = digest_of(disk.encode())
    if digest in told.unsaved and told.unsaved_steps:
        last = len(told.unsaved) - 1 - told.unsaved[::-1].index(digest)
        if fits(history.text):
            return Resumed(history=history, recovered=tuple(told.unsaved_steps[last:]))
        notes = ("session.toml was changed so that what was typed and not saved no longer fits it",)
        return Resumed(history=history, adopted=adopted, apart=history.text, notes=notes)
    if told.unsaved_steps and fits(history.text):
        return Resumed(history=history, conflict=True)
    apart = history.text if told.unsaved_steps else ""
    return Resumed(history=history, adopted=adopted, apart=apart)
