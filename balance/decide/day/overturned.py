"""What would overturn a verdict: the smallest change of one quantity that puts the car in another class."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from balance.decide.day.estimate import estimate_handling
from balance.decide.day.join_estimates import CHUNK
from balance.decide.day.overturn import Overturn
from balance.decide.day.range_seen import BEYOND_TESTS, highest_tested, range_limits, speeds_seen
from balance.decide.day.verdict import VerdictWord
from balance.handling.axle_loads import static_axle_weights
from balance.handling.decisive_surplus import surpluses
from balance.model.channels import DRAG, FRONT, REAR, front_rear_drag
from balance.reduce.air import dynamic_pressure
from balance.reduce.car_figures import figures_of
from balance.reduce.drag_couple import add_couple

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from balance.decide.day.assessment import Assessment
    from balance.decide.day.overturn import What
    from balance.decide.day.range_verdict import RangeVerdict
    from balance.model.records import Place, Session, Vehicle

    Array = NDArray[np.float64]

QUANTITIES: tuple[What, ...] = (
    "front_downforce",
    "rear_downforce",
    "front_weight_share",
    "exponent_difference",
    "drag_height",
)
_SHARE, _EXPONENT, _HEIGHT = range(REAR + 1, len(QUANTITIES))
"""Places of the last three; front and rear downforce have those of their channels."""
LOAD_REACH, SHARE_REACH, EXPONENT_REACH, HIGHEST = 0.5, 0.10, 0.3, 0.6
"""As far as each quantity is followed: of an axle's downforce, of the weight, of an exponent, a height [m]."""
LOAD_DOUBT, SHARE_DOUBT, EXPONENT_DOUBT, HEIGHT_DOUBT = 0.05, 0.003, 0.03, 0.05
"""Usual doubts of the same; that of a downforce is its standard uncertainty where that is larger."""
_CLEAR = 3.0
"""Standard uncertainties from which a downforce is large enough to be changed by a share of itself."""
_STEPS, _HALVINGS = 16, 28
_AT_ONCE = 400_000
"""Speeds of cars that are judged in one piece."""
_WORDS = (
    VerdictWord.OFF_THE_GROUND,
    VerdictWord.FRONT_OVERPOWERS,
    VerdictWord.REAR_OVERPOWERS,
    VerdictWord.IN_BALANCE,
)
"""Nominal classes, the worst first."""


class _Cars(NamedTuple):
    """Cars to be judged, (n,) each or (3, n): areas, front weight share, the rear's grip exponent, their range."""

    areas: Array
    share: Array
    exponent: Array
    speeds: Array
    low: Array
    high: Array

    def of(self, which: NDArray[np.int_]) -> _Cars:
        return _Cars(*(one[..., which] for one in self))


def is_worked_out(table: Assessment, row: int) -> bool:
    """Return whether what would overturn a row's verdict is known already.

    A screen asks, so that it need not wait.
    """
    return table.ranges[row].awaited or (table.rows[row], table.air_density) in table.day.overturned


def overturned(table: Assessment, rows: Sequence[int] | None = None) -> tuple[tuple[Overturn, ...], ...]:
    """Find what would overturn the verdicts over the range of a table's rows.

    One tuple a row, the nearest first, as of `find_overturns`; empty while the verdict is awaited. Worked out
    once for a day.
    """
    day, density = table.day, table.air_density
    asked = range(len(table.rows)) if rows is None else rows
    ready = [k for k in asked if not table.ranges[k].awaited]
    missing = [k for k in ready if (table.rows[k], density) not in day.overturned]
    if missing:
        places = _places_in_balance(table, missing)
        own = [table.rows[k] for k in missing]
        found = find_overturns(
            day.session,
            day.areas(own),
            day.stds(own)[[FRONT, REAR]],
            density,
            [table.ranges[k] for k in missing],
            places,
        )
        day.overturned.update({(row, density): one for row, one in zip(own, found, strict=True)})
    return tuple(() if table.ranges[k].awaited else day.overturned[table.rows[k], density] for k in asked)


def _places_in_balance(table: Assessment, rows: Sequence[int]) -> list[Place | None]:
    """Find for rows at an edge the fastest named place that is in balance by its whole interval."""
    day = table.day
    found: dict[int, Place] = {}
    left = [k for k in rows if table.ranges[k].word is VerdictWord.AT_THE_EDGE]
    width = max(1, CHUNK // day.shared.count)
    for place in sorted(day.session.places, key=lambda one: -one.speed):
        for start in range(0, len(left), width):
            some = left[start : start + width]
            own = [table.rows[k] for k in some]
            at = estimate_handling(
                day.areas(own),
                day.draws(own),
                place.speed,
                table.air_density,
                day.stds(own),
                day.session.vehicle,
                day.shared,
                confidence=day.confidence,
            )
            inside = (one.word is VerdictWord.IN_BALANCE for one in at.verdicts)
            found.update({k: place for k, one in zip(some, inside, strict=True) if one})
        left = [k for k in left if k not in found]
    return [found.get(k) for k in rows]


def find_overturns(
    session: Session,
    areas: Array,
    stds: Array,
    air_density: float,
    verdicts: Sequence[RangeVerdict],
    places: Sequence[Place | None] | None = None,
) -> tuple[tuple[Overturn, ...], ...]:
    """Find the smallest changes of single quantities that would put cars in another class.

    Parameters
    ----------
    session : Session
        The car, its places and its tested speeds. [1]
    areas : numpy.ndarray
        (3, n) area coefficients of front downforce, rear downforce, drag. [m^2]
    stds : numpy.ndarray
        (2, n) standard uncertainty of front and rear downforce area; not a number where unknown. [m^2]
    air_density : float
        Density of the air. [kg/m^3]
    verdicts : sequence of RangeVerdict
        The verdicts over the range that are in question, (n,). [1]
    places : sequence of Place or None, optional
        For a car at an edge over the range, a place that it is in balance at by the whole interval, (n,). [1]

    Returns
    -------
    tuple of tuple of Overturn
        One a car, the nearest first, by change over usual doubt. [1]

    Notes
    -----
    The class is that of the figures without their scatter: over the range, or of a car at an edge at its place; without such
    a place, and where nobody can tell, there is none. One quantity at a time, up and down: downforce of either axle
    within half of itself, or within 10 standard uncertainties where it is less than 3 of them; front weight share
    within 10 points; the rear's load exponent of grip within 0.3; height where drag is reacted from 0 to 600 mm. A first
    step with another class is halved down to where the class changes.

    References
    ----------
    Common practice, no source.
    """
    around = places or [None] * len(verdicts)
    asked = [
        k
        for k, one in enumerate(verdicts)
        if one.word is not VerdictWord.CANNOT_TELL
        and (one.word is not VerdictWord.AT_THE_EDGE or around[k] is not None)
    ]
    result: list[list[Overturn]] = [[] for _ in verdicts]
    if not asked:
        return tuple(() for _ in verdicts)
    at = [around[k] if verdicts[k].word is VerdictWord.AT_THE_EDGE else None for k in asked]
    cars = _as_they_are(session, areas[:, asked], air_density, at)
    ends, doubts, relative = _reach(session, areas[:, asked], stds[:, asked])
    own = _classes(session, cars, air_density)
    case = np.array(
        [(k, q, side) for k in range(len(asked)) for q in range(len(QUANTITIES)) for side in (0, 1)]
    ).T
    furthest = ends[case[2], case[1], case[0]]
    case, furthest = case[:, furthest != 0.0], furthest[furthest != 0.0]
    steps = np.arange(1, _STEPS + 1) / _STEPS
    tried = _judged(
        session,
        cars,
        np.repeat(case, _STEPS, axis=1),
        np.outer(furthest, steps).ravel(),
        relative,
        air_density,
    )
    other = tried.reshape(-1, _STEPS) != own[case[0], None]
    hit = other.any(axis=1)
    case, first, furthest = case[:, hit], other[hit].argmax(axis=1), furthest[hit]
    inner, outer = furthest * first / _STEPS, furthest * (first + 1) / _STEPS
    for _ in range(_HALVINGS):
        middle = (inner + outer) / 2.0
        beyond = _judged(session, cars, case, middle, relative, air_density) != own[case[0]]
        inner, outer = np.where(beyond, inner, middle), np.where(beyond, middle, outer)
    classes = _judged(session, cars, case, outer, relative, air_density)
    height = session.facility.drag_reacted_at or 0.0
    for (k, q, _), change, becomes in zip(case.T, outer, classes, strict=True):
        what, of_load = QUANTITIES[q], q in (FRONT, REAR)
        share = bool(of_load and relative[q, k])
        result[asked[k]].append(
            Overturn(
                what=what,
                change=float(change),
                relative=share,
                doubt=float(doubts[q, k]),
                to=_WORDS[becomes],
                area_change=float(change * (areas[q, asked[k]] if share else 1.0)) if of_load else None,
                height=float(height + change) if what == "drag_height" else None,
                place=at[k],
            )
        )
    return tuple(tuple(sorted(one, key=lambda found: found.doubts)) for one in result)


def _as_they_are(session: Session, areas: Array, air_density: float, at: Sequence[Place | None]) -> _Cars:
    """Return the cars with the speeds that their class is of: a range, or one place."""
    low, high = range_limits(session, areas[DRAG], air_density)
    tested = max(BEYOND_TESTS * highest_tested(session), low)
    speeds = speeds_seen(low, high, tested, [place.speed for place in session.places])
    lows = np.full(high.shape, low)
    for k, place in enumerate(at):
        if place is not None:
            speeds[:, k] = lows[k] = high[k] = place.speed
    vehicle, count = session.vehicle, areas.shape[1]
    return _Cars(
        areas=areas,
        share=np.full(count, vehicle.front_share),
        exponent=np.full(count, vehicle.grip_exponent.rear),
        speeds=speeds[np.max(speeds, axis=1) >= min(lows)],
        low=lows,
        high=high,
    )


def _reach(session: Session, areas: Array, stds: Array) -> tuple[Array, Array, NDArray[np.bool_]]:
    """Return how far each quantity is followed, down and up (2, 5, n), its usual doubt (5, n), and where an axle's is relative (2, n)."""
    count, share = areas.shape[1], session.vehicle.front_share
    height = session.facility.drag_reacted_at or 0.0
    loads = areas[[FRONT, REAR]]
    known = np.isfinite(stds) & (stds > 0.0)
    relative = (loads != 0.0) & ~(known & (np.abs(loads) < _CLEAR * stds))
    with np.errstate(divide="ignore", invalid="ignore"):
        own = np.where(known, stds / np.abs(loads), 0.0)
    doubt = np.where(relative, np.maximum(own, LOAD_DOUBT), np.where(known, stds, 1.0))
    reach = np.where(relative, LOAD_REACH, np.where(known, LOAD_REACH / LOAD_DOUBT * stds, 0.0))
    within = ((-SHARE_REACH, SHARE_REACH), (-EXPONENT_REACH, EXPONENT_REACH), (-height, HIGHEST - height))
    down, up = (
        np.vstack([sign * reach, *(np.full((1, count), ends[side]) for ends in within)])
        for side, sign in ((0, -1.0), (1, 1.0))
    )
    down[_SHARE], up[_SHARE] = max(-SHARE_REACH, 0.01 - share), min(SHARE_REACH, 0.99 - share)
    up[_HEIGHT] = max(HIGHEST - height, 0.0)
    doubts = np.vstack(
        [doubt, *(np.full((1, count), one) for one in (SHARE_DOUBT, EXPONENT_DOUBT, HEIGHT_DOUBT))]
    )
    return np.stack([down, up]), doubts, relative


def _judged(
    session: Session,
    cars: _Cars,
    case: NDArray[np.int_],
    change: Array,
    relative: NDArray[np.bool_],
    air_density: float,
) -> NDArray[np.int_]:
    """Judge cars with one quantity changed, (cases,): ``case`` holds which car and which quantity."""
    found = np.empty(change.size, int)
    width = max(1, _AT_ONCE // len(cars.speeds))
    for start in range(0, change.size, width):
        some = slice(start, start + width)
        changed = _changed(session, cars, case[:, some], change[some], relative)
        found[some] = _classes(session, changed, air_density)
    return found


def _changed(
    session: Session, cars: _Cars, case: NDArray[np.int_], change: Array, relative: NDArray[np.bool_]
) -> _Cars:
    """Change one quantity of each car."""
    which, quantity = case[0], case[1]
    new = cars.of(which)
    areas = new.areas.copy()
    for axle in (FRONT, REAR):
        mine = quantity == axle
        scale = np.where(relative[axle, which], areas[axle], 1.0)
        areas[axle] += np.where(mine, change * scale, 0.0)
    lever = np.where(quantity == _HEIGHT, change, 0.0) / session.vehicle.wheelbase
    areas = add_couple(areas, lever)
    share = new.share + np.where(quantity == _SHARE, change, 0.0)
    exponent = new.exponent + np.where(quantity == _EXPONENT, change, 0.0)
    return new._replace(areas=areas, share=share, exponent=exponent)


def _classes(session: Session, cars: _Cars, air_density: float) -> NDArray[np.int_]:
    """Classify cars nominally over their range, (n,) as places in the order of classes."""
    vehicle: Vehicle = session.vehicle
    front, rear = static_axle_weights(vehicle.mass, vehicle.front_share)
    weights = ((front + rear) * cars.share, (front + rear) * (1.0 - cars.share))
    pressure = np.asarray(dynamic_pressure(cars.speeds, air_density))
    df_front, df_rear, drag = (area * pressure for area in front_rear_drag(cars.areas))
    car = replace(figures_of(vehicle), grip=(vehicle.grip_exponent.front, cars.exponent))
    s = surpluses(df_front, df_rear, drag, car, driven_axle=vehicle.driven, weights=weights).decisive
    inside = (cars.speeds >= cars.low) & (cars.speeds <= cars.high * (1.0 + 1e-12))
    tested = cars.speeds <= np.maximum(BEYOND_TESTS * highest_tested(session), cars.low)
    off = np.any(inside & np.isinf(s), axis=0)
    loose = np.any(inside & (s < -vehicle.target.front_tolerance), axis=0)
    pushes = np.any(inside & tested & (s > vehicle.target.rear_tolerance), axis=0)
    return np.where(off, 0, np.where(loose, 1, np.where(pushes, 2, 3)))
