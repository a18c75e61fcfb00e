"""A file that is or was watched, and what was said of it."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, Literal

from balance.files.tables.header.file_column import columns_from
from balance.files.tables.importing.plan import ImportOptions
from balance.files.tables.importing.remembered import options_from
from balance.files.tables.reading.numerals import MARKS

if TYPE_CHECKING:
    from collections.abc import Mapping

    from balance.files.tables.header.file_column import FileColumn
    from balance.files.tables.reading.numerals import Mark

_NONE: Mapping[str, FileColumn] = MappingProxyType({})


@dataclass(frozen=True, slots=True, kw_only=True)
class WatchedFile:
    """A file that is or was watched: where it is, and its columns by the names of the session's.

    ``decimal`` is the decimal mark of all its figures as somebody has said, empty where nobody has; ``answers`` is what
    else was said of the file, as an import takes it. ``begun`` counts how often the other computer has begun it anew,
    so that rows of one time are not held against those of another.
    """

    path: str
    called: Mapping[str, FileColumn] = field(default_factory=lambda: _NONE)
    begun: int = 0
    decimal: Mark | Literal[""] = ""
    answers: ImportOptions = field(default_factory=ImportOptions)

    @property
    def name(self) -> str:
        """The file's name."""
        return Path(self.path).name

    @property
    def options(self) -> ImportOptions:
        """All that was said of the file, its decimal mark among it."""
        return replace(self.answers, decimal=self.decimal or None)


def watched_file(record: Mapping[str, Any]) -> WatchedFile:
    """Read a line of the journal."""
    path = record["path"]
    if not isinstance(path, str):
        raise TypeError("a path that is no text")
    decimal = record.get("decimal", "")
    if decimal not in ("", *MARKS):
        raise ValueError("a decimal mark that is none")
    called, begun = columns_from(record["called"]), int(record["begun"])
    said = options_from(record.get("answers", {}))
    return WatchedFile(path=path, called=called, begun=begun, decimal=decimal, answers=said)
