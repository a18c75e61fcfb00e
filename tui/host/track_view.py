"""How the customer's track is looked at, as one frozen value: replaced whole, never changed in place."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Mapping

    from balance.decide.day.day import Day
    from balance.decide.day.estimate import Estimate
    from balance.decide.day.range_verdict import RangeVerdict
    from balance.decide.laps.buying import ForSale
    from balance.decide.laps.changed_laps import SettingSteps
    from balance.decide.laps.day_laps import DayLaps
    from balance.decide.laps.packages import Packages
    from balance.decide.laps.worth import ExchangeRate
    from balance.decide.parts.parts import Parts
    from balance.files.day.durable import Stamp

LISTS = ("configurations", "parts", "prices")
"""What is listed below the track, in the order in which a key goes through them."""


@dataclass(frozen=True, eq=False)
class TrackWanted:
    """What figures of a track hang on: the day, its start, the folder of the track, and its files as they stand.

    ``folder`` is nothing where the car has no track; ``folders`` are all that it has.
    """

    day: Day
    start: int
    folders: tuple[Path, ...]
    folder: Path | None
    stamps: tuple[Stamp | None, ...]

    def same(self, other: TrackWanted | None) -> bool:
        """Return whether another one asks for the same."""
        return (
            other is not None
            and self.day is other.day
            and (self.start, self.folders, self.folder, self.stamps)
            == (other.start, other.folders, other.folder, other.stamps)
        )


class TrackFigures(NamedTuple):
    """Laps of a day on a track with what they hang on, or why there are none and what to do."""

    wanted: TrackWanted
    laps: DayLaps | None = None
    parts: Parts | None = None
    ranges: Mapping[int, RangeVerdict] = MappingProxyType({})
    order: tuple[int, ...] = ()
    missing: tuple[str, ...] = ()


class CornersPicked(NamedTuple):
    """What is worked out for the picked configuration alone: seconds of its corners, what downforce pays for, steps of its settings."""

    laps: DayLaps
    position: int
    losses: tuple[Estimate, ...]
    rate: ExchangeRate
    steps: tuple[SettingSteps, ...]


@dataclass(frozen=True, eq=False)
class PricesFound:
    """The packages of priced parts that are worth their price; ``fault`` is why there are none."""

    laps: DayLaps
    sale: ForSale | None = None
    packages: Packages | None = None
    fault: str = ""


@dataclass(frozen=True, eq=False)
class TrackView:
    """The figures as they were worked out last, which track and configuration are looked at, and which list is shown.

    ``picked`` is the place of the configuration in the list.
    """

    figures: TrackFigures | None = None
    folder: Path | None = None
    picked: int = 0
    listed: str = LISTS[0]
    corners: Mapping[int, CornersPicked] = field(default_factory=dict)
    prices: PricesFound | None = None

    def with_figures(self, figures: TrackFigures) -> TrackView:
        """Take in figures; what was worked out of others goes."""
        folder = figures.wanted.folder  # kept, so that a track that is made later does not take its place
        return replace(self, figures=figures, folder=folder, corners={}, prices=None, picked=0)

    def with_corners(self, found: CornersPicked) -> TrackView:
        """Take in what was worked out for a configuration, unless it is of other laps."""
        if self.figures is None or self.figures.laps is not found.laps:
            return self
        return replace(self, corners={**self.corners, found.position: found})

    def with_prices(self, found: PricesFound) -> TrackView:
        """Take in packages, unless they are of other laps."""
        if self.figures is None or self.figures.laps is not found.laps:
            return self
        return replace(self, prices=found)

    def with_next_list(self, lists: tuple[str, ...] = LISTS) -> TrackView:
        """Show the next of some lists."""
        here = lists.index(self.listed) if self.listed in lists else 0
        return replace(self, listed=lists[(here + 1) % len(lists)])

    def with_next_track(self) -> TrackView:
        """Turn to the next track of the car."""
        if self.figures is None or self.figures.wanted.folder is None:
            return self
        folders, here = self.figures.wanted.folders, self.figures.wanted.folder
        return replace(self, folder=folders[(folders.index(here) + 1) % len(folders)])

    @property
    def position(self) -> int | None:
        """The picked configuration among those that were lapped."""
        if self.figures is None or not self.figures.order:
            return None
        return self.figures.order[min(self.picked, len(self.figures.order) - 1)]

    @property
    def of_picked(self) -> CornersPicked | None:
        """What was worked out for the picked configuration."""
        return None if self.position is None else self.corners.get(self.position)

    def paid(self, day: Day) -> tuple[str, float] | None:
        """Return the track, and the newtons of drag that one newton of downforce pays for there, once page 9 has found them."""
        found = self.of_picked
        if found is None or found.laps.day is not day:
            return None
        return found.laps.track.name, float(found.rate.balanced.value)


def track_wanted(day: Day, start: int | None, folder: Path | None) -> TrackWanted:
    """State what figures have to hang on: the track that was turned to, else the first of the car."""
    from balance.files.day.durable import glance  # noqa: PLC0415 - after the first paint
    from balance.files.track_path import LINE_FILE, TRACK_FILE, tracks_of  # noqa: PLC0415 - as above

    folders = tuple(tracks_of(Path(day.session.vehicle.source).parent))
    chosen = folder if folder in folders else next(iter(folders), None)
    stamps = () if chosen is None else tuple(glance(chosen / name) for name in (TRACK_FILE, LINE_FILE))
    return TrackWanted(day, day.rows.standing[0] if start is None else start, folders, chosen, stamps)


def work_out_track(wanted: TrackWanted) -> TrackFigures:
    """Read the track and lap the day on it, in a thread; what is missing is told in words."""
    from balance.decide.day.assessment import assess  # noqa: PLC0415 - after the first paint
    from balance.decide.laps.day_laps import by_seconds, lap_day, stuck_at  # noqa: PLC0415 - as above
    from balance.decide.parts.parts import assess_parts  # noqa: PLC0415 - as above
    from balance.files.formats.track import read_track  # noqa: PLC0415 - as above
    from balance.model.errors import AxletrimError  # noqa: PLC0415 - as above
    from balance.tell.laps import missing_words as words  # noqa: PLC0415 - as above
    from balance.tell.laps.corner_table import paces_of  # noqa: PLC0415 - as above

    day = wanted.day
    if wanted.folder is None:
        return TrackFigures(wanted, missing=words.no_track_words(day.session))
    try:
        track = read_track(wanted.folder)
    except AxletrimError as fault:
        return TrackFigures(wanted, missing=words.fault_words(fault))
    try:
        stuck = stuck_at(day, track, wanted.start)
    except AxletrimError as fault:
        return TrackFigures(wanted, missing=words.no_lap_words(fault))
    if stuck is not None:
        return TrackFigures(wanted, missing=words.stuck_words(track, stuck))
    parts = assess_parts(day)
    laps = lap_day(day, track, start=wanted.start, increments=parts.increments)
    paces_of(laps)  # found here, so that no key waits for it
    ranges = dict(zip(laps.rows, assess(day, rows=laps.rows).ranges, strict=True))
    return TrackFigures(wanted, laps, parts, ranges, by_seconds(laps, ranges))


def work_out_corners(laps: DayLaps, position: int) -> CornersPicked:
    """Work out what stands beside the picked configuration alone, in a thread."""
    from balance.decide.laps.changed_laps import lap_settings  # noqa: PLC0415 - after the first paint
    from balance.decide.laps.corner_losses import corner_losses  # noqa: PLC0415 - as above
    from balance.model.errors import AxletrimError  # noqa: PLC0415 - as above
    from tui.host.prepared_days import prepared_with  # noqa: PLC0415 - as above

    try:
        steps = lap_settings(prepared_with(laps.day, ()), laps.track, laps.run(position).label)
    except AxletrimError:
        steps = ()  # one that does not get round with a step more or less
    return CornersPicked(laps, position, corner_losses(laps, position), laps.rate(position), steps)


def work_out_prices(laps: DayLaps) -> PricesFound:
    """Work out which packages of priced parts are worth their price, in a thread."""
    from balance.decide.laps.buying import ForSale, buying_of_day  # noqa: PLC0415 - after the first paint
    from balance.decide.laps.packages import price_packages  # noqa: PLC0415 - as above
    from balance.model.errors import AxletrimError  # noqa: PLC0415 - as above
    from tui.host.expected_lines import plan_of  # noqa: PLC0415 - as above

    session = laps.day.session
    if not session.vehicle.prices:
        return PricesFound(laps, ForSale(None, (), ""))
    try:
        sale = buying_of_day(laps.day, plan_of(session), laps.track)
        packages = (
            None if sale.buying is None else price_packages(sale.buying, confidence=laps.day.confidence)
        )
    except AxletrimError as fault:
        return PricesFound(laps, fault=str(fault))
    return PricesFound(laps, sale, packages)
