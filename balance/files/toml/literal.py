"""A value as it stands in a TOML text, behind the sign of equality."""

from __future__ import annotations

import json
import re
from typing import Any

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
