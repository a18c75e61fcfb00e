"""The card of the picked part: what it did, at which price, and what that did to the balance."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from balance.model.channels import DRAG, TOTAL
from balance.tell.figures import capital
from balance.tell.parts.change_text import FORCES, change_words, ratio_words, signed, typed_ratio_words
from balance.tell.parts.column_text import column_lines
from balance.tell.parts.part_names import part_name
from balance.tell.parts.part_words import (
    balance_words,
    baseline_words,
    part_deed,
    part_notes,
    verdict_change,
)

if TYPE_CHECKING:
    from balance.compare.contrasts import Changes
    from balance.decide.parts.parts import Parts
    from balance.tell.figures import Show


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangeBar:
    """One change as a bar, in the unit shown, with what is written beside it; no ends where scatter is unknown."""

    name: str
    value: float
    low: float | None
    high: float | None
    text: str
    resolved: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class PartCard:
    """What the card of a part says."""

    title: str
    headline: str
    bars: tuple[ChangeBar, ...]
    lines: tuple[str, ...]


def part_card(parts: Parts, row: int, show: Show) -> PartCard:
    """Make the card of a part."""
    part, increments = parts[row], parts.increments
    i = part.increment
    name = part_name(increments, row)
    lines = [f"Downforce per drag of the part: {ratio_words(i.ratio, show)}." if i.differs else ""]
    if not math.isfinite(i.drag.std):
        typed = typed_ratio_words(i.rounded_ratio, show)
        lines = [f"{capital(typed)}." if typed else ""]
    lines += column_lines(parts, row)
    lines += [f"{capital(text)}." for text in (verdict_change(part, show), balance_words(part)) if text]
    lines += _other_drift(parts, row, show)
    lines += [f"{capital(note)}." for note in (*part_notes(parts, row), *increments.notes)]
    return PartCard(
        title=f"{capital(baseline_words(i, brief=True))}: {name}",
        headline=f"{capital(part_deed(parts, row, show))}.",
        bars=tuple(_bar(label, increments.changes, row, column, show) for label, column in FORCES),
        lines=tuple(line for line in lines if line),
    )


def _bar(name: str, changes: Changes, row: int, column: int, show: Show) -> ChangeBar:
    change, unit = changes.of(row, column), show.system.unit("force")
    known = math.isfinite(change.std)
    half = show.bare("force", (change.high - change.low) / 2.0, std=change.std)
    figure = signed(show, change.change, change.std)
    text = f"{figure} ±{half} {unit.label}" if known else f"{figure} {unit.label}"
    return ChangeBar(
        name=name,
        value=unit.from_si(change.change),
        low=unit.from_si(change.low) if known else None,
        high=unit.from_si(change.high) if known else None,
        text=text if change.resolved else f"~{text}",
        resolved=change.resolved,
    )


def _other_drift(parts: Parts, row: int, show: Show) -> list[str]:
    """Return the figures with the drift treated the other way, where there is a drift to take out."""
    increments = parts.increments
    if increments.corrected is None or not increments.taken[row]:
        return []
    other = increments.uncorrected if increments.drift_corrected else increments.corrected
    word = "With drift left in" if increments.drift_corrected else "With drift removed"
    total, drag = (change_words(other.of(row, column), show) for column in (TOTAL, DRAG))
    return [f"{word}: downforce {total}, drag {drag}."]
