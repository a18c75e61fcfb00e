"""The tray: rows of a watched file that wait until somebody says what was changed on the car."""

from __future__ import annotations

from dataclasses import dataclass
from types import MappingProxyType
from typing import TYPE_CHECKING

from balance.columns import TEXTS
from balance.errors import InputError, one_line
from balance.files.file_watch import CorrectedRow, NewRow

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable, Mapping

    from balance.files.file_watch import WatchedRow, WatchEvent
    from balance.files.run_sheet import RunSheet
    from balance.files.runs_header import ColumnPlan
    from balance.files.watched_columns import FileColumn

_AS_THEY_ARE: Mapping[str, FileColumn] = MappingProxyType({})


@dataclass(frozen=True, slots=True, kw_only=True)
class Tray:
    """Rows that wait, in the order of the file, and corrections of rows that have become runs already."""

    rows: tuple[WatchedRow, ...] = ()
    corrections: tuple[CorrectedRow, ...] = ()

    def after(self, events: Iterable[WatchEvent], *, aside: Collection[str] = ()) -> Tray:
        """Take up what a look at the file has brought.

        Parameters
        ----------
        events : iterable of events
            As `FileWatch.poll` gives them. A waiting row that was corrected waits as it now reads.
        aside : collection of str
            Keys of the rows that were set aside: one that was corrected waits again.

        Returns
        -------
        Tray
            What waits then.
        """
        rows, corrections = list(self.rows), list(self.corrections)
        for event in events:
            if isinstance(event, NewRow):
                rows.append(event.row)
            elif isinstance(event, CorrectedRow):
                places = [place for place, row in enumerate(rows) if row.key == event.row.key]
                if places:
                    rows[places[-1]] = event.row
                elif event.row.key in aside:
                    rows.append(event.row)
                else:
                    corrections.append(event)
        return Tray(rows=tuple(rows), corrections=tuple(corrections))

    def without(self, decided: WatchedRow) -> Tray:
        """Take out what was decided on: a row that has become a run, or a correction that was taken or left."""
        return Tray(
            rows=tuple(row for row in self.rows if not _says_the_same(row, decided)),
            corrections=tuple(event for event in self.corrections if not _says_the_same(event.row, decided)),
        )


def _says_the_same(one: WatchedRow, other: WatchedRow) -> bool:
    return (one.key, one.cells) == (other.key, other.cells)


def columns_found(
    sheet: RunSheet, header: Iterable[str], called: Mapping[str, FileColumn] = _AS_THEY_ARE
) -> dict[str, str]:
    """Find the columns of the sheet among those of another computer's table.

    Parameters
    ----------
    sheet : RunSheet
        The present state.
    header : iterable of str
        Of the other table.
    called : mapping of str to FileColumn, optional
        For columns of the sheet that have another name, unit or sign there, by their names, what somebody has
        said they are.

    Returns
    -------
    dict of str to str
        The name of the sheet's column for each header that is one.
    """
    there = tuple(header)
    headers = {_plain(plan.header): plan.name for plan in sheet.plans if plan.name}
    said = {column.header: name for name, column in called.items() if column.header in there}
    names = {plan.name for plan in sheet.plans}
    found = {}
    for text in there:
        name = said.get(text, "")
        if not name and (same := headers.get(_plain(text), "")) not in said.values():
            name = same
        if name in names and name:
            found[text] = name
    return found


def columns_asked(
    sheet: RunSheet, header: Iterable[str], called: Mapping[str, FileColumn] = _AS_THEY_ARE
) -> tuple[ColumnPlan, ...]:
    """Give the columns of the sheet that the other table has not by their own headers.

    Parameters
    ----------
    sheet, header, called
        As for `columns_found`.

    Returns
    -------
    tuple of ColumnPlan
        Readings first, then what a row has to say to become a run, then the rest.
    """
    own = {name for name in columns_found(sheet, header).values() if name not in called}
    asked = [plan for plan in sheet.plans if plan.name and plan.name not in own]
    order = {"reading": 0, "setting": 2, "condition": 3, "total": 3, "recorded": 3, "text": 4}

    def place(plan: ColumnPlan) -> int:
        return 1 if plan.name in TEXTS and TEXTS[plan.name].required else order[plan.role]

    return tuple(sorted(asked, key=place))


def check_columns(
    sheet: RunSheet, file: str, header: Iterable[str], called: Mapping[str, FileColumn] = _AS_THEY_ARE
) -> dict[str, str]:
    """Give the columns as `columns_found` does, or say why rows of the table cannot be taken over.

    Parameters
    ----------
    sheet, header, called
        As for `columns_found`.
    file : str
        The other table's name.

    Returns
    -------
    dict of str to str
        The name of the sheet's column for each header that is one.

    Raises
    ------
    InputError
        If a reading is missing, or the unit of a column differs and nobody has said so: figures are never
        converted unseen.
    """
    there = tuple(header)
    found = columns_found(sheet, there, called)
    names = {plan.name: plan.header for plan in sheet.plans if plan.name}
    for text in there:
        name = text.split("[")[0].strip()
        if name in names and name not in found.values():
            raise InputError(
                one_line(
                    f"{file}: found the column '{text}', expected '{names[name]}' as in runs.csv; "
                    "let both have one unit"
                )
            )
    for plan in sheet.force_columns:
        if plan.name not in found.values():
            raise InputError(
                one_line(
                    f"{file}: found no column '{plan.header}', expected one, name, sign and unit as in runs.csv; "
                    f"there: {', '.join(there)}"
                )
            )
    return found


def _plain(header: str) -> str:
    return "".join(header.split())
