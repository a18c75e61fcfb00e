"""Answers once given, kept for the next file of the same shape."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import fields, replace
from pathlib import Path
from types import UnionType
from typing import Any, Literal, Union, get_args, get_origin, get_type_hints

from balance.files.day.durable import write_atomically
from balance.files.tables.importing.plan import ImportOptions
from balance.files.tables.reading.grid import cell_text
from balance.files.toml.tree import written_toml
from balance.model.errors import SaveError

_OF_ONE_DAY = (
    "title",
    "date",
    "speed",
    "air_density",
    "lines",
    "keep_rows",
    "void_rows",
    "names",
    "same_settings",
)
_PAIRS = ("columns", "units", "status", "names")


def answers(options: ImportOptions) -> dict[str, Any]:
    """Return the answers that were given, as plain values.

    Examples
    --------
    >>> answers(ImportOptions(lift_sign="up", drop_rows=("Avg*",)))
    {'lift_sign': 'up', 'drop_rows': ['Avg*']}
    """
    given: dict[str, Any] = {}
    for one in fields(options):
        value = getattr(options, one.name)
        if value in (None, False, ()) or value == {}:
            continue
        if isinstance(value, tuple):
            value = [cell_text(item) if isinstance(item, str) else item for item in value]
        elif isinstance(value, str):
            value = cell_text(value)
        elif isinstance(value, Mapping):
            value = {cell_text(key): cell_text(item) for key, item in value.items()}
        given[one.name] = value
    return given


def remember(shape: str, options: ImportOptions, *, folder: Path | None = None) -> None:
    """Keep the answers that hold for every file of a shape; those of one day are not kept."""
    kept = {key: value for key, value in answers(options).items() if key not in _OF_ONE_DAY}
    if "drop_rows" in kept:
        kept["drop_rows"] = [pattern for pattern in kept["drop_rows"] if not pattern.startswith("line ")]
    place = _place(shape, folder)
    try:
        place.parent.mkdir(parents=True, exist_ok=True)
        write_atomically(place, f"# Answers for imported tables of one shape.\n{written_toml(kept)}".encode())
    except (OSError, SaveError):
        return


def recall(shape: str, *, folder: Path | None = None) -> ImportOptions | None:
    """Return the answers of the last import of a file of a shape."""
    import tomllib  # noqa: PLC0415 - only when something is imported

    try:
        tree = tomllib.loads(_place(shape, folder).read_text(encoding="utf-8"))
        return options_from(tree, without=_OF_ONE_DAY)
    except (OSError, ValueError, TypeError):
        return None


def filled(options: ImportOptions, last: ImportOptions) -> ImportOptions:
    """Fill what is not answered with the answers of last time.

    Examples
    --------
    >>> filled(ImportOptions(decimal="point"), ImportOptions(decimal="comma", lift_sign="up")).lift_sign
    'up'
    """
    more: dict[str, Any] = {}
    for one in fields(options):
        now, then = getattr(options, one.name), getattr(last, one.name)
        if one.name in _PAIRS:
            more[one.name] = {**then, **now}
        elif now in (None, False, ()):
            more[one.name] = then
    return replace(options, **more)


def options_from(tree: Mapping[str, Any], *, without: Collection[str] = ()) -> ImportOptions:
    """Read answers from plain values, as `answers` gives them."""
    hints = get_type_hints(ImportOptions, localns={"Mapping": Mapping})
    values: dict[str, Any] = {}
    for key, value in tree.items():
        if key not in hints or key in without:
            continue
        if _fits(value, hints[key]):
            values[key] = tuple(value) if isinstance(value, list) else value
    return ImportOptions(**values)


def _fits(value: Any, hint: Any) -> bool:
    """Return whether a plain value is what an answer may be; one that a person has spoilt is as none."""
    kind, inside = get_origin(hint), get_args(hint)
    if kind is Literal:
        return value in inside
    if kind in (UnionType, Union):
        return any(_fits(value, one) for one in inside)
    if kind is Mapping:
        return isinstance(value, dict) and all(isinstance(one, str) for one in value.values())
    if kind is tuple:
        kinds = [inside[0]] * len(value) if isinstance(value, list) and inside[-1] is ... else inside
        return isinstance(value, list) and list(map(type, value)) == list(kinds)
    return type(value) is hint


def _place(shape: str, folder: Path | None) -> Path:
    from platformdirs import user_data_path  # noqa: PLC0415 - only when something is imported

    return (folder or Path(user_data_path("axletrim")) / "imports") / f"{shape}.toml"
