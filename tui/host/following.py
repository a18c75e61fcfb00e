"""Screens that follow the state: for as long as they stand, and no longer."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from textual.app import App
from textual.dom import NoScreen
from textual.screen import Screen

if TYPE_CHECKING:
    from collections.abc import Callable

    from textual.dom import DOMNode

    from tui.host.state import State


def stands(node: DOMNode) -> bool:
    """Whether a screen, or the one that a widget is on, is there to be written on."""
    if isinstance(node, App):
        return True
    try:
        page = node if isinstance(node, Screen) else node.screen
    except NoScreen:
        return False
    return page.is_running and page.display


def follow(page: Screen[Any], show: Callable[[State, State], None], *, init: bool = True) -> None:
    """Have a screen shown every state, the present one first."""

    def seen(before: State, state: State) -> None:
        if stands(page):
            show(before, state)

    page.watch(page.app, "state", seen, init=init)
