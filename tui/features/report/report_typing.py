"""What is typed of the customer's page: kept from the first key on, and saved to report.toml key by key."""

from __future__ import annotations

import asyncio
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from balance.files.formats.report import ALWAYS, OLD_FILE, REPORT_FILE
from balance.files.formats.report_edit import look_at_brief, save_brief, shortest_order
from balance.files.formats.what_if import WHAT_IF_FILE
from balance.model.errors import AxletrimError, FileFaults, InputError, OutsideChange
from balance.tell.figures import show_of
from balance.tell.report.outline import STAYS, changed_words, fault_words, own_choices
from balance.tell.report.own_words import stale_words, written_now
from balance.tell.report.report_data import ReportData
from tui.host.loading import stamps_of

if TYPE_CHECKING:
    from collections.abc import Mapping

    from balance.decide.day.day import Day
    from balance.files.day.durable import Stamp
    from balance.files.formats.report import BriefChoices
    from balance.files.toml.fields import Typed
    from balance.tell.report.outline import Entry
    from tui.host.host import Host


class BriefTyping:
    """A report.toml and what is typed but not in it: that stands in the state, and outlives the screen."""

    def __init__(self, app: Host, day: Day) -> None:
        self._app, self.day = app, day
        self.wrong: dict[str, str] = {}
        """What is wrong with what could not be saved, by key."""
        self._seen: dict[str, str] = {}
        """What the file said when a key was typed first."""
        self._saving = asyncio.Lock()
        self._held: set[str] = set()
        """Keys that somebody else changed meanwhile: saved only once they are typed again."""
        self.read()
        self._seen.update({key: self.brief.texts.get(key, "") for key in self.typed})

    @property
    def folder(self) -> Path:
        """The folder of the session."""
        return Path(self.day.session.folder).resolve()

    @property
    def typed(self) -> Mapping[str, str]:
        """What is typed and not saved, by key."""
        return self._app.state.brief_typed

    def text(self, key: str) -> str:
        """Return what was typed, else what the file says."""
        return self.typed.get(key, self.brief.texts.get(key, ""))

    @property
    def faults(self) -> dict[str, str]:
        """Return by key what is wrong with what is typed, and with what the file says where nothing is."""
        on_disk = {fault.column or "": fault_words(fault) for fault in self.brief.faults}
        return {**{key: words for key, words in on_disk.items() if key not in self.typed}, **self.wrong}

    def read(self) -> None:
        """Read the file."""
        self._stamps = self._now()
        self.brief = look_at_brief(self.day.session, self.folder)

    def changed_outside(self) -> bool:
        """Return whether a file is not as it was read."""
        return self._now() != self._stamps

    def _now(self) -> tuple[Stamp | None, ...]:
        return stamps_of([self.folder / name for name in (REPORT_FILE, OLD_FILE, WHAT_IF_FILE)])

    def keep(self, key: str, text: str) -> None:
        """Keep a text that was typed, until it is saved."""
        self._seen.setdefault(key, self.brief.texts.get(key, ""))
        self._held.discard(key)
        self._set_typed({**self.typed, key: text})

    async def save(self) -> None:
        """Save what is typed; what is at fault stays as it was typed, and so does what is typed meanwhile."""
        async with self._saving:
            tried = {key: text for key, text in self.typed.items() if key not in self._held}
            if not tried:
                self.keep_refused()
                return
            saved = {
                key: text
                for key, text in tried.items()
                if await self._save({key: text if text.strip() else None})
            }
            self._set_typed({key: text for key, text in self.typed.items() if saved.get(key) != text})
            self.keep_refused()
            self.read()

    def keep_refused(self) -> None:
        """Put what cannot be saved into the journal, so that no power cut loses it."""
        if (day := self._app.open_day.day) is not None:
            day.half_typed.keep_brief(self.typed)

    def _set_typed(self, typed: Mapping[str, str]) -> None:
        self._app.state = replace(self._app.state, brief_typed=typed)

    def _with_what_for(self, changes: Mapping[str, Typed | None]) -> Mapping[str, Typed | None]:
        """Store with own words the recommendation and the verdict that they are written for; nothing of what is unknown."""
        written = {key.partition(".")[2]: text for key, text in changes.items() if key.startswith("words.")}
        if not written:
            return changes
        now = None
        if (choices := self.brief.choices) is not None:
            try:
                now = written_now(ReportData(self.day, choices, show_of(self.day.session, choices.units)))
            except AxletrimError:
                now = None
        stored: dict[str, Typed | None] = {}
        for section, text in written.items():
            if text is None or now is None:
                stored[f"written_for.{section}"] = None
            else:
                stored[f"written_for.{section}.recommendation"] = now.recommendation
                stored[f"written_for.{section}.verdict"] = now.verdict
        return {**changes, **stored}

    async def _save(self, changes: Mapping[str, Typed | None]) -> bool:
        """Save some keys; tells whether they are on the disk, and keeps why not."""
        seen = {key: self._seen.get(key, self.brief.texts.get(key, "")) for key in changes}
        for key in changes:
            self.wrong.pop(key, None)
        try:
            await self._app.open_day.saving.write(
                lambda: save_brief(self.day.session, self.folder, self._with_what_for(changes), seen=seen)
            )
        except OutsideChange as change:
            words = changed_words(change.theirs, self.brief.file)
            self._held.update(changes)
            self._seen.update(dict.fromkeys(changes, change.theirs))
        except FileFaults as faults:
            words = "; ".join(map(fault_words, faults.faults))
        except InputError as fault:
            words = str(fault)
        else:
            for key in changes:
                self._seen.pop(key, None)
            return True
        self.wrong.update(dict.fromkeys(changes, words))
        return False

    async def turn(self, entry: Entry) -> str:
        """Put a section or a what-if in, or leave it out; gives why not."""
        if entry.name == ALWAYS and entry.kind == "section":
            return STAYS
        if entry.kind == "what_if":
            chosen = self.brief.what_ifs
            names = (
                tuple(name for name in chosen if name != entry.name)
                if entry.inside
                else (*chosen, entry.name)
            )
            return await self._put("what_ifs", names or None)
        left_out = self.brief.left_out ^ {entry.name}
        return await self._put(
            "leave_out", tuple(name for name in self.brief.sections if name in left_out) or None
        )

    async def move(self, entry: Entry, step: int) -> str:
        """Move a section up or down; gives why not."""
        sections = list(self.brief.sections)
        here = sections.index(entry.name)
        there = here + step
        if 0 <= there < len(sections):
            sections[here], sections[there] = sections[there], sections[here]
            return await self._put("order", shortest_order(sections) or None)
        return ""

    async def _put(self, key: str, names: tuple[str, ...] | None) -> str:
        """Save a list of names at once; gives why not, after which the list stands as it did."""
        async with self._saving:
            await self._save({key: names})
            self.read()
            return self.wrong.pop(key, "")


class ByPage(NamedTuple):
    """What the report chooses for itself by key, and what has changed since own words were written, by section."""

    chosen: dict[str, str]
    stale: dict[str, str]


def chosen_by_page(day: Day, choices: BriefChoices) -> ByPage:
    """Work out what the report chooses for itself; where it can choose nothing, writing it says why."""
    try:
        report = ReportData(day, choices, show_of(day.session, choices.units))
        stale = {section: text for section in choices.words if (text := stale_words(report, section))}
        return ByPage(own_choices(report), stale)
    except AxletrimError:
        return ByPage({}, {})
