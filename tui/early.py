"""Screens with a field that is typed into at once: what is typed before the field stands is not lost."""

from __future__ import annotations

from typing import Any

from textual.css.query import NoMatches
from textual.screen import Screen
from textual.widgets import Input


class TakesEarly(Screen[Any]):
    """Holds what is typed until its first field is there, and then puts it into the field.

    A key goes to whatever has the focus when it is pressed; keys pressed in one breath with the one that opens a
    screen have gone to the screen below, and come here from the application.
    """

    _early = ""

    def take_early(self, text: str) -> None:
        """Put a character into the field, or hold it until there is one."""
        self._early += text
        self.give_early()

    def give_early(self) -> None:
        """Put what was held into the field, where there is one by now."""
        try:
            field = self.query(Input).first()
        except NoMatches:
            return
        if field.is_mounted and self._early:
            text, self._early = self._early, ""
            self.set_focus(field)
            field.insert_text_at_cursor(text)
