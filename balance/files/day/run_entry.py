"""A run as it is being entered, or as it was planned: it starts from an earlier one, one thing changed, figures to come."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import TYPE_CHECKING

from balance.files.text_file import clean_cell
from balance.model.columns import TEXTS
from balance.model.plans import LABEL
from balance.units.text import dimension_of, unit_scale

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable, Mapping

    from balance.files.day.run_sheet import RunSheet
    from balance.model.plans import Value

CARRIED = tuple(name for name, known in TEXTS.items() if known.carried)
"""The columns of words that are the same in the next run until they are changed."""
_TOLD_APART = tuple(name for name in CARRIED if TEXTS[name].kind == "label")  # besides the settings
_LAST_NUMBER = re.compile(r"(.*?)(\d+)(\D*)", re.DOTALL)


@dataclass(frozen=True, slots=True, kw_only=True)
class RunEntry:
    """A run not yet in the sheet: cells as typed by the names of their columns, in the columns' units.

    ``start`` is the run that it starts from, where there is one.
    """

    cells: Mapping[str, str] = field(default_factory=dict)
    start: str | None = None

    def with_cells(self, cells: Mapping[str, str]) -> RunEntry:
        """Fill in or clear some cells."""
        clean = {name: clean_cell(name, text) for name, text in cells.items()}
        return RunEntry(cells=MappingProxyType({**self.cells, **clean}), start=self.start)


def next_entry(sheet: RunSheet, *, start: str | None = None, block: str | None = None) -> RunEntry:
    """Begin a run from the last one, or from any other."""
    if start is None and sheet.runs:
        start = next((run.label for run in reversed(sheet.runs) if run.status != "void"), sheet.labels[-1])
    cells = {} if start is None else sheet.cells(start)
    kept = {name: text for name, text in cells.items() if name in (*CARRIED, *sheet.names("setting"))}
    kept["run"] = next_label(sheet)
    if block is not None:
        kept["block"] = block
    return RunEntry(start=start).with_cells(kept)


def next_label(sheet: RunSheet) -> str:
    """Propose a label: that of the last run, its last number one higher."""
    return label_after(sheet.labels[-1] if sheet.labels else "0", sheet.labels)


def label_after(label: str, taken: Collection[str]) -> str:
    """Raise the last number of a label until it is one that is not taken.

    Examples
    --------
    >>> label_after("R09", ["R09", "R10"])
    'R11'
    """
    match = _LAST_NUMBER.fullmatch(label)
    head, digits, end = match.groups() if match else (f"{label}-", "1", "")
    number = int(digits[-15:]) + 1
    head += digits[:-15]
    known = set(taken)
    while (proposed := f"{head}{number:0{len(digits[-15:])}d}{end}") in known:
        number += 1
    return proposed


def next_block(sheet: RunSheet) -> str:
    """Propose a name for a new block."""
    blocks = {run.block for run in sheet.runs}
    number = max(2, len(blocks) + 1)
    while str(number) in blocks:
        number += 1
    return str(number)


def changes_of(sheet: RunSheet, entry: RunEntry) -> tuple[tuple[str, str, str], ...]:
    """State in what an entry differs from the run that it starts from."""
    before = sheet.cells(entry.start) if entry.start is not None else {}
    names = (*_TOLD_APART, *sheet.names("setting"))
    pairs = ((name, before.get(name, ""), entry.cells.get(name, "")) for name in names)
    return tuple((name, old, new) for name, old, new in pairs if old != new)


def unfilled(sheet: RunSheet, entry: RunEntry) -> tuple[str, ...]:
    """Name what the run it starts from has and the entry has not yet: speed, air, total, records."""
    before = sheet.cells(entry.start) if entry.start is not None else {}
    names = (*sheet.names("condition"), *sheet.names("total"), *sheet.names("recorded"))
    return tuple(name for name in names if before.get(name) and not entry.cells.get(name))


def configurations_in_use(sheet: RunSheet, typed: str = "") -> tuple[str, ...]:
    """Complete a configuration's name from those in use."""
    latest = list(dict.fromkeys(run.configuration for run in reversed(sheet.runs)))
    start = typed.strip().casefold()
    beginning = [name for name in latest if name.casefold().startswith(start)]
    holding = [name for name in latest if start in name.casefold() and name not in beginning]
    return (*beginning, *holding)


_LEAST = 4
"""Letters that a word must have for one of them to be a slip: A and B are two things, base and bsae one."""


def name_meant(typed: str, known: Iterable[str]) -> str | None:
    """Find the name in use that was probably meant.

    Examples
    --------
    >>> name_meant("bsae", ["splitter", "base"]), name_meant("Base", ["base"]), name_meant("canard B", ["canard A"])
    ('base', 'base', None)
    """
    names = list(known)
    return None if typed in names else next((name for name in names if _one_letter_off(typed, name)), None)


def _one_letter_off(typed: str, name: str) -> bool:
    mine, theirs = typed.casefold().split(), name.casefold().split()
    if "".join(mine) == "".join(theirs):
        return True
    if len(mine) != len(theirs):
        return False
    apart = [(a, b) for a, b in zip(mine, theirs, strict=True) if a != b]
    return len(apart) == 1 and _one_letter(*apart[0])


def _one_letter(a: str, b: str) -> bool:
    if min(len(a), len(b)) < _LEAST or not (a.isalpha() and b.isalpha()):
        return False
    if len(a) == len(b):
        at = [k for k, (x, y) in enumerate(zip(a, b, strict=True)) if x != y]
        exchanged = len(at) == 2 and at[1] == at[0] + 1 and a[at[0]] == b[at[1]] and a[at[1]] == b[at[0]]
        return len(at) == 1 or exchanged
    short, long = sorted((a, b), key=len)
    return any(short == long[:k] + long[k + 1 :] for k in range(len(long)))


def planned_cells(
    sheet: RunSheet, settings: Mapping[str, Value], units: Mapping[str, str], *, label: str = ""
) -> tuple[dict[str, str], tuple[str, ...]]:
    """Write what is to be fitted into the columns of a sheet; name the settings that have no column there.

    The configuration is called as a run of the same settings was, else as the plan calls it, else as one with the same
    parts fitted, else by its parts.
    """
    columns = sheet.names("setting")
    cells = {name: _cell(sheet, name, settings.get(name), units.get(name, "")) for name in columns}
    called = _called(sheet, cells, label)
    if LABEL in settings:
        called = str(settings[LABEL])
    missing = tuple(name for name in settings if name not in columns and name != LABEL)
    return {**cells, **({"configuration": called} if called else {})}, missing


def _cell(sheet: RunSheet, name: str, value: Value | None, unit: str) -> str:
    if value is None:
        return ""
    if isinstance(value, str):
        return value
    column = sheet.plan(name).unit
    if unit and column and unit != column and (kind := dimension_of(unit)) is not None:
        (scale, offset), (to, shift) = unit_scale(unit, kind), unit_scale(column, kind)
        value = (value * scale + offset - shift) / to
    return f"{value:.10g}"


def _called(sheet: RunSheet, cells: Mapping[str, str], label: str) -> str:
    """Choose a name: of a run with the same cells, else the plan's, else of a run with the same parts on."""
    runs = [
        (run.configuration, sheet.cells(run.label)) for run in reversed(sheet.runs) if run.status != "void"
    ]
    for name, there in runs:
        if all(_same(there.get(key, ""), text) for key, text in cells.items()):
            return name
    if label:
        return label
    for name, there in runs:
        if all(bool(there.get(key, "")) == bool(text) for key, text in cells.items()):
            return name
    stems = [name.partition("_")[0] for name, text in cells.items() if text]
    return f"{', '.join(stems[:-1])}{' and ' if stems[1:] else ''}{stems[-1]}" if stems else ""


def _same(one: str, other: str) -> bool:
    try:
        return float(one) == float(other)
    except ValueError:
        return one == other
