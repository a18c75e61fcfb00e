"""A run typed in one line: the figures in the order of the file's force columns, then what was changed."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from balance.files.day.run_entry import changes_of
from balance.files.formats.cells import cell_problem, not_fitted, read_cell
from balance.model.columns import TEXTS
from balance.model.errors import InputError, did_you_mean, quoted
from balance.model.kinds import clean_number

if TYPE_CHECKING:
    from collections.abc import Sequence

    from balance.files.day.run_entry import RunEntry
    from balance.files.day.run_sheet import RunSheet

_TOKEN = re.compile(r'"([^"]*)"|(\S+)')
_REPEAT = "repeat"
_IN_MARKS = '; a text of several words stands in quotation marks: NAME "TEXT MORE"'


class _InMarks(str):
    """A word that stood in quotation marks: all of a text."""

    __slots__ = ()


def parse_entry_line(sheet: RunSheet, entry: RunEntry, line: str, *, figures: bool = True) -> RunEntry:
    """Read one typed line into an entry."""
    words = _words(line)
    repeat = _REPEAT in words
    words = [word for word in words if word != _REPEAT]
    readings: dict[str, str] = {}
    if figures:
        readings, words = _figures(sheet, words)
    changes = _changes(sheet, words, readings=not figures)
    filled = entry.with_cells({**readings, **changes})
    changed = [name for name, _, _ in changes_of(sheet, filled)]
    on_the_car = [
        name for name in changed if name != "block"
    ]  # the same car may be run again in another block
    if entry.start is not None and repeat and on_the_car:
        raise InputError(
            f"found 'repeat' and a change of {' and '.join(on_the_car)} against run {entry.start}, expected one of them; "
            "'repeat' means that nothing was changed"
        )
    if entry.start is not None and not repeat and not changed:
        raise InputError(
            f"found no change against run {entry.start}, expected a setting and its figure; write 'repeat' if the "
            "same was run again"
        )
    return filled


def _figures(sheet: RunSheet, words: list[str]) -> tuple[dict[str, str], list[str]]:
    """Take the figures off the front of a line."""
    columns = sheet.force_columns
    wanted = ", ".join(column.header for column in columns)
    figures, rest = words[: len(columns)], words[len(columns) :]
    for place, column in enumerate(columns):
        word = figures[place] if place < len(figures) else ""
        if not word or (read_cell(word) is None and word[:1].isalpha()):
            raise InputError(
                f"found {place or 'no'} figure{'s' if place != 1 else ''} before "
                f"{quoted(word) if word else 'the end'}, expected {len(columns)}: {wanted}"
            )
        _check_figure(column.header, word)
    if rest and read_cell(rest[0]) is not None:
        raise InputError(
            f"found one figure too many, {quoted(rest[0])}, expected {len(columns)} ({wanted}) and then the name "
            "of what was changed"
        )
    return {column.name: clean_number(word) for column, word in zip(columns, figures, strict=True)}, rest


def column_called(sheet: RunSheet, typed: str, *, readings: bool = False) -> str:
    """Find the column that a name or its beginning means: settings before all others."""
    folded = typed.casefold()
    settings, measured = sheet.names("setting"), sheet.names("reading") if readings else ()
    others = tuple(plan.name for plan in sheet.plans if plan.name and plan.role not in ("setting", "reading"))
    texts = tuple(name for name in TEXTS if name not in others)  # appended to the sheet when needed
    for names in (settings, others, texts, measured):
        if folded in (exact := {name.casefold(): name for name in names}):
            return exact[folded]
    for names in (settings, others, texts, measured):
        found = [name for name in names if name.casefold().startswith(folded)]
        if len(found) > 1:
            raise InputError(f"{quoted(typed)}: found {' and '.join(found)}, expected one; type more of it")
        if found:
            return found[0]
    known = (*measured, *settings, *others)
    mend = did_you_mean(typed, known) or "a new setting needs a column of its own first"
    raise InputError(f"found {quoted(typed)}, expected one of: {', '.join(known)}; {mend}")


def _words(line: str) -> list[str]:
    if line.count('"') % 2:
        raise InputError(
            'found a quotation mark that is never closed, expected one at each end of a text: note "tufts off"'
        )
    return [_InMarks(match[1]) if match[1] is not None else match[2] for match in _TOKEN.finditer(line)]


def _changes(sheet: RunSheet, words: Sequence[str], *, readings: bool) -> dict[str, str]:
    changes: dict[str, str] = {}
    place, marks = 0, ""
    while place < len(words):
        try:
            name = column_called(sheet, words[place], readings=readings)
        except InputError as fault:
            raise InputError(f"{fault}{marks.replace('MORE', words[place])}") from None
        plan = next((plan for plan in sheet.plans if plan.name == name), None)
        unit, setting = (plan.unit, plan.role == "setting") if plan is not None else ("", False)
        form = f"a figure in {unit}" if unit else "a text"
        if place + 1 == len(words):
            off = ", or 'off'" if setting else ""
            found = f"{name}: found nothing behind it, expected {form}{off}"
            raise InputError(f"{found}{marks.replace('MORE', words[place])}")
        if name in changes:
            raise InputError(f"{name}: found it twice, expected it once")
        figure = plan is not None and (unit or plan.role == "reading")
        count = 1 if figure else _words_of_text(sheet, name, words[place + 1 :])
        text = " ".join(words[place + 1 : place + 1 + count])
        ended = figure or isinstance(words[place + 1], _InMarks)
        marks = "" if ended else _IN_MARKS.replace("NAME", words[place]).replace("TEXT", text)
        place += 1 + count
        if setting and not_fitted(text):
            changes[name] = ""
            continue
        if plan is not None and figure:
            _check_figure(plan.header, text)
            text = clean_number(text)
        changes[name] = text
    return changes


def _words_of_text(sheet: RunSheet, name: str, words: Sequence[str]) -> int:
    """Count the words of a text: those of the longest name in use behind which a column or nothing stands."""
    in_use = {sheet.cells(label).get(name, "") for label in sheet.labels}
    most = next((k for k, word in enumerate(words) if isinstance(word, _InMarks)), len(words))
    for count in range(most, 1, -1):
        if " ".join(words[:count]) in in_use and (count == len(words) or _is_column(sheet, words[count])):
            return count
    return 1


def _is_column(sheet: RunSheet, word: str) -> bool:
    try:
        return bool(column_called(sheet, word))
    except InputError:
        return False


def _check_figure(header: str, text: str) -> None:
    if read_cell(text) is None:
        found, mend = cell_problem(text)
        if "," not in text:
            mend = "write the figure alone, in the unit of its column"
        raise InputError(f"{header}: found {found}, expected a number; {mend}")
