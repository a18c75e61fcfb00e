"""What was fitted in each run, as numbers: who repeats whom, what differs, and which run is a fair baseline."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from balance.reduce.repeats import configurations, repeat_sets

if TYPE_CHECKING:
    from collections.abc import Hashable

    from numpy.typing import NDArray

    from balance.records import Setting
    from balance.reduce.readings import Readings

NOT_FITTED = 0


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
    sets : tuple of tuple of int
        For each run, the runs averaged with it: one configuration, one block, speeds within 2 %.
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
    sets: tuple[tuple[int, ...], ...]
    distinct: tuple[tuple[int, ...], ...]
    set_of: NDArray[np.int_]

    def differs(self, run: int, other: int) -> tuple[str, ...]:
        """List the settings in which two runs differ; ``configuration`` where only the label does."""
        own, its = self.codes[run].tolist(), self.codes[other].tolist()
        names = tuple(name for name, a, b in zip(self.names, own, its, strict=True) if a != b)
        if not names and self.label_codes[run] != self.label_codes[other]:
            return ("configuration",)
        return names


def what_was_fitted(readings: Readings, *, across_blocks: bool = False) -> Fitted:
    """Gather what was fitted in each run.

    Parameters
    ----------
    readings : Readings
        The session's readings. [1]
    across_blocks : bool, optional
        Whether runs of different blocks may be averaged and compared. [1]

    Returns
    -------
    Fitted
        Codes of settings, labels and blocks, and the sets of repeats. [1]

    Notes
    -----
    A run that says it repeats another counts as what that one was. Recorded columns do not tell runs apart.

    References
    ----------
    Common practice, no source.
    """
    runs, count = readings.runs, len(readings.runs)
    groups = np.zeros(count, int)
    origin = list(range(count))
    for k, rows in enumerate(configurations(runs)):
        known = [row for row in rows if runs[row].repeat_of is None] or list(rows)
        for row in rows:
            groups[row], origin[row] = k, known[0]
    names = tuple(dict.fromkeys(name for run in runs for name in run.settings))
    codes, values = np.zeros((count, len(names)), int), []
    for column, name in enumerate(names):
        settings = [runs[origin[row]].settings.get(name) for row in range(count)]
        coded: dict[Hashable, int] = {None: NOT_FITTED}
        meaning: list[Setting | None] = [None]
        for row, setting in enumerate(settings):
            value = None if setting is None else setting.value
            if value not in coded:
                coded[value] = len(meaning)
                meaning.append(setting)
            codes[row, column] = coded[value]
        values.append(tuple(meaning))
    blocks = _coded(["" if across_blocks else run.block for run in runs])
    sets = _sets(readings, blocks)
    distinct = {rows: k for k, rows in enumerate(dict.fromkeys(sets))}
    return Fitted(
        names=names,
        values=tuple(values),
        codes=codes,
        label_codes=_coded([runs[origin[row]].configuration for row in range(count)]),
        blocks=blocks,
        groups=groups,
        sets=sets,
        distinct=tuple(distinct),
        set_of=np.array([distinct[rows] for rows in sets], int),
    )


def proposed_baselines(fitted: Fitted) -> NDArray[np.int_]:
    """Propose a baseline for every run.

    Parameters
    ----------
    fitted : Fitted
        What was fitted in each run. [1]

    Returns
    -------
    numpy.ndarray
        (runs,) position of the proposed baseline, -1 where there is none. [1]

    Notes
    -----
    The nearest run on either side in running order, in the same block, that differs in exactly one setting, or in
    the label alone; of two equally near the earlier.

    References
    ----------
    Common practice, no source.
    """
    codes, labels = fitted.codes, fitted.label_codes
    count = codes.shape[0]
    if count == 0:
        return np.zeros(0, int)
    differing = np.zeros((count, count), int)
    for column in codes.T:
        differing += column[:, None] != column[None, :]
    label_only = (differing == 0) & (labels[:, None] != labels[None, :])
    fair = ((differing == 1) | label_only) & (fitted.blocks[:, None] == fitted.blocks[None, :])
    order = np.arange(count)
    later = order[None, :] > order[:, None]
    far = 2 * np.abs(order[None, :] - order[:, None]) + later
    far = np.where(fair, far, 3 * count)
    return np.where(fair.any(axis=1), far.argmin(axis=1), -1)


def _sets(readings: Readings, blocks: NDArray[np.int_]) -> tuple[tuple[int, ...], ...]:
    """Give each run its set of repeats within its block."""
    found: dict[int, tuple[int, ...]] = {}
    for repeats in repeat_sets(readings):
        by_block: dict[int, list[int]] = {}
        for row in repeats.rows:
            by_block.setdefault(int(blocks[row]), []).append(row)
        for rows in by_block.values():
            found.update(dict.fromkeys(rows, tuple(rows)))
    return tuple(found[row] for row in range(len(readings.runs)))


def _coded(items: list[str]) -> NDArray[np.int_]:
    """Give texts numbers in the order of their first run."""
    codes: dict[str, int] = {}
    return np.array([codes.setdefault(item, len(codes)) for item in items], int)
