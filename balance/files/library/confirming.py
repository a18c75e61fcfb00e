"""Who is who on a day that joins a library: what is known, what is new, and what has to be asked."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from balance.files.library.parts_file import Confirmed
from balance.files.library.proposals import (
    CarSaid,
    apart,
    car_like,
    change_name,
    new_name,
    part_like,
    parts_said,
)
from balance.model.errors import InputError, UnknownName, one_line, quoted

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from balance.files.library.library import Library
    from balance.files.library.parts_file import PartsFile
    from balance.model.libraries import KeptDay

CAR, EVERY, EQUAL = "car", "*", "="
NEW, SAME = "new", "same"
"""The question about the car, every question, and every part that is said in the words of one known part alone; the answers
that it is another one, and that the proposal is right. Behind `EQUAL` may stand the words of one part: it is that one then."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """Whether a car or a part of a day is one that the library knows; ``key`` is "car" or the number of the part.

    ``cars`` are the car of the day and the one that is proposed, as days say them; of a part there are none. ``equal`` says
    that the words of a part are those of the proposed one.
    """

    key: str
    said: str
    proposal: str
    cars: tuple[CarSaid, ...] = ()
    equal: bool = False

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
    replaced: tuple[tuple[str, str, str], ...] = ()
    """What was confirmed before and is answered otherwise now: car or part, the name before, the name now."""

    @property
    def known(self) -> tuple[str, ...]:
        """Names of the parts of the day that it did know."""
        return tuple(dict.fromkeys(name for name in self.confirmed.parts.values() if name not in self.new))


class _Answers:
    """Answers one question after the other, and keeps those that are open."""

    def __init__(self, given: Mapping[str, str], folder: str) -> None:
        self._given, self._folder, self.open = given, folder, list[Question]()

    def own(self, key: str) -> str:
        """Return what was answered to this question itself."""
        return self._given.get(key, "")

    def of_all(self, question: Question, *, certain: bool) -> str:
        """Return what was answered to this question or to all like it; those about cars only where they are certain."""
        answers = [question.key]
        if question.kind == "part":
            answers.append(EQUAL + question.said)
            answers += [EQUAL] if question.equal else []
        if question.proposal and (question.kind == "part" or certain):
            answers.append(EVERY)
        return next(filter(None, map(self.own, answers)), "")

    def settle(
        self, question: Question, known: Sequence[str], otherwise: str, *, certain: bool = False
    ) -> str:
        """Return which of the known ones is meant, or what a new one is called; nothing where that is open."""
        answer = self.of_all(question, certain=certain)
        if answer == NEW or not (answer or question.proposal):
            return otherwise
        if not answer:
            self.open.append(question)
            return ""
        if answer != SAME:
            if answer not in known:
                raise UnknownName(question.kind, answer, [*known, NEW, SAME])
            return answer
        if not question.proposal:
            raise InputError(
                one_line(
                    f"{self._folder}: {question.kind} {quoted(question.said)}: found no proposal, expected one to be the "
                    f"same as; say which it is, or {NEW}"
                )
            )
        return question.proposal


def join_library(library: Library, file: PartsFile, day: KeptDay, given: Mapping[str, str]) -> Joining:
    """Settle who is who on a day; whatever is like something known, and has no answer yet, is asked.

    What was confirmed before stays, unless it is answered anew.
    """
    numbers = {str(k): one for k, one in enumerate(day.effects.effects, 1)}
    if unknown := [key for key in given if key not in (CAR, EVERY, *numbers) and not key.startswith(EQUAL)]:
        raise UnknownName("part of the day", unknown[0], numbers)
    unasked = {EQUAL + words: part.name for part in file.parts for words in part.unasked}
    answers, replaced = _Answers({**unasked, **given}, day.folder), list[tuple[str, str, str]]()
    confirmed, new = Confirmed(day=day.id, car=_car(library, file, day, answers, replaced)), list[str]()
    names = [part.name for part in file.parts]
    seen = {one: part.name for part in file.parts for one in part.seen}
    only_here = {part.name for part in file.parts if len(part.seen) == 1}
    for key, effect in numbers.items():
        said = effect.changes
        name = before = seen.get((day.id, said), "")
        answer = answers.own(key)
        if before and (answer in ("", SAME) or (answer == NEW and before in only_here)):
            confirmed.parts[said] = before
            continue
        otherwise = new_name(said, [*names, *new])
        equal = parts_said(said, file)
        question = Question(
            key=key,
            said=", ".join(map(change_name, said)),
            proposal=equal[0] if equal else part_like(said, file),
            equal=len(equal) == 1,
        )
        name = answers.settle(question, names, otherwise)
        if name == otherwise:
            new.append(name)
        if name:
            confirmed.parts[said] = name
        if EQUAL + question.said in given:
            confirmed.unasked[question.said] = given[EQUAL + question.said]
        if before not in ("", name):
            replaced.append(("part", before, name))
    return Joining(
        confirmed=confirmed, questions=tuple(answers.open), new=tuple(new), replaced=tuple(replaced)
    )


def _car(
    library: Library, file: PartsFile, day: KeptDay, answers: _Answers, replaced: list[tuple[str, str, str]]
) -> str:
    """Tell which car ran: as answered, as confirmed before, or by the place of the file that describes it."""
    before = next((car.name for car in file.cars if day.id in car.seen), "")
    known = before or next(
        (one.car for one in library.days if one.car and one.head.car_file == day.car_file), ""
    )
    answer = answers.own(CAR)
    if known and answer in ("", SAME):
        return known
    said = {car.name: list[CarSaid]() for car in file.cars}
    for one in library.days:
        if one.car and one.head.id != day.id:
            said.setdefault(one.car, []).append(CarSaid.of(one.head))
    elsewhere = {car.name for car in file.cars if {*car.seen} - {day.id}}
    elsewhere |= {name for name, days in said.items() if days}
    if answer == NEW and known and known not in elsewhere:
        return known
    own, proposed = CarSaid.of(day), car_like(CarSaid.of(day), said)
    question = Question(
        key=CAR,
        said=day.car,
        proposal=proposed.name,
        cars=(own, *((proposed.said,) if proposed.said else ())),
    )
    name = answers.settle(question, sorted(said), apart(day.car, elsewhere), certain=proposed.certain)
    if before not in ("", name):
        replaced.append(("car", before, name))
    return name
