"""The picture of a part over cars as a file: the rows of `PartPicture`, drawn as every other picture is."""

from __future__ import annotations

from typing import TYPE_CHECKING

from balance.model.errors import one_line
from balance.model.kinds import with_unit
from balance.tell.figures import NONE, capital
from balance.tell.library.car_facts import FACTS, fact_unit
from balance.tell.library.library_text import standing_words
from balance.tell.library.part_picture import (
    SEVERAL,
    car_fact,
    car_figure,
    car_words,
    drag_line,
    picture_spans,
    together_figures,
)
from balance.tell.report.blocks import Missing
from balance.tell.report.pictures.over_cars import OverCars, draw_over_cars

if TYPE_CHECKING:
    from balance.tell.figures import Show
    from balance.tell.library.part_picture import CarRow, PartPicture
    from balance.tell.report.pictures.canvas import Picture


def _named(picture: PartPicture, car: CarRow, show: Show) -> str:
    """Name a car, with the fact that the rows are sorted by."""
    said = [car_words(car)]
    for fact in FACTS:
        if fact.key == picture.part.by:
            text, unit = car_fact(car, fact, show), fact_unit(fact, show)
            known = text not in (NONE, SEVERAL)
            said.append(f"{fact.head} {with_unit(text, unit) if known else text}")
    return " · ".join(said)


def draw_part(picture: PartPicture, show: Show) -> Picture | Missing:
    """Draw a part over its cars."""
    part, unit = picture.part, show.unit("force")
    if not picture.cars:
        return Missing(what="picture of a part", why="no day of the library measured it")
    scale = show.system.unit("force").scale
    together = together_figures(picture, show)
    named = [(_named(picture, car, show), car_figure(car, show)) for car in picture.cars]
    named += [(name, text) for name, text, _ in together]
    rows = [
        OverCars(
            name=name,
            figure=text,
            value=float("nan") if span is None else span.value / scale,
            low=float("nan") if span is None else span.low / scale,
            high=float("nan") if span is None else span.high / scale,
            kind=("mean", "next")[k - len(picture.cars)] if k >= len(picture.cars) else "car",
        )
        for k, ((name, text), span) in enumerate(zip(named, picture_spans(picture), strict=True))
    ]
    at = f"{show.speed(part.speed)}, {show.quantity('density', part.air_density)}"
    only = f", only {one_line(part.only.words)}" if part.only else ""
    said = "; ".join(f"{name} {text}" for name, text in named)
    return draw_over_cars(
        rows,
        key="part",
        title=f"{one_line(capital(part.name))}{only}: {picture.quantity} at {at}",
        unit=f"{picture.quantity}, change by the part [{unit}]; 95 % intervals",
        scale=(picture.scale[0] / scale, picture.scale[1] / scale),
        alternative=f"{capital(picture.quantity)} that {one_line(part.name)}{only} adds at {at}, in {unit}: {said}.",
        caption=" ".join([*standing_words(part), drag_line(picture, show)]).strip(),
    )
