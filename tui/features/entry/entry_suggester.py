"""Completes what is typed into the entry line: names of columns, and texts in use."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual.suggester import Suggester

from balance.model.errors import InputError

if TYPE_CHECKING:
    from balance.files.day.run_sheet import RunSheet


class LineSuggester(Suggester):
    """Completes the last word of a line; the right arrow takes it."""

    def __init__(self, sheet: RunSheet) -> None:
        super().__init__(use_cache=False, case_sensitive=True)
        self.sheet = sheet

    async def get_suggestion(self, value: str) -> str | None:
        """Return the whole line with its last word completed."""
        quoted = value.count('"') % 2 == 1
        head, _, last = value.rpartition('"' if quoted else " ")
        if not last or last[0].isdigit() or last[0] in "-+.,−":
            return None
        words = head.split()
        column = self._column(words[-1]) if words else None
        if column is not None and self._is_text(column):
            found = next((text for text in texts_in_use(self.sheet, column, last)), None)
            if found is not None and found.startswith(last) and (quoted or " " not in found):
                return value + found[len(last) :] + ('"' if quoted else "")
            return None
        if quoted:
            return None
        names = (*self.sheet.names("setting"), "configuration", *self.sheet.names("condition"))
        match = next((name for name in names if name.startswith(last)), None)
        return value + match[len(last) :] if match else None

    def _column(self, word: str) -> str | None:
        from balance.files.day.entry_line import column_called  # noqa: PLC0415 - only when typed

        try:
            return column_called(self.sheet, word)
        except InputError:
            return None

    def _is_text(self, name: str) -> bool:
        return not any(plan.unit for plan in self.sheet.plans if plan.name == name)


class TextSuggester(Suggester):
    """Completes one field from the texts in use in its column."""

    def __init__(self, sheet: RunSheet, column: str) -> None:
        super().__init__(use_cache=False, case_sensitive=True)
        self.sheet, self._column = sheet, column

    async def get_suggestion(self, value: str) -> str | None:
        """Return a text in use that begins with what is typed."""
        found = texts_in_use(self.sheet, self._column, value)
        return next((text for text in found if text.startswith(value)), None)


def texts_in_use(sheet: RunSheet, column: str, typed: str = "") -> tuple[str, ...]:
    """List the texts of a column that begin with or hold what is typed, the latest first."""
    from balance.files.day.run_entry import configurations_in_use  # noqa: PLC0415 - only when typed

    if column == "configuration":
        return configurations_in_use(sheet, typed)
    latest = dict.fromkeys(sheet.cells(label).get(column, "") for label in reversed(sheet.labels))
    return tuple(text for text in latest if text and text.startswith(typed))
