"""Which car and which part of a library a new day may mean by its words: proposals, never decisions."""

from __future__ import annotations

from difflib import SequenceMatcher
from functools import lru_cache
from typing import TYPE_CHECKING

from balance.model.errors import UnitError
from balance.model.libraries import size_words
from balance.model.plans import LABEL
from balance.units.text import parse_quantity

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from balance.files.library.parts_file import PartsFile
    from balance.model.libraries import Said, SaidChange

_LIKE = 0.72
"""Names that are alike by at least this share of their letters are proposed. Chosen, no source."""
_KINDS = ("length", "angle")


def part_like(said: Said, file: PartsFile) -> str:
    """Name the part that is most like what a day says: settings of like names, of the same sizes.

    The name is empty where none is.
    """
    best, name = _LIKE, ""
    for part in file.parts:
        for one in {_without_case(seen) for _, seen in part.seen}:
            found = _alike(_without_case(said), one)
            if found >= best and (found > best or not name):
                best, name = found, part.name
    return name


def parts_said(said: Said, file: PartsFile) -> tuple[str, ...]:
    """Name the parts that some day says in just these words: the settings of these names, of these sizes."""
    own = _without_case(said)
    return tuple(part.name for part in file.parts if any(_without_case(one) == own for _, one in part.seen))


def parts_by_likeness(said: Said, file: PartsFile) -> tuple[str, ...]:
    """Name all parts, those first that are most like what a day says; of equals as they stand in the file."""
    own = _without_case(said)
    shares = {
        part.name: max((_alike(own, _without_case(one)) for _, one in part.seen), default=0.0)
        for part in file.parts
    }
    return tuple(sorted(shares, key=lambda name: -shares[name]))


def car_like(name: str, known: Iterable[str]) -> str:
    """Name the car whose name is most like another; the name is empty where none is."""
    shares = {one: _share(name.casefold(), one.casefold()) for one in known}
    best = max(shares, key=lambda one: shares[one], default="")
    return best if best and shares[best] >= _LIKE else ""


def new_name(said: Said, taken: Iterable[str]) -> str:
    """Name a part by what a day says of it, apart from all that have a name.

    Examples
    --------
    >>> from balance.model.libraries import SaidChange
    >>> said = (SaidChange("rear_spoiler", "25 mm"),)
    >>> new_name(said, []), new_name(said, ["rear spoiler 25 mm"])
    ('rear spoiler 25 mm', 'rear spoiler 25 mm (2)')
    """
    return apart(", ".join(map(change_name, said)), taken)


def change_name(one: SaidChange) -> str:
    """Write one changed setting."""
    before = f" from {size_words(one.before)}" if one.before else ""
    if one.setting == LABEL:
        return f"{one.value}{before}"
    return f"{one.setting.replace('_', ' ')} {size_words(one.value) or 'off'}{before}"


def apart(name: str, taken: Iterable[str]) -> str:
    """Tell a name apart from those that are taken."""
    others, number, found = set(taken), 2, name
    while found in others:
        found, number = f"{name} ({number})", number + 1
    return found


@lru_cache(maxsize=100_000)
def _without_case(said: Said) -> tuple[tuple[str, str, str], ...]:
    return tuple(
        (one.setting.casefold().replace("_", " "), _size(one.value), _size(one.before)) for one in said
    )


def _alike(said: Sequence[tuple[str, str, str]], other: Sequence[tuple[str, str, str]]) -> float:
    """Tell how alike two parts are said: by their names alone, once all their sizes are the same; 0 where one is not."""
    if len(said) != len(other):
        return 0.0
    shares = []
    for (setting, value, before), (name, size, former) in zip(said, other, strict=True):
        labels = setting == name == LABEL
        if not labels and (value != size or before != former):
            return 0.0
        shares.append(_share(value, size) if labels else _share(setting, name))
    return min(shares)


def _share(one: str, other: str) -> float:
    return SequenceMatcher(None, one, other, autojunk=False).ratio()


def _size(text: str) -> str:
    """Bring a size to one unit, so that 2.5 cm is 25 mm; any other text to lower case."""
    for kind in _KINDS:
        try:
            return f"{parse_quantity(text, kind):.6g} {kind}"  # type: ignore[arg-type]
        except UnitError:
            continue
    return text.casefold()
