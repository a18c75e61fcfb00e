"""A table as comma-separated text, row by row, with all that is wrong with it."""

from __future__ import annotations

import csv
import io
from typing import TYPE_CHECKING

from balance.model.errors import Fault

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

MOST_FAULTS = 1000


class TableReader:
    """Gathers the faults of one file; those beyond a thousand are not listed."""

    def __init__(self, file: str) -> None:
        self.file = file
        self.faults: list[Fault] = []

    def fault(self, line: int, column: str | None, found: str, expected: str, mend: str = "") -> None:
        """Add a fault."""
        if len(self.faults) == MOST_FAULTS:
            column, found, expected = None, f"{MOST_FAULTS} faults already", "fewer"
            mend = "the rest is not listed"
        if len(self.faults) <= MOST_FAULTS:
            self.faults.append(
                Fault(file=self.file, line=line, column=column, found=found, expected=expected, mend=mend)
            )

    def rows(self, text: str) -> Iterator[tuple[int, list[str]]]:
        """Return each row that is not blank, with the physical line on which it begins."""
        reader = csv.reader(io.StringIO(text, newline=""), strict=True)
        line = 1
        try:
            for cells in reader:
                if any(cell.strip() for cell in cells):
                    yield line, cells
                line = reader.line_num + 1
        except csv.Error as error:
            self.broken(line, error)

    def broken(self, line: int, error: csv.Error) -> None:
        """Add the fault of a line that is no row."""
        self.fault(line, None, f"text that is no table row ({error})", "cells parted by commas")

    def refuse_other_marks(self, line: int, header: Sequence[str]) -> bool:
        """Return whether something else than commas parts the columns, which is a fault."""
        mark = next((mark for mark in ";\t" if mark in header[0]), "") if len(header) == 1 else ""
        if mark:
            name = "semicolons" if mark == ";" else "tabs"
            self.fault(line, None, f"columns parted by {name}", "by commas", "save it again with commas")
        return bool(mark)
