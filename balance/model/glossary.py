"""The one vocabulary: every term with its name, symbol, unit, sign, source and meaning.

Screens' help and the documentation are made from it. The texts stand in ``vocabulary/*.toml``, one
file a subject, and are read when first asked for.
"""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from types import MappingProxyType
from typing import TYPE_CHECKING

from balance.model.columns import columns
from balance.model.errors import UnknownName
from balance.model.quantities import meaning, quantities

if TYPE_CHECKING:
    from collections.abc import Mapping

SUBJECTS = ("forces", "balance", "verdicts", "measuring", "parts", "changes", "plan", "laps", "library")


@dataclass(frozen=True, slots=True, kw_only=True)
class Term:
    """One term of the trade or of a standard, as axletrim uses it.

    ``key`` is the name of the field or JSON key where there is one. ``unit`` is ``none`` for a word
    that is no quantity. ``short`` is one plain line for the car's owner; ``long`` tells the engineer
    what it rests on and what it is not. ``see`` holds the keys of related terms.
    """

    key: str
    name: str
    symbol: str
    unit: str
    sign: str
    source: str
    short: str
    long: str = ""
    see: tuple[str, ...] = ()
    aliases: tuple[str, ...] = ()


@cache
def terms() -> Mapping[str, Term]:
    """Return every term by its key, subject by subject.

    Examples
    --------
    >>> terms()["aero_balance"].short
    'The part of the downforce that is at the front axle.'
    """
    found: dict[str, Term] = {}
    for subject in SUBJECTS:
        file = files("balance.model") / "vocabulary" / f"{subject}.toml"
        for key, entry in tomllib.loads(file.read_text(encoding="utf-8")).items():
            see, aliases = tuple(entry.pop("see", ())), tuple(entry.pop("aliases", ()))
            found[key] = Term(key=key, see=see, aliases=aliases, **entry)
    return MappingProxyType(found)


def explain(text: str) -> Term:
    """Find a term by its key, name or another name in use, in capitals or not, or by a key of a record.

    Parameters
    ----------
    text : str
        What was typed; underscores, hyphens and spaces are alike.

    Returns
    -------
    Term
        The one term of that name.

    Raises
    ------
    UnknownName
        If no term has that name; says which is near.

    Examples
    --------
    >>> explain("Aero balance").key
    'aero_balance'
    """
    known = _index().get(_folded(text))
    if known is None:
        key = meaning(text.strip())
        if key is None:
            raise UnknownName("term", text, _index())
        known = key.term
    return terms()[known]


def names_of(term: Term) -> tuple[str, ...]:
    """List every name under which a term is found.

    Examples
    --------
    >>> names_of(explain("void"))
    ('void',)
    """
    return tuple(dict.fromkeys(map(_folded, (term.key, term.name, *term.aliases))))


@cache
def _index() -> Mapping[str, str]:
    names = {name: key for key, term in terms().items() for name in names_of(term)}
    heads = {_folded(text): one.term for one in quantities().values() for text in (one.head, one.title)}
    of_columns = {_folded(one.name): one.term for one in columns().values()}
    return {**of_columns, **heads, **names}


def _folded(text: str) -> str:
    return " ".join(text.casefold().replace("_", " ").replace("-", " ").split())
