"""What a reading is expected to be, from the other runs of its day: what every doubt about it is held against."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np

from balance.decide.doubts.noise import noise_force
from balance.model.channels import CHANNELS

if TYPE_CHECKING:
    from collections.abc import Collection, Sequence

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

    Parameters
    ----------
    day : Day
        The reduced session. [1]
    row : int
        Row of the reading. [1]
    without : collection of int, optional
        Rows that are to count as not yet run, the later ones for instance. [1]

    Returns
    -------
    Expected or None
        Mean and standard deviation of front, rear and drag area, (3,), and why; nothing where no other good run is
        left. [m^2]

    Notes
    -----
    The first of these that the day's other good runs allow:

    - *repeats*: the median of the same configuration's readings, at speeds within 20 % of the higher. Where there are two
      or more others the reading counts as well, so that one wrong repeat does not make the right ones doubtful;
    - *line*: where one numeric setting alone differs from the most alike run, the line through the two nearest values of
      that setting, known to a sixteenth of its step;
    - *like*: the most alike run, as it was read: the same parts on, then fewest settings changed, then the latest before.

    References
    ----------
    Common practice, no source.

    Examples
    --------
    How far a run lies from what the runs before it lead one to expect, in standard deviations::

        usual = expected(day, row, without=range(row + 1, len(day.readings.runs)))
        (day.readings.areas[row] - usual.mean) / usual.std
    """
    runs = day.readings.runs
    known = [k for k, run in enumerate(runs) if k != row and k not in without and run.status == "good"]
    if not known:
        return None
    noise = np.full(len(CHANNELS), noise_force(day) / float(day.readings.force_pressure[row]))
    return _from_repeats(day, row, known, noise) or _from_alike(day, row, known, noise)


def changed_settings(run: Run, other: Run) -> set[str]:
    """Name the settings in which two runs differ, those that one of them lacks among them.

    Parameters
    ----------
    run, other : Run
        The runs. [1]

    Returns
    -------
    set of str
        Names of settings. [1]

    Notes
    -----
    What was recorded rather than set does not count.

    References
    ----------
    Common practice, no source.
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

    Parameters
    ----------
    day : Day
        The reduced session. [1]
    row : int
        Row of a run that has the setting. [1]
    name : str
        The setting. [1]

    Returns
    -------
    dict of float to list of int
        Rows by the value of the setting, its own value left out. [1]

    Notes
    -----
    Label and all other settings are those of the run.

    References
    ----------
    Common practice, no source.
    """
    runs = day.readings.runs
    mine = runs[row]
    family: dict[float, list[int]] = {}
    for other, run in enumerate(runs):
        there = run.settings.get(name)
        alone = other != row and run.status == "good" and changed_settings(run, mine) == {name}
        if (
            alone
            and there is not None
            and there.numeric
            and (run.block, run.configuration) == (mine.block, mine.configuration)
        ):
            family.setdefault(float(there.value), []).append(other)
    return family


def _from_repeats(day: Day, row: int, known: Sequence[int], noise: NDArray[np.float64]) -> Expected | None:
    readings = day.readings
    same = [k for k in known if day.group_of[k] == day.group_of[row]]
    mine = readings.speed[row]
    others = [k for k in same if abs(readings.speed[k] - mine) <= SAME_SPEED * max(readings.speed[k], mine)]
    if not others:
        return None
    counted = [row, *others] if len(others) > 1 else others
    mean = np.median(readings.areas[counted], axis=0)
    return Expected(mean=mean, std=noise, why=Why(kind="repeats", rows=tuple(others)))


def _from_alike(day: Day, row: int, known: Sequence[int], noise: NDArray[np.float64]) -> Expected:
    readings = day.readings
    runs = readings.runs
    mine = runs[row]
    changed = {k: changed_settings(mine, runs[k]) for k in known}

    def apart(k: int) -> tuple[bool, int, int]:
        other = runs[k]
        changes = len(changed[k]) + (other.configuration != mine.configuration)
        away = row - k if k < row else len(runs) + k - row
        return other.settings.keys() != mine.settings.keys(), changes, away

    near = min(known, key=apart)
    if apart(near)[:2] == (False, 1) and changed[near]:
        (name,) = changed[near]
        on_line = _from_line(day, row, name, known, noise)
        if on_line is not None:
            return on_line
    return Expected(mean=readings.areas[near].copy(), std=noise, why=Why(kind="like", rows=(near,)))


def _from_line(
    day: Day, row: int, name: str, known: Sequence[int], noise: NDArray[np.float64]
) -> Expected | None:
    """Take the line through the two nearest values of one setting."""
    readings = day.readings
    setting = readings.runs[row].settings[name]
    if not setting.numeric:
        return None
    rows = {
        x: kept for x, of_x in family_of(day, row, name).items() if (kept := [k for k in of_x if k in known])
    }
    if len(rows) < 2:
        return None
    here = float(setting.value)
    first, second = sorted(rows, key=lambda x: abs(x - here))[:2]
    low, high = (readings.areas[rows[x]].mean(axis=0) for x in (first, second))
    mean = low + (high - low) * (here - first) / (second - first)
    near = readings.areas[rows[first][0]]
    std = noise + SURE_OF_STEP * np.abs(mean - near)
    return Expected(mean=mean, std=std, why=Why(kind="line", rows=(*rows[first], *rows[second])))
