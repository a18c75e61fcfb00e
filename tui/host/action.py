"""One action of the interface: its key, its words on the footer, and what help says of it."""

from __future__ import annotations

from dataclasses import dataclass

from textual.binding import Binding


@dataclass(frozen=True, slots=True, kw_only=True)
class Action:
    """One thing a person can do: ``id`` names the method ``action_<id>``."""

    id: str
    key: str
    label: str
    help: str
    on_footer: bool = True
    shown_key: str = ""
    group: str = ""
    """Word that stands once on the footer for neighbours of the same group."""

    def binding(self) -> Binding:
        """Make the binding of the key."""
        return Binding(
            self.key,
            self.id,
            self.label,
            show=self.on_footer,
            key_display=self.shown_key or None,
            tooltip=self.help,
            group=Binding.Group(self.group, compact=True) if self.group else None,
        )
