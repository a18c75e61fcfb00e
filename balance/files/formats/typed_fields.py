"""What a car or a session may be asked for, field by field, and whether what was typed will do."""

from __future__ import annotations

import contextlib
import tomllib
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from balance.files.day.run_sheet import clean_cell
from balance.files.toml.document import Document
from balance.files.toml.fields import Field, read_fields
from balance.model.errors import Fault, UnitError, UnknownName
from balance.model.kinds import KINDS

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping


_TYPED = (*KINDS, "text", "choice", "date", "texts")  # what a person can type into one line


@dataclass(frozen=True, slots=True, kw_only=True)
class AskedField:
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
