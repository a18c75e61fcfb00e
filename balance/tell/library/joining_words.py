"""A day that joins a library in words: what is asked about it, and what became of it; the same wherever it is added."""

from __future__ import annotations

from typing import TYPE_CHECKING

from balance.model.errors import one_line, quoted
from balance.tell.figures import Show, counted

if TYPE_CHECKING:
    from balance.files.library.confirming import Question
    from balance.files.library.joining import Step
    from balance.files.library.proposals import CarSaid
    from balance.model.libraries import KeptDay


def question_words(question: Question) -> str:
    """Ask whether a car or a part is the one that is proposed."""
    kind = question.kind
    return one_line(f"{kind} '{question.said}': the same {kind} as '{question.proposal}' of the library?")


def car_said_words(car: CarSaid) -> str:
    """State what tells a car from another: its name, body, mass, wheelbase, driven axle, and the day's folder."""
    show, figures = Show(), car.figures
    driven = {"": "", "all": "all wheels driven"}.get(figures.driven, f"{figures.driven} axle driven")
    said = [car.name, car.body]
    said += [] if figures.mass is None else [show.quantity("mass", figures.mass)]
    said += [] if figures.wheelbase is None else [f"wheelbase {show.quantity('length', figures.wheelbase)}"]
    return one_line(" · ".join(text for text in (*said, driven, car.folder) if text))


def question_lines(question: Question) -> tuple[str, ...]:
    """Ask, and state of two cars what tells them apart."""
    heads = ("this day's", "the library's")
    cars = (f"{head}: {car_said_words(car)}" for head, car in zip(heads, question.cars, strict=False))
    return (question_words(question), *cars)


def day_words(day: KeptDay) -> str:
    """Name a day with its folder: days of several cars may have one title."""
    return one_line(f"{day.title} · {day.car} · {day.folder}")


def became_words(step: Step) -> str:
    """State what became of a day."""
    joining, folder = step.joining, step.day.folder
    if joining.questions:
        return one_line(f"not added, {len(joining.questions)} to answer: {folder}")
    words = {"added": "added", "there": "there already", "moved": "moved to"}[step.state]
    new = f", new: {'; '.join(joining.new)}" if joining.new else ""
    known = f", known: {'; '.join(joining.known)}" if joining.known else ""
    car = joining.confirmed.car
    if car != step.day.car:
        car += f", which the day calls {quoted(step.day.car)}"
    otherwise = "".join(
        f", {kind} {quoted(before)} before, now {quoted(now)}" for kind, before, now in joining.replaced
    )
    parts = counted(len(joining.confirmed.parts), "part")
    return one_line(f"{words}: {folder} · {car} · {parts}{known}{new}{otherwise}")
