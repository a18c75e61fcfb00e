"""A session reduced once: readings, scatter, and the draws that all its figures share."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

import numpy as np

from balance.model.errors import DomainError
from balance.reduce.draws import DECISION_DRAWS, shared_draws
from balance.reduce.fits import Fits, fits_of_session
from balance.reduce.readings import reduce_session
from balance.reduce.repeats import configurations
from balance.reduce.rows import judged_rows

if TYPE_CHECKING:
    from collections.abc import Collection, Hashable, Sequence

    from numpy.typing import NDArray

    from balance.compare.increments import Increments
    from balance.decide.day.overturn import Overturn
    from balance.decide.day.range_verdict import RangeVerdict
    from balance.model.records import Session
    from balance.reduce.draws import SharedDraws
    from balance.reduce.readings import Readings
    from balance.reduce.repeatability import Repeatability
    from balance.reduce.rows import Rows


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Day:
    """A session reduced once: readings, scatter, and the draws that all its figures share."""

    session: Session
    fits: Fits
    """Its readings by fit, and what they scatter."""
    shared: SharedDraws
    rows: Rows
    """What a table's rows are: the readings, and the means of configurations."""
    configurations: tuple[tuple[int, ...], ...]
    """Rows of each configuration's runs, in the order of their first run."""
    group_of: tuple[int, ...]
    """For each row, its configuration."""
    confidence: float = 0.95
    judged: dict[Hashable, RangeVerdict] = field(default_factory=dict)
    """Verdicts over the range of speeds, which do not hang on the speed shown, worked out so far."""
    overturned: dict[Hashable, tuple[Overturn, ...]] = field(default_factory=dict)
    """What would overturn those verdicts, worked out so far."""
    compared: list[Increments] = field(default_factory=list)
    """The day's increments at its own speed and density, once somebody has asked for them."""

    @property
    def readings(self) -> Readings:
        """The session's readings."""
        return self.fits.readings

    @property
    def repeatability(self) -> Repeatability:
        """How well one reading of one fit is known."""
        return self.fits.repeatability

    def configuration_of(self, row: int) -> str:
        """Name a row's configuration, with its block where it was run in several: loads are of their own block."""
        first = self.rows.members[row][0]
        run = self.readings.runs[first]
        several = int(self.fits.groups[first]) in self.fits.in_several_blocks
        return f"{run.configuration}, {run.block or 'no block'}" if several else run.configuration

    def name_of(self, row: int) -> str:
        """Name what a row is: its configuration, and of a mean the readings that it is the mean of."""
        members, named = self.rows.members[row], self.configuration_of(row)
        if len(members) == 1:
            return named
        return f"{named} (mean of runs {', '.join(self.readings.labels[one] for one in members)})"

    def areas(self, rows: Sequence[int]) -> NDArray[np.float64]:
        """Return front, rear and drag area of some rows, (3, rows) [m²]."""
        return np.asarray((self.rows.weighted(rows) @ self.readings.areas).T)

    def stds(self, rows: Sequence[int]) -> NDArray[np.float64]:
        """Return the standard uncertainty of front, rear, drag and total area of some rows, (4, rows) [m²]."""
        return self.fits.stds(self.rows.weighted(rows))

    def draws(self, rows: Sequence[int]) -> NDArray[np.float64] | None:
        """Return draws of the areas of some rows, (3, draws, rows) [m²]; nothing where the scatter is unknown.

        A row's draws are the same whichever others are asked for, and a mean shares those of its fits.
        """
        return self.fits.draws(self.rows.weighted(rows), self.shared)


def reduce_day(session: Session, *, draws: int = DECISION_DRAWS, confidence: float = 0.95) -> Day:
    """Reduce a session once, for whatever is asked of it later.

    Parameters
    ----------
    session : Session
        As read from its files. [1]
    draws : int, optional
        Number of draws behind every interval, at least 100. [1]
    confidence : float, optional
        Share of the draws inside an interval, between 0.5 and 0.999. [1]

    Returns
    -------
    Day
        Fits, their scatter, and shared draws. [1]

    Raises
    ------
    DomainError
        If the number of draws or the confidence makes no interval, every run is void, or a place stands on a track that
        the car does not get round.

    Notes
    -----
    Scatter first, then the draws that every figure of the session shares. A place on a track gets its speed.

    References
    ----------
    JCGM 101:2008, 7.2 (number of trials).
    """
    if draws < 100:
        raise DomainError(f"draws: found {draws}, expected at least 100")
    if not 0.5 <= confidence <= 0.999:
        raise DomainError(f"confidence: found {confidence:g}, expected 0.5 to 0.999")
    if not session.used:
        raise DomainError(
            f"day: found {len(session.runs)} runs, none that counts, expected at least one not void"
        )
    readings = reduce_session(session)
    fits = fits_of_session(session, readings)
    rows = judged_rows(fits)
    if any(place.track is not None for place in session.places):
        from balance.decide.laps.places import with_place_speeds  # noqa: PLC0415 - few days have a place on a track

        session = with_place_speeds(session, (rows.weighted(rows.standing[:1]) @ readings.areas)[0])
    shared = shared_draws(session, fits.repeatability, count=draws)
    groups = configurations(readings.runs)
    group_of = {row: k for k, rows in enumerate(groups) for row in rows}
    return Day(
        session=session,
        fits=fits,
        shared=shared,
        rows=rows,
        configurations=groups,
        group_of=tuple(group_of[row] for row in range(len(readings.runs))),
        confidence=confidence,
    )


def readings_alone(day: Day, labels: Collection[str]) -> Day:
    """Judge some readings by themselves, not by the mean of their configuration.

    For somebody who asks what one run says; the scatter stays that of all repeats.
    """
    names = day.readings.labels
    sets = tuple((row,) if names[row] in labels else own for row, own in enumerate(day.fits.sets))
    standing = tuple(row if names[row] in labels else own for row, own in enumerate(day.rows.standing))
    return replace(
        day,
        fits=replace(day.fits, sets=sets),
        rows=replace(day.rows, standing=standing),
        compared=[],
    )


def day_across_blocks(day: Day) -> Day:
    """Ignore changes of block.

    For somebody who knows that nothing was re-zeroed or refitted between them: fits, scatter, rows and draws
    that know of no blocks.
    """
    fits = fits_of_session(day.session, day.readings, across_blocks=True)
    shared = shared_draws(day.session, fits.repeatability, count=day.shared.count)
    return replace(day, fits=fits, shared=shared, rows=judged_rows(fits), judged={})
