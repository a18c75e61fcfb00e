"""How the parts of the day are looked at, as one frozen value: replaced whole, never changed in place."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache
from typing import TYPE_CHECKING

from balance.model.baseline_names import named_baselines
from balance.tell.figures import Show
from balance.units.shown import SYSTEMS

if TYPE_CHECKING:
    from balance.decide.day.day import Day
    from balance.decide.parts.parts import Parts
    from balance.tell.parts.part_table import PartTable

PARTS_CHARTS = ("map", "way")
"""What is drawn beside the picked part: the map of increments, or the way from the first baseline."""

PartsWanted = tuple["Day", float, tuple[tuple[str, str], ...], bool]
"""What figures of parts hang on: day, speed, baselines chosen by hand, whether the drift is taken out."""


@dataclass(frozen=True, eq=False)
class PartsView:
    """Rank, picked part, baselines chosen by hand, treatment of drift; and the figures, with what they hang on.

    ``baselines`` are pairs of run and baseline. They stand above what runs.csv states and are not written to it:
    who saves them takes them from here.
    """

    figures: Parts | None = None
    worked_out_for: PartsWanted | None = None
    rank: str = "downforce"
    picked: str | None = None
    baselines: tuple[tuple[str, str], ...] = ()
    correct_drift: bool = False
    chart: str = PARTS_CHARTS[0]

    def wanted(self, day: Day, speed: float) -> PartsWanted:
        """Return what figures have to hang on for a day and a speed."""
        return day, speed, self.chosen_baselines(day), self.correct_drift

    def chosen_baselines(self, day: Day) -> tuple[tuple[str, str], ...]:
        """Return the baselines chosen by hand whose runs are still there."""
        labels = set(day.readings.labels)
        return tuple(
            (run, named)
            for run, named in self.baselines
            if labels.issuperset((run, *named_baselines(named, labels)))
        )

    def with_figures(self, figures: Parts, wanted: PartsWanted) -> PartsView:
        """Take in figures."""
        return replace(self, figures=figures, worked_out_for=wanted)

    def with_next_rank(self) -> PartsView:
        """Put the parts in the next order."""
        from balance.tell.parts.part_table import RANKS  # noqa: PLC0415 - after the first paint

        return replace(self, rank=_next(tuple(RANKS), self.rank))

    def with_next_chart(self) -> PartsView:
        """Draw the other picture."""
        return replace(self, chart=_next(PARTS_CHARTS, self.chart))

    def with_drift_toggled(self) -> PartsView:
        """Take the drift out, or leave it in."""
        return replace(self, correct_drift=not self.correct_drift)

    def with_baseline(self, run: str, baseline: str | None) -> PartsView:
        """Compare a run with another one; with nothing, as the file states or as proposed."""
        others = tuple(pair for pair in self.baselines if pair[0] != run)
        return replace(self, baselines=others if baseline is None else (*others, (run, baseline)))

    def rows(self) -> tuple[int, ...]:
        """Return the parts in order, each comparison once."""
        return () if self.figures is None else _ranked(self.figures, self.rank)

    def picked_row(self) -> int | None:
        """Return the picked part; the first shown where none is picked."""
        rows = self.rows()
        if self.figures is None or not rows:
            return None
        return next((row for row in rows if self.run_of(row) == self.picked), rows[0])

    def run_of(self, row: int) -> str:
        """Name the run of a part."""
        assert self.figures is not None  # noqa: S101 - asked for by a view with figures
        increments = self.figures.increments
        return increments.readings.labels[increments.pairs[row].run]

    def table(self, units: str, *, wide: bool) -> PartTable | None:
        """Return the cells of the parts."""
        return None if self.figures is None else _table(self.figures, units, wide=wide)


def work_out(wanted: PartsWanted) -> tuple[Parts, PartsWanted]:
    """Work out the parts of a day: for a worker thread."""
    from balance.decide.parts.baselines import with_baselines  # noqa: PLC0415 - after the first paint
    from balance.decide.parts.parts import assess_parts  # noqa: PLC0415 - after the first paint

    day, speed, baselines, correct_drift = wanted
    figures = assess_parts(with_baselines(day, dict(baselines)), speed=speed, correct_drift=correct_drift)
    return figures, wanted


def _next(known: tuple[str, ...], here: str) -> str:
    return known[(known.index(here) + 1) % len(known)]


@lru_cache(maxsize=4)
def _ranked(figures: Parts, rank: str) -> tuple[int, ...]:
    from balance.tell.parts.part_table import PartTable  # noqa: PLC0415 - after the first paint

    return PartTable(figures, Show(SYSTEMS["si"])).ranked(rank)


@lru_cache(maxsize=4)
def _table(figures: Parts, units: str, *, wide: bool) -> PartTable:
    from balance.tell.parts.part_table import PartTable  # noqa: PLC0415 - after the first paint

    return PartTable(figures, Show(SYSTEMS[units]), wide=wide)
