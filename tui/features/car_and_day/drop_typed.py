"""Whether what was typed and not written is to be dropped: asked before anything of it goes."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tui.features.asking.pick import Choice, Pick

if TYPE_CHECKING:
    from collections.abc import Callable

    from textual.app import App


def ask_to_drop(app: App[None], typed: str, drop: Callable[[], object]) -> None:
    """Ask whether something typed is to be dropped."""

    def take(chosen: str | None) -> None:
        if chosen == "d":
            drop()

    app.push_screen(
        Pick(
            "Drop what was typed?",
            (
                Choice(key="g", words="go on with it"),
                Choice(key="d", words="drop it", more="nothing is written"),
            ),
            lines=(f"Typed and not written: {typed}.",),
        ),
        take,
    )
