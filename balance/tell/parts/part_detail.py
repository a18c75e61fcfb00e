"""Everything known about one part, section by section."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from balance.compare.increments import side_weights
from balance.compare.waterfall import build_waterfall
from balance.handling.axle_loads import drag_power
from balance.model.channels import DRAG, TOTAL
from balance.tell.figures import NONE, capital, number, percent
from balance.tell.parts.change_text import FORCES, change_words, ratio_words, typed_ratio_words
from balance.tell.parts.column_text import column_remarks, column_rows
from balance.tell.parts.part_names import differing
from balance.tell.parts.part_waterfall import PAGE_WIDTH, bar_lines
from balance.tell.parts.part_words import (
    balance_words,
    baseline_words,
    interaction_sentences,
    part_notes,
    part_sentence,
    verdict_change,
)
from balance.tell.runs.detail import Section, label
from balance.tell.runs.range_words import range_mark, range_sentence
from balance.tell.table import aligned_lines
from balance.tell.words import CAUTIONS, probability_words

if TYPE_CHECKING:
    from balance.compare.contrasts import Changes
    from balance.decide.parts.parts import Parts
    from balance.tell.figures import Show


CAUTIONS_HEADING = "Cautions"


def part_detail(parts: Parts, row: int, show: Show, width: int = PAGE_WIDTH) -> tuple[Section, ...]:
    """Gather everything known about one part."""
    increments = parts.increments
    i = increments[row]
    at = f"at {show.speed(parts.speed)}, {show.quantity('density', parts.air_density)}"
    together = list(interaction_sentences(increments, show, runs=frozenset({i.run, *i.runs})))
    fitted = differing(increments, row) or ("nothing: the same configuration again",)
    sections = (
        (baseline_words(i), [("", part_sentence(parts, row, show))]),
        ("What differs", [("", clause) for clause in fitted]),
        (f"Changes {at}, {show.unit('force')}, run less baseline", _changes(parts, row, show)),
        ("Changes of what else is compared, run less baseline", _compared(parts, row, show)),
        ("Downforce per drag", _price(parts, row, show)),
        ("Balance and verdict", _balance(parts, row, show)),
        ("Together beyond the sum of each alone", [("", sentence) for sentence in together]),
        ("From the first baseline to this run, part by part", _waterfall(parts, row, show, width)),
        ("Notes", [("", note) for note in (*part_notes(parts, row), *increments.notes)]),
        (CAUTIONS_HEADING, [("", caution) for caution in CAUTIONS]),
    )
    return tuple(Section(heading=heading, lines=tuple(lines)) for heading, lines in sections if lines)


def _changes(parts: Parts, row: int, show: Show) -> list[tuple[str, str]]:
    increments = parts.increments
    lines = _of(increments.changes, row, show)
    if increments.corrected is not None and increments.taken[row]:
        measured, corrected = increments.uncorrected, increments.corrected
        other = measured if increments.drift_corrected else corrected
        word = "as measured, with drift left in" if increments.drift_corrected else "with drift removed"
        lines += [("", f"{word}:"), *_of(other, row, show)[1:]]
    return lines


def _of(changes: Changes, row: int, show: Show) -> list[tuple[str, str]]:
    rows = []
    for name, column in FORCES:
        change = changes.of(row, column)
        figure, _, between = change_words(change, show).partition(" (")
        known = math.isfinite(change.std)
        rows.append(
            (
                name,
                figure,
                between.rstrip(")") if between else "unknown",
                "significant" if change.resolved else "within noise",
                show.bare("force", change.detectable) if known else NONE,
            )
        )
    return aligned_lines(_heads(changes), rows)


def _heads(changes: Changes) -> tuple[str, ...]:
    return ("of", "change", f"{percent(changes.confidence, decimals=0)} interval", "", "detectable")


def _compared(parts: Parts, row: int, show: Show) -> list[tuple[str, str]]:
    if not parts.columns:
        return []
    lines = aligned_lines(_heads(parts.increments.changes), column_rows(parts, row))
    return [*lines, *(("", f"{capital(text)}.") for text in column_remarks(parts, show))]


def _price(parts: Parts, row: int, show: Show) -> list[tuple[str, str]]:
    increments = parts.increments
    i, pair = increments[row], increments.pairs[row]
    ratio = ratio_words(i.ratio, show) if i.differs else "none: nothing was changed"
    lines = [("of the part", ratio)]
    if i.ratio.value is None and not math.isfinite(i.drag.std):
        lines.append(("", typed_ratio_words(i.rounded_ratio, show)))
    loads = increments.contrast(side_weights(increments.fits, pair)[::-1])
    own = [number(float(load[TOTAL] / load[DRAG]), 2) if load[DRAG] > 0.0 else NONE for load in loads.change]
    lines.append(
        (
            "of the car",
            f"{own[0]} without, {own[1]} with: of the whole car, not of the part",
        )
    )
    power = float(drag_power(i.drag.change, parts.speed))
    lines.append(
        (
            label("drag_power_W"),
            f"{show.quantity('power', abs(power))} {'more' if power >= 0.0 else 'less'} at this speed",
        )
    )
    return [line for line in lines if line[1]]


def _balance(parts: Parts, row: int, show: Show) -> list[tuple[str, str]]:
    part = parts[row]
    lines = [("", text) for text in (balance_words(part), verdict_change(part, show)) if text]
    lines = [(label, f"{capital(text)}.") for label, text in lines]
    if not math.isfinite(float(part.aero_balance.value)):
        lines.append(("", "No aero balance on one side at least: an axle lifts."))
    lines += [
        (label, f"{range_mark(one)} {range_sentence(one, parts.day.session.vehicle, show, day=parts.day)}")
        for label, one in (("without", part.range_before), ("with", part.range_after))
    ]
    lines.append(("", f"With it, at {show.speed(parts.speed)} {probability_words(part.after)}."))
    return lines


def way_lines(parts: Parts, row: int, show: Show, width: int) -> list[str]:
    """Draw the way from the first baseline to a part's run as lines of text."""
    increments = parts.increments
    way = build_waterfall(increments, increments.readings.labels[increments.pairs[row].run])
    lines = bar_lines(increments, way, show, width)
    width = max(len(label) for label, _ in lines)
    return [f"{label.ljust(width)} {text}" if label else text for label, text in lines]


def _waterfall(parts: Parts, row: int, show: Show, width: int) -> list[tuple[str, str]]:
    increments = parts.increments
    way = build_waterfall(increments, increments.readings.labels[increments.pairs[row].run])
    return bar_lines(increments, way, show, width) if len(way.bars) > 1 else []
