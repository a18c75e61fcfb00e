"""The order of runs that takes the least time of changes, and one that a drift disturbs less."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise, permutations
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from numpy.typing import NDArray

EXACT = 12
"""Runs up to which every order is looked at, by dynamic programming."""
EVERY_ORDER = 8
"""Runs up to which the best protected order is found among all."""
_SAME = 1e-9


class Tour(NamedTuple):
    """An order of runs, and the time of all its changes [s]."""

    order: tuple[int, ...]
    time: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Changes:
    """What changes between runs take, the baseline in between where it is run there [s].

    ``opening`` is (runs,) to each run as the first, ``closing`` (runs,) from each to the end of the day. ``legs`` is
    (runs, runs, runs): for each place of the order the times from each run to each.
    """

    opening: NDArray[np.float64]
    legs: NDArray[np.float64]
    closing: NDArray[np.float64]

    @property
    def count(self) -> int:
        """Number of runs."""
        return len(self.opening)

    def times(self, orders: NDArray[np.int_]) -> NDArray[np.float64]:
        """Return the time of all changes of orders, (…) for (…, runs) [s]."""
        legs = self.legs[np.arange(1, self.count), orders[..., :-1], orders[..., 1:]]
        return np.asarray(self.opening[orders[..., 0]] + legs.sum(axis=-1) + self.closing[orders[..., -1]])

    def time(self, order: Sequence[int]) -> float:
        """Return the time of all changes of an order of some of the runs [s]."""
        if not order:
            return 0.0
        total = self.opening[order[0]]
        for place, (one, other) in enumerate(pairwise(order), start=1):
            total += self.legs[place, one, other]
        return float(total + self.closing[order[-1]])


def cheapest_order(changes: Changes) -> Tour:
    """Find the order of runs that takes the least time of changes.

    Up to 12 runs the least of all orders, by dynamic programming over sets of runs; beyond, runs put in one by one
    where they lengthen the order least, then stretches turned round and runs moved while that shortens it, from there
    and from the order typed. Of equals the order typed stands.

    M. Held, R. M. Karp, "A dynamic programming approach to sequencing problems", Journal of the Society for Industrial
    and Applied Mathematics 10 (1962); G. A. Croes, "A method for solving traveling-salesman problems", Operations
    Research 6 (1958) for turning stretches round (both from memory).
    """
    typed = tuple(range(changes.count))
    if changes.count < 2:
        return Tour(typed, changes.time(typed))
    if changes.count <= EXACT:
        found = _exact(changes)
    else:
        starts = (_inserted(changes), list(typed))
        found = min((_shortened(changes, one) for one in starts), key=lambda one: one.time)
    as_typed = Tour(typed, changes.time(typed))
    return as_typed if as_typed.time <= found.time + _SAME else found


def protected_order(
    changes: Changes,
    shares: NDArray[np.float64],
    places: NDArray[np.float64],
    fixed: NDArray[np.float64],
    *,
    allowed: float,
) -> Tour:
    """Find the order in which a linear drift disturbs the parts least, within a time of changes.

    Parameters
    ----------
    changes : Changes
        What changes take. [s]
    shares : numpy.ndarray
        (parts, runs) what a step of one in a run's place adds to a part's correlation with the drift. [1]
    places : numpy.ndarray
        (runs,) the place in the running order of the first, second, … of the runs. [1]
    fixed : numpy.ndarray
        (parts,) what runs in fixed places, baselines among them, add to it. [1]
    allowed : float
        Time of changes that must not be exceeded. [s]

    Returns
    -------
    Tour
        The order of the least sum of squared correlations; of equals the shorter. [s]

    Notes
    -----
    Among all orders up to 8 runs; beyond, two runs swapped or one moved while that lowers the sum, from the cheapest.

    References
    ----------
    C. Daniel, F. Wilcoxon, "Factorial 2^(p-q) plans robust against linear and quadratic trends", Technometrics 8 (1966),
    for the aim.
    """
    count = changes.count
    cheapest = cheapest_order(changes)
    if count < 2 or not len(shares):
        return cheapest
    if count <= EVERY_ORDER:
        orders = np.array(list(permutations(range(count))))
        times = changes.times(orders)
        orders, times = orders[times <= allowed + _SAME], times[times <= allowed + _SAME]
        if not len(orders):
            return cheapest
        position = np.empty(orders.shape)
        np.put_along_axis(position, orders, np.broadcast_to(places, orders.shape), axis=1)
        sums = np.sum(np.square(fixed + position @ shares.T), axis=1)
        best = np.lexsort((times, np.round(sums, 9)))[0]
        return Tour(tuple(orders[best].tolist()), float(times[best]))

    def disturbed(order: Sequence[int]) -> float:
        position = np.empty(count)
        position[list(order)] = places
        return float(np.sum(np.square(fixed + shares @ position)))

    return _least_disturbed(changes, list(cheapest.order), disturbed, allowed)


def _least_disturbed(
    changes: Changes, order: list[int], disturbed: Callable[[Sequence[int]], float], allowed: float
) -> Tour:
    """Swap two runs or move one while that lowers what a drift disturbs."""
    least = disturbed(order)
    improved = True
    while improved:
        improved = False
        for one, other in permutations(range(changes.count), 2):
            for tried in (_swapped(order, one, other), _moved(order, one, other)):
                found = disturbed(tried)
                if found < least - _SAME and changes.time(tried) <= allowed + _SAME:
                    order, least, improved = tried, found, True
    return Tour(tuple(order), changes.time(order))


def _exact(changes: Changes) -> Tour:
    """Find the least of all orders, set of runs by set of runs."""
    count = changes.count
    least = np.full((1 << count, count), np.inf)
    before = np.full((1 << count, count), -1)
    for run, time in enumerate(changes.opening):
        least[1 << run, run] = time
    for some in range(1, 1 << count):
        place = some.bit_count()
        if place == count:
            continue
        through = least[some][:, None] + changes.legs[place]
        last = through.argmin(axis=0)
        for run in range(count):
            if not some >> run & 1:
                more = some | 1 << run
                least[more, run] = through[last[run], run]
                before[more, run] = last[run]
    whole = (1 << count) - 1
    closed = least[whole] + changes.closing
    run, some, order = int(closed.argmin()), whole, []
    while run >= 0:
        order.append(run)
        run, some = int(before[some, run]), some & ~(1 << run)
    order.reverse()
    return Tour(tuple(order), changes.time(order))


def _inserted(changes: Changes) -> list[int]:
    """Put runs in one by one where they lengthen the order least."""
    order: list[int] = []
    for run in range(changes.count):
        tried = [[*order[:place], run, *order[place:]] for place in range(len(order) + 1)]
        order = min(tried, key=changes.time)
    return order


def _shortened(changes: Changes, order: list[int]) -> Tour:
    """Turn stretches round and move runs while that shortens an order."""
    time = changes.time(order)
    improved = True
    while improved:
        improved = False
        for one in range(len(order)):
            for other in range(len(order)):
                turned = [*order[:one], *reversed(order[one : other + 1]), *order[other + 1 :]]
                for tried in ([turned] if other > one else []) + [_moved(order, one, other)]:
                    found = changes.time(tried)
                    if found < time - _SAME:
                        order, time, improved = tried, found, True
    return Tour(tuple(order), time)


def _swapped(order: list[int], one: int, other: int) -> list[int]:
    tried = list(order)
    tried[one], tried[other] = tried[other], tried[one]
    return tried


def _moved(order: list[int], one: int, other: int) -> list[int]:
    tried = list(order)
    tried.insert(other, tried.pop(one))
    return tried
