"""What is done with a what-if as a whole: add to it, save it, open a saved one, copy it."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from balance.model.errors import AxletrimError
from balance.tell.head import session_line
from balance.tell.what_if.input_edits import swapped
from balance.tell.what_if.input_typing import NEW
from tui.features.what_if.bases import measured_parts
from tui.features.what_if.saved_what_ifs import saved_what_ifs

if TYPE_CHECKING:
    from balance.model.records import Session
    from balance.model.what_ifs import WhatIf
    from tui.features.what_if.what_ifs import WhatIfs


def add(page: WhatIfs) -> None:
    """Pick what is to be added, then which part, or have the figure typed."""

    def take(kind: str | None) -> None:
        if kind in ("on", "off"):
            _pick_part(page, kind)
        elif kind is not None:
            page.ask(f"new:{kind}", f"{NEW[kind][0]}, as in {NEW[kind][1]}", "")

    page.app.pick("What is to be added?", [(key, words, "") for key, (words, _) in NEW.items()], take)


def _pick_part(page: WhatIfs, kind: str) -> None:
    basis = page.basis
    if basis is None:
        return

    def take(label: str | None) -> None:
        present = page.app.state.what_if.present
        if label is not None and present is not None:
            page.try_step(f"new:{kind}", swapped(present, kind, (*getattr(present, kind), label)))

    page.app.pick(f"Which measured part goes {kind}?", measured_parts(basis), take)


def save(page: WhatIfs) -> None:
    """Save the what-if under a name."""
    state, present = page.app.state, page.app.state.what_if.present
    if present is None or state.day is None:
        return
    session = state.day.session

    def take(name: str | None) -> None:
        if not name:
            return
        page.app.run_worker(_save(page, session, replace(present, name=name)))

    page.app.ask_text("Save this what-if under which name?", take, value=present.name)


async def _save(page: WhatIfs, session: Session, named: WhatIf) -> None:
    from balance.files.formats.what_if_save import save_what_if  # noqa: PLC0415 - only when asked

    try:
        path = await page.app.desk.saving.write(lambda: save_what_if(session, Path(session.folder), named))
    except AxletrimError as fault:
        page.app.notify(str(fault), severity="error", markup=False, timeout=10)
        return
    if page in page.app.screen_stack:
        page.look(page.app.state.what_if.with_step(named))
    page.app.notify(f"saved '{named.name}' in {path.name}", markup=False)


def reopen(page: WhatIfs) -> None:
    """Open a saved what-if; what stands on the screen is one undo away."""
    saved = saved_what_ifs(page.app)

    def take(name: str | None) -> None:
        chosen = next((one for one in saved if one.name == name), None)
        if chosen is not None:
            page.try_step("start", chosen)

    if saved:
        listed = [(one.name, one.name, f"from run {one.start}") for one in saved]
        page.app.pick("Open which what-if?", listed, take)
    elif not (Path(page.app.state.path) / "what_if.toml").exists():
        page.notify("no what-if is saved in this session: s saves the one that is being made")


def copy(page: WhatIfs) -> None:
    """Copy the what-if as text."""
    from balance.tell.what_if.what_if_text import what_if_headline, what_if_lines  # noqa: PLC0415 - only when asked
    from tui.command_line.printing import print_sections  # noqa: PLC0415 - as above

    state, basis = page.app.state, page.basis
    if page.figures is not None and basis is not None and state.day is not None:
        result = page.figures.result
        heads = [session_line(state.day.session), what_if_headline(result, state.show)]
        page.app.copy_to_clipboard(print_sections(heads, what_if_lines(basis, result, state.show), 100))
        page.notify("what-if copied as text")
