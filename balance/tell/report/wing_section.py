"""The wing, or whatever else was run at several settings: grip balance against it, useful range, and the trim."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from balance.decide.car.car_state import state_of
from balance.decide.settings.families import find_families
from balance.decide.settings.trim import best_answer
from balance.decide.settings.trim_question import TrimQuestion, answer_trim
from balance.model.channels import DRAG, FRONT, REAR
from balance.model.kinds import with_unit
from balance.tell.figures import behind_weight, capital, number, percent
from balance.tell.parts.part_names import setting_words as fitted_words
from balance.tell.report.blocks import Block, Missing, Pictures, Section, Words
from balance.tell.report.cells import load_cells
from balance.tell.report.opening_sections import letters_words
from balance.tell.report.pictures.against_speed import against_speed
from balance.tell.report.pictures.setting import setting_picture
from balance.tell.report.place_sections import place_verdict, surplus_cell
from balance.tell.runs.range_words import range_brief
from balance.tell.settings.setting_words import (
    STALL_WORDS,
    range_words,
    seen_lines,
    setting_decimals,
    setting_words,
    stall_sentence,
)
from balance.tell.settings.trim_text import wing_headline
from balance.tell.table import Cell, Table, figures_columns, table_of, words_columns
from balance.tell.what_if.assumption_text import assumption_lines
from balance.tell.words import verdict_role

if TYPE_CHECKING:
    from collections.abc import Iterator

    from numpy.typing import NDArray

    from balance.decide.car.car_state import CarState
    from balance.decide.settings.families import Family
    from balance.decide.settings.response import Response as Curves
    from balance.decide.settings.trim_question import TrimAnswers
    from balance.tell.report.pictures.canvas import Picture
    from balance.tell.report.report_data import ReportData

LEAST_SETTINGS = 3


def sweeps_of(report: ReportData) -> tuple[Family, ...]:
    """Find the sweeps of a day, that of the recommendation first."""
    prepared = report.prepared
    names = dict.fromkeys(sweep.setting for sweep in prepared.sweeps)
    families = [family for name in names for family in find_families(prepared, name)]
    families = [family for family in families if family.values.size >= LEAST_SETTINGS]
    families.sort(key=lambda family: report.run(report.answer).label not in family.labels)
    return tuple(families)


def swept(report: ReportData, most: int | None = None) -> tuple[TrimAnswers, ...]:
    """Solve the sweeps of a day, or the first of them, each for the target."""
    answer = report.run(report.answer).label
    return tuple(
        answer_trim(
            report.prepared,
            TrimQuestion(run=answer if answer in family.labels else family.labels[0], setting=family.setting),
            speed=report.speed,
            air_density=report.table.air_density,
        )
        for family in sweeps_of(report)[:most]
    )


def wing_section(report: ReportData) -> Section:
    """Show a sweep as a picture of the grip balance, with its useful range and the trim; all, and tables, in full."""
    blocks: list[Block] = []
    for position, one in enumerate(swept(report, None if report.full else 1)):
        blocks += _blocks(report, one, position)
    if not blocks:
        blocks.append(_none())
    return Section(tuple(blocks))


def _blocks(report: ReportData, one: TrimAnswers, position: int) -> list[Block]:
    answer = one.answer
    response = answer.moved.response
    setting = response.family.setting
    first = answer.solutions[0] if answer.solutions else None
    warned = []
    if first is not None:
        name = f"{capital(setting.replace('_', ' '))} {with_unit(number(first.value, setting_decimals(first.low, first.high)), response.family.unit)}"
        warned = [f"{name} {STALL_WORDS[one]}." for one in first.stall]
    seen = [f"{capital(line)}." for line in seen_lines(report.day.readings.runs, response.family)]
    rests = "; ".join(assumption_lines(answer.assumptions, report.show)).replace(
        setting, setting.replace("_", " ")
    )
    if not report.full:
        stalls = stall_sentence(response, report.table.dynamic_pressure, report.show)
        return [
            *_pictures(report, one, position),
            Words(text=" ".join(filter(None, [*_in_short(report, one), stalls, *warned, *seen]))),
        ]
    said: list[Block] = [
        Words(text=capital(_name(response)), role="strong"),
        Words(text=f"{capital(wing_headline(one, report.show).replace('_', ' '))}."),
        *(Words(text=text, role="warn") for text in warned),
        Words(text=f"{capital(range_words(response))}."),
        *(Words(text=text) for text in seen),
        *_pictures(report, one, position),
    ]  # fmt: skip
    said += [_table(report, response, position), Words(text=f"{capital(rests)}.", role="soft")]
    return said


def _in_short(report: ReportData, one: TrimAnswers) -> Iterator[str]:
    """State the setting recommended, which was run, and beside it the one that would meet the target."""
    answer, show = one.answer, report.show
    family = answer.moved.response.family
    name = family.setting.replace("_", " ")
    held = report.run(report.answer).settings.get(family.setting)
    if report.recommends and held is not None and report.run(report.answer).label in family.labels:
        verdict = report.table.handling.verdicts[report.answer]
        had = f", with a grip balance of {percent(verdict.surplus)}" if abs(verdict.surplus) < 1.0 else ""
        yield f"Recommended is {fitted_words(name, held)}, as it was run{had}."
        (low, high), tested = answer.moved.response.useful, answer.moved.response.tested
        if held.numeric and float(held.value) >= high and high < tested[1]:
            yield f"It is the last setting of the useful range, {low:g} to {with_unit(f'{high:g}', family.unit)}: go no further."
    best = best_answer(answer)
    if best is None or best is answer.closest or answer.aim.kind == "balance_offset":
        yield f"{capital(wing_headline(one, show).replace('_', ' '))}."
        return
    found = setting_words(best.value, best.low, best.high, family.unit, report.day.confidence)
    yield (
        f"The target, a grip balance of {percent(answer.aim.target)}, would be met at {name} {found}: "
        f"{range_brief(best.over_range, show)}. That setting was not run."
    )


def _pictures(report: ReportData, one: TrimAnswers, position: int) -> list[Block]:
    """Return the picture against the setting; in a short report that against speed beside it."""
    against = _picture(report, one, position)
    if report.full:
        return [Pictures(pictures=(against,))]
    speed = against_speed(report, report.answer, "grip_surplus")
    return [Pictures(pictures=(against, speed)), letters_words(report)]


def _name(response: Curves) -> str:
    family = response.family
    return f"{family.setting.replace('_', ' ')}, runs {', '.join(family.labels)}"


def _table(report: ReportData, response: Curves, position: int) -> Table:
    family = response.family
    rows = []
    for k, value in enumerate(family.values.tolist()):
        state = _state(report, family.weights[k])
        handling, verdict = state.handling, state.handling.verdicts[0]
        share, std = float(handling.aero_balance.value[0]), float(handling.aero_balance.std[0])
        low, high = response.useful
        rows.append(
            (
                Cell(
                    text=with_unit(f"{value:g}", family.unit),
                    other="" if low <= value <= high else "outside useful range",
                ),
                *load_cells(report, state.forces, state.stds, (FRONT, REAR, DRAG)),
                Cell(
                    text=percent(share, std),
                    between=behind_weight(float(handling.balance_offset[0]), std),
                )
                if np.isfinite(share)
                else Cell(text="none", role="muted"),
                surplus_cell(verdict),
                Cell(text=place_verdict(verdict), role=verdict_role(verdict)),
            )
        )
    return table_of(
        key=f"wing-{position}",
        heading=f"{capital(_name(response))}, at {report.show.speed(report.speed)}",
        columns=(
            *words_columns(family.setting.replace("_", " ")),
            *figures_columns("front axle", "rear axle", "drag", "aero balance", "grip balance"),
            *words_columns("verdict"),
        ),
        rows=tuple(rows),
    )


def first_response(report: ReportData) -> Picture | Missing:
    """Draw the first sweep of a day, that of the answer where it is in one."""
    found = swept(report, 1)
    return _picture(report, found[0], 0) if found else _none()


def _none() -> Missing:
    return Missing(
        what="table of settings",
        why=f"no setting was run at {LEAST_SETTINGS} values or more with all else equal",
    )


def _picture(report: ReportData, one: TrimAnswers, position: int) -> Picture:
    verdicts = [
        _state(report, weights).handling.verdicts[0] for weights in one.answer.moved.response.family.weights
    ]
    return setting_picture(report, one, verdicts, position)


def _state(report: ReportData, weights: NDArray[np.float64]) -> CarState:
    """Judge the mean of some readings at the speed of the report."""
    prepared = report.prepared
    drawn = prepared.drawn(weights[None])
    return state_of(
        prepared,
        prepared.areas(weights),
        None if drawn is None else drawn[:, :, 0],
        prepared.stds(weights),
        vehicle=report.session.vehicle,
        speed=report.speed,
        air_density=report.table.air_density,
        onsets=False,
    )
