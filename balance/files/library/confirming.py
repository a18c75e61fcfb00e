"""Who is who on a day that joins a library: what is known, what is new, and what has to be asked."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from balance.files.library.parts_file import Confirmed
from balance.files.library.proposals import apart, car_like, change_name, new_name, part_like
from balance.model.errors import InputError, UnknownName, one_line

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from balance.files.library.library import Library
    from balance.files.library.parts_file import PartsFile
    from balance.model.libraries import KeptDay

CAR, EVERY = "car", "*"
NEW, SAME = "new", "same"
"""The question about the car, and every question; the answers that it is another one, and that the proposal is right."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """Whether a car or a part of a day is one that the library knows; ``key`` is "car" or the number of the part."""

    key: str
    said: str
    proposal: str

    @property
    def kind(self) -> str:
        """What is asked about."""
        return "car" if self.key == CAR else "part"


@dataclass(frozen=True, slots=True, kw_only=True)
class Joining:
    """A day on its way into a library: what is settled, and what is open."""

    confirmed: Confirmed
    questions: tuple[Question, ...]
    new: tuple[str, ...]
    """Names of parts that the library did not know."""

    @property
    def known(self) -> tuple[str, ...]:
        """Names of the parts of the day that it did know."""
        return tuple(dict.fromkeys(name for name in self.confirmed.parts.values() if name not in self.new))


class _Answers:
    """Answers one question after the other, and keeps those that are open."""

    def __init__(self, given: Mapping[str, str]) -> None:
        self._given, self.open = given, list[Question]()

    def settle(self, key: str, said: str, proposal: str, known: Sequence[str], otherwise: str) -> str:
        """Return which of the known ones is meant, or what a new one is called; nothing where that is open."""
        answer = self._given.get(key) or (self._given.get(EVERY, "") if proposal else "")
        if answer == NEW or not (answer or proposal):
            return otherwise
        if not answer:
            self.open.append(Question(key=key, said=said, proposal=proposal))
            return ""
        if answer != SAME:
            if answer not in known:
                raise UnknownName("car" if key == CAR else "part", answer, [*known, NEW, SAME])
            return answer
        if not proposal:
            raise InputError(
                f"{one_line(said)}: found no proposal, expected one to be the same as; say which it is, or {NEW}"
            )
        return proposal


def join_library(library: Library, file: PartsFile, day: KeptDay, given: Mapping[str, str]) -> Joining:
    """Settle who is who on a day; whatever is like something known, and has no answer yet, is asked."""
    numbers = {str(k): one for k, one in enumerate(day.effects.effects, 1)}
    if unknown := [key for key in given if key not in (CAR, EVERY, *numbers)]:
        raise UnknownName("part of the day", unknown[0], numbers)
    answers = _Answers(given)
    confirmed, new = Confirmed(day=day.id, car=_car(library, file, day, answers)), list[str]()
    names = [part.name for part in file.parts]
    seen = {one: part.name for part in file.parts for one in part.seen}
    for key, effect in numbers.items():
        said = effect.changes
        name = seen.get((day.id, said), "")
        if not name:
            otherwise = new_name(said, [*names, *new])
            words = ", ".join(map(change_name, said))
            name = answers.settle(key, words, part_like(said, file), names, otherwise)
            if name == otherwise:
                new.append(name)
        if name:
            confirmed.parts[said] = name
    return Joining(confirmed=confirmed, questions=tuple(answers.open), new=tuple(new))


def _car(library: Library, file: PartsFile, day: KeptDay, answers: _Answers) -> str:
    """Tell which car ran: as confirmed, by the file that describes it, or as answered."""
    known = next((car.name for car in file.cars if day.id in car.seen), "")
    known = known or next(
        (one.car for one in library.days if one.car and one.head.car_file == day.car_file), ""
    )
    if known:
        return known
    cars = sorted({one.car for one in library.days if one.car} | {car.name for car in file.cars})
    return answers.settle(CAR, day.car, car_like(day.car, cars), cars, apart(day.car, cars))
