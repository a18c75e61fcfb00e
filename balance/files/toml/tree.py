"""A value on one line of a TOML text, and a whole text written from nothing and read back before it is used."""

from __future__ import annotations

import json
import re
import tomllib
from typing import TYPE_CHECKING, Any

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


_BARE = re.compile(r"[A-Za-z0-9_-]+")


def literal_of(value: Any) -> str:
    r"""Write any value on one line.

    Examples
    --------
    >>> literal_of({"mass": "20 kg", "two words": ["a\\b", 1.5, True]})
    '{ mass = "20 kg", "two words" = ["a\\\\b", 1.5, true] }'
    """
    if isinstance(value, dict):
        pairs = ", ".join(f"{key_of(key)} = {literal_of(held)}" for key, held in value.items())
        return f"{{ {pairs} }}"
    if isinstance(value, list | tuple):
        return f"[{', '.join(map(literal_of, value))}]"
    if isinstance(value, str):
        return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")
    return str(value).lower() if isinstance(value, bool) else str(value)


def key_of(name: str) -> str:
    """Write the name of a key or a table, in quotation marks where it needs them."""
    return name if _BARE.fullmatch(name) else literal_of(name)


def prose_of(words: str) -> str:
    r"""Write words of several lines as such, the first one under the key; words of one line on one.

    Examples
    --------
    >>> prose_of("less **wing**\n"), prose_of("one\ntwo").splitlines()[1:3]
    ('"less **wing**"', ['one', 'two'])
    """
    lines = words.strip("\n").split("\n")
    if len(lines) == 1:
        return literal_of(lines[0])
    plain = "\n".join(literal_of(line)[1:-1].replace('\\"', '"') for line in lines)
    return '"""\n' + plain.replace('"""', '""\\"') + '\n"""'
