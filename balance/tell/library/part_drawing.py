"""The picture of a part over cars as a file: the rows of `PartPicture`, drawn as every other picture is."""

from __future__ import annotations

from typing import TYPE_CHECKING

from balance.model.errors import one_line
from balance.tell.figures import capital
from balance.tell.library.library_text import standing_words
from balance.tell.library.part_picture import (
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
    from balance.tell.library.part_picture import PartPicture
    from balance.tell.report.pictures.canvas import Picture


def draw_part(picture: PartPicture, show: Show) -> Picture | Missing:
    """Draw a part over its cars."""
    part, unit = picture.part, show.unit("force")
    if not picture.cars:
        return Missing(what="picture of a part", why="no day of the library measured it")
    scale = show.system.unit("force").scale
    together = together_figures(picture, show)
    named = [(car_words(car), car_figure(car, show)) for car in picture.cars]
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
