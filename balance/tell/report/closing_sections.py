"""The last sections of a brief: scatter of the day, limits and cautions."""

from __future__ import annotations

from typing import TYPE_CHECKING

from balance.model.channels import WITH_TOTAL
from balance.tell.figures import capital, number
from balance.tell.library.cars_before import library_words
from balance.tell.repeatability.drift_words import drift_lines
from balance.tell.repeatability.scatter_words import scatter_summary, source_words
from balance.tell.report.blocks import Block, Lines, Section, Words
from balance.tell.report.cells import quantity_cell
from balance.tell.report.choice_words import rule_words
from balance.tell.report.middle_sections import before_lines, together
from balance.tell.report.pictures.parts import repeats_picture
from balance.tell.runs.range_words import BEYOND
from balance.tell.runs.remarks import gathered, run_remarks, second_look, session_remarks
from balance.tell.table import Cell, Table, figures_columns, table_of, words_columns
from balance.tell.words import CAUTIONS, probability_words

if TYPE_CHECKING:
    from balance.tell.report.report_data import ReportData

DRAWS = "Shares of draws: readings and assumptions are varied within their doubt, and each draw is judged like the car itself."
"""What a draw is, to somebody who has not met the word."""
MOST_DOUBTS = 4
"""Doubtful figures that a short report names."""


def scatter_section(report: ReportData) -> Section:
    """State how well the day could tell one configuration from another, and how readings moved."""
    day, show = report.scatter, report.show
    blocks: list[Block] = [
        Lines(lines=tuple(("", sentence) for sentence in scatter_summary(day, show))),
        *together(repeats_picture(report)),
        *([_scatter_table(report)] if any(day.scatter.source) else []),
        Words(text="Drift over the day:", role="strong"),
        Lines(lines=tuple(line for line in drift_lines(day.drifts, show) if line[0] != "correction")),
    ]
    return Section(tuple(blocks))


def _scatter_table(report: ReportData) -> Table:
    """List how well one reading is known, from what, and how large a part must be to be found."""
    day = report.scatter
    rows = []
    for k, name in enumerate(WITH_TOTAL):
        source, times = source_words(day, k)
        found = source if times is None else f"{source} {number(times, 2)}"
        rows.append(
            (
                Cell(text=name),
                quantity_cell(report, "force", float(day.scatter.deviation[k]), decimals=1),
                quantity_cell(report, "force", float(day.detectable[k])),
                Cell(text=found),
            )
        )
    return table_of(
        key="scatter",
        heading="How far equal readings differ, and how large a part must be for this day to detect it",
        columns=(
            *words_columns("reading"),
            *figures_columns("standard deviation", "smallest detectable change"),
            *words_columns("known from"),
        ),
        rows=tuple(rows),
        note=f"As tested, at {report.show.speed(report.session.facility.speed)}.",
    )


def limits_section(report: ReportData) -> Section:
    """State what stands between these figures and the road; never left out, never replaced."""
    told = [*_about_runs(report), *_about_the_day(report)]
    verdict = report.table.handling.verdicts[report.answer]
    blocks: list[Block] = [
        Lines(lines=tuple(("", caution) for caution in CAUTIONS)),
        Words(text="What was assumed, not stated, or looks unlikely:", role="strong"),
        Lines(lines=tuple(("", _sentence(note)) for note in told)),
    ]
    if verdict.shares is not None:
        blocks.append(Words(text=DRAWS, role="soft"))
    if not report.choices.answer:
        blocks.append(Words(text=rule_words(report), role="soft"))
    if report.before is not None and "parts" in report.choices.sections and before_lines(report):
        blocks.append(Words(text=library_words(report.before), role="soft"))
    if report.full:
        said = f"The recommendation's verdict: {probability_words(verdict)}.".replace("..", ".")
        blocks.append(Words(text=said, role="soft"))
    return Section(tuple(blocks))


def _about_runs(report: ReportData) -> list[str]:
    """List what is to be said of the recommendation; in a full report of every configuration shown."""
    table, show = report.table, report.show
    if not report.full:
        words = report.runs_words(report.answer)
        return [f"{words}: {note}" for note in run_remarks(table, report.answer, show)]
    rows = sorted({report.baseline, report.answer, *report.shown})
    return gathered([report.labels(r) for r in rows], [list(run_remarks(table, r, show)) for r in rows])


def _about_the_day(report: ReportData) -> list[str]:
    """List what holds for the whole day; of doubtful figures the first few, and how many more there are, unless all is told.

    Days of other cars that could not be shared are other customers': they are not named here.
    """
    others = report.session.left_out
    remarks = [one for one in session_remarks(report.table, report.show) if one not in others]
    if "balance" in report.choices.sections:  # whose table explains the mark under itself
        remarks = [one for one in remarks if not one.startswith(BEYOND)]
    doubtful = len(list(second_look(report.day, report.show)))
    if report.full or doubtful <= MOST_DOUBTS:
        return remarks
    more = f"{doubtful - MOST_DOUBTS} more figures are worth a second look: the full report lists them"
    return [*remarks[:MOST_DOUBTS], more, *remarks[doubtful:]]


def _sentence(note: str) -> str:
    """Begin with a capital letter and end with a full stop, unless there is a question mark already."""
    text = capital(note)
    return text if text.endswith((".", "?", "!")) else f"{text}."
