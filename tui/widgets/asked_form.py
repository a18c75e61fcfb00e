"""A form whose faults stand under their fields."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual.widgets import Static

from tui.widgets.plain import plain_lines
from tui.widgets.typed_form import FormRow, TypedForm

if TYPE_CHECKING:
    from collections.abc import Mapping


class AskedForm(TypedForm, can_focus=False):
    """Rows of fields, each with room for a fault below it; nothing that is typed is taken away."""

    def on_mount(self) -> None:
        """Make room for faults."""
        for row in self.query(FormRow):
            below = Static("", classes="fault", markup=False)
            below.display = False
            self.mount(below, after=row)

    def show_faults(self, faults: Mapping[str, str]) -> None:
        """Write faults under their fields, and take away those that are mended."""
        for row, below in zip(self.query(FormRow), self.query("Static.fault").results(Static), strict=False):
            words = faults.get(row.field.key, "")
            below.update(plain_lines(f"× {words}") if words else "")
            below.display = bool(words)
            row.set_class(bool(words), "-wrong")

    def show_blank(self, key: str, blank: str) -> None:
        """Show what a field left blank stands for."""
        for row in self.query(FormRow):
            if row.field.key == key:
                row.show_blank(blank)
