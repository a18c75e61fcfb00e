"""A new TOML file as a person would write it: tables in order, a word behind each line, options shown as comments."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from balance.files.formats.versions import KEY
from balance.files.text_file import clean_cell
from balance.files.toml.fields import field_called, toml_value
from balance.files.toml.tree import literal_of, prose_of
from balance.model.columns import FORMAT

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from balance.files.toml.fields import Field, Typed

_NEVER_EMPTY = ("repeatability",)  # tables that are absent rather than without a line
_WIDTH = 40  # where the words behind a line begin


def toml_text(
    head: str, fields: tuple[Field, ...], remarks: Mapping[str, str], typed: Mapping[str, str]
) -> str:
    """Write a new file."""
    lines = [f"# {head}", "", _line(f"{KEY} = {FORMAT}", "how this file is read"), ""]
    for key, remark in remarks.items():
        one = field_called(fields, key)
        name = key.rpartition(".")[2]
        if one.kind == "tables":
            lines.extend(_tables(key, remark, one, typed))
        elif one.kind == "table" and "." not in key:
            silent = key in _NEVER_EMPTY and not any(name.startswith(f"{key}.") for name in typed)
            lines.extend(["", _line(f"# [{key}]" if silent else f"[{key}]", remark)])
        else:
            written = _inline(key, one, typed) if one.kind == "table" else _value(key, one, typed)
            example = one.example.partition(" = ")[2] if one.kind == "table" else literal(one, one.example)
            lines.append(_line(f"{name} = {written}" if written else f"# {name} = {example}", remark))
    return "\n".join(lines) + "\n"


def _value(key: str, one: Field, typed: Mapping[str, str]) -> str:
    return literal(one, typed[key]) if typed.get(key) else ""


def _inline(key: str, one: Field, typed: Mapping[str, str]) -> str:
    parts = ((part, typed.get(f"{key}.{part.key}", "")) for part in one.fields)
    pairs = [f"{part.key} = {literal(part, text)}" for part, text in parts if text]
    return f"{{ {', '.join(pairs)} }}" if pairs else ""


def _tables(key: str, remark: str, one: Field, typed: Mapping[str, str]) -> list[str]:
    numbers = sorted({int(name.split(".")[1]) for name in typed if name.startswith(f"{key}.")})
    lines = ["", f"# {remark}"]
    for number in numbers:
        lines.append(f"[[{key}]]")
        lines.extend(
            f"{part.key} = {literal(part, text)}"
            for part in one.fields
            if (text := typed.get(f"{key}.{number}.{part.key}"))
        )
        lines.append("")
    if not numbers:
        lines.append(f"# [[{key}]]")
        lines.extend(f"# {part.key} = {literal(part, part.example)}" for part in one.fields)
    return lines[:-1] if not lines[-1] else lines


def literal(one: Field, text: Typed) -> str:
    """Write what was typed as the value of a key."""
    if isinstance(text, tuple):
        return literal_of(text)
    if one.kind == "prose":
        return prose_of(text)
    clean = clean_cell(one.key, text)
    value: Any = toml_value(one, clean)
    if one.kind == "date":
        return str(value)
    if isinstance(value, dict) or (one.kind == "texts" and clean.startswith("[")):
        return clean  # a table or list written as it stands in a file
    return literal_of(value)


def _line(text: str, remark: str) -> str:
    return f"{text.ljust(_WIDTH - 2)}  # {remark}" if remark else text


def header_text(headers: Sequence[str]) -> str:
    """Write the one line of a table that has no runs yet."""
    import csv  # noqa: PLC0415 - needed for this line alone
    import io  # noqa: PLC0415 - likewise

    out = io.StringIO()
    csv.writer(out, lineterminator="\n").writerow([clean_cell("column", header) for header in headers])
    return out.getvalue()
