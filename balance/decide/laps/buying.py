"""What there is to buy of the parts that a day tested: prices of the car's file, and what the parts are believed to do."""

from __future__ import annotations

from itertools import combinations
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from balance.decide.laps.day_laps import day_car_draws
from balance.decide.laps.lap_car import lap_car
from balance.decide.laps.packages import Buying, PricedPart, Trimming
from balance.decide.laps.worth import LAP_DRAWS
from balance.decide.plan.configuration import values_of
from balance.decide.plan.day_belief import belief_of_day

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from numpy.typing import NDArray

    from balance.decide.day.day import Day
    from balance.decide.plan.configuration import Configuration
    from balance.model.plans import DayPlan, Value
    from balance.model.records import Price
    from balance.model.tracks import Track

    Array = NDArray[np.float64]
    Names = frozenset[str]


class ForSale(NamedTuple):
    """What can be bought, the names of priced parts that were not run on the day, and the currency."""

    buying: Buying | None
    untested: tuple[str, ...]
    currency: str


class Shelf:
    """Priced parts that were run, and what the car is with some of them fitted."""

    def __init__(self, prices: Sequence[Price], start: Configuration, tried: Sequence[Configuration]) -> None:
        self.start, self.tried = start, tried
        fitted = {one.name: value for one in prices if (value := self._value(one)) is not None}
        self.value = {
            one.name: fitted[one.name] for one in prices if set(_closure(one, prices)) <= fitted.keys()
        }
        self.prices = {one.name: one for one in prices if one.name in self.value}
        self.trimmed = self._most_values()

    def _value(self, one: Price) -> Value | None:
        """Return the value that is sold: the stated one, else the lowest that was run; nothing where none was."""
        if self.start.value(one.setting) is not None and one.value is None:
            return None  # the car has it
        run = values_of(one.setting, self.tried)
        if one.value is not None:
            return one.value if one.value in run and self.start.value(one.setting) != one.value else None
        return run[0] if run else None

    def angles(self, name: str) -> tuple[float, ...]:
        """Return the values at which a part that is sold at any of them was run, rising."""
        run = values_of(self.prices[name].setting, self.tried)
        return tuple(sorted(one for one in run if not isinstance(one, str)))

    def _most_values(self) -> str:
        """Name the part that can be trimmed: sold at any value, and run at most of them; empty where there is none."""
        open_to = [
            name for name, one in self.prices.items() if one.value is None and len(self.angles(name)) > 1
        ]
        return max(open_to, key=lambda name: len(self.angles(name)), default="")

    def needs(self, *names: str) -> Names:
        """Name all that some parts need, themselves left out."""
        every = (one for name in names for one in _closure(self.prices[name], self.prices.values()))
        return frozenset(every) - {*names}

    def car(self, names: Iterable[str]) -> Configuration:
        """Return the car with some parts fitted."""
        car = self.start
        for name in sorted(names):
            car = car.put(self.prices[name].setting, self.value[name])
        return car

    def apart(self, one: str, other: str) -> bool:
        """Return whether two parts are ever fitted at once and neither needs the other."""
        settings = [self.prices[name].setting for name in {one, other} | self.needs(one, other)]
        return (
            one not in self.needs(other)
            and other not in self.needs(one)
            and len({*settings}) == len(settings)
        )

    def packages(self) -> frozenset[Names]:
        """Return the packages that were really run together, whatever the trimmed setting stood at."""
        found = set()
        for car in self.tried:
            names = frozenset(
                name
                for name, one in self.prices.items()
                if car.value(one.setting) == self.value[name]
                or (name == self.trimmed and car.value(one.setting) is not None)
            )
            whole = self.car(names)
            if self.trimmed in names:
                setting = self.prices[self.trimmed].setting
                whole = whole.put(setting, car.value(setting))
            if whole == car:
                found.add(names)
        return frozenset(found)


def _closure(one: Price, prices: Iterable[Price]) -> tuple[str, ...]:
    """Name a part and all that it needs, and they in turn."""
    by_name = {price.name: price for price in prices}
    names, waiting = [], [one.name]
    while waiting:
        name = waiting.pop()
        if name in names:
            continue
        names.append(name)
        waiting += by_name[name].needs if name in by_name else ()
    return tuple(names)


def buying_of_day(day: Day, plan: DayPlan, track: Track) -> ForSale:
    """Put together what the parts of a day cost, and what each is believed to do.

    The car starts as in the first run. Effects are the plan's belief, not single differences: the best of many noisy
    sums is otherwise lucky. A part is what its setting does to the start with all that it needs; what two parts do
    beyond their sum is believed as well. A price without a value is that of the setting at any value: the one that was
    run at most of them is trimmed, in every package that has it. The band must hold at every named place, at the
    facility's speed where none is named.
    """
    vehicle, facility = day.session.vehicle, day.session.facility
    stand = belief_of_day(day, plan)
    shelf = Shelf(vehicle.prices, stand.start, stand.tried)
    untested = tuple(one.name for one in vehicle.prices if one.name not in shelf.prices)
    currency = next((one.currency for one in vehicle.prices if one.currency), "")
    if not shelf.prices:
        return ForSale(None, untested, currency)
    names = tuple(shelf.prices)
    pairs = [(one, other) for one, other in combinations(names, 2) if shelf.apart(one, other)]
    angles = shelf.angles(shelf.trimmed) if shelf.trimmed else ()
    turned = [shelf.car([shelf.trimmed]).put(shelf.prices[shelf.trimmed].setting, angle) for angle in angles]
    # What is asked of each part and pair, as the cars whose loads are added and taken away.
    sums: dict[tuple[str, ...], tuple[list[Configuration], list[Configuration]]] = {}
    for name in names:
        needed = shelf.needs(name)
        sums[(name,)] = [shelf.car({name, *needed})], [shelf.car(needed)]
    for one, other in pairs:
        needed = shelf.needs(one, other)
        sums[one, other] = (
            [shelf.car({one, other, *needed}), shelf.car(needed)],
            [shelf.car({one, *needed}), shelf.car({other, *needed})],
        )
    asked = list(
        dict.fromkeys(
            [stand.start, *turned, *(car for sides in sums.values() for side in sides for car in side)]
        )
    )
    belief = belief_of_day(day, plan, others=asked).belief
    count = min(LAP_DRAWS, day.shared.count)
    drawn = _drawn_together(belief.mean(asked), belief.covariance(asked), count, seed=day.shared.seed)
    place = {car: k for k, car in enumerate(asked)}

    def loads(car: Configuration) -> tuple[Array, Array]:
        """Return what is expected of a car, (3,), and draws of it, (3, draws)."""
        return belief.mean([car])[0], drawn[:, :, place[car]]

    def summed(key: tuple[str, ...]) -> tuple[Array, Array]:
        more, less = ([loads(car) for car in side] for side in sums[key])
        mean, draws = (np.asarray(sum(one[k] for one in more) - sum(one[k] for one in less)) for k in (0, 1))
        return mean, draws

    parts = []
    for name, price in shelf.prices.items():
        effect, draws = summed((name,))
        rivals = (other for other in names if other != name and shelf.prices[other].setting == price.setting)
        parts.append(
            PricedPart(
                name=name,
                price=price.price,
                effect=effect,
                draws=draws,
                mass=price.mass,
                needs=price.needs,
                excludes=tuple(rivals),
            )
        )
    together = {pair: summed(pair) for pair in pairs}
    trimming = None
    if shelf.trimmed:
        base = belief.mean([shelf.car([shelf.trimmed])])
        trimming = Trimming(
            name=shelf.prices[shelf.trimmed].setting,
            values=np.array(angles),
            effects=(belief.mean(turned) - base).T,
            part=shelf.trimmed,
        )
    areas, draws = loads(stand.start)
    buying = Buying(
        track=track,
        car=lap_car(vehicle),
        areas=areas,
        draws=draws,
        parts=tuple(parts),
        air_density=track.density(facility.air_density),
        target=vehicle.target,
        places=tuple(one.speed for one in day.session.places) or (facility.speed,),
        car_draws=day_car_draws(day),
        together={pair: mean for pair, (mean, _) in together.items()},
        together_draws={pair: draws for pair, (_, draws) in together.items()},
        tested=shelf.packages(),
        trimming=trimming,
    )
    return ForSale(buying, untested, currency)


def _drawn_together(mean: Array, covariance: Array, count: int, *, seed: int) -> Array:
    """Draw loads of several configurations that hang together, (3, count, configurations) [m²].

    Channels are independent. By the symmetric root of the covariance: that of a few alike cars has no Cholesky factor,
    and vectors alone would turn with the last digit of the covariance, and the draws with them.
    The seed is the session's, so that figures do not flicker. JCGM 101:2008, 6.4.8 (multivariate normal).
    """
    rng = np.random.default_rng(np.random.SeedSequence(seed, spawn_key=(0, 1)))
    size, vectors = np.linalg.eigh(covariance)
    root = vectors * np.sqrt(np.maximum(size, 0.0))[:, None, :] @ vectors.transpose(0, 2, 1)
    normal = rng.standard_normal((len(covariance), count, covariance.shape[1]))
    return np.asarray(mean.T[:, None, :] + normal @ root)
