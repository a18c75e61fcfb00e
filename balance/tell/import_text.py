"""A planned import on one page: what was understood, assumed, dropped, and what is to be answered."""

from __future__ import annotations

import textwrap
from typing import TYPE_CHECKING

from balance.files.tables.reading.grid import spans
from balance.model.errors import one_line
from balance.tell.figures import counted

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from balance.files.tables.importing.plan import Dropped, ImportPlan

_OUTCOMES = {
    "reading": "readings", "text": "texts", "condition": "conditions", "setting": "settings (tell runs apart)",
    "recorded": "records (kept, tell nothing apart)", "left out": "left out",
}  # fmt: skip
_MOST_LINES = 40


def import_page(plan: ImportPlan, width: int = 100) -> str:
    """Write a plan on one page."""
    head = (
        f"{plan.source.name}: {counted(len(plan.rows), 'run')}, {counted(len(plan.dropped), 'row')} dropped, "
        + (
            f"{counted(len(plan.questions), 'question')} to answer"
            if plan.questions
            else "nothing left to ask"
        )
    )
    lines = [*_folded(head, width, "")]
    if plan.questions:
        lines += _part("To answer", [f"{question}" for question in plan.questions], width)
    lines += _part("Columns", [*_columns(plan)], width)
    lines += _part("Understood", plan.understood, width)
    lines += _part("Assumed", plan.assumed, width)
    lines += _part("Not stated", plan.not_stated, width)
    lines += _part("Dropped", [*dropped_lines(plan.dropped)], width)
    return "\n".join(lines)


def dropped_lines(dropped: Sequence[Dropped]) -> Iterable[str]:
    """Gather dropped rows by their reason, with every line of the file."""
    reasons: dict[str, list[Dropped]] = {}
    for one in dropped:
        reasons.setdefault(one.reason, []).append(one)
    for reason, rows in reasons.items():
        word = "line" if len(rows) == 1 else "lines"
        yield f"{reason}: {word} {spans([one.line for one in rows])} ('{rows[0].text}'{', …' if len(rows) > 1 else ''})"


def _columns(plan: ImportPlan) -> Iterable[str]:
    for outcome, words in _OUTCOMES.items():
        found = [c for c in plan.columns if c.outcome == outcome]
        if not found:
            continue
        said = [f"'{c.header}' → {c.becomes or 'nothing'}" + (f" ({c.why})" if c.why else "") for c in found]
        yield f"{words}: " + ", ".join(said)


def _part(title: str, sentences: Sequence[str], width: int) -> list[str]:
    if not sentences:
        return []
    shown = list(sentences[:_MOST_LINES])
    if len(sentences) > _MOST_LINES:
        shown.append(f"and {len(sentences) - _MOST_LINES} more; import.toml will list them all")
    return ["", title, *(line for one in shown for line in _folded(one, width, "- "))]


def _folded(text: str, width: int, mark: str) -> list[str]:
    return textwrap.wrap(
        one_line(text),
        max(width, 20),
        initial_indent=mark,
        subsequent_indent=" " * len(mark),
        break_on_hyphens=False,
    )
