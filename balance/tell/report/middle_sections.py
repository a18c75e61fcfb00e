"""What each part did, and grip balance of every configuration and against speed."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from balance.compare.interactions import find_interactions
from balance.decide.settings.response import fit_response
from balance.model.kinds import with_unit
from balance.tell.figures import NONE, capital, counted, low_to_high, percent
from balance.tell.library.cars_before import before_words
from balance.tell.parts.change_text import ratio_figures
from balance.tell.parts.column_text import (
    column_heads,
    compared_words,
    places_for,
    signed_figure,
)
from balance.tell.parts.effects import part_effect_in_full
from balance.tell.parts.part_names import runs_words
from balance.tell.parts.part_waterfall import bar_name
from balance.tell.parts.part_words import (
    balance_words,
    baseline_words,
    interaction_sentences,
    part_deed,
    part_notes,
    verdict_change,
)
from balance.tell.report.blocks import Block, Lines, Missing, Pictures, Section, Words
from balance.tell.report.cells import LOADS, WITHIN_NOISE, change_cell, load_cells
from balance.tell.report.opening_sections import letters_words, runs_table
from balance.tell.report.pictures.added_load import added_picture
from balance.tell.report.pictures.against_speed import against_speed, share_picture
from balance.tell.report.pictures.parts import parts_picture, waterfall_picture
from balance.tell.report.wing_section import sweeps_of
from balance.tell.table import Cell, Table, figures_columns, table_of, words_columns
from balance.tell.words import target_words

if TYPE_CHECKING:
    from balance.compare.contrasts import Change
    from balance.compare.waterfall import Waterfall
    from balance.model.libraries import Said
    from balance.tell.report.pictures.canvas import Picture
    from balance.tell.report.report_data import ReportData


MOST_COMPARED = 1
"""Compared columns in the table of parts where not everything is told: the first that the day lists."""


def parts_section(report: ReportData) -> Section:
    """State what each part did in one table and one picture; with sentences and the way there where everything is told."""
    if not report.told:
        why = "no run of this day has another to be compared with"
        return Section((Missing(what="part by part", why=why),), alone=True)
    blocks: list[Block] = [_increments(report)]
    if report.parts_left_out:
        blocks.append(Words(text=_left_out(report), role="soft"))
    blocks += together(parts_picture(report))
    if report.full:
        blocks.append(Lines(tuple((_whole_name(report, row), _plain(report, row)) for row in report.told)))
        blocks += together(waterfall_picture(report))
        blocks += _way(report)
        blocks += _beyond(report)
    if lines := before_lines(report):
        blocks.append(Lines(lines=lines))
    blocks.append(Words(text="Adding up parts that were not run together is an assumption.", role="soft"))
    return Section(tuple(blocks), alone=True)


def before_lines(report: ReportData) -> tuple[tuple[str, str], ...]:
    """Gather the sentences on other cars, each behind its part; none where the report is not to say them."""
    before = report.before
    if before is None:
        return ()
    lines: dict[Said, tuple[str, str]] = {}
    for row in report.told:
        said = report.said(row)
        if said not in before.parts or said in lines:
            continue
        words = before_words(
            before.parts[said],
            report.parts.increments[row],
            report.show,
            speed=report.speed,
            air_density=report.table.air_density,
        )
        if words:
            lines[said] = _whole_name(report, row), words
    return tuple(lines.values())


def _whole_name(report: ReportData, row: int) -> str:
    return f"{report.part_name(row)}, against {report.baseline_name(row)}"


def _left_out(report: ReportData) -> str:
    """State how many comparisons are not told, and whether they are of parts told; in a full report by which runs."""
    rows, pairs = report.parts_left_out, report.parts.increments.pairs
    told = {pairs[row].differs for row in report.told}
    of = " of these parts" if all(pairs[row].differs in told for row in rows) else ""
    if not report.full:
        return f"{counted(len(rows), 'more comparison')}{of} not shown here."
    labels = report.day.readings.labels
    others = ", ".join(labels[pairs[row].run] for row in rows)
    return f"Not told here: what runs {others} show{of}."


def _plain(report: ReportData, row: int) -> str:
    """State plainly what a part did: load and drag, grip, and which axle gives up first."""
    part, show = report.parts[row], report.show
    deed = part_deed(report.parts, row, show)
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
            Cell(text=bar_name(report.parts.increments, bar, 90)),
            *(change_cell(report, way.changes.of(k, column)) for column in LOADS),
        )
        for k, bar in enumerate(way.bars)
    ]
    rows.append(_ends(report, way, 1, f"recommendation: run {way.final}"))
    whole = (change_cell(report, way.whole.of(0, column)) for column in LOADS)
    rows.append((Cell(text="recommendation less start"), *whole))
    return [
        table_of(
            key="way",
            heading=f"From start to recommendation, at {report.show.speed(report.speed)}: means of repeats, and each step",
            columns=(
                *words_columns("step"),
                *figures_columns("front", "rear", "both axles", "drag"),
            ),
            rows=tuple(rows),
        )
    ]


def _ends(report: ReportData, way: Waterfall, end: int, name: str) -> tuple[Cell, ...]:
    return Cell(text=name), *load_cells(report, way.ends.change[end], way.ends.std[end])


def _beyond(report: ReportData) -> list[Block]:
    """State where parts together do more or less than the sum of each alone, as far as the day can show it."""
    increments = report.parts.increments
    resolved = np.any(find_interactions(increments).interaction.resolved, axis=1)
    sentences = list(interaction_sentences(increments, report.show))
    if not sentences or not increments.changes.scatter_known:
        return []
    shown = [sentence for sentence, known in zip(sentences, resolved, strict=True) if known]
    rest = len(sentences) - len(shown)
    blocks: list[Block] = [Words(text="What parts do together beyond the sum of each alone:", role="strong")]
    blocks += [Lines(lines=tuple(("", capital(sentence)) for sentence in shown))] if shown else []
    if rest:
        more = counted(rest, "more pair" if shown else "pair")
        blocks.append(
            Words(text=f"Of {more} of parts run alone and together, anything beyond the sum is within noise.")
        )
    return blocks


def _against(report: ReportData, row: int) -> str:
    """Name the runs of a part and the car that they are compared with, and mark a baseline that nobody stated."""
    one = report.parts.increments[row]
    return f"{runs_words(one.runs)}, against {report.baseline_name(row)}{', auto' if one.proposed else ''}"


def _compared_cell(change: Change, unit: str) -> Cell:
    """Return a cell of a change of a compared column, in the one unit that it has."""
    if not math.isfinite(change.change):
        return Cell(text=NONE, role="muted")
    places = places_for(change.std)
    text = with_unit(signed_figure(change.change, places), unit)
    if not math.isfinite(change.std):
        return Cell(text=text)
    between = f"({low_to_high(change.low, change.high, places)})"
    if change.resolved:
        return Cell(text=text, between=between)
    return Cell(text=f"{WITHIN_NOISE}{text}", between=between, role="muted")


def _stalled(report: ReportData, row: int) -> str:
    """State that what a part was set to is beyond the stall; nothing where it is not, or its setting was not swept."""
    pair, runs = report.parts.increments.pairs[row], report.runs
    held = runs[pair.run].settings.get(pair.differs[0]) if len(pair.differs) == 1 else None
    if held is None or not held.numeric:
        return ""
    for family in sweeps_of(report):
        if family.setting == pair.differs[0] and runs[pair.run].label in family.labels:
            low, high = fit_response(report.prepared, family).useful
            beyond = "; stalled" if family.stalls else "; beyond the useful range"
            return "" if low <= float(held.value) <= high else beyond
    return ""


def _increments(report: ReportData) -> Table:
    compared = report.parts.columns if report.full else report.parts.columns[:MOST_COMPARED]
    heads = column_heads([one.column for one in report.parts.columns], ("part", "front", "rear", "total"))
    how = "".join(
        f" {capital(one.column.title)}: {compared_words(one.fits.readings, report.session.facility, report.show)}."
        for one in compared
    )
    rows = []
    for row in report.told:
        one = report.parts.increments[row]
        value, between = ratio_figures(one.ratio)
        cells = [
            Cell(
                text=report.part_name(row),
                other=baseline_words(one) if report.full else _against(report, row),
            ),
            *(
                change_cell(report, c)
                for c in (one.front_downforce, one.rear_downforce, one.downforce, one.drag)
            ),
            *(_compared_cell(other.of(row), other.column.unit) for other in compared),
        ]  # fmt: skip
        if report.full:
            known = value if between else NONE
            cells.append(
                Cell(text=known, between=f"({between})" if between else "", role="" if between else "muted")
            )
        rows.append((*cells, Cell(text=part_effect_in_full(report.parts, row) + _stalled(report, row))))
    return table_of(
        key="parts",
        heading=f"Changes at {report.show.speed(report.speed)}, against the baseline named under each part",
        columns=(
            *words_columns("part"),
            *figures_columns("front", "rear", "total", "drag", *heads[: len(compared)]),
            *(figures_columns("downforce per drag") if report.full else ()),
            *words_columns("effect"),
        ),
        rows=tuple(rows),
        note=f"+ is more downforce or more drag. Brackets: 95 % intervals; {WITHIN_NOISE}: within noise; auto: baseline chosen automatically.{how}",
    )


def together(*drawn: Picture | Missing) -> list[Block]:
    """Put pictures side by side, and say of each that cannot be drawn why not."""
    pictures = tuple(one for one in drawn if not isinstance(one, Missing))
    absent: list[Block] = [one for one in drawn if isinstance(one, Missing)]
    return ([Pictures(pictures=pictures)] if pictures else []) + absent


def balance_section(report: ReportData) -> Section:
    """Show every configuration with its verdict, and the grip balance of the recommendation against speed."""
    blocks: list[Block] = [runs_table(report, report.shown)]
    if report.full or not sweeps_of(report):
        drawn = [against_speed(report, report.answer, "grip_surplus")]
        drawn += [share_picture(report)] if report.full else []
        blocks += [Pictures(pictures=tuple(drawn)), letters_words(report)]
    if report.full:
        vehicle, verdict = report.session.vehicle, report.table.handling.verdicts[report.answer]
        limits = f"up to {percent(vehicle.target.rear_tolerance)} rear over front, {percent(vehicle.target.front_tolerance)} the other way"
        blocks.insert(
            0,
            Words(
                text=(
                    f"The target for the grip balance, rear over front, is {target_words(verdict, vehicle.target)}. "
                    f"Allowed is {limits}. A car whose front and rear gain load in the proportion of their weights "
                    "stays at zero at every speed."
                )
            ),
        )
        blocks.append(Pictures((added_picture(report),)))
    return Section(tuple(blocks))
