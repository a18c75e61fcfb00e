"""Part by part, and balance against target and speed."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from balance.compare.interactions import find_interactions
from balance.model.channels import DRAG, FRONT, REAR, TOTAL
from balance.tell.figures import NONE, capital
from balance.tell.parts.change_text import ratio_figures
from balance.tell.parts.interaction_words import interaction_sentences
from balance.tell.parts.part_names import part_name
from balance.tell.parts.part_waterfall import bar_name
from balance.tell.parts.part_words import (
    balance_words,
    baseline_words,
    deed_words,
    part_notes,
    verdict_change,
)
from balance.tell.report.blocks import Block, Lines, Missing, Pictures, Section, Words
from balance.tell.report.cells import change_cell, load_cell, quantity_cell
from balance.tell.report.curves_picture import place_letters
from balance.tell.report.opening_sections import letters_words, runs_table
from balance.tell.report.part_pictures import map_picture, waterfall_picture
from balance.tell.report.pictures import added_picture, against_speed, share_picture
from balance.tell.table import Cell, Table, figures_columns, table_of, words_columns
from balance.tell.words import band_words, target_words

if TYPE_CHECKING:
    from balance.compare.waterfall import Waterfall
    from balance.tell.report.canvas import Picture
    from balance.tell.report.report_data import ReportData


def parts_section(report: ReportData) -> Section:
    """State part by part what each did, with intervals, in a table, in sentences and in pictures."""
    blocks: list[Block] = []
    if report.told:
        letters = place_letters(len(report.told))
        increments = report.parts.increments
        blocks.append(_increments(report, letters))
        blocks.append(
            Lines(
                tuple(
                    (f"{letter}  {part_name(increments, row)}", _plain(report, row))
                    for letter, row in zip(letters, report.told, strict=True)
                )
            )
        )
        if report.parts_left_out:
            labels, pairs = report.day.readings.labels, increments.pairs
            others = ", ".join(labels[pairs[row].run] for row in report.parts_left_out)
            said = f"Not told here, for they changed the load of an axle less: what runs {others} show."
            blocks.append(Words(said, role="soft"))
        blocks += together(map_picture(report), waterfall_picture(report))
        blocks += _way(report)
        blocks += _beyond(report)
        blocks.append(Words("Adding up parts that were not run together is an assumption.", role="soft"))
    else:
        blocks.append(Missing("part by part", "no run of this day has another to be compared with"))
    return Section(
        tuple(blocks),
        (
            "increment",
            "interval",
            "resolved",
            "cost_ratio",
            "interaction",
            "package",
            "aero_balance",
            "point",
        ),
    )


def _plain(report: ReportData, row: int) -> str:
    """State plainly what a part did: load and drag, grip, and which axle gives up first."""
    part, show = report.parts[row], report.show
    deed = deed_words(part.increment, show)
    clauses = [clause for clause in (balance_words(part), verdict_change(part, show)) if clause]
    notes = "".join(f" {capital(note)}." for note in part_notes(report.parts, row))
    return f"{capital(deed)}. {capital('; '.join(clauses))}.{notes}"


def _way(report: ReportData) -> list[Block]:
    """Return the way from start to answer in figures: both ends, every step, and the whole difference."""
    way = report.way
    if way is None:
        return []
    rows = [_ends(report, way, 0, f"start: run {way.base}")]
    rows += [
        (
            Cell(bar_name(report.parts.increments, bar, 90)),
            *(change_cell(report, way.changes.of(k, column)) for column in (FRONT, REAR, TOTAL, DRAG)),
        )
        for k, bar in enumerate(way.bars)
    ]
    rows.append(_ends(report, way, 1, f"answer: run {way.final}"))
    whole = (change_cell(report, way.whole.of(0, column)) for column in (FRONT, REAR, TOTAL, DRAG))
    rows.append((Cell("answer less start"), *whole))
    return [
        table_of(
            key="way",
            heading=f"From start to answer, at {report.show.speed(report.speed)}: means of repeats, and each step",
            columns=(
                *words_columns("step"),
                *figures_columns("front", "rear", "both axles", "drag"),
            ),
            rows=tuple(rows),
        )
    ]


def _ends(report: ReportData, way: Waterfall, end: int, name: str) -> tuple[Cell, ...]:
    loads, stds = way.ends.change[end], way.ends.std[end]
    return (
        Cell(name),
        *(load_cell(report, float(loads[k]), float(stds[k])) for k in (FRONT, REAR, TOTAL)),
        quantity_cell(report, "force", float(loads[DRAG]), float(stds[DRAG])),
    )


def _beyond(report: ReportData) -> list[Block]:
    """State where parts together do more or less than the sum of each alone, as far as the day can show it."""
    increments = report.parts.increments
    resolved = np.any(find_interactions(increments).interaction.resolved, axis=1)
    sentences = list(interaction_sentences(increments, report.show))
    if not sentences or not increments.changes.scatter_known:
        return []
    shown = [sentence for sentence, known in zip(sentences, resolved, strict=True) if known]
    rest = len(sentences) - len(shown)
    blocks: list[Block] = [Words("What parts do together beyond the sum of each alone:", role="strong")]
    blocks += [Lines(tuple(("", capital(sentence)) for sentence in shown))] if shown else []
    if rest:
        more = f"{rest} {'more ' if shown else ''}pair{'s' if rest != 1 else ''}"
        blocks.append(
            Words(f"Of {more} of parts run alone and together, nothing beyond the sum is resolved.")
        )
    return blocks


def _increments(report: ReportData, letters: list[str]) -> Table:
    rows = []
    for letter, row in zip(letters, report.told, strict=True):
        one = report.parts.increments[row]
        value, between = ratio_figures(one.ratio)
        rows.append(
            (
                Cell(f"{letter}  {part_name(report.parts.increments, row)}", other=baseline_words(one)),
                *(
                    change_cell(report, c)
                    for c in (one.front_downforce, one.rear_downforce, one.downforce, one.drag)
                ),
                Cell(value, between=f"({between})" if between else "", role="muted" if value == NONE else ""),
            )
        )
    return table_of(
        key="parts",
        heading=f"What each part changed at {report.show.speed(report.speed)}: run less baseline, downforce positive",
        columns=(
            *words_columns("part"),
            *figures_columns("front", "rear", "both axles", "drag", "downforce per drag"),
        ),
        rows=tuple(rows),
        note=(
            "In round brackets the interval that holds the truth in 95 of 100 such days; in square brackets: not "
            "resolved, zero lies inside the interval. “Downforce per drag” is of the part alone; a high one is not "
            "more downforce."
        ),
    )


def together(*drawn: Picture | Missing) -> list[Block]:
    """Put pictures side by side, and say of each that cannot be drawn why not."""
    pictures = tuple(one for one in drawn if not isinstance(one, Missing))
    absent: list[Block] = [one for one in drawn if isinstance(one, Missing)]
    return ([Pictures(pictures)] if pictures else []) + absent


def balance_section(report: ReportData) -> Section:
    """Show the balance of the runs against the target, and of the answer against speed."""
    vehicle = report.session.vehicle
    verdict = report.table.handling.verdicts[report.answer]
    blocks: list[Block] = [
        Words(
            f"The aim for the grip of the rear over the front is {target_words(verdict, vehicle.target)}. "
            f"The band around balance is {band_words(vehicle.target)}. A car whose front and rear gain load in "
            "the proportion of their weights stays in the middle of it at every speed."
        ),
        Pictures((share_picture(report), against_speed(report, report.answer, "grip_surplus"))),
        letters_words(report),
        runs_table(report, report.shown),
        Pictures((added_picture(report),)),
    ]
    return Section(
        tuple(blocks),
        (
            "front_load_share",
            "grip_surplus",
            "grip_surplus_driven",
            "target_surplus",
            "tolerance",
            "onset_speed",
        ),
    )
