"""Which parts to buy: the packages that no other beats in price, seconds and balance, none of them outside the band."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from balance.decide.day.verdict import DANGER_SHARE
from balance.decide.laps.lap import lap_of_areas
from balance.decide.laps.lap_table import lap_table
from balance.decide.laps.worth import LAP_DRAWS, lap_worths, with_draws
from balance.handling.decisive_surplus import surpluses
from balance.model.channels import front_rear_drag
from balance.model.errors import DomainError, UnknownName
from balance.model.records import USUAL_FRONT_TOLERANCE
from balance.reduce.car_figures import CarFigures

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from numpy.typing import NDArray

    from balance.decide.laps.lap_car import LapCar
    from balance.decide.laps.worth import CarDraws
    from balance.model.records import Target
    from balance.model.tracks import Track

    Array = NDArray[np.float64]

MOST_PARTS = 20
MOST_ON_FRONT = 300
"""Packages whose laps are run, at most: the best of the front as the table gives it."""
BAND_STEP = 0.005
"""Packages whose surplus is this close to one another are alike in balance. [1]"""
_SLACK = 0.01  # s that the table may be off: what it beats by less stays to be run
_TRIM_STEPS = 25
_CHUNK = 1 << 14


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PricedPart:
    """A part or a value of a setting that can be bought.

    ``effect`` is (3,), front downforce, rear downforce and drag area against the start [m²], ``draws`` (3, draws)
    of the same. ``mass`` is what it adds [kg]. ``needs`` and ``excludes`` name parts that must, or must not, be
    there as well.
    """

    name: str
    price: float
    effect: Array
    draws: Array | None = None
    mass: float = 0.0
    needs: tuple[str, ...] = ()
    excludes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Trimming:
    """A setting that packages are trimmed by: its tested values, rising, in its own unit, and what each does besides, (3, values) [m²].

    ``part`` names the part that has it, so that only packages with that part are trimmed; empty: the car has it already.
    """

    name: str
    values: Array
    effects: Array
    part: str = ""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Buying:
    """What there is to buy for a car on a track.

    ``areas`` is (3,) of the start [m²], ``draws`` (3, draws). ``together`` is what two parts do beyond the sum of
    each, by their names, (3,) [m²], ``together_draws`` (3, draws) of the same. ``tested`` holds the packages that were really run. ``places`` are the speeds
    [m/s] at which the car must be inside the band.
    """

    track: Track
    car: LapCar
    areas: Array
    parts: tuple[PricedPart, ...]
    air_density: float
    target: Target
    places: tuple[float, ...]
    draws: Array | None = None
    car_draws: CarDraws | None = None
    together: Mapping[tuple[str, str], Array] | None = None
    together_draws: Mapping[tuple[str, str], Array] | None = None
    tested: frozenset[frozenset[str]] = frozenset()
    trimming: Trimming | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Package:
    """One package: what is in it, what it costs, and what it is worth.

    ``seconds`` is against the start, negative faster, with its interval where the scatter is known. ``trimmed_to``
    is the value of the trimming setting, nothing where no part has it. ``surplus`` is the grip surplus at the place where it is farthest from the
    target, at ``worst_at`` [m/s]. ``in_band`` is the share of draws inside the band at every place.
    ``run_together`` says whether exactly these parts were run together, the trimming setting aside; else the
    package is a sum.
    """

    parts: tuple[str, ...]
    price: float
    mass: float
    areas: tuple[float, ...]
    trimmed_to: float | None
    seconds: float
    seconds_low: float | None
    seconds_high: float | None
    lap: float
    surplus: float
    worst_at: float
    in_band: float | None
    run_together: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Packages:
    """The front of price, seconds and balance, cheapest first, and how many packages there were.

    ``outside`` were outside the band at a place, ``risky`` had the front over the rear by more than is usual in 5
    of 100 draws at one: neither is on the list. ``start_outside`` says that the start itself is.
    """

    front: tuple[Package, ...]
    permitted: int
    outside: int
    risky: int
    start_outside: bool


def price_packages(buying: Buying, *, confidence: float = 0.95) -> Packages:
    """Find the packages that no other beats in price, seconds and balance.

    Every permitted subset is a sum of what its parts do, with what pairs do beyond their sum, trimmed to the target by
    the setting where there is one. Those inside the band are held against one another by a table of laps; what is left
    is run. A package beats another where it costs no more, is no slower and no farther from the target, in steps of 0.5
    points of surplus.
    """
    if len(buying.parts) > MOST_PARTS:
        raise DomainError(f"parts: found {len(buying.parts)}, expected at most {MOST_PARTS}")
    if not buying.places:
        raise DomainError("places: found none, expected at least one speed at which the balance counts")
    bits = _permitted(buying.parts)
    price, mass = (_summed(bits, [getattr(one, name) for one in buying.parts]) for name in ("price", "mass"))
    areas = _areas(buying, bits)
    setting, areas = _trimmed(buying, bits, areas)
    worst, at, inside = _judged(buying, areas)
    start_outside = not bool(inside[bits == 0][0]) if np.any(bits == 0) else False
    kept = np.flatnonzero(inside)

    def listed(front: Iterable[Package] = (), risky: int = 0) -> Packages:
        return Packages(
            front=tuple(sorted(front, key=lambda one: (one.price, one.seconds))),
            permitted=int(bits.size),
            outside=int(bits.size - kept.size),
            risky=risky,
            start_outside=start_outside,
        )

    if not kept.size:
        return listed()
    seconds = _table_seconds(buying, areas[:, kept], mass[kept])
    off = np.floor(np.abs(worst[kept] - buying.target.grip_surplus) / BAND_STEP)
    close = kept[_on_front(price[kept], seconds, off, slack=_SLACK)]
    if close.size > MOST_ON_FRONT:
        order = np.argsort(seconds[np.searchsorted(kept, close)], kind="stable")[:MOST_ON_FRONT]
        close = np.sort(close[order])
    drawn = _drawn(buying, bits[close], areas[:, close])
    share, risky = _sure(buying, drawn, close.size)
    safe = close[~risky]
    if not safe.size:
        return listed(risky=int(risky.sum()))
    drawn = None if drawn is None else drawn[:, :, ~risky]
    time, low, high, whole = _run(buying, areas[:, safe], drawn, mass[safe], confidence)
    distance = np.floor(np.abs(worst[safe] - buying.target.grip_surplus) / BAND_STEP)
    best = _on_front(price[safe], time, distance)
    shares = None if share is None else share[~risky]
    made = [
        Package(
            parts=(names := tuple(p.name for j, p in enumerate(buying.parts) if bits[one] >> j & 1)),
            price=float(price[one]),
            mass=float(mass[one]),
            areas=tuple(areas[:, one].tolist()),
            trimmed_to=None if np.isnan(setting[one]) else float(setting[one]),
            seconds=float(time[k]),
            seconds_low=None if low is None else float(low[k]),
            seconds_high=None if high is None else float(high[k]),
            lap=float(whole[k]),
            surplus=float(worst[one]),
            worst_at=float(at[one]),
            in_band=None if shares is None else float(shares[k]),
            run_together=frozenset(names) in buying.tested,
        )
        for k, one in enumerate(safe)
        if best[k]
    ]
    return listed(made, int(risky.sum()))


def _on_front(price: Array, seconds: Array, off: Array, *, slack: float = 0.0) -> NDArray[np.bool_]:
    """Tell which of many are beaten by none in price, seconds and distance from the target, (n,) each.

    For each distance, those not farther off are gone through from the cheapest: what is not faster than all that
    cost no more is beaten, what is slower by less than ``slack`` not yet. Of equals the first stays.

    Examples
    --------
    >>> _on_front(np.array([0.0, 100.0, 100.0]), np.array([0.0, -0.2, -0.1]), np.zeros(3)).tolist()
    [True, True, False]
    """
    best = np.zeros(len(price), bool)
    for level in np.unique(off):
        near = np.flatnonzero(off <= level)
        order = near[np.lexsort((off[near], seconds[near], price[near]))]
        before = np.concatenate(([np.inf], np.minimum.accumulate(seconds[order])[:-1]))
        stays = seconds[order] < before + slack if slack else seconds[order] < before
        here = order[stays]
        best[here[off[here] == level]] = True
    return best


def _permitted(parts: Sequence[PricedPart]) -> NDArray[np.int64]:
    """List every subset whose parts have what they need and nothing that they exclude, as bits."""
    place = {one.name: k for k, one in enumerate(parts)}
    bits = np.arange(1 << len(parts), dtype=np.int64)
    allowed = np.ones(bits.size, bool)
    for k, one in enumerate(parts):
        there = (bits >> k & 1) == 1
        for names, wanted in ((one.needs, 1), (one.excludes, 0)):
            for name in names:
                if name not in place:
                    raise UnknownName("part", name, place)
                allowed &= ~there | ((bits >> place[name] & 1) == wanted)
    return bits[allowed]


def _summed(bits: NDArray[np.int64], each: Sequence[float]) -> Array:
    total = np.zeros(bits.size)
    for k, one in enumerate(each):
        total += np.where(bits >> k & 1, one, 0.0)
    return total


def _areas(buying: Buying, bits: NDArray[np.int64]) -> Array:
    """Sum what parts do, (3, packages), with what pairs do beyond."""
    place = {one.name: k for k, one in enumerate(buying.parts)}
    areas = np.repeat(buying.areas[:, None], bits.size, axis=1)
    for k, part in enumerate(buying.parts):
        areas += np.where(bits >> k & 1, part.effect[:, None], 0.0)
    for (one, other), beyond in (buying.together or {}).items():
        for name in (one, other):
            if name not in place:
                raise UnknownName("part", name, place)
        both = (bits >> place[one] & 1) & (bits >> place[other] & 1)
        areas += np.where(both, np.asarray(beyond)[:, None], 0.0)
    return areas


def _surplus(buying: Buying, areas: Array, speed: float, figures: CarFigures | None = None) -> Array:
    """Give the surplus that verdicts are judged on, at one speed; infinite off the ground."""
    front, rear, drag = front_rear_drag(areas * (buying.air_density * speed**2 / 2.0))
    known = figures or _figures(buying.car)
    return surpluses(front, rear, drag, known, driven_axle=buying.car.driven).decisive


def _figures(car: LapCar) -> CarFigures:
    return CarFigures(
        mass=car.mass,
        front_share=car.front_share,
        static_margin=0.0,
        stiffness=(0.75, 0.75),
        grip=(car.front_exponent, car.rear_exponent),
        friction=car.friction,
    )


def _trimmed(buying: Buying, bits: NDArray[np.int64], areas: Array) -> tuple[Array, Array]:
    """Trim every package that has the setting: nearest to the target at the place where it is farthest off."""
    trimming = buying.trimming
    if trimming is None:
        return np.full(bits.size, np.nan), areas
    there = np.ones(bits.size, bool)
    if trimming.part:
        names = [one.name for one in buying.parts]
        if trimming.part not in names:
            raise UnknownName("part", trimming.part, names)
        there = (bits >> names.index(trimming.part) & 1) == 1
    values = np.linspace(trimming.values[0], trimming.values[-1], _TRIM_STEPS)
    moves = np.stack([np.interp(values, trimming.values, one) for one in trimming.effects])
    chosen = np.empty(areas.shape[1], int)
    for first in range(0, areas.shape[1], _CHUNK):
        tried = areas[:, first : first + _CHUNK, None] + moves[:, None, :]
        off = np.zeros(tried.shape[1:])
        for speed in buying.places:
            off = np.maximum(off, np.abs(_surplus(buying, tried, speed) - buying.target.grip_surplus))
        chosen[first : first + _CHUNK] = np.argmin(off, axis=1)
    return np.where(there, values[chosen], np.nan), areas + np.where(there, moves[:, chosen], 0.0)


def _judged(buying: Buying, areas: Array) -> tuple[Array, Array, NDArray[np.bool_]]:
    """Give the surplus farthest from the target, where that is, and whether every place is inside the band."""
    target = buying.target
    found = np.stack([_surplus(buying, areas, speed) for speed in buying.places])
    inside = np.all((found >= -target.front_tolerance) & (found <= target.rear_tolerance), axis=0)
    place = np.argmax(np.abs(found - target.grip_surplus), axis=0)
    return np.take_along_axis(found, place[None], axis=0)[0], np.asarray(buying.places)[place], inside


def _table_seconds(buying: Buying, areas: Array, mass: Array) -> Array:
    """Read the seconds of many packages from a table, mass by its slope."""
    spanned = np.concatenate([areas, buying.areas[:, None]], axis=1)
    table = lap_table(buying.track, buying.car, spanned, air_density=buying.air_density)
    own = np.asarray(buying.car.mass, float)
    heavier = replace(buying.car, mass=own * np.array([1.0, 1.01]))
    pair = lap_of_areas(buying.track, heavier, buying.areas, air_density=buying.air_density).time
    return np.asarray(
        table.read(areas) - table.read(buying.areas) + mass * (pair[1] - pair[0]) / (0.01 * own)
    )


def _drawn(buying: Buying, bits: NDArray[np.int64], areas: Array) -> Array | None:
    """Draw the areas of packages, (3, draws, packages), about what they are; nothing where no scatter is known."""
    if buying.draws is None:
        return None
    drawn = areas[:, None, :] + (buying.draws - buying.areas[:, None])[:, :LAP_DRAWS, None]
    for k, one in enumerate(buying.parts):
        if one.draws is not None:
            there = (bits >> k & 1) == 1
            drawn += np.where(there, (one.draws - one.effect[:, None])[:, : drawn.shape[1], None], 0.0)
    place = {one.name: k for k, one in enumerate(buying.parts)}
    for (first, second), draws in (buying.together_draws or {}).items():
        both = (bits >> place[first] & bits >> place[second] & 1) == 1
        beyond = draws - np.asarray((buying.together or {})[first, second])[:, None]
        drawn += np.where(both, beyond[:, : drawn.shape[1], None], 0.0)
    return np.asarray(drawn)


def _sure(buying: Buying, drawn: Array | None, count: int) -> tuple[Array | None, NDArray[np.bool_]]:
    """Give the share of draws inside the band at every place, and where the front is over the rear too often."""
    if drawn is None:
        return None, np.zeros(count, bool)
    target, known = buying.target, None
    if buying.car_draws is not None:
        known = _figures(with_draws(buying.car, buying.car_draws, drawn.shape[1]))
    inside = np.ones(drawn.shape[1:], bool)
    risky = np.zeros(drawn.shape[2], bool)
    for speed in buying.places:
        surplus = _surplus(buying, drawn, speed, known)
        inside &= (surplus >= -target.front_tolerance) & (surplus <= target.rear_tolerance)
        least = max(target.front_tolerance, USUAL_FRONT_TOLERANCE)
        risky |= np.mean(surplus < -least, axis=0) >= DANGER_SHARE
    return inside.mean(axis=0), risky


def _run(
    buying: Buying, areas: Array, drawn: Array | None, mass: Array, confidence: float
) -> tuple[Array, Array | None, Array | None, Array]:
    """Run the laps of packages and of the start: seconds against it, their interval, and the laps."""
    areas = np.concatenate([buying.areas[:, None], areas], axis=1)
    draws = None
    if drawn is not None and buying.draws is not None:
        draws = np.concatenate([buying.draws[:, : drawn.shape[1], None], drawn], axis=2)
    worths = lap_worths(
        buying.track,
        buying.car,
        areas,
        draws,
        air_density=buying.air_density,
        car_draws=buying.car_draws,
        confidence=confidence,
    )
    heavier = replace(buying.car, mass=np.asarray(buying.car.mass) + np.concatenate(([0.0], mass)))
    heavy = lap_of_areas(buying.track, heavier, areas, air_density=buying.air_density).time
    by_mass = heavy - worths.lap.time
    found = worths.against_start
    seconds = heavy[1:] - heavy[0]
    if draws is None and buying.car_draws is None:
        return seconds, None, None, heavy[1:]
    return seconds, (found.low + by_mass)[1:], (found.high + by_mass)[1:], heavy[1:]
