"""The library of the invented cars, against what their readings were made from (`vehicles/README.md`)."""

import shutil

import numpy as np
import pytest

from balance.compare.student import student_factor
from balance.decide.library.kept import effects_of_day
from balance.files.library.library import Library
from balance.tell.library.part_rows import part_rows
from tests.invented_days import (
    DAYS,
    HATCH_PARTS,
    PARTS,
    PLACES,
    PRESSURE,
    SHORT,
    SPOILER_MEAN,
    VEHICLES,
    WING,
    WING_MEAN,
    drawn,
    named_anew,
    readings_of,
    rows_of,
    wing_on,
)

SPOILER = "Low spoiler 25 mm"
SEEN_ON_FIVE = (SPOILER, "Wing 5°", "Wing 8°")


@pytest.fixture(scope="module")
def library(tmp_path_factory):
    """Open the library in a copy of the invented cars."""
    folder = tmp_path_factory.mktemp("demo") / "cars"
    shutil.copytree(
        VEHICLES, folder, ignore=shutil.ignore_patterns("*.py", "__pycache__", "days", "index.sqlite*")
    )
    with Library(folder / "library", effects_of_day) as opened:
        yield opened


def truth(car, part):
    """Return what a part truly does on a car [N at 160 km/h and 1.2 kg/m³]: front, rear, drag and total."""
    angle = part.removeprefix("Wing ").removesuffix("°")
    if car == "brindlow_hatch":
        front, rear, drag = (
            HATCH_PARTS["spoiler_height", "25"] if part == SPOILER else HATCH_PARTS["wing_angle", angle]
        )
    else:
        front, rear, drag = drawn()[car][0] if part == SPOILER else wing_on(car, angle)
    return np.array((front, rear, drag, front + rear))


def true_mean(part):
    """Return the mean over all cars; of the wing drag and total alone, for its place differs from car to car."""
    if part == SPOILER:
        front, rear, drag = SPOILER_MEAN
        return np.array((front, rear, drag, front + rear))
    force, drag = np.array(WING[part.removeprefix("Wing ").removesuffix("°")]) * WING_MEAN
    return np.array((np.nan, np.nan, drag, force))


@pytest.mark.parametrize("day", DAYS)
def test_the_rule_makes_the_readings_that_stand_in_the_file(day):
    rows = rows_of(day)
    for column, texts in readings_of(day).items():
        assert [row[column] for row in rows] == texts, column


@pytest.mark.parametrize("day", SHORT[1:])
def test_the_truth_of_a_day_stands_in_the_readme(day):
    readme = (VEHICLES / "README.md").read_text(encoding="utf-8")
    car = day.partition("_")[0].capitalize()
    section = next(one for one in readme.split("\n### ") if one.startswith(car))
    stated = [
        tuple(float(cell.replace("−", "-")) for cell in line.split(" | ")[1:])
        for line in section.replace(" |\n", "\n").splitlines()
        if line.startswith("| ") and any(figure.isdigit() for figure in line)
    ]
    made = DAYS[day]
    assert stated == [made.base, *made.parts.values(), made.scatter, made.drift]
    assert f"| `{day}` | {made.seed} |" in readme


def test_what_the_two_parts_do_on_each_car_stands_in_the_readme():
    readme = (VEHICLES / "README.md").read_text(encoding="utf-8").replace("−", "-")
    for car in PLACES:
        figures = [*truth(car, SPOILER)[:3], *truth(car, "Wing 5°")[:3]]
        assert " | ".join(f"{figure:+.0f}" for figure in figures) in readme


def test_the_library_has_every_day_and_a_name_for_every_part(library):
    assert {day.head.folder.partition("/cars/")[2] for day in library.days} == set(DAYS)
    assert library.broken == ()
    assert library.unconfirmed() == []
    assert PARTS.read_text(encoding="utf-8") == named_anew()
    assert {part for part, *_ in library.parts()} >= set(SEEN_ON_FIVE)
    assert len({day.car_key for day in library.days}) == 6


def test_every_body_is_stated(library):
    assert {day.head.body for day in library.days} == {"hatchback", "saloon", "coupe", "estate", "open"}


@pytest.mark.parametrize("part", SEEN_ON_FIVE)
def test_the_true_effect_lies_in_nearly_all_intervals(library, part):
    """Of 24 intervals of 95 % at most three may miss: binomial, 97 sets in 100 miss no more."""
    rows = part_rows(library, part).rows
    held = []
    for day, effect in rows:
        car = day.head.folder.split("/")[-2]
        half = student_factor(np.array(effect.degrees_of_freedom)) * np.array(effect.std)
        held.append(np.abs(np.array(effect.effect) - truth(car, part) / PRESSURE) <= half)
    assert len(held) == 6
    assert np.sum(held) >= 21


@pytest.mark.parametrize("part", SEEN_ON_FIVE)
def test_the_true_mean_lies_in_its_interval_and_every_car_in_the_range_for_the_next(library, part):
    """The seed of the draws is fixed: of other draws one mean in twenty would lie outside."""
    over = part_rows(library, part).over
    assert over.known == 5
    cars = np.array([truth(car, part) for car in ("brindlow_hatch", *PLACES)]) / PRESSURE
    for pooled, mean, values in zip(over.pooled, true_mean(part) / PRESSURE, cars.T, strict=True):
        low, high = pooled.interval
        assert np.isnan(mean) or low <= mean <= high
        low, high = pooled.next_interval
        assert np.all((low <= values) & (values <= high))


def test_short_days_stay_small():
    for day in SHORT:
        size = sum(path.stat().st_size for path in (VEHICLES / day).iterdir())
        assert size < 4096, day
    assert sum(path.stat().st_size for path in PARTS.parent.glob("*.toml")) < 10_000
