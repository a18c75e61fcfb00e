"""The what-ifs that the engineer chose, each beside the run that it starts from."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from balance.decide.what_if.what_if import evaluate_what_if
from balance.files.formats.what_if import pick_what_if, read_what_ifs
from balance.model.channels import DRAG, FRONT, REAR
from balance.tell.figures import capital
from balance.tell.library.other_cars import what_ifs_with_library
from balance.tell.report.blocks import Block, Lines, Missing, Section, Words
from balance.tell.report.cells import load_cells, second
from balance.tell.report.pictures.added_load import row_name
from balance.tell.report.place_sections import surplus_cell
from balance.tell.runs.range_words import range_phrase, range_role
from balance.tell.table import Cell, Table, figures_columns, table_of, words_columns
from balance.tell.what_if.assumption_text import assumption_lines, expected_words
from balance.tell.what_if.what_if_text import what_if_headline

if TYPE_CHECKING:
    from collections.abc import Sequence

    from balance.decide.car.car_state import CarState
    from balance.decide.what_if.what_if import WhatIfResult
    from balance.tell.report.report_data import ReportData


def what_if_section(report: ReportData) -> Section:
    """Show each chosen what-if beside its start, with everything that it rests on."""
    names, session = report.choices.what_ifs, report.session
    if not names:
        return Section((Missing(what="what-ifs", why="none was chosen for this report"),))
    blocks: list[Block] = []
    saved = read_what_ifs(session, Path(session.folder))
    chosen = what_ifs_with_library(session, [pick_what_if(saved, name) for name in names], report.library)
    results = [
        evaluate_what_if(report.prepared, one, speed=report.speed, air_density=report.table.air_density)
        for one in chosen
    ]
    if report.full:
        for position, result in enumerate(results):
            blocks += _blocks(report, result, position)
    else:
        blocks.append(_table(report, results, 0, "Worked out, not measured, from the measured car above it"))
    used = [part for one in chosen for part in one.library]
    cars = "this and other cars" if any(part.own_dates for part in used) else "other cars"
    if states := {part.state for part in used}:
        said = (
            f"What is expected is so from the engineer's records of {cars}, mark {', '.join(sorted(states))}."
        )
        blocks.append(Words(text=said, role="soft"))
    return Section(tuple(blocks))


def _blocks(report: ReportData, result: WhatIfResult, position: int) -> list[Block]:
    what_if = result.what_if
    rests = assumption_lines(result.assumptions, report.show)
    headline = what_if_headline(result, report.show)
    heading = f"{what_if.name}: not measured, worked out from run {what_if.start}"
    return [
        Words(text=f"{capital(headline)}."),
        _table(report, [result], position, heading),
        *((Words(text=what_if.note),) if what_if.note else ()),
        Lines(lines=tuple(("", f"{capital(text)}.") for text in rests)),
    ]


def _table(report: ReportData, results: Sequence[WhatIfResult], position: int, heading: str) -> Table:
    """List what-ifs under the configurations that they start from, each of these once."""
    rows: list[tuple[Cell, ...]] = []
    starts: set[tuple[int, float]] = set()
    for result in results:
        row = report.day.rows.standing[report.day.readings.labels.index(result.what_if.start)]
        if (row, result.start.speed) not in starts:
            starts.add((row, result.start.speed))
            rows.append(_row(report, row_name(report, row), result.start))
        expected = expected_words(result.assumptions)
        name = f"{result.what_if.name} ({expected})" if expected else result.what_if.name
        rows.append(_row(report, name, result.result))
    return table_of(
        key=f"what-if-{position}",
        heading=heading,
        columns=(
            *words_columns("car"),
            *figures_columns("front axle", "rear axle", "drag", "grip balance"),
            *words_columns("at all speeds"),
        ),
        rows=tuple(rows),
    )


def _row(report: ReportData, name: str, state: CarState) -> tuple[Cell, ...]:
    verdict, over = state.handling.verdicts[0], state.over_range
    judged = Cell() if over is None else Cell(text=range_phrase(over, report.show), role=range_role(over))
    return (
        Cell(text=f"{name}, at {report.show.speed(state.speed)}", other=second(report, "speed", state.speed)),
        *load_cells(report, state.forces, state.stds, (FRONT, REAR, DRAG)),
        surplus_cell(verdict),
        judged,
    )
