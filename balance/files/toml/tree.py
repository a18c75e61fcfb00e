"""A whole TOML text written from nothing: values first, then a head for each table; read back before it is used."""

from __future__ import annotations

import tomllib
from typing import TYPE_CHECKING, Any

from balance.files.toml.literal import key_of, literal_of

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping


def written_toml(tree: Mapping[str, Any]) -> str:
    r"""Write values and tables as a TOML text.

    Examples
    --------
    >>> print(written_toml({"title": "a", "facility": {"kind": "x"}, "runs": [{"line": 1}]}))
    title = "a"
    <BLANKLINE>
    [facility]
    kind = "x"
    <BLANKLINE>
    [[runs]]
    line = 1
    <BLANKLINE>
    """
    text = "\n".join([*_table(tree, ""), ""]).lstrip("\n")
    if tomllib.loads(text) != tree:
        raise ValueError("found values that do not read back from TOML as they are, expected plain ones")
    return text


def _table(tree: Mapping[str, Any], above: str) -> Iterator[str]:
    tables = {key: value for key, value in tree.items() if _is_table(value)}
    for key, value in tree.items():
        if key not in tables:
            yield f"{key_of(key)} = {literal_of(value)}"
    for key, value in tables.items():
        name = above + key_of(key)
        if isinstance(value, list):
            for one in value:
                yield from ("", f"[[{name}]]", *_table(one, f"{name}."))
            continue
        if not value or not all(map(_is_table, value.values())):
            yield from ("", f"[{name}]")
        yield from _table(value, f"{name}.")


def _is_table(value: Any) -> bool:
    """Return whether a value stands under a head of its own: a table, or several."""
    several = isinstance(value, list) and bool(value) and all(isinstance(one, dict) for one in value)
    return several or isinstance(value, dict)
