"""A name that is one slip away from one in use: two names for one configuration are two configurations."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable

_LEAST = 4
"""Letters that a word must have for one of them to be a slip: A and B are two things, base and bsae one."""


def slip_of(typed: str, known: Iterable[str]) -> str | None:
    """Find the name in use that was probably meant.

    Examples
    --------
    >>> slip_of("bsae", ["splitter", "base"]), slip_of("Base", ["base"]), slip_of("canard B", ["canard A"])
    ('base', 'base', None)
    """
    names = list(known)
    return None if typed in names else next((name for name in names if _is_slip(typed, name)), None)


def _is_slip(typed: str, name: str) -> bool:
    mine, theirs = typed.casefold().split(), name.casefold().split()
    if "".join(mine) == "".join(theirs):
        return True
    if len(mine) != len(theirs):
        return False
    apart = [(a, b) for a, b in zip(mine, theirs, strict=True) if a != b]
    return len(apart) == 1 and _one_letter(*apart[0])


def _one_letter(a: str, b: str) -> bool:
    if min(len(a), len(b)) < _LEAST or not (a.isalpha() and b.isalpha()):
        return False
    if len(a) == len(b):
        at = [k for k, (x, y) in enumerate(zip(a, b, strict=True)) if x != y]
        exchanged = len(at) == 2 and at[1] == at[0] + 1 and a[at[0]] == b[at[1]] and a[at[1]] == b[at[0]]
        return len(at) == 1 or exchanged
    short, long = sorted((a, b), key=len)
    return any(short == long[:k] + long[k + 1 :] for k in range(len(long)))
