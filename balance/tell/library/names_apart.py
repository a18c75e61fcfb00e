"""Names of cars where room is short: what several begin with and what all end in goes, what tells them apart stays."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence


def told_apart(names: Iterable[str]) -> dict[str, str]:
    """Shorten names by the words with which several begin and all end; none that would then be like another is shortened.

    Examples
    --------
    >>> told_apart(["Customer Arden coupe", "Customer Birch saloon", "Larkspur"])
    {'Customer Arden coupe': '…Arden coupe', 'Customer Birch saloon': '…Birch saloon', 'Larkspur': 'Larkspur'}
    >>> told_apart(["Arden coupe (invented)", "Birch saloon (invented)"])
    {'Arden coupe (invented)': 'Arden coupe…', 'Birch saloon (invented)': 'Birch saloon…'}
    """
    words = {name: name.split() for name in names}
    backwards = [own[::-1] for own in words.values()]
    ending = min((_same(backwards[0], other) for other in backwards[1:]), default=0)
    short = {name: _without_shared(name, words, ending) for name in words}
    twice = {one for one in short.values() if list(short.values()).count(one) > 1}
    return {name: name if one in twice else one for name, one in short.items()}


def _without_shared(name: str, words: dict[str, list[str]], ending: int) -> str:
    """Leave out the words with which a name begins as another does, and so many at its end; none where none would be left."""
    own = words[name]
    beginning = max((_same(own, other) for one, other in words.items() if one != name), default=0)
    rest = own[beginning : len(own) - ending]
    return f"{'…' * bool(beginning)}{' '.join(rest)}{'…' * bool(ending)}" if rest else name


def _same(one: Sequence[str], other: Sequence[str]) -> int:
    """Count the words with which both begin."""
    return next(
        (k for k, (a, b) in enumerate(zip(one, other, strict=False)) if a != b), min(len(one), len(other))
    )
