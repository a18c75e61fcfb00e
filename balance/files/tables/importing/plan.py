"""What an import needs and finds: answers, questions, dropped rows, and the plan that holds them all."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Literal

from balance.model.columns import FORMAT
from balance.model.errors import AxletrimError, InputError, quoted

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

    from balance.model.records import Vehicle

_SHOWN = 3
"""Questions of one kind about rows that are put one by one."""
AS_RECORD = "a record only: "
"""Begins the answer that a column is kept as a record."""
NOT_FITTED = "not fitted in any of the runs"
"""The answer that a setting of the day has no column in a file that joins it."""
Outcome = Literal["reading", "text", "condition", "setting", "recorded", "left out"]


class ImportStopped(AxletrimError):  # noqa: N818 - a wish, not an error
    """The person stopped the import; nothing was written."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ImportOptions:
    """Answers to whatever a file leaves open; each is a command-line option of the same name.

    ``columns`` gives for a column of ours the header in the file, ``units`` for a column its unit. Quantities
    are texts with their unit. ``names`` gives for a configuration's name the one that it is to have; ``same_settings`` answers for all whose settings another has. ``drop_rows``, ``keep_rows`` and ``void_rows`` are patterns with ``*`` held
    against a row's label, its configuration, its first cell, and ``line 14``.
    """

    columns: Mapping[str, str] = field(default_factory=dict)
    units: Mapping[str, str] = field(default_factory=dict)
    status: Mapping[str, str] = field(default_factory=dict)
    names: Mapping[str, str] = field(default_factory=dict)
    same_settings: Literal["one", "apart"] | None = None
    lift_sign: Literal["up", "down"] | None = None
    drag_sign: Literal["rearward", "forward"] | None = None
    decimal: Literal["point", "comma"] | None = None
    encoding: str | None = None
    separator: str | None = None
    sheet: str | None = None
    header_line: int | None = None
    lines: tuple[int, int] | None = None
    drop_rows: tuple[str, ...] = ()
    keep_rows: tuple[str, ...] = ()
    void_rows: tuple[str, ...] = ()
    zero_means: Literal["reading", "missing"] | None = None
    labels: Literal["number", "suffix"] | None = None
    fill_down: bool = False
    configuration: str | None = None
    recorded: tuple[str, ...] = ()
    settings: tuple[str, ...] = ()
    not_fitted: tuple[str, ...] = ()
    moment_about: str | None = None
    moment_height: str | None = None
    moment_length: str | None = None
    moment_sign: Literal["nose-up", "nose-down"] | None = None
    title: str | None = None
    date: str | None = None
    kind: str | None = None
    floor: str | None = None
    speed: str | None = None
    air_density: str | None = None
    forces: Literal["as read", "restated"] | None = None
    reference_area: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """Something the file leaves open: what, and the command-line option that answers it.

    ``field`` is the attribute of `ImportOptions` that holds the answer, ``choices`` the answers where
    they are few, for a screen; ``line`` is that of the row that it is about, if it is about one alone.
    """

    key: str
    text: str
    option: str
    field: str
    choices: tuple[str, ...] = ()
    line: int | None = None

    def __str__(self) -> str:
        return f"{self.text}; answer with {self.option}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Dropped:
    """A row that is not taken over, and why. ``text`` is its beginning, as it stands in the file."""

    line: int
    text: str
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedColumn:
    """One column of the file: its header and unit there, and what becomes of it."""

    header: str
    unit: str
    becomes: str
    outcome: Outcome
    why: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class ImportPlan:
    """All that is known about an import before anything is written.

    ``header`` and ``rows`` are the runs.csv that would be written, ``lines`` where each row stands in
    the file, ``recorded`` the names of the columns that are records, ``session_text`` its session.toml but for
    the lines that say its format and name the car. Nothing may be written while ``questions`` is not empty.
    """

    source: Path
    raw: bytes = field(repr=False)
    vehicle_file: Path
    vehicle: Vehicle
    options: ImportOptions
    shape: str = ""
    understood: tuple[str, ...] = ()
    assumed: tuple[str, ...] = ()
    not_stated: tuple[str, ...] = ()
    questions: tuple[Question, ...] = ()
    dropped: tuple[Dropped, ...] = ()
    columns: tuple[PlannedColumn, ...] = ()
    header: tuple[str, ...] = ()
    rows: tuple[tuple[str, ...], ...] = field(default=(), repr=False)
    lines: tuple[int, ...] = field(default=(), repr=False)
    recorded: tuple[str, ...] = ()
    session_text: str = field(default="", repr=False)
    file_format: int = FORMAT

    @property
    def ready(self) -> bool:
        """Whether nothing is left to ask, so that it can be written."""
        return not self.questions


def option_of(field: str) -> str:
    """Name the command-line option that gives one of the answers.

    Examples
    --------
    >>> option_of("air_density")
    '--air-density'
    """
    return f"--{field.replace('_', '-')}"


class Findings:
    """Knows what was answered, and gathers sentences, questions and dropped rows while a file is being understood.

    ``at`` holds what is asked about single rows, by their lines; other questions are about the file as a whole.
    """

    def __init__(self, options: ImportOptions | None = None) -> None:
        self.options = options or ImportOptions()
        self.understood: list[str] = []
        self.assumed: list[str] = []
        self.not_stated: list[str] = []
        self.questions: list[Question] = []
        self.dropped: list[Dropped] = []
        self.at: dict[int, str] = {}

    def ask(
        self,
        key: str,
        text: str,
        option: str,
        field: str,
        choices: tuple[str, ...] = (),
        *,
        line: int | None = None,
    ) -> None:
        """Add a question, once for each key; one about a single row with its line."""
        if line is not None:
            self.at.setdefault(line, text.removeprefix(f"line {line}: "))
        if all(known.key != key for known in self.questions):
            one = Question(key=key, text=text, option=option, field=field, choices=choices, line=line)
            self.questions.append(one)

    def ask_choice(self, field: str, text: str, choices: tuple[str, ...], *, line: int | None = None) -> None:
        """Ask which of a few words is meant."""
        self.ask(field, text, f"{option_of(field)} {'|'.join(choices)}", field, choices, line=line)

    def ask_unit(self, name: str, text: str, choices: tuple[str, ...]) -> None:
        """Ask for the unit of a column, the likeliest first."""
        self.ask(f"unit.{name}", text, f"--unit {name}={choices[0]}", "units", choices)

    def ask_column(self, name: str, text: str, choices: tuple[str, ...] = (), *, or_else: str = "") -> None:
        """Ask which column of the file is one of ours, or what else it may be."""
        option = f'--column {name}="{choices[0] if choices else "HEADER"}"{or_else}'
        self.ask(f"column.{name}", text, option, "columns", choices)

    def ask_of_row(self, kind: str, line: int, text: str, option: str, field: str) -> None:
        """Add a question about a row, the first few of a kind one by one."""
        single = None if kind == "units" else line  # for units hold from there on
        if single is not None:
            self.at.setdefault(line, text)
        known = sum(one.key.startswith(f"{kind}.") for one in self.questions)
        if known < _SHOWN:
            self.ask(f"{kind}.{line}", f"line {line}: {text}", option, field, line=single)
        elif known == _SHOWN:
            self.ask(f"{kind}.more", "more rows of the same kind follow", option, field, line=single)


_LINES = re.compile(r"\s*(\d{1,9})\s*-\s*(\d{0,9})\s*", re.ASCII)
_END = 10**9
"""Beyond the last line of any file that is read."""


def wanted_lines(text: str) -> tuple[int, int]:
    """Read which lines are wanted.

    Examples
    --------
    >>> wanted_lines("12-40"), wanted_lines("12 -")[0]
    ((12, 40), 12)
    """
    match = _LINES.fullmatch(text)
    first, last = (int(match[1]), int(match[2] or _END)) if match else (1, 0)
    if first > last:
        raise InputError(f"found {quoted(text)}, expected two line numbers as 12-40, or 12- to the end")
    return first, last
