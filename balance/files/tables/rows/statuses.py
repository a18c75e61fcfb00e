"""Whether a run counts: what its status says, and what else on its row may say that it does not."""

from __future__ import annotations

from typing import TYPE_CHECKING

from balance.files.tables.header.header_words import header_words
from balance.files.tables.header.meanings import words_of
from balance.files.tables.reading import junk
from balance.model.errors import UnknownName

if TYPE_CHECKING:
    from balance.files.tables.header.head import HeadColumn
    from balance.files.tables.importing.plan import Findings, ImportOptions
    from balance.files.tables.reading.grid import Row

_WORDS = ("good", "suspect", "void")
_GOOD_IF_MARKED = header_words("marks")["good"]
"""Headers over a column in which the runs that count are marked, so that a blank says something."""


class Statuses:
    """Reads the status of rows, and asks where it is not sure."""

    def __init__(
        self, column: HeadColumn | None, options: ImportOptions, findings: Findings, *, own: bool
    ) -> None:
        self.column, self.findings = column, findings
        self.marked = column is not None and not own and words_of(column.header) in _GOOD_IF_MARKED
        self.given = {word.casefold(): status for word, status in options.status.items()}
        for word, status in options.status.items():
            if status not in _WORDS:
                raise UnknownName(f"--status {word}", status, _WORDS)

    def of(self, row: Row, *, wanted: bool) -> str:
        """Give the status of a row as runs.csv writes it; ``wanted`` if the person said that it is a run."""
        typed = row.text(self.column.index) if self.column is not None else ""
        status = self.given.get(typed.casefold()) or junk.status_word(typed)
        if status is None:
            self.findings.ask(
                f"status.{typed.casefold()}",
                f"line {row.line}: what does the status '{typed}' mean?",
                f'--status "{typed}=good" (or suspect, void)',
                "status",
                _WORDS,
                line=row.line,
            )
            return ""
        if status == "good" and not wanted:
            self._doubt(row, typed)
        return "" if status == "good" else status

    def _doubt(self, row: Row, typed: str) -> None:
        said = junk.says_void(row)
        if row.struck:
            text = "it is struck out: does the run count?"
        elif said:
            text = f"does '{said}' mean that the run does not count?"
        elif self.marked and not typed and self.column is not None:
            text = f"nothing stands under '{self.column.header}': does the run count?"
        else:
            return
        option = f"--void-rows 'line {row.line}' or --keep-rows 'line {row.line}'"
        self.findings.ask_of_row("void", row.line, text, option, "void_rows")
