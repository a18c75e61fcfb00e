"""Two themes of our own: dark for the bench, and black on white for the sun."""

from __future__ import annotations

from textual.theme import Theme

DARK = Theme(
    name="axletrim-dark",
    primary="#7fb4d8",
    secondary="#a8c7a0",
    accent="#e0b060",
    foreground="#e6e6e6",
    background="#14181c",
    surface="#1b2127",
    panel="#252d35",
    success="#7fc97f",
    warning="#e8b84a",
    error="#ff8378",
    dark=True,
)
SUNLIGHT = Theme(
    name="axletrim-sunlight",
    primary="#003a70",
    secondary="#1f4d1a",
    accent="#5a3d00",
    foreground="#000000",
    background="#ffffff",
    surface="#ffffff",
    panel="#e4e4e4",
    success="#00501a",
    warning="#5a3d00",
    error="#8e0000",
    dark=False,
)
