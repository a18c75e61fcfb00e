"""The rows of a table, one by one: a run that is taken over, a row that is dropped and why, or a question."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from balance.files.tables.header.head import again, lower_header, moved, other_units, said_again
from balance.files.tables.header.header_words import header_words
from balance.files.tables.header.meanings import words_of
from balance.files.tables.importing.doubts import doubt_header
from balance.files.tables.importing.plan import Dropped
from balance.files.tables.reading import junk
from balance.files.tables.reading.grid import RunRow
from balance.files.tables.reading.numerals import Mark, missing, number_text
from balance.files.tables.rows.measures import ask_zero
from balance.model.errors import UnknownName

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from balance.files.tables.header.head import Head, HeadColumn
    from balance.files.tables.header.roles import Roles
    from balance.files.tables.importing.plan import Findings
    from balance.files.tables.reading.grid import Grid, Row
    from balance.files.tables.rows.measures import Measure

_EVERY = 1000
_NINES = re.compile(r"-?9{3,6}(?:\.[09]+)?")
_MANY = 9000.0
_NAMES = {"front": "front lift", "rear": "rear lift", "total": "lift", "moment": "pitching moment"}


class RowSorter:
    """Goes through the rows below a header once."""

    def __init__(
        self,
        head: Head,
        roles: Roles,
        readings: Mapping[str, Measure],
        decimal: Mark,
        findings: Findings,
        *,
        own: bool,
        settled: bool = True,
    ) -> None:
        self.head, self.roles, self.readings, self.decimal = head, roles, readings, decimal
        self.findings, self.own = findings, own
        self.run_rows: list[RunRow] = []
        self.units: Mapping[int, str] = {}
        self.label, self.configuration = (
            roles.texts[name].index if name in roles.texts else None for name in ("run", "configuration")
        )
        self.speed = roles.conditions["speed"].index if "speed" in roles.conditions else None
        self.hashed = False
        self.above = ""
        self.before: Row | None = None
        self.marked = settled or findings.options.separator is not None
        self.commas = False
        self.used: set[str] = set()
        """Patterns that some row matched."""
        self.statuses = Statuses(roles.texts.get("status"), findings, own=own)

    def sort(self, grid: Grid, tick: Callable[[float], None]) -> list[RunRow]:
        """Sort every row below the header, and give those that become runs."""
        rows = grid.rows[self.head.after :]
        self.commas = grid.separator == ","
        self.marked = self.marked or not self.commas
        if len(rows) > 1 and not self.own and lower_header(rows[0], rows[1], self.head):
            doubt_header(rows[0], self.head, self.readings, self.findings)
        firsts = [row.text(0) for row in rows[:200] if self._numbers(row)[0]]
        self.hashed = bool(firsts) and all(text.startswith("#") for text in firsts)
        position = 0
        while position < len(rows):
            row = rows[position]
            if position % _EVERY == 0:
                tick(position / len(rows))
            taken = self._header_again(rows[position : position + 3]) or self._sort_one(row)
            position += taken
            self.before = row if taken == 1 else None
        return self.run_rows

    def _drop(self, row: Row, reason: str) -> int:
        self.findings.dropped.append(Dropped(line=row.line, text=row.start, reason=reason))
        return 1

    def _ask(self, kind: str, row: Row, text: str, option: str, answer: str) -> int:
        self.findings.ask_of_row(kind, row.line, text, option, answer)
        return 1

    def _header_again(self, rows: tuple[Row, ...]) -> int:
        """Take a header or a row of units among the data; give how many rows it takes up."""
        row = rows[0]
        if self.own:
            return 0
        count, units = said_again(rows, self.head)
        head = again(rows, self.head) if count else None
        if head is not None:
            if moved(head, self.head) and self._wanted(row):
                last = self.run_rows[-1].row.line if self.run_rows else row.line - 1
                self.findings.ask(
                    f"header.{row.line}",
                    f"line {row.line}: another header, with other columns; import the parts one by one",
                    f"--lines 1-{last}, then --lines {row.line}-",
                    "lines",
                )
            self._take_units(units, row)
            for one in rows[: head.rows]:
                self._drop(one, "the header again" if one is row else "part of the header again")
            return head.rows
        if count:
            self._take_units(units, row)
            return self._drop(row, "a row of units")
        return 0

    def _wanted(self, row: Row) -> bool:
        lines = self.findings.options.lines
        return lines is None or lines[0] <= row.line <= lines[1]

    def _take_units(self, units: dict[int, str], row: Row) -> None:
        if not units:  # a header that says nothing of units changes none, unless it may mean the first ones
            if self.units and self._wanted(row):
                text = "a header without units, after they changed: which hold from here on?"
                self._ask(
                    "units",
                    row,
                    text,
                    f"--lines, part by part, up to line {row.line - 1} and from it",
                    "lines",
                )
            return
        changed = other_units(units, self.head)
        if changed:
            listed = ", ".join(f"'{self._header(i)}' in {unit}" for i, unit in changed.items())
            self.findings.understood.append(
                f"from line {row.line} on: {listed}; brought to the units of the first header"
            )
        self.units = changed

    def _header(self, index: int) -> str:
        return next((c.header for c in self.head.columns if c.index == index), f"column {index + 1}")

    def _numbers(self, row: Row) -> tuple[dict[str, str], list[str], list[str]]:
        """Return the readings of a row as plain text, those that are missing, and those that are no numbers."""
        numbers, absent, wrong = {}, [], []
        for quantity, measure in self.readings.items():
            index = measure.column.index
            cell = row.cells[index] if index < len(row.cells) and index not in row.filled else ""
            text = number_text(cell, self.decimal)
            if text is not None:
                numbers[quantity] = text
            elif missing(cell):
                absent.append(quantity)
            else:
                wrong.append(quantity)
        return numbers, absent, wrong

    def _sort_one(self, row: Row) -> int:  # noqa: PLR0911 - one fate of a row a line
        options = self.findings.options
        label = row.text(self.label) if self.label is not None else ""
        configuration = row.text(self.configuration) if self.configuration is not None else ""
        names = (label, configuration)
        if not self._wanted(row):
            return self._drop(row, "outside --lines")
        if pattern := self._matching(options.drop_rows, row, names):
            return self._drop(row, f"asked for with --drop-rows '{pattern}'")
        numbers, absent, wrong = self._numbers(row)
        figures_there = any(c.isdigit() for q in wrong for c in row.text(self.readings[q].column.index))
        if not numbers and not figures_there:
            return self._without_numbers(row, label)
        wanted = self.own or bool(self._matching(options.keep_rows, row, names))
        if not wanted and self._is_junk(row, label, configuration):
            return 1
        configuration = "" if junk.ditto(configuration) else configuration
        self.above = configuration or self.above
        if not self.own and self.findings.options.separator is None and self._parted_amiss(row):
            return 1
        if wrong:
            column = self.readings[wrong[0]].column
            text = f"'{row.text(column.index)}' under '{column.header}' is no number"
            return self._ask("number", row, text, f"--drop-rows 'line {row.line}'", "drop_rows")
        if absent:
            what = ", ".join(_NAMES.get(quantity, quantity) for quantity in absent)
            at = self.readings[absent[0]].column.index
            shown = "merged with the cell above" if at in row.filled else row.text(at) or "blank"
            return self._drop(row, f"no {what} ({shown})")
        if not self.own and (
            self._is_zero(row, numbers) or (not wanted and self._stands_for_none(row, numbers))
        ):
            return 1
        voided = bool(self._matching(options.void_rows, row, names))
        status = "void" if voided else self.statuses.of(row, wanted=wanted)
        figures = {self.readings[quantity].column.index: text for quantity, text in numbers.items()}
        run_rows = RunRow(
            row=row,
            label=label,
            configuration=configuration,
            status=status,
            figures=figures,
            units={**self.units, **row.units} if row.units else self.units,
        )
        self._name(run_rows)
        self.run_rows.append(run_rows)
        return 1

    def _matching(self, patterns: Sequence[str], row: Row, names: tuple[str, str]) -> str:
        pattern = junk.matching(patterns, row, names)
        self.used.add(pattern)
        return pattern

    def _parted_amiss(self, row: Row) -> bool:
        """Ask about cells that no header stands over, or may have: one decimal comma between commas makes two cells of one."""
        headers = len(self.head.columns)
        if self.commas and _decimals_parted(row) >= len(row.cells) - headers > 0:
            self.findings.ask(
                "cells",
                f"line {row.line}: {len(row.cells)} cells under {headers} headers: a decimal comma in a comma-separated file?",
                "a file that is exported with semicolons, or has its numbers in quotes; if each comma parts two columns, with "
                "a header over every column",
                "separator",
            )
            return True
        text = f"{len(row.cells)} cells under {headers} headers (a comma within a number, between others?)"
        if any(row.text(i) for i in range(headers, len(row.cells))):
            option = (
                f"--drop-rows 'line {row.line}', or --separator comma to leave out what no header stands over"
            )
            return bool(self._ask("cells", row, text, option, "drop_rows"))
        if (self.commas and len(row.cells) > headers) or (not self.marked and len(row.cells) != headers):
            option = "--separator comma if each comma parts two columns, else save it with another separator"
            self.findings.ask(
                "cells", f"line {row.line}: {text}", option, "separator", ("comma",), line=row.line
            )
        return False

    def _without_numbers(self, row: Row, label: str) -> int:
        if not self.own and self.run_rows and junk.speaks_of_units(row):
            text = f"'{row.start}' may say that units change here"
            return self._ask(
                "units", row, text, f"--drop-rows 'line {row.line}' if it does not, else --lines", "drop_rows"
            )
        reason = junk.why_no_run(row, label, hashed=self.hashed)
        if not reason and not self.own and junk.rest_of(row, self.before, len(self.head.columns)):
            text = f"'{row.start}' may be the rest of the line above: a line end in a cell without quotation marks?"
            return self._ask("broken", row, text, f"--drop-rows 'line {row.line}' if it is not", "drop_rows")
        return self._drop(row, reason or "no reading in it")

    def _is_junk(self, row: Row, label: str, configuration: str) -> bool:  # noqa: PLR0911 - one kind of row a line
        """Drop what is no run, or ask about it; tell whether the row is done with."""
        first = next((text for text in (row.text(i) for i in range(len(row.cells))) if text), "")
        speed = row.cells[self.speed] if self.speed is not None and self.speed < len(row.cells) else ""
        speed_text = number_text(speed, self.decimal) if speed != "" else None
        keep = f"--keep-rows or --drop-rows 'line {row.line}'"
        if label and first == configuration != label and not junk.tare(label) and not junk.summary(label):
            first = ""  # a run with a label of its own, whatever its configuration is called
        if junk.tare(label) or (junk.tare(configuration) and not label) or junk.tare(first):
            return bool(self._drop(row, "a tare, without wind"))
        if speed_text is not None and float(speed_text) == 0:
            return bool(self._drop(row, "a tare: its speed is 0"))
        if junk.summary(label) or junk.summary(first) or (not label and junk.summary(configuration)):
            return bool(self._drop(row, "an average or another summary"))
        if junk.tare(configuration):
            return bool(self._ask("tare", row, f"is '{configuration}' a tare or a run?", keep, "keep_rows"))
        if junk.summary(configuration) or junk.maybe_no_run(label) or junk.maybe_no_run(configuration):
            return bool(
                self._ask(
                    "summary", row, f"is '{row.start}' a tare or a summary, or a run?", keep, "keep_rows"
                )
            )
        if junk.comment(row) and not self.hashed:
            return bool(self._ask("comment", row, f"is '{row.start}' a comment or a run?", keep, "keep_rows"))
        kind, said = junk.telling(row, (label, configuration))
        if kind == "summary":
            self._ask(kind, row, f"'{said}': is it a tare or an average, or a run?", keep, "keep_rows")
        elif kind == "units":
            option = f"--keep-rows 'line {row.line}' if it does not, else --lines"
            self._ask(kind, row, f"'{said}' may say that units change here", option, "keep_rows")
        return bool(kind)

    def _is_zero(self, row: Row, numbers: Mapping[str, str]) -> bool:
        zero = [quantity for quantity, text in numbers.items() if float(text) == 0]
        if not zero or self.findings.options.zero_means == "reading":
            return False
        what = ", ".join(_NAMES.get(quantity, quantity) for quantity in zero)
        if self.findings.options.zero_means == "missing":
            return bool(self._drop(row, f"no {what} (0 means missing, as given)"))
        ask_zero(what, row.line, self.findings)
        return True

    def _stands_for_none(self, row: Row, numbers: Mapping[str, str]) -> bool:
        """Ask about figures as -999 that loggers write where nothing was read."""
        nines = [text for text in numbers.values() if _NINES.fullmatch(text)]
        if not any(text.startswith("-") or len(nines) > 1 or float(text) > _MANY for text in nines):
            return False
        option = f"--keep-rows or --drop-rows 'line {row.line}'"
        return bool(
            self._ask("nines", row, f"'{nines[0]}': a reading, or nothing read?", option, "keep_rows")
        )

    def _name(self, run_rows: RunRow) -> None:
        """Fill in the configuration from above or from the answers, or ask for it."""
        if self.configuration is None:
            run_rows.configuration = self.findings.options.configuration or ""
            if not self.findings.options.configuration:
                self.findings.ask(
                    "configuration", "no column says which configuration was run",
                    '--column configuration="HEADER", or --configuration TEXT for all of them', "configuration",
                )  # fmt: skip
        elif not run_rows.configuration and self.findings.options.fill_down and self.above:
            run_rows.configuration = self.above
        elif not run_rows.configuration:
            text = "the configuration is blank; does that mean the one above?"
            self._ask(
                "blank",
                run_rows.row,
                text,
                f"--fill-down if so, or --drop-rows 'line {run_rows.row.line}'",
                "fill_down",
            )
        given = self.findings.options.names
        run_rows.configuration = given.get(run_rows.configuration, run_rows.configuration)


def _decimals_parted(row: Row) -> int:
    """Count the pairs of neighbouring cells that may be one number, parted at its decimal comma."""
    found, k = 0, 0
    while k < len(row.cells) - 1:
        parted = bool(_WHOLE.fullmatch(row.text(k)) and row.text(k + 1).isdecimal())
        found += parted
        k += 1 + parted
    return found


_WHOLE = re.compile(r"[-+\u2212(]?\d+")
_WORDS = ("good", "suspect", "void")
_GOOD_IF_MARKED = header_words("marks")["good"]
"""Headers over a column in which the runs that count are marked, so that a blank says something."""


class Statuses:
    """Reads the status of rows, and asks where it is not sure."""

    def __init__(self, column: HeadColumn | None, findings: Findings, *, own: bool) -> None:
        self.column, self.findings = column, findings
        self.marked = column is not None and not own and words_of(column.header) in _GOOD_IF_MARKED
        self.given = {word.casefold(): status for word, status in findings.options.status.items()}
        for word, status in findings.options.status.items():
            if status not in _WORDS:
                raise UnknownName(f"--status {word}", status, _WORDS)

    def of(self, row: Row, *, wanted: bool) -> str:
        """Return the status of a row as runs.csv writes it; ``wanted`` if the person said that it is a run."""
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
