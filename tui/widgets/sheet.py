"""A page of text to scroll through: headings, lines, and entries with room between them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual.containers import VerticalScroll
from textual.content import Content
from textual.widgets import Static

from tui.widgets.plain import plain_lines

if TYPE_CHECKING:
    from collections.abc import Iterable

    from textual.app import ComposeResult

    from balance.tell.runs.detail import Section

_STYLES = {
    "heading": "bold $primary",
    "fault": "bold $error",
    "strong": "bold",
    "": "",
    "muted": "$text-muted",
    "good": "bold $success",
    "warn": "bold $warning",
    "danger": "bold $error",
}


class Sheet(VerticalScroll):
    """Shows lines of text with their roles; new text leaves it scrolled where it was."""

    def compose(self) -> ComposeResult:
        """Lay out the text."""
        yield Static("", markup=False)

    def show(self, lines: Iterable[tuple[str, str]]) -> None:
        """Replace the text."""
        parts: list[tuple[str, str]] = []
        for text, role in lines:
            before = "\n" if parts and role in ("heading", "fault") else ""
            parts.append((f"{before}{plain_lines(text)}\n", _STYLES[role]))
        self.query_one(Static).update(Content.assemble(*parts))


def section_lines(sections: Iterable[Section], *, hanging: bool = False) -> list[tuple[str, str]]:
    """Lay sections out as a sheet shows them: labels stand in a column of their own."""
    lines: list[tuple[str, str]] = []
    for section in sections:
        lines.append((section.heading, "heading"))
        width = max((len(label) for label, _ in section.lines), default=0)
        lines += [
            (f"{label.ljust(width)}  {text}" if label or (hanging and width) else text, "")
            for label, text in section.lines
        ]
    return lines
