"""Names of cars where room is short: what several share at their beginning goes, what tells them apart stays."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable


def told_apart(names: Iterable[str]) -> dict[str, str]:
    """Shorten names by the words with which several begin; none that would then be like another is shortened.

    Examples
    --------
    >>> told_apart(["Customer Arden coupe", "Customer Birch saloon", "Larkspur"])
    {'Customer Arden coupe': '…Arden coupe', 'Customer Birch saloon': '…Birch saloon', 'Larkspur': 'Larkspur'}
    """
    words = {name: name.split() for name in names}
    short = {name: _without_shared(name, words) for name in words}
    twice = {one for one in short.values() if list(short.values()).count(one) > 1}
    return {name: name if one in twice else one for name, one in short.items()}


def _without_shared(name: str, words: dict[str, list[str]]) -> str:
    shared = max((_same(words[name], other) for one, other in words.items() if one != name), default=0)
    rest = words[name][shared:]
    return f"…{' '.join(rest)}" if shared and rest else name


def _same(one: list[str], other: list[str]) -> int:
    """Count the words with which both begin."""
    return next(
        (k for k, (a, b) in enumerate(zip(one, other, strict=False)) if a != b), min(len(one), len(other))
    )
