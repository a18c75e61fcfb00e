"""A TOML file against a table of the fields it may hold: every fault with its line, all at once, also of what is typed of one."""

from __future__ import annotations

import contextlib
import datetime as dt
import math
import tomllib
from typing import TYPE_CHECKING, Any, NamedTuple

from balance.files.text_file import clean_cell, clean_text
from balance.files.toml.document import Document
from balance.model.errors import Fault, UnitError, UnknownName, did_you_mean, quoted
from balance.model.kinds import KINDS
from balance.model.records import Stated
from balance.units.stated import parse_stated
from balance.units.text import parse_quantity

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping

Typed = str | tuple[str, ...]
"""What is typed of one key; texts that are chosen one by one come apart, since they may hold commas."""


class Field(NamedTuple):
    """One key of a file: what it holds, whether it must be there, and what is credible.

    ``kind`` is a kind of quantity, or text, choice, date, texts, prose (text whose lines count), table or tables. A
    quantity is text with its unit; ``low`` and ``high`` are written likewise and hold for the field, ends included. A
    quantity or number that is ``measurable`` may carry its uncertainty, a number as text. Any other may be *exactly* what
    it is and is refused with an uncertainty, since no figure would rest on it: it is ``chosen``, or taken as exact, and
    ``instead`` says where what is not known of it belongs.
    """

    key: str
    kind: str
    example: str
    required: bool = False
    low: str = ""
    high: str = ""
    choices: tuple[str, ...] = ()
    fields: tuple[Field, ...] = ()
    read: Callable[[Field, Any], Any] | None = None
    measurable: bool = False
    chosen: bool = False
    instead: str = ""


def read_fields(
    document: Document,
    fields: tuple[Field, ...],
    tree: Mapping[str, Any] | None = None,
    path: tuple[str | int, ...] = (),
) -> dict[str, Any]:
    """Read a table field by field, adding every fault to the document."""
    table = document.tree if tree is None else tree
    known = {one.key: one for one in fields}
    for key in table:
        if key not in known:
            mend = did_you_mean(key, known) or f"known here: {', '.join(known)}"
            document.fault((*path, key), "an unknown key", "a known one", mend)
    values: dict[str, Any] = {}
    for one in fields:
        here = (*path, one.key)
        values[one.key] = None
        if one.key not in table:
            if one.required:
                document.fault(here, "nothing", _expected(one), f"add {_sample(one)}")
            continue
        values[one.key] = _value(document, one, table[one.key], here)
    return values


def _value(document: Document, one: Field, value: Any, here: tuple[str | int, ...]) -> Any:
    if one.kind == "table":
        if isinstance(value, dict):
            return read_fields(document, one.fields, value, here)
        document.fault(here, described(value), "a table", f"write {one.example}")
        return None
    if one.kind == "tables":
        if isinstance(value, list) and all(isinstance(item, dict) for item in value):
            return [read_fields(document, one.fields, item, (*here, i)) for i, item in enumerate(value)]
        document.fault(here, described(value), "tables", f"write {one.example}")
        return None
    try:
        read = (one.read or _READERS.get(one.kind, read_quantity))(one, value)
    except UnitError as error:
        document.fault(here, error.found, error.expected, error.mend)
        return None
    return _kept(document, here, read)


def _kept(document: Document, here: tuple[str | int, ...], read: Any) -> Any:
    """Return the figures of what was read; what is said of their uncertainties goes to the document."""
    if isinstance(read, dict):
        return {key: _kept(document, (*here, key), one) for key, one in read.items()}
    if not isinstance(read, Stated):
        return read
    if read.explicit:
        document.stated[here] = read
    return read.value


def read_quantity(one: Field, value: Any) -> Stated:
    """Read a quantity with its unit, within its credible range, and what is said of its uncertainty."""
    if isinstance(value, bool) or not isinstance(value, str | int | float):
        raise _not_such(one, value)
    if not isinstance(value, str):
        unit = one.example.partition(" ")[2]
        figure = f"{100 * value:g}" if one.kind == "fraction" and abs(value) <= 1 else described(value)
        raise UnitError(
            f"{described(value)} without a unit",
            _expected(one),
            f'write it in quotes with its unit, as in {one.key} = "{figure} {unit}"',
        )
    stated = parse_stated(value, one.kind)  # type: ignore[arg-type]  # a field's kind that is no word is one
    _within(one, stated.value, quoted(value))
    return certain(one, stated, value)


def certain(one: Field, stated: Stated, text: str) -> Stated:
    """Refuse an uncertainty that no figure would rest on."""
    if one.measurable or stated.std is None:
        return stated
    why = "it is chosen, not measured" if one.chosen else "it is taken as exact"
    raise UnitError(
        f"an uncertainty in {quoted(text)}",
        f"the figure alone: {why}",
        f"leave out the uncertainty{one.instead and '; '}{one.instead}",
    )


def _not_such(one: Field, value: Any) -> UnitError:
    """Make the fault of a value that is not what its field holds."""
    return UnitError(described(value), _expected(one), f"write {_sample(one)}")


def _within(one: Field, si: float, found: str) -> float:
    """Refuse a value outside the credible range of a field."""
    low, high = (_bound(one, text, side) for text, side in ((one.low, -math.inf), (one.high, math.inf)))
    if not low <= si <= high:
        raise UnitError(found, _expected(one), "check the figure and its unit")
    return si


def _bound(one: Field, text: str, otherwise: float) -> float:
    if not text:
        return otherwise
    return float(text) if one.kind == "number" else parse_quantity(text, one.kind)  # type: ignore[arg-type]


def read_number(one: Field, value: Any) -> Stated:
    """Read a plain number within its credible range, and what is said of its uncertainty where it can have one."""
    if one.measurable and isinstance(value, str):
        stated = parse_stated(value, "number")
        if not stated.explicit:
            raise _not_such(one, value)
        _within(one, stated.value, quoted(value))
        return stated
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise _not_such(one, value)
    try:
        number = float(value)
    except OverflowError:
        number = math.inf
    if not math.isfinite(number):
        raise _not_such(one, value)
    return Stated(value=_within(one, number, described(value)))


def read_words(one: Field, value: Any) -> str:
    """Read free text, or one of a few words."""
    if not isinstance(value, str):
        raise _not_such(one, value)
    text = clean_text(value)
    if text is None:
        raise UnitError(quoted(value), "text without control characters", "type it again")
    if one.choices and text not in one.choices:
        mend = did_you_mean(text, one.choices) or "write one of them"
        raise UnitError(quoted(text), _expected(one), mend)
    if one.required and not text:
        raise UnitError("nothing", _expected(one), f"write {_sample(one)}")
    return text


def read_flag(one: Field, value: Any) -> bool:
    """Read yes or no."""
    if not isinstance(value, bool):
        raise UnitError(described(value), "true or false", f"write {one.key} = {one.example}")
    return value


def _read_date(one: Field, value: Any) -> dt.date:
    if isinstance(value, dt.datetime):
        return value.date()
    if isinstance(value, dt.date):
        return value
    if isinstance(value, str):
        try:
            return dt.date.fromisoformat(value.strip())
        except ValueError:
            pass
    raise _not_such(one, value)


def _read_texts(one: Field, value: Any) -> tuple[str, ...]:
    if not isinstance(value, list):
        raise _not_such(one, value)
    return tuple(read_words(one, item) for item in value)


_READERS: dict[str, Callable[[Field, Any], Any]] = {
    "number": read_number,
    "text": read_words,
    "choice": read_words,
    "date": _read_date,
    "texts": _read_texts,
}


def described(value: Any) -> str:
    """State what a TOML value is, short enough for a message.

    Examples
    --------
    >>> described(True), described("7 N"), described([1])
    ('true', "'7 N'", 'a list')
    """
    if isinstance(value, str):
        return quoted(value) if value.strip() else "empty text"
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, dict | list):
        return "a table" if isinstance(value, dict) else "a list"
    if isinstance(value, int) and abs(value) >= 10**18:
        return "a number beyond reason"
    return quoted(str(value)).strip("'")


def _expected(one: Field) -> str:
    if one.choices:
        return " or ".join(quoted(choice) for choice in one.choices)
    if one.kind not in KINDS:
        return {"texts": "a list of texts", "date": "a date", "table": "a table"}.get(one.kind, "text")
    words = "a number" if one.kind == "number" else f"{KINDS[one.kind].article} with its unit"
    return f"{words}, from {one.low} to {one.high}" if one.low and one.high else words


def _sample(one: Field) -> str:
    if one.kind in ("number", "date", "texts"):
        return f"{one.key} = {one.example}"
    return one.example if one.kind in ("table", "tables") else f'{one.key} = "{one.example}"'


_TYPED = (*KINDS, "text", "choice", "date", "texts")  # what a person can type into one line


class AskedField(NamedTuple):
    """One field of a form: its dotted ``key``, an ``example`` with its unit, and the words it may be."""

    key: str
    example: str
    required: bool
    choices: tuple[str, ...] = ()


def asked_fields(fields: tuple[Field, ...], before: str = "") -> Iterator[AskedField]:
    """List the fields of a file for a form."""
    for one in fields:
        if one.kind == "table":
            yield from asked_fields(one.fields, f"{before}{one.key}.")
        elif one.kind in _TYPED:
            yield AskedField(
                key=before + one.key, example=one.example, required=one.required, choices=one.choices
            )


def check_typed(fields: tuple[Field, ...], key: str, typed: str) -> None:
    """Check one field at once, as it is typed.

    Examples
    --------
    >>> from balance.files.formats.vehicle import VEHICLE
    >>> check_typed(VEHICLE, "size.wheelbase", "2575")
    Traceback (most recent call last):
    ...
    balance.model.errors.UnitError: found '2575' without a unit, expected a length with its unit; write '2575 mm' or '2575 m', whichever it is
    """
    for fault in typed_faults(fields, {key: typed}):
        raise UnitError(fault.found, fault.expected, fault.mend)


def typed_faults(fields: tuple[Field, ...], typed: Mapping[str, str]) -> list[Fault]:
    """Find all that is wrong with what was typed, field by field."""
    faults: list[Fault] = []
    for key, text in typed.items():
        one = field_called(fields, key)
        document = Document(file="", text="", tree={})
        read_fields(document, (one,), {one.key: toml_value(one, clean_cell(key, text))})
        faults.extend(
            Fault(file=key, found=fault.found, expected=fault.expected, mend=fault.mend)
            for fault in document.faults
        )
    return faults


def field_called(fields: tuple[Field, ...], key: str) -> Field:
    """Find a field by its dotted key; the number of one of several tables stands between dots as well."""
    here = fields
    found = None
    for name in key.split("."):
        if found is not None and found.kind == "tables" and name.isdecimal():
            continue
        found = next((one for one in here if one.key == name), None)
        if found is None:
            raise UnknownName("field", key, [asked.key for asked in asked_fields(fields)])
        here = found.fields
    if found is None:
        raise UnknownName("field", key, [asked.key for asked in asked_fields(fields)])
    return found


def toml_value(one: Field, typed: str) -> Any:
    """Return what a file holds for typed text: numbers, dates, ``{ front = 0.7, rear = 0.8 }``, texts split at commas."""
    if one.kind == "number" and typed.startswith("{"):
        with contextlib.suppress(ValueError, RecursionError):
            return tomllib.loads(f"x = {typed}")["x"]
    if one.kind == "number":
        for read in (int, float):
            try:
                return read(typed)
            except ValueError:
                continue
    if one.kind == "texts":
        return [part.strip() for part in typed.split(",") if part.strip()]
    return typed
