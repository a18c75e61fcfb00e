"""Rows that are no runs: what their own words say they are."""

from __future__ import annotations

import re
from fnmatch import fnmatchcase
from functools import lru_cache
from typing import TYPE_CHECKING

from balance.files.tables.header.header_words import header_words
from balance.files.tables.reading.grid import cell_text

if TYPE_CHECKING:
    from collections.abc import Sequence
    from typing import TypeGuard

    from balance.files.tables.reading.grid import Cell, Row

_SUMMARY_WORDS = (
    r"avg|average|averages|ave|mean|means|std|st\.? ?dev\.?|std\.? ?dev\.?|stdev|sigma|minimum|maximum|min|max|total|sum"
    r"|median|range|count|ø|mittel|mittelwert|summe|spread|repeatability|delta|δ|diff|difference|increment|uncertainty|limit|target|spec"
)
_SUMMARY = re.compile(
    rf"(?:{_SUMMARY_WORDS})\b[.:]?(?:\s*(?:of|over|for|runs?|tests?|points?|all|baselines?|to|and|value|values))*[\s\d,;:.()/&–-]*",
    re.IGNORECASE,
)
_HINTS_SUMMARY = re.compile(r"\b(?:avg|average|mean|st\.?dev|stdev|std\.? ?dev|mittelwert)\b", re.IGNORECASE)
_OTHER_SUMMARIES = re.compile(
    r"(?:durchschnitt|moyenne|media|promedio|[ée]cart[ -]type|standardabweichung|unsicherheit|tolerances?|limits|rms|sd|s\.d\.|cov"
    r"|95 ?%(?: ci)?|ci|offsets?|corrections?|calibration|cal|check weights?|repeatab\w*|\+/-|±|best|worst|gain|increase|change|mittlere\w*)"
    r"(?![\w-])[\s\d#,;:.()/&–-]*(?:(?:of|over|for|runs?|value|values|loads?|factors?)[\s\d#,;:.()/&–-]*)*",
    re.IGNORECASE,
)
_HINTS_TARE = re.compile(
    r"\b(?:tares?|tara|wind[ -]?off|no[ -]wind|air[ -]?off|ohne wind|windstille?|nullmessung|nullpunkt|sans vent|vent nul|senza vento"
    r"|zero (?:run|reading|point|check|drift))\b",
    re.IGNORECASE,
)
_TARE = re.compile(
    r"(?:tare|tares|tara|zero|zeros|zeroes|wind[ -]?off|no wind|null|nullung|zero check|zero point|static tare|pre[ -]?tare"
    r"|post[ -]?tare|pre[ -]?zero|post[ -]?zero|balance zero|re[ -]?zero|air[ -]?off)[\s#\d.:-]*",
    re.IGNORECASE,
)
_VOID = re.compile(
    r"\b(?:void|voided|abort|aborted|invalid|invalidated|not valid|rejected|scrapped|scrap|bad (?:run|point|data|reading)"
    r"|do not use|don't use|disregard|discard|discarded|ungültig|verworfen|nicht verwenden)\b",
    re.IGNORECASE,
)
_UNIT_TALK = re.compile(
    r"\b(?:lbf|lbs?|kgf?|daN|kN|newtons?|pounds?|kilograms?|mph|kph|km/h|m/s|knots?|units?|imperial|metric|SI|counts?)\b"
    r"|\bin N\b|[\[(]N[\])]"
)
_CHANGE = re.compile(
    r"\b(?:now|from here|from now|from this|onwards?|henceforth|switch\w*|chang\w*|below|since|ab hier|ab jetzt)\b",
    re.IGNORECASE,
)
_FORCE_UNITS = re.compile(
    r"\b(?:lbf|lbs?|kgf|daN|kN|newtons?|pounds|mph|kph|km/h|m/s|knots|units?|einheit(?:en)?|imperial|metric)\b|\bin N\b|[\[(]N[\])]"
)
_LONE = frozenset(("zero", "zeros", "zeroes", "null"))
_DITTO = header_words("same")["ditto"]
_COMMENT = ("#", "//", "%", "!", "*", ";")
_STATUS = header_words("status")


@lru_cache(maxsize=4096)
def summary(text: str) -> bool:
    """Return whether a label is that of an average or another summary.

    Examples
    --------
    >>> [summary(text) for text in ("Avg", "Mean of 1-3", "12", "mean line wing")]
    [True, True, False, False]
    """
    return bool(_SUMMARY.fullmatch(text))


def maybe_summary(text: str) -> bool:
    """Return whether a text has a word of averages somewhere in it."""
    return bool(_HINTS_SUMMARY.search(text))


@lru_cache(maxsize=4096)
def maybe_no_run(text: str) -> bool:
    """Return whether a label or a configuration may be that of a tare or a summary.

    Examples
    --------
    >>> [maybe_no_run(text) for text in ("Tare (post)", "Limits", "mean of 3", "calm", "limit strap")]
    [True, True, True, False, False]
    """
    return maybe_summary(text) or bool(_HINTS_TARE.search(text) or _OTHER_SUMMARIES.fullmatch(text))


@lru_cache(maxsize=4096)
def tare(text: str) -> bool:
    """Return whether a label is that of a reading without wind.

    Examples
    --------
    >>> [tare(text) for text in ("Tare 1", "wind off", "zero flap")]
    [True, True, False]
    """
    return bool(_TARE.fullmatch(text))


def says_void(row: Row) -> str:
    """Return the text of a row that says the run does not count, or nothing."""
    found = (cell for cell in row.cells if isinstance(cell, str) and len(cell) > 3 and _VOID.search(cell))
    return cell_text(next(found, ""))


def comment(row: Row) -> bool:
    """Return whether a row begins as comments do."""
    return row.text(0).startswith(_COMMENT)


def why_no_run(row: Row, label: str, *, hashed: bool) -> str:
    """State why a row without any figure is no run, where its words tell; ``hashed`` if labels begin with a number sign.

    Examples
    --------
    >>> from balance.files.tables.reading.grid import Row
    >>> [why_no_run(Row(line=9, cells=(text,)), text, hashed=False) for text in ("# lunch", "Tare 2", "end")]
    ['a comment', 'a tare, without wind', '']
    """
    if comment(row) and not hashed:
        return "a comment"
    if tare(label):
        return "a tare, without wind"
    if summary(label):
        return "an average or another summary"
    return "void, and without any reading" if says_void(row) else ""


def rest_of(row: Row, above: Row | None, whole: int) -> bool:
    """Return whether a row makes the short one above it as long as the header, as a line broken within a cell does.

    Examples
    --------
    >>> from balance.files.tables.reading.grid import Row
    >>> rest_of(Row(line=9, cells=("lines", "5")), Row(line=8, cells=("1", "base", "two")), 4)
    True
    """
    return (
        above is not None
        and 1 < len(row.cells) < whole
        and len(above.cells) < whole
        and len(above.cells) + len(row.cells) - 1 >= whole
        and any(row.text(index) for index in range(1, len(row.cells)))
    )


def speaks_of_units(row: Row) -> bool:
    """Return whether a row of words among the data may say that units change."""
    return any(_UNIT_TALK.search(row.text(i)) for i in range(len(row.cells)))


def status_word(text: str) -> str | None:
    """Turn a word of theirs into good, suspect or void; None where it is not known.

    Examples
    --------
    >>> status_word("OK"), status_word("Aborted"), status_word("B")
    ('good', 'void', None)
    """
    folded = text.casefold()
    return next((word for word, known in _STATUS.items() if folded in known), None)


def telling(row: Row, beside: Sequence[str]) -> tuple[str, str]:
    """Return what a row's words, other than its names, may say of it: a kind, and the text; or nothing.

    The kind is ``summary`` where it may be a tare or an average, ``units`` where its figures may have another unit.

    Examples
    --------
    >>> from balance.files.tables.reading.grid import Row
    >>> [telling(Row(line=9, cells=("5", text)), ["5"])[0] for text in ("wind off", "now in lbf", "2 lb more")]
    ['summary', 'units', '']
    """
    for index, cell in enumerate(row.cells):
        if _words(cell) and (kind := _tells(cell)) and (text := row.text(index)) not in beside:
            return kind, text
    return "", ""


def _words(cell: Cell) -> TypeGuard[str]:
    return isinstance(cell, str) and len(cell) > 2 and cell.lower() != cell.upper()


@lru_cache(maxsize=4096)
def _tells(cell: str) -> str:
    text = cell_text(cell)
    if (tare(text) or _HINTS_TARE.search(text) or maybe_summary(text)) and text.casefold() not in _LONE:
        return "summary"
    return "units" if _FORCE_UNITS.search(text) and _CHANGE.search(text) else ""


def ditto(text: str) -> bool:
    """Return whether a cell says that it is as the one above.

    Examples
    --------
    >>> ditto('"'), ditto("ditto"), ditto("base")
    (True, True, False)
    """
    return text.casefold() in _DITTO


def matching(patterns: Sequence[str], row: Row, names: Sequence[str]) -> str:
    """Return the first pattern that a row's names, first cell or ``line N`` match, or nothing.

    Examples
    --------
    >>> from balance.files.tables.reading.grid import Row
    >>> matching(["avg*"], Row(line=9, cells=("Avg 1",)), ["Avg 1"])
    'avg*'
    """
    if not patterns:
        return ""
    texts = [text.casefold() for text in (*names, row.text(0), f"line {row.line}") if text]
    return next((p for p in patterns if any(fnmatchcase(text, p.casefold()) for text in texts)), "")
