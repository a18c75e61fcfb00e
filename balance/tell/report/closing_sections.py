"""The last sections of a brief: scatter of the day, limits and cautions."""

from __future__ import annotations

from typing import TYPE_CHECKING

from balance.model.channels import WITH_TOTAL
from balance.tell.figures import capital, number
from balance.tell.repeatability.drift_words import drift_lines
from balance.tell.repeatability.scatter_words import scatter_summary, source_words
from balance.tell.report.blocks import Block, Lines, Section, Words
from balance.tell.report.cells import quantity_cell
from balance.tell.report.middle_sections import together
from balance.tell.report.part_pictures import repeats_picture
from balance.tell.runs.remarks import gathered, run_remarks, session_remarks
from balance.tell.table import Cell, Table, figures_columns, table_of, words_columns
from balance.tell.words import CAUTIONS, probability_words

if TYPE_CHECKING:
    from balance.tell.report.report_data import ReportData


def scatter_section(report: ReportData) -> Section:
    """State how well the day could tell one configuration from another, and how readings moved."""
    day, show = report.scatter, report.show
    blocks: list[Block] = [
        Lines(tuple(("", sentence) for sentence in scatter_summary(day, show))),
        *together(repeats_picture(report)),
        *([_scatter_table(report)] if any(day.scatter.source) else []),
        Words("Drift over the day:", role="strong"),
        Lines(tuple(line for line in drift_lines(day.drifts, show) if line[0] != "correction")),
    ]
    return Section(
        tuple(blocks),
        ("repeatability", "repeat", "drift", "smallest_detectable_difference", "degrees_of_freedom"),
    )


def _scatter_table(report: ReportData) -> Table:
    """List how well one reading is known, from what, and how large a part must be to be found."""
    day = report.scatter
    rows = []
    for k, name in enumerate(WITH_TOTAL):
        source, times = source_words(day, k)
        found = source if times is None else f"{source} {number(times, 2)}"
        rows.append(
            (
                Cell(name),
                quantity_cell(report, "force", float(day.scatter.deviation[k]), decimals=1),
                quantity_cell(report, "force", float(day.detectable[k])),
                Cell(found),
            )
        )
    return table_of(
        key="scatter",
        heading="How far one reading scatters, and how large a part must be for this day to find it",
        columns=(
            *words_columns("reading"),
            *figures_columns("standard deviation", "smallest detectable difference"),
            *words_columns("known from"),
        ),
        rows=tuple(rows),
        note=f"As tested, at {report.show.speed(report.session.facility.speed)}.",
    )


def limits_section(report: ReportData) -> Section:
    """State what stands between these figures and the road; never left out."""
    table, show = report.table, report.show
    rows = sorted({report.baseline, report.answer, *report.shown})
    own = gathered([report.labels(r) for r in rows], [list(run_remarks(table, r, show)) for r in rows])
    verdict = table.handling.verdicts[report.answer]
    told = [*own, *session_remarks(table, show)]
    return Section(
        (
            Lines(tuple(("", caution) for caution in CAUTIONS)),
            Words("What was assumed, not stated, or looks unlikely:", role="strong"),
            Lines(tuple(("", _sentence(note)) for note in told)),
            Words(f"The answer's verdict: {probability_words(verdict)}.".replace("..", "."), role="soft"),
        ),
        (
            "draws",
            "fixed_floor",
            "grip_load_exponent",
            "stiffness_load_exponent",
            "verdict_probability",
        ),
    )


def _sentence(note: str) -> str:
    """Begin with a capital letter and end with a full stop, unless there is a question mark already."""
    text = capital(note)
    return text if text.endswith((".", "?", "!")) else f"{text}."
