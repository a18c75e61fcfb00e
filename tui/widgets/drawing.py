"""From what telling says of a table to what the widgets draw."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable

    from balance.tell.runs.detail import Section


def section_lines(sections: Iterable[Section], *, hanging: bool = False) -> list[tuple[str, str]]:
    """Give sections the form that a sheet shows: labels stand in a column of their own."""
    lines: list[tuple[str, str]] = []
    for section in sections:
        lines.append((section.heading, "heading"))
        width = max((len(label) for label, _ in section.lines), default=0)
        lines += [
            (f"{label.ljust(width)}  {text}" if label or (hanging and width) else text, "")
            for label, text in section.lines
        ]
    return lines
