"""A run while it is typed, as one frozen value: the line, the fields, and what comes of both."""

from __future__ import annotations

import json
from dataclasses import dataclass, field, replace
from functools import cached_property
from types import MappingProxyType
from typing import TYPE_CHECKING

from balance.model.columns import TEXTS
from balance.model.errors import FileFaults, InputError

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from balance.files.day.run_entry import RunEntry
    from balance.files.day.run_sheet import RunSheet
    from balance.files.tables.header.file_column import FileColumn
    from balance.files.tables.reading.numerals import Mark
    from balance.files.tables.watch.file_watch import WatchedRow

_NOTHING: Mapping[str, str] = MappingProxyType({})
_NO_COLUMNS: Mapping[str, FileColumn] = MappingProxyType({})
_LINE, _START, _EDITED, _ROW, _DECIMAL = "\tline", "\tstart", "\tedited", "\trow", "\tdecimal"
"""Names in a kept draft that no column can have, for a header holds no tab."""


@dataclass(frozen=True, kw_only=True, eq=False)
class TypedRun:
    """What was typed of a run so far, on the day as it stands.

    ``line`` is the line as typed, ``typed`` what was typed by hand into fields, by the names of their columns. ``start`` is
    the run that it starts from, the last one where absent; ``edited`` the run that is corrected, in place of a new one.
    ``row`` is the row of a watched file that becomes the run, ``called`` what the columns of that file were said to be,
    ``decimal`` its decimal mark.
    """

    sheet: RunSheet
    line: str = ""
    typed: Mapping[str, str] = field(default_factory=lambda: _NOTHING)
    start: str | None = None
    edited: str | None = None
    row: WatchedRow | None = None
    called: Mapping[str, FileColumn] = field(default_factory=lambda: _NO_COLUMNS)
    decimal: Mark = "point"

    @cached_property
    def base(self) -> RunEntry:
        """The entry before anything is typed."""
        from balance.files.day.run_entry import RunEntry, next_entry  # noqa: PLC0415 - after the first paint
        from balance.files.tables.rows.sheet_rows import entry_from_row  # noqa: PLC0415 - after the first paint

        if self.edited is not None:
            return RunEntry(cells=self.sheet.cells(self.edited), start=None)
        entry = next_entry(self.sheet, start=self.start)
        if self.row is None:
            return entry
        try:
            return entry_from_row(self.sheet, entry, self.row, self.called, self.decimal)
        except InputError:  # the columns were changed meanwhile: what was known of it stands in the fields
            return entry

    @cached_property
    def row_faults(self) -> tuple[str, ...]:
        """What of the row cannot be read, and is left to be typed."""
        from balance.files.tables.rows.sheet_rows import row_faults  # noqa: PLC0415 - after the first paint

        return () if self.row is None else row_faults(self.sheet, self.row, self.called, self.decimal)

    @property
    def figures_known(self) -> bool:
        """Whether every figure is known before the line is read, so that the line holds the changes alone."""
        known = {**self.base.cells, **self.typed}
        return all(known.get(plan.name) for plan in self.sheet.force_columns)

    @cached_property
    def _read(self) -> tuple[RunEntry, str]:
        from balance.files.day.entry_line import parse_entry_line  # noqa: PLC0415 - after the first paint

        try:
            by_hand = self.base.with_cells(self.sheet.as_fitted(self.typed))
        except InputError as fault:
            return self.base, str(fault)
        if not self.line.strip():
            return by_hand, ""
        figures = any(not by_hand.cells.get(plan.name) for plan in self.sheet.force_columns)
        try:
            return parse_entry_line(self.sheet, by_hand, self.line, figures=figures), ""
        except InputError as fault:
            problem = str(fault)
        words = self.line.split()
        for count in range(len(words), 0, -1):
            for more in ("", " repeat"):
                try:
                    part = " ".join(words[:count]) + more
                    return parse_entry_line(self.sheet, by_hand, part, figures=figures), problem
                except InputError:
                    continue
        if not figures:
            return by_hand, problem
        names = [plan.name for plan in self.sheet.force_columns]
        shown = {name: word for name, word in zip(names, words, strict=False) if _is_figure(word)}
        return by_hand.with_cells(shown), problem

    @property
    def entry(self) -> RunEntry:
        """The run as understood so far."""
        return self._read[0]

    @property
    def label(self) -> str:
        """The run's label."""
        return self.entry.cells.get("run", "")

    @property
    def problem(self) -> str:
        """What stands in the way of saving: in the line, or in a field; empty where nothing does."""
        return self._read[1] or self._after[1]

    @property
    def after(self) -> RunSheet | None:
        """The day with this run in it; nothing while it cannot be read."""
        return None if self._read[1] else self._after[0]

    @cached_property
    def _after(self) -> tuple[RunSheet | None, str]:
        from balance.files.day.run_sheet import edit_run  # noqa: PLC0415 - after the first paint

        cells = self.entry.cells
        if self.edited is None and (missing := self.missing):
            return None, f"still to be typed: {', '.join(missing)}"
        try:
            if self.edited is None:
                return self.sheet.appended(dict(cells)), ""
            before = self.sheet.cells(self.edited)
            changes = {name: text for name, text in cells.items() if text != before.get(name, "")}
            return edit_run(self.sheet, self.edited, changes), ""
        except FileFaults as faults:
            return None, "; ".join(
                f"{f.column or f.file}: found {f.found}, expected {f.expected}"
                + (f" ({f.mend})" if f.mend else "")
                for f in faults.faults
            )
        except InputError as fault:
            return None, str(fault)

    @property
    def missing(self) -> tuple[str, ...]:
        """Headers of what a run cannot do without and this one does not have yet."""
        needed = ("run", "configuration", *(plan.name for plan in self.sheet.force_columns))
        return tuple(self.sheet.plan(name).header for name in needed if not self.entry.cells.get(name))

    @property
    def changes(self) -> tuple[tuple[str, str, str], ...]:
        """Name, text before and text now of what differs from the run it starts from, or from itself."""
        from balance.files.day.run_entry import changes_of  # noqa: PLC0415 - after the first paint

        if self.edited is None:
            return changes_of(self.sheet, self.entry)
        before = self.sheet.cells(self.edited)
        pairs = ((name, before.get(name, ""), text) for name, text in self.entry.cells.items())
        return tuple((name, old, new) for name, old, new in pairs if old != new)

    @property
    def unfilled(self) -> tuple[str, ...]:
        """Speed, air and records that the run it starts from has and this one has not."""
        from balance.files.day.run_entry import unfilled  # noqa: PLC0415 - after the first paint

        return () if self.edited is not None else unfilled(self.sheet, self.entry)

    @property
    def columns(self) -> tuple[tuple[str, str], ...]:
        """Name and header of every field, in the order in which they are asked for."""
        first = [plan.name for plan in self.sheet.force_columns]
        settings = list(self.sheet.names("setting"))
        rest = [name for role in ("condition", "total", "recorded") for name in self.sheet.names(role)]
        texts = [name for name in self.sheet.names("text") if not TEXTS[name].required]
        texts += [name for name, known in TEXTS.items() if known.offered and name not in texts]
        texts.sort(key=lambda name: TEXTS[name].kind in ("link", "mark"))
        order = [*first, *settings, "configuration", *rest, "run", *texts]
        headers = {plan.name: plan.header for plan in self.sheet.plans}
        return tuple((name, headers.get(name, name)) for name in order if name)

    def before(self, name: str) -> str:
        """Return what the run it starts from has in a column, or the run itself had."""
        label = self.edited or self.base.start
        return "" if label is None else self.sheet.cells(label).get(name, "")

    def with_line(self, line: str) -> TypedRun:
        """Take another line."""
        return replace(self, line=line)

    def with_field(self, name: str, text: str) -> TypedRun:
        """Take what was typed into a field; what the line said so far stands in the fields from then on."""
        said = {k: v for k, v in self.entry.cells.items() if v != self.base.cells.get(k, "")}
        return replace(self, line="", typed=MappingProxyType({**self.typed, **said, name: text}))

    def on(self, sheet: RunSheet) -> TypedRun:
        """Put what was typed on another state of the day."""
        start = self.start
        if start is None and self.edited is None and self.draft is not None:
            start = self.base.start  # a run that arrives meanwhile does not change what this one started from
        start = start if start in sheet.labels else None
        gone = self.edited is not None and self.edited not in sheet.labels
        return replace(self, sheet=sheet, start=start, edited=None if gone else self.edited)

    @property
    def _known(self) -> dict[str, str]:
        return {name: text for name, text in self.base.cells.items() if text}

    @property
    def draft(self) -> dict[str, str] | None:
        """What is to be kept should the tool end now; nothing where nothing was typed."""
        if not self.line.strip() and not self.typed:
            return None
        more = {_LINE: self.line, _START: self.start or "", _EDITED: self.edited or ""}
        row = {} if self.row is None else {**self._known, _ROW: _written(self.row), _DECIMAL: self.decimal}
        return {**row, **self.typed, **{name: text for name, text in more.items() if text}}


def typing_from(
    sheet: RunSheet,
    draft: Mapping[str, str],
    called: Callable[[str], Mapping[str, FileColumn]] = lambda _: _NO_COLUMNS,
) -> TypedRun:
    """Take up again what was half typed."""
    names = {name for name, _ in TypedRun(sheet=sheet).columns}
    typed = {name: text for name, text in draft.items() if name in names}
    if typed.get("run") in sheet.labels and not draft.get(_EDITED):
        typed.pop("run")
    row = _row_from(draft.get(_ROW, ""))
    typing = TypedRun(
        sheet=sheet,
        row=row,
        called=_NO_COLUMNS if row is None else called(row.file),
        decimal="comma" if draft.get(_DECIMAL) == "comma" else "point",
        line=draft.get(_LINE, ""),
        typed=MappingProxyType(typed),
        start=draft.get(_START) or None,
        edited=draft.get(_EDITED) or None,
    )
    return typing.on(sheet)


def _written(row: WatchedRow) -> str:
    there = {"cells": row.parted.cells, "units": {str(at): unit for at, unit in row.parted.units.items()}}
    named = {"file": row.file, "key": row.key, "line": row.line, "cells": dict(row.cells)}
    return json.dumps({**named, "row": there})


def _row_from(text: str) -> WatchedRow | None:
    """Read the row that a half-typed run is made of, so that it is not offered again once the run is saved."""
    from balance.files.tables.reading.grid import Row  # noqa: PLC0415 - after the first paint
    from balance.files.tables.watch.file_watch import WatchedRow  # noqa: PLC0415 - after the first paint

    try:
        record = json.loads(text)
        there = record.pop("row", None)
        row = there and Row(
            line=record["line"],
            cells=tuple(there["cells"]),
            units={int(at): unit for at, unit in there["units"].items()},
        )
        return WatchedRow(**{**record, "cells": MappingProxyType(record["cells"]), "row": row})
    except (ValueError, TypeError, KeyError, AttributeError):
        return None


def draft_words(draft: Mapping[str, str]) -> str:
    """Show what was half typed, in one line."""
    fields = [f"{name} {text}" for name, text in draft.items() if not name.startswith("\t") and text]
    edited = f"correcting run {draft[_EDITED]}: " if draft.get(_EDITED) else ""
    return edited + " · ".join(part for part in (draft.get(_LINE, ""), ", ".join(fields)) if part)


def _is_figure(word: str) -> bool:
    from balance.files.formats.cells import read_cell  # noqa: PLC0415 - after the first paint

    return read_cell(word) is not None
