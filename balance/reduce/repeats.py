"""Which runs are repeats of one another, and what stood between them."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Hashable, Sequence

    from balance.model.records import Run
    from balance.reduce.readings import Readings

SPEED_TOLERANCE = 0.02
"""Runs further apart in speed than this test the scaling and are not repeats."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RepeatSet:
    """Runs of one configuration at one speed: rows of the readings, in running order."""

    rows: tuple[int, ...]
    after_change: bool
    """Whether the car was changed between any two of them: another configuration, or another block."""


def configurations(runs: Sequence[Run]) -> tuple[tuple[int, ...], ...]:
    """Gather runs of one configuration.

    Parameters
    ----------
    runs : sequence of Run
        Runs, in running order. [1]

    Returns
    -------
    tuple of tuple of int
        Positions of the runs of each configuration; configurations in the order of their first run. [1]

    Notes
    -----
    Runs are of one configuration of one label and one set of settings, or when one says that it repeats the other.
    """
    keys: dict[str, Hashable] = {run.label: run.configuration_key for run in runs}
    pointer = {run.label: run.repeat_of for run in runs if run.repeat_of in keys}
    groups: dict[Hashable, list[int]] = {}
    for position, run in enumerate(runs):
        origin, seen = run.label, {run.label}
        while (nearer := pointer.get(origin)) is not None and nearer not in seen:
            origin = nearer
            seen.add(origin)
        groups.setdefault(keys[origin], []).append(position)
    return tuple(tuple(rows) for rows in groups.values())


def repeat_sets(readings: Readings) -> tuple[RepeatSet, ...]:
    """Find the sets of repeats: one configuration, speeds within 2 %.

    Parameters
    ----------
    readings : Readings
        The session's readings. [1]

    Returns
    -------
    tuple of RepeatSet
        Sets of one run or more; every run is in exactly one. [1]

    Notes
    -----
    Repeats follow a change of the car when another configuration was run in between, or when they stand
    in different blocks. Only those know how well a part goes on again.
    """
    groups = configurations(readings.runs)
    group_of = {row: k for k, rows in enumerate(groups) for row in rows}
    sets: list[RepeatSet] = []
    for rows in groups:
        for cluster in _by_speed(readings, rows):
            changed = any(
                readings.runs[a].block != readings.runs[b].block
                or any(group_of[row] != group_of[a] for row in range(a + 1, b))
                for a, b in pairwise(cluster)
            )
            sets.append(RepeatSet(rows=cluster, after_change=changed))
    return tuple(sets)


def _by_speed(readings: Readings, rows: Sequence[int]) -> list[tuple[int, ...]]:
    """Split rows into clusters whose speeds lie within the tolerance of the cluster's slowest."""
    clusters: list[list[int]] = []
    slowest = 0.0
    for row in sorted(rows, key=lambda r: (readings.speed[r], r)):
        if clusters and readings.speed[row] <= slowest * (1.0 + SPEED_TOLERANCE):
            clusters[-1].append(row)
        else:
            slowest = float(readings.speed[row])
            clusters.append([row])
    return [tuple(sorted(cluster)) for cluster in clusters]
