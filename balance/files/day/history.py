"""The states of a day's files: what was done, undone and done again, each step exact."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Mapping


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One change of a text: at a place, what was taken out and what was put in; ``what`` says why.

    ``taken`` names the row of a watched file that came in with it: its ``file``, ``key`` and ``cells``. ``file``
    is empty for the run sheet; else it is the car's file or session.toml, seen from the session's folder, and
    ``before`` and ``after`` are the digests of what it held.
    """

    what: str
    at: int
    out: str
    into: str
    taken: Mapping[str, Any] | None = None
    file: str = ""
    before: str = ""
    after: str = ""

    def done(self, text: str) -> str:
        """Return the text after this step."""
        return self._swapped(text, self.out, self.into)

    def undone(self, text: str) -> str:
        """Return the text before this step."""
        return self._swapped(text, self.into, self.out)

    def _swapped(self, text: str, old: str, new: str) -> str:
        if text[self.at : self.at + len(old)] != old:
            raise ValueError(f"the step '{self.what}' does not fit the text")
        return text[: self.at] + new + text[self.at + len(old) :]


def step_between(what: str, old: str, new: str, *, taken: Mapping[str, Any] | None = None) -> Step:
    """Find the one stretch in which two texts differ.

    Examples
    --------
    >>> step_between("x", "abcd", "abXd")
    Step(what='x', at=2, out='c', into='X', taken=None, file='', before='', after='')
    """
    at = 0
    shorter = min(len(old), len(new))
    while at < shorter and old[at] == new[at]:
        at += 1
    end = 0
    while end < shorter - at and old[-1 - end] == new[-1 - end]:
        end += 1
    out, into = old[at : len(old) - end], new[at : len(new) - end]
    return Step(what=what, at=at, out=out, into=into, taken=taken)


@dataclass(frozen=True, slots=True, kw_only=True)
class History:
    """The text of the run sheet, the steps that led to it, and those that were undone, the next to redo last.

    Steps of other files stand among them in the order of the day, and leave the text as it is.
    """

    text: str
    done: tuple[Step, ...] = ()
    undone: tuple[Step, ...] = ()
    given_back: tuple[Mapping[str, Any], ...] = ()
    """Rows of watched files whose steps were undone, and which were not taken again since."""

    def with_step(self, step: Step) -> History:
        """Go one step on; what was undone can no longer be done again."""
        return History(text=self._with(step), done=(*self.done, step), given_back=self._without(step))

    def undo(self) -> History:
        """Go one step back."""
        step = self.done[-1]
        back = (*self._without(step), step.taken) if step.taken else self.given_back
        text = self.text if step.file else step.undone(self.text)
        return History(text=text, done=self.done[:-1], undone=(*self.undone, step), given_back=back)

    def redo(self) -> History:
        """Do again what was undone last."""
        step = self.undone[-1]
        return History(
            text=self._with(step),
            done=(*self.done, step),
            undone=self.undone[:-1],
            given_back=self._without(step),
        )

    def passing_over(self, step: Step) -> History:
        """Leave out a step of another file that can be neither undone nor done again."""
        return replace(
            self,
            done=tuple(one for one in self.done if one is not step),
            undone=tuple(one for one in self.undone if one is not step),
        )

    def _with(self, step: Step) -> str:
        return self.text if step.file else step.done(self.text)

    def _without(self, step: Step) -> tuple[Mapping[str, Any], ...]:
        taken = step.taken
        return tuple(row for row in self.given_back if taken is None or not same_row(row, taken))


def same_row(one: Mapping[str, Any], other: Mapping[str, Any]) -> bool:
    """Return whether two records are of one row of one file, whatever it says by now."""
    return all(one.get(name, 0) == other.get(name, 0) for name in ("file", "key", "begun"))
