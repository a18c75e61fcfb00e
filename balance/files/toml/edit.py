"""Editing a TOML file that a person wrote: its comments, its order and its spacing stay."""

from __future__ import annotations

import tomllib
from typing import TYPE_CHECKING, Any

from balance.files.toml.fields import described, field_called, typed_faults
from balance.files.toml.splice import cut, put
from balance.files.toml.text import literal
from balance.model.errors import FileFaults

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from balance.files.toml.fields import Field, Typed
    from balance.files.toml.lines import Path


def edited_toml(
    fields: tuple[Field, ...], text: str, changes: Mapping[str, Typed | None], *, last: bool = False
) -> str:
    r"""Change, add or take out keys of a TOML text.

    Examples
    --------
    >>> from balance.files.formats.vehicle import VEHICLE
    >>> print(edited_toml(VEHICLE, '[mass]\ntotal = "1290 kg"  # with driver\n', {"mass.total": "1300 kg"}))
    [mass]
    total = "1300 kg"  # with driver
    <BLANKLINE>
    """
    faults = typed_faults(fields, dict(_in_one_line(fields, changes)))
    if faults:
        raise FileFaults(faults)
    stated = {
        _path(key): literal(field_called(fields, key), typed)
        for key, typed in changes.items()
        if typed is not None
    }
    mark, plain = text[: text.startswith("\ufeff")], text.removeprefix("\ufeff")
    for parent in dict.fromkeys(path[:-1] for path in stated):
        mine = {path: value for path, value in stated.items() if path[:-1] == parent}
        for path in mine:
            _refuse_no_place(plain, path)
        if len(parent) > 1 and _found(plain, parent) is None:  # a table in one line, or one of several
            pairs = ", ".join(f"{path[-1]} = {value}" for path, value in mine.items())
            plain = put(plain, parent, f"{{ {pairs} }}", _order(fields, parent[:-1]))
            continue
        for path, value in mine.items():
            plain = put(plain, path, value, None if last else _order(fields, parent))
    gone = [_path(key) for key, typed in changes.items() if typed is None]
    return mark + _without(fields, plain, [path for path in gone if _found(plain, path) is not None])


def _in_one_line(fields: tuple[Field, ...], changes: Mapping[str, Typed | None]) -> Iterator[tuple[str, str]]:
    for key, typed in changes.items():
        if isinstance(typed, str) and field_called(fields, key).kind != "prose":
            yield key, typed


def _path(key: str) -> Path:
    return tuple(int(part) if part.isdecimal() else part for part in key.split("."))


def _found(text: str, path: Path) -> Any:
    here: Any = tomllib.loads(text)
    for part in path:
        try:
            here = here[part]
        except (KeyError, IndexError, TypeError):
            return None
    return here


def _refuse_no_place(text: str, path: Path) -> None:
    """Refuse a key whose table is none, and one of several tables that would not come right after the last one."""
    here: Any = tomllib.loads(text)
    for depth, part in enumerate(path):
        before, number = ".".join(map(str, path[:depth])), isinstance(part, int)
        if not isinstance(here, list if number else dict):
            raise FileFaults.of(before, described(here), "a table", "change it in an editor first")
        if isinstance(part, int) and part > len(here):
            raise FileFaults.of(before, f"{len(here)} of them", f"at least {part}", "look at the file again")
        inside: Any = here
        if part not in (range(len(inside)) if number else inside):
            return
        here = inside[part]


def _order(fields: tuple[Field, ...], table: Path) -> list[str]:
    inside = field_called(fields, ".".join(map(str, table))).fields if table else fields
    return [one.key for one in inside]


def _without(fields: tuple[Field, ...], text: str, gone: Sequence[Path]) -> str:
    """Take keys out, and a table with the last of them where it may be absent; its head stays where prose goes."""
    prose = [path for path in gone if field_called(fields, ".".join(map(str, path))).kind == "prose"]
    for path in prose:
        text = cut(text, path, kept=False)
    gone = [path for path in gone if path not in prose]
    tables = {path[:-1] for path in gone}
    for table in sorted(
        tables, key=lambda table: -max((part for part in table if isinstance(part, int)), default=0)
    ):
        mine = [path for path in gone if path[:-1] == table]
        whole = bool(table) and len(mine) == len(_found(text, table))
        if whole and (
            isinstance(table[-1], int) or not field_called(fields, ".".join(map(str, table))).required
        ):
            mine = [table]
        for path in mine:
            text = cut(text, path)
    return text
