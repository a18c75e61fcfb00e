"""One car over several days: how far the days lie apart, and configurations of all of them against one."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import combinations
from typing import TYPE_CHECKING

import numpy as np

from balance.compare.contrasts import contrast_changes
from balance.compare.drift import find_drifts
from balance.decide.day.conditions import reference_conditions
from balance.model.channels import WITH_TOTAL
from balance.model.errors import DomainError, InputError, UnknownName, quoted
from balance.reduce.air import dynamic_pressure
from balance.reduce.fits import fits_of_session
from balance.reduce.joined_fits import join_fits
from balance.reduce.readings import reduce_session
from balance.reduce.repeatability import stated_by_facility

if TYPE_CHECKING:
    from collections.abc import Hashable, Iterable, Sequence

    from numpy.typing import NDArray

    from balance.compare.contrasts import Changes
    from balance.model.records import Run, Session
    from balance.reduce.joined_fits import JoinedFits

_NOTHING = 1e-9
"""Share of the largest load below which a departure is none."""
_CAR = (
    "mass",
    "front_share",
    "wheelbase",
    "frontal_area",
    "cg_height",
    "front_track",
    "rear_track",
    "power",
    "driven",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Stratum:
    """A block of a day: the position of the day, the block's name, and the positions of its readings."""

    day: int
    block: str
    rows: tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class JoinedDays:
    """Days of one car, tied by the configurations that were run on several of them.

    Fits stand one day after the other, in the order in which the days were given. ``configurations`` has for
    each the readings that count, in the order of their first. Strata are the blocks of the days; a day
    without blocks is one. ``alike`` is equal for days whose scatter is pooled. On the days of ``drifting`` a
    drift is resolved; it is not taken out.
    """

    sessions: tuple[Session, ...]
    fits: JoinedFits
    configurations: tuple[tuple[int, ...], ...]
    strata: tuple[Stratum, ...]
    alike: tuple[int, ...]
    drifting: tuple[int, ...]

    @property
    def shared(self) -> tuple[int, ...]:
        """The configurations that were run on more than one day."""
        return tuple(k for k, rows in enumerate(self.configurations) if len(self.days_of(k)) > 1)

    def days_of(self, configuration: int) -> tuple[int, ...]:
        """Return the days on which a configuration was run."""
        return tuple(sorted(set(self.fits.day_of[list(self.configurations[configuration])].tolist())))

    def run_of(self, configuration: int) -> Run:
        """Return the first run of a configuration."""
        return self.fits.readings.runs[self.configurations[configuration][0]]

    def usual_reference(self) -> int:
        """Return the configuration that is compared with unless another is named: run on most days, fitted most often."""

        def often(k: int) -> tuple[int, int]:
            fits = {int(fit) for fit in self.fits.fit_of[list(self.configurations[k])]}
            return len(self.days_of(k)), len(fits)

        return max(range(len(self.configurations)), key=lambda k: (often(k), -k))

    def named(self, name: str, days: Sequence[str] = ()) -> int:
        """Find a configuration by its name, or by a run of a day as in "B:12".

        A run that enters no mean stands for its configuration.
        """
        day, colon, label = name.partition(":")
        readings, group_of = self.fits.readings, self.fits.groups.tolist()
        place = {group_of[rows[0]]: k for k, rows in enumerate(self.configurations)}
        runs = {
            f"{days[k]}:{run.label}": row
            for row, (k, run) in enumerate(zip(self.fits.day_of.tolist(), readings.runs, strict=True))
            if k < len(days)
        }
        if colon and f"{day}:{label}" in runs:
            return place[group_of[runs[f"{day}:{label}"]]]
        called = [
            k for k in range(len(self.configurations)) if self.run_of(k).configuration.strip() == name.strip()
        ]
        if len(called) > 1:
            raise InputError(
                f"configuration {quoted(name)}: found {len(called)} of that name, expected one; name a run, as in "
                f"{next(one for one, row in runs.items() if group_of[row] == group_of[self.configurations[called[0]][0]])}"
            )
        if not called:
            names = [self.run_of(k).configuration for k in range(len(self.configurations))]
            raise UnknownName("configuration", name, [*dict.fromkeys(names), *runs])
        return called[0]


def join_days(sessions: Sequence[Session]) -> JoinedDays:
    """Join days of one car.

    One car is one name; its masses may have changed, since areas do not rest on them. Days are tied as blocks
    of one day are: each has a constant of its own, told by what was run on several. Days of one named
    facility, whose stated figures do not contradict one another, are taken to scatter alike; any other day by
    itself. Refused are one day alone, a day that stands there twice, cars that differ, and a day that nothing
    ties to the others.
    """
    days = tuple(sessions)
    if len(days) < 2:
        raise InputError(f"days: found {len(days)}, expected two or more of one car")
    _one_of_each(days)
    _one_car(days)
    for session in days:
        if not session.used:
            raise DomainError(
                f"{quoted(session.title)}: found {len(session.runs)} runs, none that counts, expected at least one not void"
            )
    known = [(session, fits_of_session(session, reduce_session(session))) for session in days]
    alike = _alike(days)
    fits = join_fits(known, alike)
    counted = [
        row for rows, counts in zip(fits.fits, fits.counts.tolist(), strict=True) if counts for row in rows
    ]
    joined = JoinedDays(
        sessions=days,
        fits=fits,
        configurations=_alike_by(fits.groups, sorted(counted)),
        strata=tuple(
            Stratum(day=int(fits.day_of[rows[0]]), block=fits.readings.runs[rows[0]].block, rows=rows)
            for rows in _alike_by(fits.blocks, range(fits.blocks.size))
        ),
        alike=alike,
        drifting=tuple(
            k
            for k, (session, own) in enumerate(known)
            if find_drifts(session, own, dynamic_pressure=float(own.readings.force_pressure.mean())).offered
        ),
    )
    _tied(joined)
    return joined


def _alike_by(codes: NDArray[np.int_], rows: Iterable[int]) -> tuple[tuple[int, ...], ...]:
    """Gather rows of one code, in the order of their first."""
    found: dict[int, list[int]] = {}
    for row in rows:
        found.setdefault(int(codes[row]), []).append(row)
    return tuple(map(tuple, found.values()))


def shifts_between(
    joined: JoinedDays, *, speed: float, air_density: float, confidence: float = 0.95
) -> Changes:
    """Find how far each block of the days lies from the first one, the car being the same.

    One row for each stratum but the first: it less the first; not a number where nothing ties the two. The
    constants of the blocks by least squares over what was run in several. A shift is real where zero lies
    outside its interval.
    """
    weights = np.zeros((len(joined.strata) - 1, len(joined.fits.readings.runs)))
    told = np.ones(len(weights), bool)
    for k in range(len(weights)):
        apart = np.zeros(len(joined.strata))
        apart[0], apart[k + 1] = -1.0, 1.0
        found = joined.fits.design.weights(apart)
        told[k] = found is not None
        if found is not None:
            weights[k] = joined.fits.over_readings(found)
    return contrast_changes(
        weights,
        joined.fits,
        dynamic_pressure=_pressure(speed, air_density),
        confidence=confidence,
        tied=told,
    )


def against_one(
    joined: JoinedDays, reference: int, *, speed: float, air_density: float, confidence: float = 0.95
) -> Changes:
    """Compare every configuration of the days with one of them.

    One row for each configuration, the reference too, which is 0; not a number where nothing ties the two.
    Mean of a configuration's fits less that of the reference's, less what the days and blocks lie apart:
    where the two were not run on the same days, the uncertainty of the days' shift is in the interval.
    """
    means = joined.fits.means(joined.configurations)
    return contrast_changes(
        means - means[reference],
        joined.fits,
        dynamic_pressure=_pressure(speed, air_density),
        confidence=confidence,
    )


def disagreements(
    joined: JoinedDays, *, speed: float, air_density: float, confidence: float = 0.95
) -> tuple[tuple[tuple[int, int], ...], Changes]:
    """Find how far each configuration that ties days departs, block by block, from one shift for all.

    Returns configuration and stratum of each row, and the departures as rows, resolved where larger than
    scatter makes any. A configuration's mean in a block less its mean over all, the blocks' constants taken
    out (lack of fit: N. R. Draper, H. Smith, Applied Regression Analysis, from memory). As many departures
    are looked at as there are rows and channels: each at a confidence that leaves the chance of any false one
    at what is asked (Bonferroni). With one configuration in common there is nothing to disagree with.
    """
    stratum = {row: k for k, one in enumerate(joined.strata) for row in one.rows}
    places: list[tuple[int, int]] = []
    for k in joined.shared:
        places += [(k, one) for one in sorted({stratum[row] for row in joined.configurations[k]})]
    rows = [[row for row in joined.configurations[k] if stratum[row] == one] for k, one in places]
    own = joined.fits.means(rows)
    whole = joined.fits.means([joined.configurations[k] for k, _ in places])
    each = 1.0 - (1.0 - confidence) / max(1, own.shape[0] * len(WITH_TOTAL))
    changes = contrast_changes(
        own - whole, joined.fits, dynamic_pressure=_pressure(speed, air_density), confidence=each
    )
    scale = np.nanmax(np.abs(joined.fits.readings.areas)) * changes.dynamic_pressure
    found = changes.resolved & (np.abs(changes.change) > _NOTHING * scale)
    return tuple(places), replace(changes, resolved=found)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class JoinedFigures:
    """What joined days say at one speed and density.

    ``shifts`` has one row for each stratum but the first: how far it lies from the first; ``against`` one for
    each configuration: it less the reference; ``across`` whether that was run on no day on which the
    reference was, so that the days' shift is in it. ``departures`` say how far configurations that tie days
    depart from one shift for all, ``places`` configuration and stratum of each.
    """

    joined: JoinedDays
    reference: int
    speed: float
    air_density: float
    confidence: float
    shifts: Changes
    against: Changes
    across: tuple[bool, ...]
    places: tuple[tuple[int, int], ...]
    departures: Changes


def joined_figures(
    joined: JoinedDays,
    reference: int | None = None,
    *,
    speed: float | None = None,
    air_density: float | None = None,
    confidence: float = 0.95,
) -> JoinedFigures:
    """Find what joined days say at one speed and density.

    All of them are contrasts over the readings of all days. Compared with the configuration run on most days,
    at the speed and density of the first day, where nothing else is asked.
    """
    at, density = reference_conditions(joined.sessions[0], speed, air_density)
    chosen = joined.usual_reference() if reference is None else reference
    stated = {"speed": at, "air_density": density, "confidence": confidence}
    places, departures = disagreements(joined, **stated)
    days = [set(joined.days_of(k)) for k in range(len(joined.configurations))]
    return JoinedFigures(
        joined=joined,
        reference=chosen,
        **stated,
        shifts=shifts_between(joined, **stated),
        against=against_one(joined, chosen, **stated),
        across=tuple(not own & days[chosen] for own in days),
        places=places,
        departures=departures,
    )


def like_others(joined_or_days: JoinedDays | Sequence[Session]) -> tuple[tuple[str, str], ...]:
    """List labels that tell apart what has the same settings on different days: each pair might be one configuration.

    Labels of an earlier and of a later one of the days given. For somebody who wrote "base" on one day and
    "baseline" on another.
    """
    days = joined_or_days.sessions if isinstance(joined_or_days, JoinedDays) else joined_or_days
    fitted: list[dict[Hashable, list[Run]]] = []
    for session in days:
        of_day: dict[Hashable, list[Run]] = {}
        for run in session.used:
            of_day.setdefault(run.settings_key, []).append(run)
        fitted.append(of_day)
    found: dict[tuple[str, str], None] = {}
    for first, second in combinations(fitted, 2):
        for settings in first.keys() & second.keys():
            labels = {run.key_over_days for run in first[settings]}
            if labels & {run.key_over_days for run in second[settings]}:
                continue
            found.setdefault((first[settings][0].configuration, second[settings][0].configuration))
    return tuple(sorted(found))


def car_changes(sessions: Sequence[Session]) -> tuple[str, ...]:
    """List in which figures the car's file differs from day to day, by the fields of a vehicle.

    Only what the car is: target, prices, adjusters, notes and the place of its file do not count.
    """
    return tuple(
        name
        for name in _CAR
        if any(getattr(one.vehicle, name) != getattr(sessions[0].vehicle, name) for one in sessions)
    )


def _pressure(speed: float, air_density: float) -> float:
    if not 0.0 < speed < 1e3 or not 0.0 < air_density < 10.0:
        raise DomainError(
            f"speed and density: found {speed:g} m/s and {air_density:g} kg/m³, expected both above 0"
        )
    return float(dynamic_pressure(speed, air_density))


def _one_of_each(days: Sequence[Session]) -> None:
    """Refuse a day that stands there twice, by its folder or by what was read."""
    for first, second in combinations(days, 2):
        if first.same_day(second):
            raise InputError(
                f"{quoted(second.title)}: found the same day twice, expected different days of one car"
            )


def _one_car(days: Sequence[Session]) -> None:
    """Refuse days of different cars."""
    first = days[0].vehicle
    for session in days[1:]:
        other = session.vehicle
        if " ".join(first.name.casefold().split()) != " ".join(other.name.casefold().split()):
            where = f" ({session.folder})" if session.folder else ""  # several days may have one title
            raise InputError(
                f"{quoted(session.title)}{where}: found another car, {quoted(other.name)}, expected {quoted(first.name)}; several cars "
                "stand side by side in a library: axletrim library add"
            )


def _alike(days: Sequence[Session]) -> tuple[int, ...]:
    """Tell which days are taken to scatter alike: those of one named facility, of which none states another figure."""
    codes: list[int] = []
    for k, session in enumerate(days):
        name = session.facility.name
        same = next((j for j in range(k) if name and days[j].facility.name == name), None)
        codes.append(k if same is None else codes[same])
    for code in set(codes):
        some = [k for k, one in enumerate(codes) if one == code]
        figures = [stated_by_facility(days[k]) for k in some]
        stated = [
            (*one.deviation.round(9).tolist(), one.degrees_of_freedom) for one in figures if one is not None
        ]
        if len(set(stated)) > 1:
            for k in some:
                codes[k] = k
    return tuple(codes)


def _tied(joined: JoinedDays) -> None:
    """Refuse days that no chain of configurations ties, and name what would."""
    stratum = {row: k for k, one in enumerate(joined.strata) for row in one.rows}
    label = list(range(len(joined.strata)))
    for rows in joined.configurations:
        some = {label[stratum[row]] for row in rows}
        label = [min(some) if one in some else one for one in label]
    reached = {
        code: {one.day for one, own in zip(joined.strata, label, strict=True) if own == code}
        for code in label
    }
    most = max(reached.values(), key=len)
    if len(most) == len(joined.sessions):
        return
    lone = next(k for k in range(len(joined.sessions)) if k not in most)
    home = min(most)
    here = [k for k in range(len(joined.configurations)) if home in joined.days_of(k)]
    again = max(here, key=lambda k: (len(joined.configurations[k]), -k))
    alike = [
        f"; {quoted(one)} and {quoted(other)} have the same settings: one label for both, if they are one"
        for one, other in like_others([joined.sessions[home], joined.sessions[lone]])[:1]
    ]
    raise InputError(
        f"{quoted(joined.sessions[home].title)} and {quoted(joined.sessions[lone].title)}: found no configuration that was "
        f"run on both, expected one at least, better two; run {quoted(joined.run_of(again).configuration)} on the other day "
        f"too{''.join(alike)}"
    )
