"""The footers of screens: one that is drawn once, and one for many keys, where help keeps its place."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual.widgets import Footer
from textual.widgets._footer import FooterKey

if TYPE_CHECKING:
    from textual.app import ComposeResult


class SteadyFooter(Footer):
    """Lists the keys of the screen, each as wide from the first as it is bound to be.

    A key takes its width by a class, and each change of one has all its styles worked out anew.
    """

    def compose(self) -> ComposeResult:
        """Lay out the keys."""
        for widget in super().compose():
            # the key of the palette is not bound: it stays as Textual makes it
            if isinstance(widget, FooterKey) and not widget.has_class("-command-palette"):
                widget.set_reactive(FooterKey.compact, self.compact)
                widget.set_class(self.compact, "-compact", update=False)
            yield widget


class KeyFooter(SteadyFooter):
    """Lists the keys of the screen, with the key that explains them all at the right end."""

    def compose(self) -> ComposeResult:
        """Lay out the keys."""
        for widget in super().compose():
            if isinstance(widget, FooterKey):
                widget.set_class(widget.action == "explain", "-command-palette", update=False)
            yield widget
