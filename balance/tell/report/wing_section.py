"""The wing, or whatever else was run at several settings: setting by setting, useful range, and the setting advised."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from balance.decide.car.car_state import state_of
from balance.decide.settings.families import find_families
from balance.decide.settings.trim_question import TrimQuestion, answer_trim
from balance.model.channels import DRAG, FRONT, REAR, front_rear_drag
from balance.tell.figures import capital, number, percent, points
from balance.tell.report.blocks import Block, Missing, Pictures, Section, Words
from balance.tell.report.cells import load_cell, quantity_cell
from balance.tell.report.place_sections import surplus_cell
from balance.tell.report.wing_picture import Response, Track, draw_response
from balance.tell.settings.setting_words import STALL_WORDS, range_words
from balance.tell.settings.trim_text import wing_headline
from balance.tell.table import Cell, Table, figures_columns, table_of, words_columns
from balance.tell.what_if.assumption_text import assumption_lines
from balance.tell.words import verdict_mark, verdict_role, verdict_words

if TYPE_CHECKING:
    from balance.decide.settings.response import Response as Curves
    from balance.decide.settings.trim_question import TrimAnswers
    from balance.tell.report.canvas import Picture
    from balance.tell.report.report_data import ReportData

LEAST_SETTINGS = 3
_POINTS = 41


def swept(report: ReportData) -> tuple[TrimAnswers, ...]:
    """Find the sweeps of a day, that of the answer first, and solve each for the target."""
    prepared = report.prepared
    names = dict.fromkeys(sweep.setting for sweep in prepared.sweeps)
    families = [family for name in names for family in find_families(prepared, name)]
    families = [family for family in families if family.values.size >= LEAST_SETTINGS]
    answer = report.run(report.answer).label
    families.sort(key=lambda family: answer not in family.labels)
    return tuple(
        answer_trim(
            prepared,
            TrimQuestion(run=answer if answer in family.labels else family.labels[0], setting=family.setting),
            speed=report.speed,
            air_density=report.table.air_density,
        )
        for family in families
    )


def wing_section(report: ReportData) -> Section:
    """Show each sweep as a table and a picture, with its useful range and the setting that meets the target."""
    blocks: list[Block] = []
    for position, one in enumerate(swept(report)):
        blocks += _blocks(report, one, position)
    absent = not blocks
    if absent:
        blocks.append(_none())
    return Section(
        tuple(blocks),
        ()
        if absent
        else ("sweep", "useful_range", "stall", "draws", "trim", "aero_balance", "balance_offset"),
    )


def _blocks(report: ReportData, one: TrimAnswers, position: int) -> list[Block]:
    answer = one.answer
    response = answer.moved.response
    setting = response.family.setting
    first = answer.solutions[0] if answer.solutions else None
    warned = [f"This setting {STALL_WORDS[one]}." for one in (() if first is None else first.stall)]
    return [
        Words(capital(_name(response)), role="strong"),
        Words(f"{capital(wing_headline(one, report.show).replace('_', ' '))}."),
        *(Words(text, role="warn") for text in warned),
        Words(f"{capital(range_words(response))}."),
        _table(report, response, position),
        Pictures((response_picture(report, one, position),)),
        Words(
            f"{capital('; '.join(assumption_lines(answer.assumptions, report.show)).replace(setting, setting.replace('_', ' ')))}.",
            role="soft",
        ),
    ]


def _name(response: Curves) -> str:
    family = response.family
    return f"{family.setting.replace('_', ' ')}, runs {', '.join(family.labels)}"


def _table(report: ReportData, response: Curves, position: int) -> Table:
    family, prepared = response.family, report.prepared
    rows = []
    for k, value in enumerate(family.values.tolist()):
        weights = family.weights[k]
        drawn = prepared.drawn(weights[None])
        state = state_of(
            prepared,
            prepared.areas(weights),
            None if drawn is None else drawn[:, :, 0],
            prepared.stds(weights),
            vehicle=report.session.vehicle,
            speed=report.speed,
            air_density=report.table.air_density,
            onsets=False,
        )
        front, rear, drag = (float(v) for v in front_rear_drag(state.forces))
        handling, verdict = state.handling, state.handling.verdicts[0]
        share, std = float(handling.aero_balance.value[0]), float(handling.aero_balance.std[0])
        low, high = response.useful
        rows.append(
            (
                Cell(
                    f"{value:g} {family.unit}".strip(),
                    other="" if low <= value <= high else "outside useful range",
                ),
                load_cell(report, front, float(state.stds[FRONT])),
                load_cell(report, rear, float(state.stds[REAR])),
                quantity_cell(report, "force", drag, float(state.stds[DRAG])),
                Cell(percent(share, std), between=points(float(handling.balance_offset[0]), std))
                if np.isfinite(share)
                else Cell("no share", "muted"),
                surplus_cell(verdict),
                Cell(f"{verdict_mark(verdict)} {verdict_words(verdict)}", verdict_role(verdict)),
            )
        )
    return table_of(
        key=f"wing-{position}",
        heading=f"{capital(_name(response))}, at {report.show.speed(report.speed)}",
        columns=(
            *words_columns(family.setting.replace("_", " ")),
            *figures_columns(
                "front axle", "rear axle", "drag", "front share of downforce", "grip surplus of the rear"
            ),
            *words_columns("verdict"),
        ),
        rows=tuple(rows),
    )


def first_response(report: ReportData) -> Picture | Missing:
    """Draw the first sweep of a day, that of the answer where it is in one."""
    found = swept(report)
    return response_picture(report, found[0], 0) if found else _none()


def _none() -> Missing:
    return Missing(
        "table of settings", f"no setting was run at {LEAST_SETTINGS} values or more with all else equal"
    )


def response_picture(report: ReportData, one: TrimAnswers, position: int) -> Picture:
    """Draw how both axles and drag answer to a setting."""
    response, show = one.answer.moved.response, report.show
    family = response.family
    scale = report.table.dynamic_pressure / show.system.unit("force").scale
    means = report.prepared.areas(family.weights) * scale
    stds = np.array([report.prepared.stds(weights) for weights in family.weights]).T * scale
    fine = np.linspace(family.values[0], family.values[-1], _POINTS)
    curves = response.curve(fine) * scale
    tracks = [
        Track(
            name=name,
            points=means[k].tolist(),
            half=(2.0 * stds[k]).tolist(),
            curve_x=fine.tolist(),
            curve_y=curves[k].tolist(),
        )
        for k, name in ((FRONT, "front downforce"), (REAR, "rear downforce"), (DRAG, "drag"))
    ]
    answer = one.answer.solutions[0].value if one.answer.solutions else None
    unit, at = show.unit("force"), show.speed(report.speed)
    ends = "; ".join(
        f"{track.name} {number(track.points[0], 0)} to {number(track.points[-1], 0)} {unit}"
        for track in tracks
    )
    name = family.setting.replace("_", " ")
    return draw_response(
        Response(
            setting=family.setting,
            unit=family.unit,
            values=family.values.tolist(),
            tracks=tracks,
            useful=response.useful,
            answer=answer,
        ),
        key=f"wing-{position}",
        title=f"{capital(name)}: loads and drag at {at}",
        unit=unit,
        alternative=(
            f"From {family.values[0]:g} to {family.values[-1]:g} {family.unit} of {name}: {ends}; useful range "
            f"{response.useful[0]:g} to {response.useful[1]:g} {family.unit}."
        ),
    )
