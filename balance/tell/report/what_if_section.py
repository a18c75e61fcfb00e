"""The what-ifs that the engineer chose, each beside the run that it starts from."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from balance.decide.what_if.what_if import evaluate_what_if
from balance.files.formats.what_if import pick_what_if, read_what_ifs
from balance.model.channels import DRAG, FRONT, REAR, front_rear_drag
from balance.tell.figures import capital
from balance.tell.report.blocks import Block, Lines, Missing, Section, Words
from balance.tell.report.cells import load_cell, quantity_cell
from balance.tell.report.place_sections import surplus_cell
from balance.tell.runs.range_words import range_phrase, range_role
from balance.tell.table import Cell, figures_columns, table_of, words_columns
from balance.tell.what_if.assumption_text import assumption_lines
from balance.tell.what_if.what_if_text import what_if_headline

if TYPE_CHECKING:
    from balance.decide.car.car_state import CarState
    from balance.decide.what_if.what_if import WhatIfResult
    from balance.tell.report.report_data import ReportData


def what_if_section(report: ReportData) -> Section:
    """Show each chosen what-if beside its start, with everything that it rests on."""
    names, session = report.choices.what_ifs, report.session
    blocks: list[Block] = []
    if names:
        saved = read_what_ifs(session, Path(session.folder))
        for position, name in enumerate(names):
            result = evaluate_what_if(
                report.prepared,
                pick_what_if(saved, name),
                speed=report.speed,
                air_density=report.table.air_density,
            )
            blocks += _blocks(report, result, position)
    else:
        blocks.append(Missing("what-ifs", "none was chosen for this page: what_ifs in brief.toml names them"))
    return Section(tuple(blocks), ("grip_surplus", "increment", "interval") if names else ())


def _blocks(report: ReportData, result: WhatIfResult, position: int) -> list[Block]:
    start, what_if = result.start, result.what_if
    row = report.day.rows.standing[report.day.readings.labels.index(what_if.start)]
    table = table_of(
        key=f"what-if-{position}",
        heading=f"{what_if.name}: not measured, worked out from run {what_if.start}",
        columns=(
            *words_columns("car"),
            *figures_columns("front axle", "rear axle", "drag", "grip surplus of the rear"),
            *words_columns("at all speeds"),
        ),
        rows=(
            _row(report, report.name(row), start),
            _row(report, what_if.name, result.result),
        ),
    )
    rests = assumption_lines(result.assumptions, report.show)
    headline = what_if_headline(result, report.show)
    return [
        Words(f"{capital(headline)}."),
        table,
        *((Words(what_if.note),) if what_if.note else ()),
        Lines(tuple(("", f"{capital(text)}.") for text in rests)),
    ]


def _row(report: ReportData, name: str, state: CarState) -> tuple[Cell, ...]:
    front, rear, drag = (float(v) for v in front_rear_drag(state.forces))
    verdict, over = state.handling.verdicts[0], state.over_range
    judged = Cell() if over is None else Cell(range_phrase(over, report.show), range_role(over))
    return (
        Cell(f"{name}, at {report.show.speed(state.speed)}", other=report.other.speed(state.speed)),
        load_cell(report, front, float(state.stds[FRONT])),
        load_cell(report, rear, float(state.stds[REAR])),
        quantity_cell(report, "force", drag, float(state.stds[DRAG])),
        surplus_cell(verdict),
        judged,
    )
