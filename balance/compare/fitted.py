"""What was fitted in each run, as numbers: who repeats whom, what differs, and which run is a fair baseline."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from balance.reduce.fits import coded
from balance.reduce.repeats import SPEED_TOLERANCE

if TYPE_CHECKING:
    from collections.abc import Hashable, Sequence

    from numpy.typing import NDArray

    from balance.model.records import Run, Setting
    from balance.reduce.fits import Fits

NOT_FITTED = 0
_AT_ONCE = 250_000
"""Pairs of runs looked at in one piece, so that a long day takes little memory."""
BASE_WORDS = frozenset({"baseline", "base", "reference", "standard", "stock"})
"""What a label calls the car that everything is compared with."""
SAME_AGAIN = BASE_WORDS | {
    "again", "repeat", "repeated", "rerun", "recheck", "check", "back", "to", "as", "at", "on", "the",
    "of", "and", "all", "end", "start", "last", "final", "before", "after", "lunch", "refit", "refitted",
    "rep", "rpt",
}  # fmt: skip
"""Words that name nothing fitted."""
TAKEN_OFF = frozenset(["off", "out", "removed", "without", "no", "less", "minus"])
"""Words after which the name of a setting says that it is not fitted."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Fitted:
    """What was fitted in each used run of a session.

    Attributes
    ----------
    names : tuple of str
        Names of the settings, in the order of their first run.
    values : tuple of tuple
        For each setting, what each code stands for; the first stands for not fitted.
    codes : numpy.ndarray
        (runs, settings) code of each run's value; 0 where not fitted. [1]
    label_codes : numpy.ndarray
        (runs,) code of the configuration's label. [1]
    blocks : numpy.ndarray
        (runs,) code of the block; all 0 where blocks are to be crossed. [1]
    groups : numpy.ndarray
        (runs,) which configuration each run is of. [1]
    cars : numpy.ndarray
        (runs,) the same, where a configuration that is an earlier one under another label counts as that one. [1]
    sets : tuple of tuple of int
        For each run, the good runs that stand for it: one configuration, one block, speeds within 2 %.
    distinct : tuple of tuple of int
        The same sets, each once.
    set_of : numpy.ndarray
        (runs,) which of the distinct sets a run is in. [1]
    """

    names: tuple[str, ...]
    values: tuple[tuple[Setting | None, ...], ...]
    codes: NDArray[np.int_]
    label_codes: NDArray[np.int_]
    blocks: NDArray[np.int_]
    groups: NDArray[np.int_]
    cars: NDArray[np.int_]
    sets: tuple[tuple[int, ...], ...]
    distinct: tuple[tuple[int, ...], ...]
    set_of: NDArray[np.int_]

    def setting(self, run: int, name: str) -> Setting | None:
        """Return what a run has a setting at; nothing where it is not fitted."""
        if name not in self.names:
            return None
        column = self.names.index(name)
        return self.values[column][int(self.codes[run, column])]

    def differs(self, run: int, other: int) -> tuple[str, ...]:
        """List the settings in which two runs differ; ``configuration`` where only the label does."""
        own, its = self.codes[run].tolist(), self.codes[other].tolist()
        names = tuple(name for name, a, b in zip(self.names, own, its, strict=True) if a != b)
        if not names and self.label_codes[run] != self.label_codes[other]:
            return ("configuration",)
        return names


def what_was_fitted(fits: Fits) -> Fitted:
    """Gather what was fitted in each run.

    Parameters
    ----------
    fits : Fits
        The session's readings by fit. [1]

    Returns
    -------
    Fitted
        Codes of settings, labels and blocks, and the sets of repeats. [1]

    Notes
    -----
    A run that says it repeats another counts as what that one was. Recorded columns do not tell runs apart. Labels
    tell configurations apart, and are averaged apart. But where the settings say what is fitted, another label is no
    difference of the car, unless one of the two runs states the other as its baseline; where nothing is fitted, one
    whose label adds nothing to an earlier one but "again", "baseline" or what was taken off is that car again.
    """
    runs, groups, count = fits.readings.runs, fits.groups, len(fits.readings.runs)
    first: dict[int, int] = {}
    for row in sorted(range(count), key=lambda row: runs[row].repeat_of is not None):
        first.setdefault(int(groups[row]), row)
    origin = [first[group] for group in groups.tolist()]
    names = tuple(dict.fromkeys(name for run in runs for name in run.settings))
    codes, values = np.zeros((count, len(names)), int), []
    for column, name in enumerate(names):
        settings = [runs[origin[row]].settings.get(name) for row in range(count)]
        numbered: dict[Hashable, int] = {None: NOT_FITTED}
        meaning: list[Setting | None] = [None]
        for row, setting in enumerate(settings):
            value = None if setting is None else setting.value
            if value not in numbered:
                numbered[value] = len(meaning)
                meaning.append(setting)
            codes[row, column] = numbered[value]
        values.append(tuple(meaning))
    sets = fits.sets
    distinct = {rows: k for k, rows in enumerate(dict.fromkeys(sets))}
    label_texts = [runs[origin[row]].configuration for row in range(count)]
    return Fitted(
        names=names,
        values=tuple(values),
        codes=codes,
        label_codes=coded(label_texts),
        blocks=fits.blocks,
        groups=groups,
        cars=_cars(runs, groups, codes, label_texts, names, tuple(values)),
        sets=sets,
        distinct=tuple(distinct),
        set_of=np.array([distinct[rows] for rows in sets], int),
    )


def proposed_baselines(fitted: Fitted, speed: NDArray[np.float64]) -> NDArray[np.int_]:
    """Propose a baseline for every run.

    Parameters
    ----------
    fitted : Fitted
        What was fitted in each run. [1]
    speed : numpy.ndarray
        (runs,) speed of each run. [m/s]

    Returns
    -------
    numpy.ndarray
        (runs,) position of the proposed baseline, -1 where there is none. [1]

    Notes
    -----
    All runs of a configuration in a block have one and the same baseline, sought from the first of them: in the same
    block and different in one thing alone. An earlier run that differs in the label alone comes first; then one with
    the part off, earlier, else later; then one with the part at another value, earlier; then an earlier one with one
    part more. A later one that differs in label or value, or has one part more, is the last resort. Of several the
    nearest, at the same speed if there is one. A configuration that is an earlier one under another label neither has a proposal nor is one.
    """
    count = fitted.codes.shape[0]
    width = max(1, _AT_ONCE // max(count, 1))
    pieces = [np.arange(start, min(start + width, count)) for start in range(0, count, width)]
    first = _first_of_each(fitted)
    return np.concatenate([np.zeros(0, int), *(_proposed(fitted, speed, first, rows) for rows in pieces)])


def _proposed(
    fitted: Fitted, speed: NDArray[np.float64], first: NDArray[np.int_], rows: NDArray[np.int_]
) -> NDArray[np.int_]:
    """Propose baselines for some of the runs, (rows,)."""
    codes, labels, cars, blocks = fitted.codes, fitted.label_codes, fitted.cars, fitted.blocks
    count = codes.shape[0]
    differing = np.zeros((rows.size, count), np.int16)
    on, off = np.zeros_like(differing), np.zeros_like(differing)
    for column in codes.T:
        own, its = column[rows][:, None], column[None, :]
        differing += own != its
        on += (own != NOT_FITTED) & (its == NOT_FITTED)
        off += (own == NOT_FITTED) & (its != NOT_FITTED)
    alone = differing == 1
    label_only = (differing == 0) & (labels[rows][:, None] != labels) & (cars[rows][:, None] != cars)
    begun = first[rows][:, None]
    earlier = np.arange(count) < begun
    kinds = (
        label_only & earlier,
        alone & (on == 1) & earlier,
        alone & (on == 1),
        alone & (on + off == 0) & earlier,
        alone & (off == 1) & earlier,
        label_only | (alone & (on + off == 0)),
        alone,
    )
    named = fitted.groups == cars
    allowed = (blocks[rows][:, None] == blocks) & named[rows][:, None] & named
    rank = np.select(kinds, range(len(kinds)), len(kinds))
    far = np.abs(np.arange(count) - begun)
    far += count * (np.abs(speed / speed[rows][:, None] - 1.0) > SPEED_TOLERANCE)
    far += 2 * count * rank
    found = allowed & (rank < len(kinds))
    far = np.where(found, far, 2 * count * (len(kinds) + 1))
    return np.where(found.any(axis=1), far.argmin(axis=1), -1)


def _first_of_each(fitted: Fitted) -> NDArray[np.int_]:
    """Find the first run of each run's configuration in its block."""
    firsts: dict[tuple[int, int], int] = {}
    keys = zip(fitted.blocks.tolist(), fitted.groups.tolist(), strict=True)
    return np.array([firsts.setdefault(key, row) for row, key in enumerate(keys)], int)


def named_otherwise(fitted: Fitted) -> tuple[tuple[int, ...], ...]:
    """List the runs of each car that was run under several names, though its settings are the same.

    Parameters
    ----------
    fitted : Fitted
        What was fitted in each run. [1]

    Returns
    -------
    tuple of tuple of int
        Positions of the runs of each such car, in running order. [1]

    Notes
    -----
    They are averaged apart, and tell nothing of the scatter, until they have one name.

    References
    ----------
    Common practice, no source.
    """
    found: dict[int, list[int]] = {}
    for row, car in enumerate(fitted.cars.tolist()):
        found.setdefault(car, []).append(row)
    return tuple(tuple(rows) for rows in found.values() if len({*fitted.groups[rows].tolist()}) > 1)


def _cars(
    runs: Sequence[Run],
    groups: NDArray[np.int_],
    codes: NDArray[np.int_],
    labels: list[str],
    names: tuple[str, ...],
    values: tuple[tuple[Setting | None, ...], ...],
) -> NDArray[np.int_]:
    """Assign each run its configuration, an earlier one where it is that one under another label."""
    named: dict[int, int] = {}
    known: dict[tuple[int, ...], list[int]] = {}
    for row, group in enumerate(groups.tolist()):
        if group in named:
            continue
        alike = known.setdefault(tuple(codes[row].tolist()), [])
        here = [meaning[code] for meaning, code in zip(values, codes[row].tolist(), strict=True)]
        absent = {
            word for name, value in zip(names, here, strict=True) if value is None for word in _words(name)
        }
        present = {
            word
            for name, value in zip(names, here, strict=True)
            if value is not None
            for word in _words(f"{name} {value.value:g}" if value.numeric else f"{name} {value.value}")
        }
        same = (
            other
            for other in alike
            if (present and not _told_apart(runs, groups, row, other))
            or _adds_nothing(labels[row], labels[other], absent, present)
        )
        origin = next(same, row)
        named[group] = named.get(int(groups[origin]), group)
        alike.append(row)
    return np.array([named[group] for group in groups.tolist()], int)


def _told_apart(runs: Sequence[Run], groups: NDArray[np.int_], row: int, other: int) -> bool:
    """Return whether a run of one of two configurations states one of the other as its baseline."""
    first, second = (
        [runs[k] for k in np.flatnonzero(groups == groups[one]).tolist()] for one in (row, other)
    )
    return any(
        a.label in (b.baseline, b.second_baseline) or b.label in (a.baseline, a.second_baseline)
        for a in first
        for b in second
    )


def _adds_nothing(label: str, earlier: str, absent: set[str], present: set[str]) -> bool:
    """Return whether a label names nothing that the earlier label of the same settings does not."""
    words = _words(label)
    more = words - _words(earlier) - SAME_AGAIN - present
    if words & TAKEN_OFF:
        more -= TAKEN_OFF | absent
    if words & BASE_WORDS:
        more = {word for word in more if not word.isdigit()}
    return not more


def _words(text: str) -> set[str]:
    return set(re.findall(r"[^\W_]+", text.casefold()))
