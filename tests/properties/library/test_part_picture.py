"""The picture of a part over any cars: its figures are those that are pooled, and every row has its place on the scale."""

import math

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from balance.decide.library.over_cars import part_over_cars
from balance.files.library.index import Head, KeptScatter
from balance.files.library.library import LibraryDay
from balance.model.channels import WITH_TOTAL
from balance.model.libraries import CarFacts, KeptEffect, SaidChange
from balance.tell.figures import Show
from balance.tell.library.part_picture import part_picture, picture_spans, picture_table
from balance.tell.library.part_rows import PartRows
from balance.units.shown import SYSTEMS

AREAS = st.floats(-0.5, 0.5)
STDS = st.one_of(st.floats(1e-4, 0.2), st.just(math.nan))
DAY = st.tuples(st.integers(0, 7), st.tuples(AREAS, AREAS, AREAS), STDS, st.booleans())
"""A car, what the part did to front, rear and drag, its uncertainty, and whether readings are suspect."""


def part_of(days):
    rows = []
    for k, (car, (front, rear, drag), std, suspect) in enumerate(days):
        head = Head(
            id=f"day {k}", file="", folder=f"/days/{k}", title=f"day {k}", date=f"2025-01-{k + 1:02}", car=f"car {car}",
            car_file=f"/cars/{car}", facility="", facility_name="", floor="fixed", speed=40.0, air_density=1.2, runs=2,
            files=(), sources=(), effects=1, body="", facts=CarFacts(),
            scatter=KeptScatter(variance=(1.0,) * 4, repeats_variance=(1.0,) * 4, repeats_degrees=4.0),
        )  # fmt: skip
        effect = KeptEffect(
            changes=(SaidChange("spoiler", "25 mm"),),
            effect=(front, rear, drag, front + rear),
            covariance=tuple(tuple(std**2 * (a == b) for b in range(4)) for a in range(4)),
            degrees_of_freedom=(6.0,) * 4,
            refit_assumed=False,
            fitted_with=(),
            runs=("2",),
            baseline_runs=("1",),
            suspect=("2",) if suspect else (),
            comparisons=1,
        )  # fmt: skip
        rows.append((LibraryDay(head=head, car=f"car {car}", gone=False), effect))
    over = part_over_cars(
        ["\n".join(day.car_key) for day, _ in rows],
        np.array([effect.effect for _, effect in rows]),
        np.array([effect.covariance for _, effect in rows]),
    )
    return PartRows(
        name="spoiler", family="spoiler", rows=tuple(rows), over=over, speed=44.0, air_density=1.225
    )


@given(
    st.lists(DAY, min_size=1, max_size=12),
    st.sampled_from(WITH_TOTAL),
    st.sampled_from(list(SYSTEMS)),
    st.booleans(),
)
def test_every_figure_is_the_pooled_one_at_the_speed_shown(days, channel, units, by_effect):
    part, show = part_of(days), Show(SYSTEMS[units])
    picture = part_picture(part, channel, by_effect=by_effect)
    k, pressure = (
        WITH_TOTAL.index(channel),
        0.5 * 1.225 * 44.0**2,
    )  # by hand: half density times speed squared
    assert len(picture.cars) == part.over.cars
    figures = [picture_table(picture, show).cell(row, "figure").text for row in range(len(picture.cars) + 2)]
    assert (picture.mean is None) == (figures[-2] == "too few cars") == (part.over.known < 3)
    assert (picture.next_car is None) == (figures[-1] == "too few cars") == (part.over.known < 5)
    if picture.mean is not None:
        pooled = part.over.pooled[k]
        low, high = (show.bare("force", end * pressure) for end in pooled.interval)
        assert figures[-2] == f"{show.bare('force', pooled.mean * pressure)} ({low} to {high})"
    if picture.next_car is not None:
        low, high = (show.bare("force", end * pressure) for end in part.over.pooled[k].next_interval)
        assert figures[-1] == f"{low} to {high}"
    for car, figure in zip(picture.cars, figures, strict=False):
        assert math.isclose(car.span.low + car.span.high, 2.0 * car.span.value, abs_tol=1e-6) or "?" in figure
        assert figure.startswith("~") == (car.span.low <= 0.0 <= car.span.high)
        assert figure.endswith("*") == car.suspect


@given(st.lists(DAY, min_size=1, max_size=12), st.sampled_from(WITH_TOTAL))
def test_every_value_the_mean_and_the_range_have_their_place_on_the_scale(days, channel):
    picture = part_picture(part_of(days), channel)
    low, high = picture.scale
    assert low <= 0.0 <= high
    for span in picture_spans(picture):
        for end in () if span is None else (span.value,) if span.kind == "car" else span.ends:
            assert low - 1e-9 <= end <= high + 1e-9
