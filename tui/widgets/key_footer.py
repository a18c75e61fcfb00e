"""The footer of a screen with many keys: help keeps its place however narrow the screen is."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual.widgets import Footer
from textual.widgets._footer import FooterKey

if TYPE_CHECKING:
    from textual.app import ComposeResult


class KeyFooter(Footer):
    """Lists the keys of the screen, with the key that explains them all at the right end."""

    def compose(self) -> ComposeResult:
        """Lay out the keys."""
        for widget in super().compose():
            if isinstance(widget, FooterKey):
                # as wide from the first as it is bound to be: each change of a class has all its styles worked out anew
                widget.set_reactive(FooterKey.compact, self.compact)
                widget.set_class(self.compact, "-compact", update=False)
                widget.set_class(widget.action == "explain", "-command-palette", update=False)
            yield widget
