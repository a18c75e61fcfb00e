"""What the screens show, as one frozen value: replaced whole, never changed in place."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from functools import cached_property, lru_cache
from typing import TYPE_CHECKING

from balance.tell.figures import Show
from balance.tell.runs.curves import CHARTS
from balance.tell.runs.run_table import RunTable
from balance.tell.table import order_rows
from balance.units.shown import SYSTEMS, following
from tui.host.library_view import LibraryView, part_shown
from tui.host.parts_view import PartsView
from tui.host.plan_view import PlanView
from tui.host.track_view import TrackView
from tui.host.trim_view import WingView
from tui.host.what_if_view import WhatIfView
from tui.host.work_view import WorkView

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from balance.decide.day.assessment import Assessment
    from balance.decide.day.day import Day
    from balance.decide.doubts.plausibility import Doubt
    from balance.decide.plan.judged_reading import JudgedReading
    from balance.model.errors import Fault
    from balance.model.records import Place, Run, Session
    from balance.tell.library.part_rows import PartRows
    from balance.tell.report.recommended import Recommended

SPEED_STEP = 5.0
"""How far one key press moves the speed shown, in the unit shown."""
FASTEST = 150.0
"""No car is looked at above this speed, in m/s."""


@dataclass(frozen=True, eq=False)
class State:
    """One state of the interface: a day, a speed, a way of looking at it.

    ``assessment`` is ``None`` until a session was read. ``pending`` says that its intervals are still being
    drawn. ``faults`` are those of the files as they stand now; the figures are those of the last good state.
    ``blank`` is the session where no run counts yet. ``unlikely`` are figures of the day worth a second look. ``brief_typed`` is what was typed of the customer's page and
    is not in report.toml, by key. ``two`` are runs of the configurations picked to stand side by side.
    ``recommended`` is what the day arrives at, once that is worked out; ``far`` are readings that are not as expected.
    """

    path: str = ""
    day: Day | None = None
    assessment: Assessment | None = None
    pending: bool = False
    speed: float = 0.0
    units: str = "si"
    folded: bool = True
    sort: tuple[str, bool] | None = None
    wanted: str = ""
    picked: str | None = None
    chart: str = "grip_surplus"
    faults: tuple[Fault, ...] = ()
    unlikely: tuple[Doubt, ...] = ()
    wide: bool = True
    parts: PartsView = field(default_factory=PartsView)
    blank: Session | None = None
    work: WorkView = field(default_factory=WorkView)
    wing: WingView = field(default_factory=WingView)
    what_if: WhatIfView = field(default_factory=WhatIfView)
    plan: PlanView = field(default_factory=PlanView)
    track: TrackView = field(default_factory=TrackView)
    library: LibraryView = field(default_factory=LibraryView)
    brief_typed: Mapping[str, str] = field(default_factory=dict)
    two: tuple[str, str] | None = None
    recommended: Recommended | None = None
    far: tuple[JudgedReading, ...] = ()

    @cached_property
    def show(self) -> Show:
        """The system of units."""
        return _show(self.units)

    @cached_property
    def table(self) -> RunTable | None:
        """The cells of the runs."""
        return None if self.assessment is None else _table(self.assessment, self.units, wide=self.wide)

    @cached_property
    def rows(self) -> tuple[int, ...]:
        """The runs shown, as positions among the used ones, in the order shown."""
        if self.assessment is None:
            return ()
        return _rows(
            self.assessment,
            self.units,
            wide=self.wide,
            folded=self.folded,
            wanted=self.wanted.casefold(),
            sort=self.sort,
        )

    @property
    def run_count(self) -> int:
        """How many runs count."""
        return 0 if self.day is None else len(self.day.readings.runs)

    @cached_property
    def picked_row(self) -> int | None:
        """The picked run as a position among the used ones, or one beside it if it is void; else the first shown."""
        if self.day is None or not self.rows:
            return None
        row = _standing_in(self.day, self.picked or "")
        if row is not None:
            if row in self.rows:
                return row
            head = _head(self.day, self.day.rows.beside(row))
            if head in self.rows:
                return head
        return self.rows[0]

    @property
    def cursor(self) -> int:
        """Where in the rows shown the picked run stands."""
        return 0 if self.picked_row is None else self.rows.index(self.picked_row)

    @property
    def run(self) -> Run | None:
        """The picked run."""
        return (
            None if self.day is None or self.picked_row is None else self.day.readings.runs[self.picked_row]
        )

    @property
    def session(self) -> Session | None:
        """The session that is open, with or without runs."""
        return self.blank if self.day is None else self.day.session

    @property
    def conditions(self) -> tuple[float, float] | None:
        """Speed [m/s] and density [kg/m³] at which forces are shown; nothing while no day is open."""
        return None if self.session is None else (self.speed, self.session.facility.air_density)

    @cached_property
    def library_part(self) -> PartRows | None:
        """The picked part of the library, at the speed shown, its cars in the order asked for."""
        part = self.library.picked
        return None if part is None else part_shown(part, self.library.by, self.conditions)

    @property
    def places(self) -> tuple[Place, ...]:
        """The named places of the session."""
        return () if self.day is None else self.day.session.places

    def judged(self, row: int) -> int:
        """Return the row of the figures that stands for a run: its configuration where repeats are folded."""
        return self.day.rows.standing[row] if self.folded and self.day is not None else row

    @property
    def judged_row(self) -> int | None:
        """The row of the figures that stands for the picked run."""
        return None if self.picked_row is None else self.judged(self.picked_row)

    def repeats_of(self, row: int) -> tuple[int, ...]:
        """List the runs of a run's configuration."""
        return () if self.day is None else self.day.rows.beside(row)

    def with_day(
        self, day: Day, path: str, *, speed: float | None = None, unlikely: tuple[Doubt, ...] = ()
    ) -> State:
        """Take in a session that was read; the picked run stays if it is still there."""
        turned = self._turned_to(path, day.session, speed)
        two = turned.two if {*(turned.two or ())} <= {*day.readings.labels} else None
        return replace(turned, day=day, unlikely=unlikely, pending=True, two=two)

    def with_blank(self, session: Session, path: str, *, speed: float | None = None) -> State:
        """Take in a session in which no run counts yet."""
        turned = self._turned_to(path, session, speed)
        return replace(turned, blank=session, wanted="", parts=PartsView(), two=None)

    def _turned_to(self, path: str, session: Session, speed: float | None) -> State:
        """Turn to a session, still without runs and figures: what belongs to the one before goes with it."""
        own = self if self.path == path else State()
        return State(
            path=path,
            speed=speed or own.speed or session.speed_shown,
            sort=own.sort,
            wanted=own.wanted,
            parts=own.parts,
            wing=own.wing,
            what_if=own.what_if,
            plan=own.plan,
            track=own.track,
            brief_typed=own.brief_typed,
            two=own.two,
            units=self.units,
            folded=self.folded,
            picked=self.picked,
            chart=self.chart,
            wide=self.wide,
            work=self.work,
            library=self.library,
        )

    def with_faults(self, faults: tuple[Fault, ...]) -> State:
        """Keep what is shown, and say what is wrong with the files now."""
        return replace(self, faults=faults)

    def with_assessment(self, assessment: Assessment, *, pending: bool) -> State:
        """Take in figures, if they are of the day and the speed shown; else change nothing."""
        if assessment.day is not self.day or assessment.speed != self.speed:
            return self
        return replace(self, assessment=assessment, pending=pending)

    def with_recommended(self, found: Recommended) -> State:
        """Take in what the day shown arrives at; else change nothing."""
        same = found.day is not self.day or found is self.recommended
        return self if same else replace(self, recommended=found)

    def with_far(self, day: Day, far: tuple[JudgedReading, ...]) -> State:
        """Take in which readings are not as expected, but for those that are doubted already; of another day none."""
        told = {doubt.run for doubt in self.unlikely}
        kept = tuple(one for one in far if one.run not in told)
        return replace(self, far=kept) if day is self.day and kept != self.far else self

    def with_speed(self, speed: float) -> State:
        """Look at another speed; the figures are those of the old one until new ones arrive."""
        return replace(self, speed=speed, pending=True)

    def stepped(self, steps: int) -> State:
        """Move the speed shown to the next multiple of the step."""
        unit = self.show.system.unit("speed")
        shown = unit.from_si(self.speed) / SPEED_STEP
        nearest = round(shown)
        moved = nearest + steps if abs(shown - nearest) < 1e-6 else int(shown // 1) + (1 if steps > 0 else 0)
        most = int(unit.from_si(FASTEST) // SPEED_STEP)
        return self.with_speed(unit.to_si(min(max(moved, 1), most) * SPEED_STEP))

    def at_next_place(self) -> State:
        """Move the speed shown to the next named speed."""
        speeds = [place.speed for place in self.places]
        if not speeds:
            return self
        here = speeds.index(self.speed) if self.speed in speeds else -1
        return self.with_speed(speeds[(here + 1) % len(speeds)])

    def with_other_units(self) -> State:
        """Change to the next system of units: SI, US customary, SI with kgf."""
        return replace(self, units=following(self.units))

    def with_fold_toggled(self) -> State:
        """Fold repeats into one row a configuration, or show every run."""
        return replace(self, folded=not self.folded)

    def sorted_by(self, key: str) -> State:
        """Sort by a column: rising, falling, then in running order again."""
        if self.sort is None or self.sort[0] != key:
            return replace(self, sort=(key, False))
        return replace(self, sort=None if self.sort[1] else (key, True))

    def sorted_by_next(self) -> State:
        """Sort by the next column that holds numbers or verdicts, then in running order again."""
        table = self.table
        if table is None:
            return self
        keys = [None, *(c.key for c in table.columns if c.key not in ("run", "configuration"))]
        here = keys.index(self.sort[0]) if self.sort is not None and self.sort[0] in keys else 0
        following = keys[(here + 1) % len(keys)]
        return replace(self, sort=None if following is None else (following, False))

    def with_next_chart(self) -> State:
        """Draw the next quantity against speed."""
        kinds = list(CHARTS)
        return replace(self, chart=kinds[(kinds.index(self.chart) + 1) % len(kinds)])

    def with_picked(self, row: int) -> State:
        """Pick a run by its position among the used ones."""
        return self if self.day is None else replace(self, picked=self.day.readings.labels[row])


@lru_cache(maxsize=2)
def _show(units: str) -> Show:
    return Show(SYSTEMS[units])


@lru_cache(maxsize=2)
def _table(assessment: Assessment, units: str, *, wide: bool) -> RunTable:
    """Make the cells once for all states that show the same figures in the same way."""
    return RunTable(assessment, _show(units), wide=wide)


@lru_cache(maxsize=2)
def _heads(day: Day) -> tuple[int, ...]:
    """Choose the run that stands for the repeats of each configuration."""
    return tuple(sorted(_head(day, rows) for rows in day.rows.groups))


def _head(day: Day, rows: tuple[int, ...]) -> int:
    """Choose the run that stands for its repeats: the first good one."""
    runs = day.readings.runs
    return next((row for row in rows if runs[row].status == "good"), rows[0])


@lru_cache(maxsize=4)
def _rows(
    assessment: Assessment,
    units: str,
    *,
    wide: bool,
    folded: bool,
    wanted: str,
    sort: tuple[str, bool] | None,
) -> tuple[int, ...]:
    """Choose and order the runs shown, once for all states that show the same ones."""
    table = _table(assessment, units, wide=wide)
    rows = _heads(assessment.day) if folded else assessment.day.rows.singles
    stands = assessment.day.rows.standing if folded else assessment.day.rows.singles
    words = wanted.split()
    kept = [row for row in rows if not words or _has_words(table, stands[row], words)]
    if sort is None:
        return tuple(kept)
    key, falling = sort
    return tuple(order_rows(kept, lambda row: table.sort_value(stands[row], key), falling=falling))


def _has_words(table: RunTable, row: int, words: list[str]) -> bool:
    """Return whether every word stands in a run's label, configuration, settings, note or verdict."""
    return all(any(word in text.casefold() for text in _texts(table, row)) for word in words)


def _texts(table: RunTable, row: int) -> Iterator[str]:
    """List what a run is filtered by, the verdict last, which takes longest to write."""
    run = table.table.runs[row]
    yield from (run.label, run.configuration, *run.settings, run.note)
    yield from (str(setting.value) for setting in run.settings.values())
    yield table.cell(row, "verdict").text


@lru_cache(maxsize=2)
def _positions(day: Day) -> dict[str, int]:
    """Find the position of each run by its label."""
    return {label: row for row, label in enumerate(day.readings.labels)}


def _standing_in(day: Day, label: str) -> int | None:
    """Find the position of a run; of one that does not count that of the next run that does, or of the last."""
    known, labels = _positions(day), [run.label for run in day.session.runs]
    if label in known or label not in labels:
        return known.get(label)
    later = labels[labels.index(label) :]
    return next((known[other] for other in later if other in known), len(known) - 1)
