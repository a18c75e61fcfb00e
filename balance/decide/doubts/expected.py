"""What a reading is expected to be, from the other runs of its day: what every doubt about it is held against."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np

from balance.model.channels import CHANNELS, MEASURED
from balance.reduce.median import median

if TYPE_CHECKING:
    from collections.abc import Collection, Hashable, Sequence

    from numpy.typing import NDArray

    from balance.decide.day.day import Day
    from balance.model.records import Run

SAME_SPEED = 0.20
SURE_OF_STEP = 1.0 / 16.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Why:
    """Where an expectation comes from: its kind, and the rows of the runs behind it, first the one to name."""

    kind: Literal["repeats", "line", "like"]
    rows: tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Expected:
    """What a reading is expected to be: front, rear and drag area, (3,), in m², downforce positive.

    `std` is how far one right reading may lie from `mean`, as a standard deviation: the scatter of a reading, and on a
    line what its step leaves open. What changed parts do, where `why` is a run that is merely alike, is not in it.
    """

    mean: NDArray[np.float64]
    std: NDArray[np.float64]
    why: Why


def expected(day: Day, row: int, *, without: Collection[int] = ()) -> Expected | None:
    """Estimate what a reading should have been.

    Rows ``without`` count as not yet run, the later ones for instance. The first of these that the day's
    other good runs allow; nothing where no other good run is left:

    - *repeats*: the median of the same configuration's readings, at speeds within 20 % of the higher. Where there are two
      or more others the reading counts as well, so that one wrong repeat does not make the right ones doubtful;
    - *line*: where one numeric setting alone differs from the most alike run, the line through the two nearest values of
      that setting, known to a sixteenth of its step;
    - *like*: the most alike run, as it was read: the same parts on, then fewest settings changed, then the latest before.
    """
    return Expectations(day).of(row, without=np.array([*without], int))


def changed_settings(run: Run, other: Run) -> set[str]:
    """Name the settings in which two runs differ, those that one of them lacks among them.

    What was recorded rather than set does not count.
    """
    names = run.settings.keys() | other.settings.keys()
    return {
        name
        for name in names
        if (a := run.settings.get(name)) is None
        or (b := other.settings.get(name)) is None
        or a.value != b.value
    }


def family_of(day: Day, row: int, name: str) -> dict[float, list[int]]:
    """Gather the other good runs of the block that differ in one numeric setting alone.

    Rows by the value of the setting, its own value left out; label and all other settings are those of the
    run.
    """
    return Expectations(day).family(row, name)


class Expectations:
    """What the readings of a day are expected to be, with its runs as numbers: for whoever asks of many of them.

    Parameters
    ----------
    day : Day
        The reduced session. [1]
    """

    def __init__(self, day: Day) -> None:
        runs = day.readings.runs
        self._day, self._runs = day, runs
        self._good = np.array([run.status == "good" for run in runs], bool)
        self._group = np.array(day.group_of, int)
        self._label = _coded([run.configuration for run in runs])
        self._block = _coded([run.block for run in runs])
        self._names = tuple(dict.fromkeys(name for run in runs for name in run.settings))
        self._fitted = np.array([[name in run.settings for name in self._names] for run in runs], bool)
        values = (
            [None if (s := run.settings.get(n)) is None else s.value for run in runs] for n in self._names
        )
        self._values = np.array([_coded(column) for column in values], int).T.reshape(self._fitted.shape)
        self._noise = noise_force(day)

    def of(self, row: int, *, without: NDArray[np.int_] | NDArray[np.bool_] | slice) -> Expected | None:
        """Say what a reading is expected to be, as `expected` does; ``without`` picks the rows that do not count."""
        known = self._good.copy()
        known[without] = False
        known[row] = False
        if not known.any():
            return None
        return self._from_repeats(row, known) or self._from_alike(row, known)

    def of_repeats(self, row: int) -> Expected | None:
        """Say what a reading is expected to be from its repeats; nothing where it has none."""
        known = self._good.copy()
        known[row] = False
        return self._from_repeats(row, known)

    def _noise_of(self, row: int) -> NDArray[np.float64]:
        return np.full(len(CHANNELS), self._noise / float(self._day.readings.force_pressure[row]))

    def family(self, row: int, name: str) -> dict[float, list[int]]:
        """Gather the other good runs of the block that differ in one numeric setting alone, as `family_of` does."""
        if name not in self._names:
            return {}
        column = self._names.index(name)
        differs = self._values != self._values[row]
        alone = self._good & differs[:, column] & (differs.sum(axis=1) == 1) & self._fitted[:, column]
        alone &= (self._block == self._block[row]) & (self._label == self._label[row])
        family: dict[float, list[int]] = {}
        for other in np.flatnonzero(alone).tolist():
            there = self._runs[other].settings[name]
            if there.numeric:
                family.setdefault(float(there.value), []).append(other)
        return family

    def _from_repeats(self, row: int, known: NDArray[np.bool_]) -> Expected | None:
        readings = self._day.readings
        same = np.flatnonzero(known & (self._group == self._group[row]))
        speeds, mine = readings.speed[same], readings.speed[row]
        others = same[np.abs(speeds - mine) <= SAME_SPEED * np.maximum(speeds, mine)].tolist()
        if not others:
            return None
        counted = [row, *others] if len(others) > 1 else others
        mean = median(readings.areas[counted])
        return Expected(mean=mean, std=self._noise_of(row), why=Why(kind="repeats", rows=tuple(others)))

    def _from_alike(self, row: int, known: NDArray[np.bool_]) -> Expected:
        readings, count, place = self._day.readings, len(self._runs), np.arange(len(self._runs))
        differs = self._values != self._values[row]
        settings = differs.sum(axis=1)
        changes = settings + (self._label != self._label[row])
        other_parts = np.any(self._fitted != self._fitted[row], axis=1)
        away = np.where(place < row, row - place, count + place - row)
        apart = (other_parts * (len(self._names) + 2) + changes) * (2 * count) + away
        near = int(np.argmin(np.where(known, apart, np.iinfo(apart.dtype).max)))
        if not other_parts[near] and changes[near] == settings[near] == 1:
            name = self._names[int(np.argmax(differs[near]))]
            on_line = self._from_line(row, name, known)
            if on_line is not None:
                return on_line
        return Expected(
            mean=readings.areas[near].copy(), std=self._noise_of(row), why=Why(kind="like", rows=(near,))
        )

    def _from_line(self, row: int, name: str, known: NDArray[np.bool_]) -> Expected | None:
        """Take the line through the two nearest values of one setting."""
        areas, setting = self._day.readings.areas, self._runs[row].settings[name]
        if not setting.numeric:
            return None
        rows = {
            x: kept for x, of_x in self.family(row, name).items() if (kept := [k for k in of_x if known[k]])
        }
        if len(rows) < 2:
            return None
        here = float(setting.value)
        first, second = sorted(rows, key=lambda x: abs(x - here))[:2]
        low, high = (areas[rows[x]].mean(axis=0) for x in (first, second))
        mean = low + (high - low) * (here - first) / (second - first)
        near = areas[rows[first][0]]
        std = self._noise_of(row) + SURE_OF_STEP * np.abs(mean - near)
        return Expected(mean=mean, std=std, why=Why(kind="line", rows=(*rows[first], *rows[second])))


def _coded(items: Sequence[Hashable]) -> NDArray[np.int_]:
    """Give equal things equal numbers."""
    codes: dict[Hashable, int] = {}
    return np.array([codes.setdefault(item, len(codes)) for item in items], int)


def noise_force(day: Day) -> float:
    """Return a scatter that one wrong run cannot blow up.

    For judging what is unlikely, never for an interval: the facility's standard deviation of one reading, the
    largest channel's; else 1 % of the usual drag [N].
    """
    stated = day.repeatability.stated
    if stated is not None and np.all(np.isfinite(stated.deviation[MEASURED])):
        return float(np.max(stated.deviation[MEASURED]))
    readings = day.readings
    return 0.01 * float(median(np.abs(readings.drag_area) * readings.force_pressure))
