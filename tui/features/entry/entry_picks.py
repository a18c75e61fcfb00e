"""Short lists for a run that is entered: what was changed, which text, a new setting, a new block."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tui.features.entry.entry_suggester import texts_in_use
from tui.host.questions import AskText, Choice, Pick, keyed

if TYPE_CHECKING:
    from collections.abc import Callable

    from tui.host.host import Host
    from tui.host.typed_run import TypedRun

_TYPED = "\t"
"""Stands for a text that is to be typed."""


def pick_change(app: Host, typing: TypedRun, write: Callable[[str], None]) -> None:
    """Pick the one thing that was changed since the last run."""
    sheet, now = typing.sheet, typing.entry.cells
    units = {plan.name: plan.unit for plan in sheet.plans}
    names = (*sheet.names("setting"), "configuration")
    listed = [
        (name, name, f"{now[name]} {units[name]}".rstrip() if now.get(name) else "off") for name in names
    ]
    choices = (Choice("r", "repeat", more="nothing was changed"), *keyed(listed, taken="r"))

    def take(name: str | None) -> None:
        if name == "r":
            write("repeat")
        elif name is not None and units[name]:
            write(name)
        elif name is not None:
            _pick_text(app, typing, name, write)

    start = typing.base.start
    app.push_screen(
        Pick(f"What was changed since run {start}?" if start else "Which setting?", choices), take
    )


def _pick_text(app: Host, typing: TypedRun, name: str, write: Callable[[str], None]) -> None:
    """Pick one of the texts in use, or type another."""
    choices = [Choice("n", "another, to be typed", value=_TYPED)]
    if name != "configuration":
        choices.append(Choice("o", "off", value="off"))
    choices += keyed([(text, text, "") for text in texts_in_use(typing.sheet, name)], taken="no")

    def take(text: str | None) -> None:
        if text == _TYPED:
            write(f'{name} "')
        elif text is not None:
            write(f'{name} "{text}"' if " " in text else f"{name} {text}")

    app.push_screen(Pick(f"{name}:", choices), take)


def ask_column(app: Host) -> None:
    """Add a column for a setting that the day does not have yet."""
    day = app.open_day.ready()
    if day is None:
        return

    def take(header: str | None) -> None:
        if header and day is app.open_day.day:
            app.open_day.change(f"column {header} added", day.sheet.with_columns([header]))

    hint = "wing_angle [deg], flap_height [mm]; words need no unit: vents. Runs so far have it off."
    check = day.sheet.with_columns
    app.push_screen(
        AskText("A new setting, with its unit:", hint=hint, check=lambda text: check([text])), take
    )


def ask_block(app: Host, typing: TypedRun, into_field: Callable[[str, str], None]) -> None:
    """Let the run begin a new block."""
    from balance.files.day.run_entry import next_block  # noqa: PLC0415 - only when asked

    def take(name: str | None) -> None:
        if name:
            into_field("block", name)

    hint = "after a repair, re-zero, refit or weighing: drift and automatic baselines do not cross it"
    title = f"Run {typing.label} begins a new block. Its name:"
    app.push_screen(AskText(title, value=next_block(typing.sheet), hint=hint), take)
