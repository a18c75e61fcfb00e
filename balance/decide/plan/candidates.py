"""Which runs are worth a thought: wanted ones, repeats, neighbours of the best, and unions of the leading parts."""

from __future__ import annotations

from itertools import combinations, pairwise
from typing import TYPE_CHECKING, NamedTuple

from balance.decide.plan.configuration import Configuration, names_of, values_of
from balance.model.plans import LABEL

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping, Sequence

    import numpy as np
    from numpy.typing import NDArray

    from balance.model.plans import Value
    from balance.model.records import Adjuster

MOST = 200
LEADING = 6
"""Settings of which unions are made."""
_STANDS_ON = ("gurney", "flap", "endplate", "end_plate", "beam")
"""Words for what is fitted to another part, and goes with it."""


class Candidate(NamedTuple):
    """A run that is worth a thought, and why: "wanted", "baseline", "best", "off", "value", "between" or "union"."""

    configuration: Configuration
    kind: str
    must: bool = False


def candidates(
    tried: Sequence[Configuration],
    start: Configuration,
    best: Configuration,
    wanted: Sequence[tuple[Configuration, bool]],
    merit: Callable[[Sequence[Configuration]], NDArray[np.float64]],
    *,
    adjusters: Sequence[Adjuster] = (),
) -> tuple[Candidate, ...]:
    """List the runs that are worth a thought.

    Parameters
    ----------
    tried : sequence of Configuration
        What was run, each once. [1]
    start : Configuration
        The baseline. [1]
    best : Configuration
        The best that was run, as far as is known. [1]
    wanted : sequence of tuple of Configuration and bool
        Wanted runs, and whether they must be made. [1]
    merit : callable
        What is expected of configurations, by which parts lead. [1]
    adjusters : sequence of Adjuster, optional
        Holes and limits of settings. [1]

    Returns
    -------
    tuple of Candidate
        At most 200, each configuration once, under the first reason that holds. [1]

    Notes
    -----
    Wanted runs not yet made, though of another label; a repeat of the baseline and one of the best; each neighbour of the
    best by one change: a part off, a tested value, the middle of a gap next to the best's value, at the hole nearest to
    it where holes are stated; unions of two to four of the leading parts that were not run together. A part that stands
    on another (a Gurney flap on a wing) goes with it, where it was never run without. A label makes neither neighbours
    nor unions.

    References
    ----------
    Common practice, no source.
    """
    known = [*tried, *(one for one, _ in wanted), start]
    hosts = hosts_of(known)
    made = {one.put(LABEL, None) for one in tried} | set(tried)
    found: dict[Configuration, Candidate] = {}

    def add(one: Configuration, kind: str, *, must: bool = False) -> None:
        if _within_limits(one, adjusters):
            found.setdefault(one, Candidate(one, kind, must))

    for one, must in wanted:
        if one not in made:
            add(one, "wanted", must=must)
    add(start, "baseline")
    add(best, "best")
    bare = best.put(LABEL, None)
    for one, kind in _neighbours(bare, start, known, hosts, adjusters):
        add(one, kind)
    room = MOST - len(found)
    unions = [one for one in _unions(start, known, hosts, merit) if one not in found and one not in made]
    if unions and room > 0:
        worth = merit(unions)
        order = sorted(range(len(unions)), key=lambda k: (-round(float(worth[k]), 6), unions[k].key))
        for k in order[:room]:
            add(unions[k], "union")
    return tuple(list(found.values())[:MOST])


def _neighbours(
    best: Configuration,
    start: Configuration,
    known: Sequence[Configuration],
    hosts: Mapping[str, tuple[str, ...]],
    adjusters: Sequence[Adjuster],
) -> Iterator[tuple[Configuration, str]]:
    """Change one thing of the best: take a part off, take another tested value, or one in a gap."""
    for name in names_of(known):
        if name == LABEL:
            continue
        if best.value(name) is not None and name not in start.names:
            yield _without(best, name, hosts), "off"
        for value in values_of(name, known):
            if value != best.value(name):
                yield _closed(best.put(name, value), hosts, known), "value"
        for between in between_values(name, best, known, adjusters):
            yield best.put(name, between), "between"


def hosts_of(known: Sequence[Configuration]) -> dict[str, tuple[str, ...]]:
    """Find the parts that others stand on.

    By their names (Gurney flap, flap, end plate, beam), where it was never seen without them.
    """
    hosts: dict[str, tuple[str, ...]] = {}
    for name in names_of(known):
        if any(word in name.casefold() for word in _STANDS_ON):
            with_it = [one.names - {name, LABEL} for one in known if name in one.names]
            always = frozenset.intersection(*with_it)
            likely = {one for one in always if "wing" in one.casefold() or "spoiler" in one.casefold()}
            if likely:
                hosts[name] = tuple(sorted(likely))
    return hosts


def between_values(
    name: str, best: Configuration, known: Sequence[Configuration], adjusters: Sequence[Adjuster]
) -> tuple[float, ...]:
    """Find the middles of the gaps next to the best's value of a setting.

    Where holes are stated, the one nearest to the middle, if there is any inside the gap.
    """
    here = best.value(name)
    if here is None or isinstance(here, str):
        return ()
    values = [value for value in values_of(name, known) if not isinstance(value, str)]
    holes = sorted(at for one in adjusters if one.setting == name for _, at in one.holes)
    found = []
    for low, high in pairwise(sorted({*values, here})):
        if here in (low, high):
            middle = (low + high) / 2.0
            inside = [at for at in holes if low < at < high] if holes else [middle]
            found += sorted(inside, key=lambda at: (abs(at - middle), at))[:1]
    return tuple(found)


def _unions(
    start: Configuration,
    known: Sequence[Configuration],
    hosts: Mapping[str, tuple[str, ...]],
    merit: Callable[[Sequence[Configuration]], NDArray[np.float64]],
) -> list[Configuration]:
    """Put the leading parts together: of each setting its best value by itself, and the next best beside it."""
    singles: list[tuple[float, str, Value]] = []
    for name in names_of(known):
        values = [value for value in values_of(name, known) if value != start.value(name)]
        if values and name != LABEL:
            with_it = [_closed(start.put(name, value), hosts, known) for value in values]
            worth = merit(with_it)
            ranked = sorted(range(len(values)), key=lambda k: (-round(float(worth[k]), 6), with_it[k].key))
            singles += [(float(worth[k]), name, values[k]) for k in ranked[:2]]
    leading = list(dict.fromkeys(name for _, name, _ in sorted(singles, key=lambda one: (-one[0], one[1]))))
    chosen = [one for one in singles if one[1] in leading[:LEADING]]
    found: dict[Configuration, None] = {}
    for count in (2, 3, 4):
        for some in combinations(chosen, count):
            if len({name for _, name, _ in some}) == count:
                union = start
                for _, name, value in some:
                    union = union.put(name, value)
                found[_closed(union, hosts, known)] = None
    return list(found)


def _without(one: Configuration, name: str, hosts: Mapping[str, tuple[str, ...]]) -> Configuration:
    """Take a part off, with what stands on it."""
    bare = one.put(name, None)
    for upper, lower in hosts.items():
        if name in lower and upper in bare.names:
            bare = bare.put(upper, None)
    return bare


def _closed(
    one: Configuration, hosts: Mapping[str, tuple[str, ...]], known: Sequence[Configuration]
) -> Configuration:
    """Fit what a part stands on, at the value that it was last seen with."""
    for upper in sorted(one.names & hosts.keys()):
        for host in hosts[upper]:
            if host not in one.names:
                seen = [other for other in known if upper in other.names and host in other.names]
                one = one.put(host, seen[-1].value(host))
    return one


def _within_limits(one: Configuration, adjusters: Sequence[Adjuster]) -> bool:
    return not any(
        isinstance(value := one.value(each.setting), float)
        and ((each.low is not None and value < each.low) or (each.high is not None and value > each.high))
        for each in adjusters
    )
