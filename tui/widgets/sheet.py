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
