"""The words that tables of others have over their columns and beside their runs, read from the vocabulary once."""

from __future__ import annotations

import tomllib
from functools import cache
from importlib.resources import files
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Mapping


@cache
def _tree() -> dict[str, Any]:
    file = files("balance.model") / "vocabulary" / "headers.toml"
    return tomllib.loads(file.read_text(encoding="utf-8"))


def header_words(part: str) -> Mapping[str, frozenset[str]]:
    """Return one part of the words.

    Examples
    --------
    >>> "vorne" in header_words("parts")["front"]
    True
    """
    return MappingProxyType({name: frozenset(words) for name, words in _tree()[part].items()})


def symbols() -> Mapping[str, tuple[str, str, str]]:
    """Return each whole symbol with its quantity, its sign and its form.

    Examples
    --------
    >>> symbols()["clf"]
    ('front', 'up', 'coefficient')
    """
    return MappingProxyType(
        {
            symbol: (quantity, "" if sign == "none" else sign, form)
            for form, signs in _tree()["symbols"].items()
            for sign, quantities in signs.items()
            for quantity, known in quantities.items()
            for symbol in known
        }
    )
