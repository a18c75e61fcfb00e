"""What a report is about: the runs, the speed and the results behind every section, worked out once."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from balance.compare.waterfall import build_waterfall
from balance.decide.car.prepared_day import prepare_day
from balance.decide.day.assessment import assess
from balance.decide.day.best_balanced import best_balanced, nearest_to_balance
from balance.decide.day.day_scatter import scatter_of_day
from balance.decide.day.sweeps import speed_range, sweep
from balance.decide.day.verdict import VerdictWord
from balance.decide.laps.day_laps import lap_day, stuck_at
from balance.decide.parts.parts import assess_parts
from balance.decide.recommendation.mounts import mount_loads
from balance.decide.recommendation.way_there import dangerous_middle, steps_between
from balance.files.formats.report import LONG_WORDS, report_file
from balance.files.formats.track import read_track
from balance.files.track_path import tracks_of
from balance.model.channels import FRONT, REAR
from balance.model.errors import AxletrimError, InputError
from balance.tell.figures import Show, capital
from balance.tell.library.cars_before import cars_before, said_of_pair
from balance.tell.parts.column_text import resolved_columns
from balance.tell.parts.part_names import differing, runs_words, setting_words
from balance.tell.runs.range_words import may_loosen
from balance.tell.runs.run_table import shortened
from balance.units.shown import SI, US

if TYPE_CHECKING:
    from balance.compare.waterfall import Waterfall
    from balance.decide.car.prepared_day import PreparedDay
    from balance.decide.day.assessment import Assessment
    from balance.decide.day.best_balanced import Choice
    from balance.decide.day.day import Day
    from balance.decide.day.day_scatter import DayScatter
    from balance.decide.day.sweeps import Sweep
    from balance.decide.laps.day_laps import DayLaps
    from balance.decide.parts.parts import Parts
    from balance.decide.recommendation.mounts import Mount
    from balance.decide.recommendation.way_there import Middle, Step
    from balance.files.formats.report import BriefChoices
    from balance.model.libraries import Said
    from balance.model.records import Run, Session
    from balance.tell.library.cars_before import CarsBefore

MOST_RUNS = 8
"""Runs in tables and bars where the engineer chose none."""
LEAST_ROWS, ROWS_LINES, NAME_LINE = 4, 24, 26
"""Where names are long: the fewest rows of a table, the printed lines of all of them, and the characters of a name in a line."""
COMPARED_TAKES = 8
"""Characters of such a line that a compared column beside it takes."""
MOST_PARTS, MOST_IN_FULL = 8, 16
"""Comparisons told one by one where the engineer chose none: one of each part, however many; then, while there is room, those of
the recommendation, those that changed a compared column by more than noise, and those that changed an axle's load most."""
LEAST_STEPS = 3
"""Comparisons of one setting that are its steps: a picture shows them, so that in the table they stand behind all others."""
_NAMED = 3
"""Runs of a mean that are named one by one."""
SPEEDS = 33
"""Speeds along a curve."""


@dataclass(frozen=True)
class ReportData:
    """A day, what the engineer chose of it, and the system of units that leads.

    ``library`` names the library's folder, else it is found as everywhere.
    """

    day: Day
    choices: BriefChoices
    show: Show
    library: str | None = None

    @property
    def session(self) -> Session:
        """The session."""
        return self.day.session

    @property
    def full(self) -> bool:
        """Whether everything is told: method, all runs, glossary, figures in second units."""
        return self.choices.depth == "full"

    @staticmethod
    def is_long(words: str) -> bool:
        """Whether own words are too long to stand under their heading."""
        return len(words.strip()) > LONG_WORDS

    @property
    def usual_title(self) -> str:
        """The title of a page that was given none."""
        return f"Aerodynamic balance of the {self.session.vehicle.name}"

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
    def place_speeds(self) -> tuple[float, ...]:
        """The named speeds, each once, the lowest first [m/s]."""
        return tuple(sorted({place.speed for place in self.session.places}))

    @property
    def speed_why(self) -> str:
        """Say where that speed comes from."""
        if self.choices.speed:
            return next(
                (p.name for p in self.session.places if p.speed == self.speed), "chosen for this report"
            )
        return self.session.places[0].name if self.session.places else "the speed of the tests"

    @cached_property
    def table(self) -> Assessment:
        """Every reading and every configuration at that speed; positions are the day's rows."""
        return assess(self.day, speed=self.speed, rows=self.day.rows.every)

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
        """The readings that count."""
        return self.day.readings.runs

    def run(self, row: int) -> Run:
        """Return the run of a row; of a mean, the first of its readings."""
        return self.table.runs[row]

    def labels(self, row: int) -> str:
        """Name the runs of a row: its label, those that it is the mean of, or the first and how many more there are."""
        members = self.day.rows.members[row]
        labels = [self.day.readings.labels[one] for one in members]
        return ", ".join(labels) if len(labels) <= _NAMED else f"{labels[0]} and {len(labels) - 1} more"

    def runs_words(self, row: int) -> str:
        """Name the runs of a row behind the word."""
        several = len(self.day.rows.members[row]) > 1
        return f"run{'s' * several} {self.labels(row)}"

    @cached_property
    def baseline(self) -> int:
        """Where the car started: the configuration of the run chosen, else of the first."""
        return self._row(self.choices.baseline) if self.choices.baseline else self.day.rows.standing[0]

    @cached_property
    def answer(self) -> int:
        """The configuration that the report arrives at: that of the run chosen, else the best balanced."""
        if self.choices.answer:
            return self._row(self.choices.answer)
        return self.chosen.row if self.recommends else nearest_to_balance(self.table)

    @cached_property
    def chosen(self) -> Choice:
        """What is arrived at where nobody names a recommendation; the start's own settings in another block are the start."""
        start = self.run(self.baseline)
        again = {
            row
            for row in self.day.rows.configurations
            if row != self.baseline
            and self.run(row).settings == start.settings
            and (start.settings or self.run(row).configuration == start.configuration)
        }
        return best_balanced(self.day, self.baseline, without=again)

    @property
    def recommends(self) -> bool:
        """Whether the page may recommend it: the engineer chose one that is not dangerous, or it is in balance by itself."""
        if self.choices.answer:
            return not self.table.ranges[self._row(self.choices.answer)].dangerous
        return self.chosen.safe and self.chosen.balanced

    @cached_property
    def steps(self) -> tuple[Step, ...]:
        """What has to be changed from the start to get there, in a safe order."""
        return steps_between(self.table, self.parts, self.baseline, self.answer)

    @cached_property
    def middle(self) -> Middle | None:
        """The dangerous configuration between both, where one was run."""
        return dangerous_middle(self.table, self.parts, self.baseline, self.answer, self.steps)

    @cached_property
    def next_best(self) -> int | None:
        """The configuration that would be chosen without the one arrived at, the start, and what has the settings of either."""
        ends = [own for row in (self.answer, self.baseline) if (own := self.run(row).settings)]
        gone = {row for row in self.day.rows.configurations if self.run(row).settings in ends}
        gone |= {self.answer, self.baseline}
        if gone >= set(self.day.rows.configurations):
            return None
        return best_balanced(self.day, self.baseline, without=gone).row

    @cached_property
    def safer(self) -> int | None:
        """Where the front may overpower the rear in the range of the one arrived at: the best of those that stay in balance."""
        ranges, rows = self.table.ranges, self.day.rows.configurations
        own = ranges[self.answer]
        loose = (
            own.word is VerdictWord.CANNOT_TELL or own.edge is VerdictWord.FRONT_OVERPOWERS or may_loosen(own)
        )
        staying = [
            row
            for row in rows
            if ranges[row].word is VerdictWord.IN_BALANCE
            and not may_loosen(ranges[row])
            and self.run(row).status != "suspect"
        ]
        if not (loose and self.recommends and staying):
            return None
        return best_balanced(self.day, self.baseline, without=set(rows) - set(staying)).row

    @cached_property
    def top_speed(self) -> float:
        """The end of the range of speeds that the configuration arrived at sees [m/s]."""
        return self.table.ranges[self.answer].end

    @cached_property
    def laps(self) -> DayLaps | str | None:
        """Laps on the track chosen, else on the only one; why there are none, or nothing without a track, friction or power."""
        folders = tracks_of(Path(self.session.vehicle.source).parent)
        chosen = [one for one in folders if self.choices.track in (None, one.name)]
        vehicle = self.session.vehicle
        if len(chosen) != 1 or vehicle.friction is None or not (vehicle.power or vehicle.power_curve):
            return None
        try:
            track = read_track(chosen[0])
        except AxletrimError:
            return f"the files of the track {chosen[0].name} have faults"
        stuck = stuck_at(self.day, track, self.baseline)
        if stuck is not None:
            return f"the car as it started does not get past {stuck:,.0f} m of {track.name}"
        return lap_day(self.day, track, start=self.baseline)

    @cached_property
    def before(self) -> CarsBefore | None:
        """What the library knows from other cars of this day's parts; nothing where the report is not to say it."""
        if not self.choices.library:
            return None
        said = [self.said(row) for row in self.told]
        try:
            return cars_before(self.session, [one for one in said if one], self.library)
        except InputError as fault:
            raise InputError(
                f"{report_file(Path(self.session.folder))}: library = true: {fault}; or take the line out"
            ) from None

    def said(self, row: int) -> Said:
        """Say a part as a library keeps it, by its position among the increments; nothing where it was taken off."""
        return said_of_pair(self.parts.increments.pairs[row], self.runs)

    @cached_property
    def mounts(self) -> tuple[Mount, ...]:
        """What the mounts of its parts carry at the top speed."""
        return mount_loads(self.day, self.parts, self.answer, self.top_speed)

    def fitted_words(self, row: int) -> str:
        """Name a configuration by what is fitted, else by its label; by both where two would look alike."""
        own = self._fitted_words(row)
        rows = self.day.rows.configurations
        if sum(self._fitted_words(other) == own for other in rows) > 1:
            name = self.table.configuration(row)
            return name if name == own else f"{name}, {own}"
        return own

    def part_name(self, row: int) -> str:
        """Name a part, by its position among the increments, by its settings' short names."""
        names = self.session.setting_names
        short = {name: shortened(name, names) for name in names}
        return ", ".join(differing(self.parts.increments, row, shortened=short)) or "the same again"

    def baseline_name(self, row: int) -> str:
        """Name the car that a part is compared with by what is fitted; by its runs where it is no one configuration."""
        one = self.parts.increments[row]
        if one.between is not None:
            return f"what lies between runs {one.baseline} and {one.second_baseline}"
        labels = self.day.readings.labels
        rows = {self.day.rows.standing[labels.index(label)] for label in one.baseline_runs}
        return self.fitted_words(rows.pop()) if len(rows) == 1 else runs_words(one.baseline_runs)

    def differing_words(self, row: int, than: int) -> str:
        """Name a configuration by what it has otherwise than another; by itself where no setting tells them apart."""
        own, other = self.run(row).settings, self.run(than).settings
        names = self.session.setting_names
        said = [
            setting_words(shortened(name, names), held)
            if (held := own.get(name)) is not None and not held.off
            else f"no {shortened(name, names)}"
            for name in names
            if own.get(name) != other.get(name)
        ]
        return ", ".join(said) or self.fitted_words(row)

    def _fitted_words(self, row: int) -> str:
        run, names = self.run(row), self.session.setting_names
        return (
            ", ".join(
                setting_words(shortened(name, names), held)
                for name, held in run.settings.items()
                if not held.off
            )
            or run.configuration
        )

    @property
    def ends(self) -> tuple[int, ...]:
        """Start and recommendation; the latter alone where both are one configuration."""
        return (self.answer,) if self.same else (self.baseline, self.answer)

    @property
    def same(self) -> bool:
        """Whether the recommendation is the car as it started."""
        return self.baseline == self.answer

    @cached_property
    def shown(self) -> tuple[int, ...]:
        """The runs in tables and bars: those chosen, else start, recommendation, and the others while there is room."""
        if self.choices.runs:
            return tuple(dict.fromkeys(self._row(label) for label in self.choices.runs))
        keep = self._named_on_page_one
        rows = self.day.rows.configurations
        others = [row for row in rows if row not in keep and self.run(row).status != "suspect"]
        step = max(1.0, len(others) / max(self._most_runs - len(keep), 1))
        picked = [others[int(k * step)] for k in range(int(len(others) / step))] if others else []
        return tuple(row for row in rows if row in {*keep, *picked})

    @cached_property
    def _named_on_page_one(self) -> set[int]:
        """The configurations that page one speaks of, so that a reader finds them in the table."""
        alone = {step.alone for step in self.steps}
        middle = None if self.middle is None else self.middle.row
        return {
            row
            for row in (self.baseline, self.answer, middle, self.next_best, self.safer, *alone)
            if row is not None
        }

    @property
    def _most_runs(self) -> int:
        """How many runs have room on a sheet with what else stands on it: fewer where names take several lines."""
        longest = max(len(self.fitted_words(row)) for row in self.day.rows.configurations)
        lines = 1 + -(-longest // NAME_LINE)
        return MOST_RUNS if self.full else min(MOST_RUNS, max(LEAST_ROWS, ROWS_LINES // lines))

    @property
    def some_left_out(self) -> int:
        """How many configurations are not shown because nobody chose and there are too many."""
        return 0 if self.choices.runs else len(self.day.rows.configurations) - len(self.shown)

    @cached_property
    def told(self) -> tuple[int, ...]:
        """Parts told one by one, as positions among the increments: those chosen, else the most that have room."""
        pairs, labels = self.parts.increments.pairs, self.day.readings.labels
        wanted = self.choices.parts
        by_run = {labels[pair.run]: row for row, pair in enumerate(pairs)}
        if wanted:
            return tuple(by_run[label] for label in wanted if label in by_run)
        size = np.abs(self.parts.increments.changes.change[:, [FRONT, REAR]]).max(axis=1, initial=0.0)
        largest = sorted(
            self._shown_once,
            key=lambda row: (
                not self._fitted_at_last(row),
                not resolved_columns(self.parts, row),
                -size[row],
            ),
        )
        first = list({pairs[row].differs: row for row in reversed(largest)}.values())[::-1]
        steps = Counter(pairs[row].differs for row in largest)
        others = (row for row in largest if row not in first)
        in_turn = [*first, *sorted(others, key=lambda row: steps[pairs[row].differs] >= LEAST_STEPS)]
        if self.full:
            return self._gathered(in_turn[:MOST_IN_FULL])
        lines = np.cumsum([self._lines_of(row) for row in in_turn])
        room = int(np.searchsorted(lines, ROWS_LINES, side="right"))
        each = min(len(first), MOST_IN_FULL)  # what was tested and paid for has its row
        return self._gathered(in_turn[: max(each, min(MOST_PARTS, max(LEAST_ROWS, room)))])

    def _gathered(self, parts: list[int]) -> tuple[int, ...]:
        """Put parts in the order in which they were run, those of one setting together."""
        pairs = self.parts.increments.pairs
        begun: dict[tuple[str, ...], int] = {}
        for row in sorted(parts):
            begun.setdefault(pairs[row].differs, row)
        return tuple(sorted(parts, key=lambda row: (begun[pairs[row].differs], row)))

    def _fitted_at_last(self, part: int) -> bool:
        """Return whether the recommendation has what the part changed."""
        own = self.run(self.answer).settings
        pair = self.parts.increments.pairs[part]
        made = self.runs[pair.run].settings
        return all(name in own and made.get(name) == own[name] for name in pair.differs)

    def _lines_of(self, part: int) -> int:
        """Estimate the printed lines of a part in the table: its name, and the car that it is compared with under it."""
        room = NAME_LINE - (COMPARED_TAKES if self.parts.columns else 0)
        return sum(
            -(-len(name) // room)
            for name in (self.part_name(part), f"run 10, against {self.baseline_name(part)}")
        )

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
        """Start to recommendation in the order of building; None where they are one, or no baselines lead there."""
        if self.same:
            return None
        start, end = self.run(self.baseline).label, self.run(self.answer).label
        try:
            return build_waterfall(self.parts.increments, end, base=start)
        except InputError:
            return build_waterfall(self.parts.increments, end, through=(start,))

    @cached_property
    def prepared(self) -> PreparedDay:
        """The day made ready for curves, trim and what-if."""
        return prepare_day(self.day)

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
        return self.day.rows.standing[self.day.readings.labels.index(label)]

    def name(self, row: int) -> str:
        """Name a row by its runs and configuration."""
        return f"{capital(self.runs_words(row))}, {self.run(row).configuration}"
