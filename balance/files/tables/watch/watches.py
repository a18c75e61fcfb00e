"""The files that are watched for a session, and what their columns were said to be: kept in its journal."""

from __future__ import annotations

from dataclasses import replace
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, Literal

from balance.files.tables.header.file_column import columns_record
from balance.files.tables.importing.remembered import answers
from balance.files.tables.watch.watched_file import WatchedFile

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

    from balance.files.day.journal import Journal, Replayed
    from balance.files.tables.header.file_column import FileColumn
    from balance.files.tables.importing.plan import ImportOptions
    from balance.files.tables.reading.numerals import Mark
    from balance.files.tables.watch.file_watch import WatchedRow


class Watches:
    """Knows each watched file by its name, for a stick may be mounted elsewhere the next time."""

    def __init__(self, journal: Journal, told: Replayed) -> None:
        self._journal = journal
        self._kept = dict(told.watches)
        self._now = told.watched

    @property
    def current(self) -> WatchedFile | None:
        """The file that was watched last and not let be."""
        return self._kept.get(self._now)

    def of(self, name: str) -> WatchedFile:
        """Return what is known of a file by its name."""
        return self._kept.get(name, WatchedFile(path=name))

    def record_of(self, row: WatchedRow) -> dict[str, Any]:
        """Return a row as a step of the journal names it."""
        begun = self.of(row.file).begun
        return {"file": row.file, "key": row.key, "cells": dict(row.cells), "begun": begun}

    def begin(self, path: Path) -> None:
        """Keep that a file is watched from now on."""
        self._keep(replace(self.of(path.name), path=str(path.absolute())))

    def call(self, name: str, called: Mapping[str, FileColumn]) -> None:
        """Keep what the columns of a file were said to be."""
        self._keep(replace(self.of(name), called=MappingProxyType(dict(called))))

    def read_with(self, name: str, decimal: Mark | Literal[""]) -> None:
        """Keep what the decimal mark of a file was said to be; nothing where its figures are to show it."""
        self._keep(replace(self.of(name), decimal=decimal))

    def answer(self, name: str, options: ImportOptions) -> None:
        """Keep what was said of a file."""
        self._keep(replace(self.of(name), answers=replace(options, decimal=None)))

    def begun_anew(self, name: str) -> None:
        """Keep that the other computer has begun a file anew: what was taken of it was of another time."""
        known = self.of(name)
        self._keep(replace(known, begun=known.begun + 1))

    def stop(self) -> None:
        """Keep that no file is watched any more; what its columns are stays known."""
        if self._now:
            self._now = ""
            self._journal.add("unwatch")

    def keep_again(self) -> None:
        """Write all of it into a journal that was begun anew."""
        now = self._now
        for known in sorted(self._kept.values(), key=lambda one: one.name == now):
            self._write(known)
        if self._kept and not now:
            self._journal.add("unwatch")

    def _keep(self, watch: WatchedFile) -> None:
        if self._now != watch.name or self._kept.get(watch.name) != watch:
            self._kept[watch.name], self._now = watch, watch.name
            self._write(watch)

    def _write(self, watch: WatchedFile) -> None:
        said = answers(watch.answers)
        self._journal.add(
            "watch", path=watch.path, called=columns_record(watch.called), begun=watch.begun, decimal=watch.decimal,
            **({"answers": said} if said else {}),
        )  # fmt: skip
