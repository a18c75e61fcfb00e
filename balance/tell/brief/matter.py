"""What a brief is about: the runs, the speed and the results behind every section, worked out once."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from balance.compare.contrasts import FRONT, REAR
from balance.compare.waterfall import build_waterfall
from balance.decide.assessment import assess
from balance.decide.basis import basis_of
from balance.decide.best_balanced import best_balanced
from balance.decide.day_scatter import scatter_of_day
from balance.decide.parts import assess_parts
from balance.decide.sweeps import speed_range, sweep
from balance.errors import InputError
from balance.shown_units import SI, US
from balance.tell.figures import Show

if TYPE_CHECKING:
    from balance.compare.waterfall import Waterfall
    from balance.decide.assessment import Assessment
    from balance.decide.basis import Basis
    from balance.decide.day import Day
    from balance.decide.day_scatter import DayScatter
    from balance.decide.parts import Parts
    from balance.decide.sweeps import Sweep
    from balance.files.brief_file import BriefChoices
    from balance.records import Run, Session

MOST_RUNS = 8
"""Runs in tables and bars where the engineer chose none."""
MOST_PARTS = 16
"""Parts told one by one where the engineer chose none: those that changed an axle's load most."""
SPEEDS = 33
"""Speeds along a curve."""


@dataclass(frozen=True)
class Matter:
    """A day, what the engineer chose of it, and the system of units that leads."""

    day: Day
    choices: BriefChoices
    show: Show

    @property
    def session(self) -> Session:
        """The session."""
        return self.day.session

    @property
    def usual_title(self) -> str:
        """The title of a page that was given none."""
        return f"Balance, load and drag of {self.session.vehicle.name}"

    @cached_property
    def other(self) -> Show:
        """The system of units that stands second."""
        return Show(US if self.show.system.name == "SI" else SI)

    @cached_property
    def speed(self) -> float:
        """The speed at which everything is stated [m/s]: chosen, else of the first place, else the facility's."""
        places = self.session.places
        return self.choices.speed or (places[0].speed if places else self.session.facility.speed)

    @property
    def speed_why(self) -> str:
        """Say where that speed comes from."""
        if self.choices.speed:
            return "chosen for this brief"
        return (
            f"the speed of “{self.session.places[0].name}”"
            if self.session.places
            else "the speed of the facility"
        )

    @cached_property
    def table(self) -> Assessment:
        """Every run at that speed."""
        return assess(self.day, speed=self.speed)

    @cached_property
    def parts(self) -> Parts:
        """Every part at that speed."""
        return assess_parts(self.day, speed=self.speed)

    @cached_property
    def scatter(self) -> DayScatter:
        """How well the day can tell."""
        return scatter_of_day(self.day)

    @property
    def runs(self) -> tuple[Run, ...]:
        """The runs that count."""
        return self.day.readings.runs

    @cached_property
    def baseline(self) -> int:
        """Where the car started: the run chosen, else the first."""
        return self._row(self.choices.baseline) if self.choices.baseline else 0

    @cached_property
    def answer(self) -> int:
        """The run that the brief arrives at: chosen, else the best balanced."""
        return self._row(self.choices.answer) if self.choices.answer else best_balanced(self.table)

    @property
    def ends(self) -> tuple[int, ...]:
        """Baseline and answer; the answer alone where both are one configuration."""
        same = self.day.group_of[self.baseline] == self.day.group_of[self.answer]
        return (self.answer,) if same else (self.baseline, self.answer)

    @cached_property
    def shown(self) -> tuple[int, ...]:
        """The runs in tables and bars: those chosen, else baseline, answer, and the others while there is room."""
        if self.choices.runs:
            return tuple(self._row(label) for label in self.choices.runs)
        first = [rows[0] for rows in self.day.configurations]
        keep = {self.baseline, self.answer}
        doubled = {k for row in keep for k in self.day.configurations[self.day.group_of[row]]} - keep
        others = [row for row in first if row not in keep | doubled and self.runs[row].status != "suspect"]
        step = max(1.0, len(others) / max(MOST_RUNS - len(keep), 1))
        picked = [others[int(k * step)] for k in range(int(len(others) / step))] if others else []
        return tuple(sorted({*keep, *picked}))

    @property
    def some_left_out(self) -> int:
        """How many configurations are not shown because nobody chose and there are too many."""
        shown = {self.day.group_of[row] for row in self.shown}
        return 0 if self.choices.runs else len(self.day.configurations) - len(shown)

    @cached_property
    def told(self) -> tuple[int, ...]:
        """Parts told one by one, as positions among the increments: those chosen, else the most that have room."""
        pairs, labels = self.parts.increments.pairs, self.day.readings.labels
        wanted = self.choices.parts
        by_run = {labels[pair.run]: row for row, pair in enumerate(pairs)}
        if wanted:
            return tuple(by_run[label] for label in wanted if label in by_run)
        size = np.abs(self.parts.increments.changes.change[:, [FRONT, REAR]]).max(axis=1, initial=0.0)
        return tuple(sorted(sorted(self._shown_once, key=lambda row: -size[row])[:MOST_PARTS]))

    @property
    def parts_left_out(self) -> tuple[int, ...]:
        """Parts that are not told because nobody chose and there are too many."""
        return () if self.choices.parts else tuple(row for row in self._shown_once if row not in self.told)

    @cached_property
    def _shown_once(self) -> tuple[int, ...]:
        """Each comparison that shows a part, once."""
        once: dict[tuple[tuple[int, ...], tuple[int, ...]], int] = {}
        for row, pair in enumerate(self.parts.increments.pairs):
            if pair.shows_part:
                once.setdefault((pair.runs, pair.baseline_runs), row)
        return tuple(once.values())

    @cached_property
    def way(self) -> Waterfall | None:
        """Baseline to answer in the order of building; None where they are one, or no baselines lead there."""
        labels = self.day.readings.labels
        if self.day.group_of[self.baseline] == self.day.group_of[self.answer]:
            return None
        try:
            return build_waterfall(self.parts.increments, labels[self.answer], base=labels[self.baseline])
        except InputError:
            return build_waterfall(
                self.parts.increments, labels[self.answer], through=(labels[self.baseline],)
            )

    @cached_property
    def basis(self) -> Basis:
        """The day made ready for curves, trim and what-if."""
        return basis_of(self.day)

    def against_speed(self, row: int) -> Sweep:
        """One run over the speeds that are drawn."""
        if row not in self._swept:
            whole = speed_range(self.day)
            speeds = np.linspace(whole[0], whole[-1], SPEEDS)
            self._swept[row] = sweep(self.day, row, speeds)
        return self._swept[row]

    def at(self, row: int, speeds: tuple[float, ...]) -> Sweep:
        """One run at some speeds."""
        return sweep(self.day, row, np.array(speeds))

    @cached_property
    def _swept(self) -> dict[int, Sweep]:
        return {}

    def _row(self, label: str) -> int:
        return self.day.readings.labels.index(label)

    def name(self, row: int) -> str:
        """Name a run by its label and configuration."""
        return f"Run {self.runs[row].label}, {self.runs[row].configuration}"
