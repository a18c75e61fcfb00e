"""What two parts do together beyond the sum of what each does alone."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from balance.compare.contrasts import mean_weights

if TYPE_CHECKING:
    from collections.abc import Iterator

    from balance.compare.contrasts import Changes
    from balance.compare.fitted import Fitted
    from balance.compare.increments import Increments


@dataclass(frozen=True, slots=True, kw_only=True)
class Interaction:
    """Two parts measured alone and together: labels of the runs averaged at each corner, in order of building.

    ``first`` and ``second`` are the settings that the parts are, by the order in which they were first run.
    """

    first: str
    second: str
    base_runs: tuple[str, ...]
    first_runs: tuple[str, ...]
    second_runs: tuple[str, ...]
    together_runs: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Interactions:
    """All interactions of a session, in the order in which the parts came together; one row of each each.

    ``first``, ``second`` and ``together`` are against the base; ``interaction`` is together less the sum of parts.
    """

    found: tuple[Interaction, ...]
    first: Changes
    second: Changes
    together: Changes
    interaction: Changes

    def __len__(self) -> int:
        return len(self.found)


def find_interactions(increments: Increments) -> Interactions:
    """Find where two parts were run alone and together on a common base, and what they do beyond their sum.

    Parameters
    ----------
    increments : Increments
        The session's increments, for its readings, scatter and treatment of drift. [1]

    Returns
    -------
    Interactions
        In the order in which the parts were first together. [1]

    Notes
    -----
    Four configurations of one block that differ in exactly two settings: ``AB - A - B + O``, a contrast, so that
    what the corners share is counted once. The base is where the parts are not fitted, or at the values that were
    first run. Labels do not count: parts are told apart by settings alone.

    References
    ----------
    G. E. P. Box, J. S. Hunter, W. G. Hunter, Statistics for Experimenters, two-level factorial designs
    (from memory).
    """
    readings, fitted = increments.readings, increments.fitted
    corners = list(_corners(fitted))
    labels = readings.labels
    means = mean_weights(readings, fitted.sets)[[[c[k] for c in corners] for k in range(4)]]
    base, first, second, both = means
    return Interactions(
        found=tuple(
            Interaction(
                first=fitted.differs(o, a)[0],
                second=fitted.differs(o, b)[0],
                base_runs=tuple(labels[r] for r in fitted.sets[o]),
                first_runs=tuple(labels[r] for r in fitted.sets[a]),
                second_runs=tuple(labels[r] for r in fitted.sets[b]),
                together_runs=tuple(labels[r] for r in fitted.sets[ab]),
            )
            for o, a, b, ab in corners
        ),
        first=increments.contrast(first - base),
        second=increments.contrast(second - base),
        together=increments.contrast(both - base),
        interaction=increments.contrast(both - first - second + base),
    )


def _corners(fitted: Fitted) -> Iterator[tuple[int, int, int, int]]:
    """Give base, first part, second part and both, as the first runs of each, in order of building."""
    codes = fitted.codes
    nodes: dict[tuple[int, int], int] = {}
    for row, node in enumerate(zip(fitted.blocks.tolist(), fitted.groups.tolist(), strict=True)):
        if node not in nodes or len(fitted.sets[row]) > len(fitted.sets[nodes[node]]):
            nodes[node] = row  # of a configuration run at several speeds, the speed with most repeats
    rows = np.array(list(nodes.values()), int)
    where: dict[tuple[int, bytes], list[int]] = {}
    for row in rows.tolist():
        where.setdefault((int(fitted.blocks[row]), codes[row].tobytes()), []).append(row)
    own = codes[rows]
    differs = own[:, None, :] != own[None, :, :]
    rises = (
        own[:, None, :] < own[None, :, :]
    )  # a code is lower the earlier its value was run; 0 is not fitted
    alike = fitted.blocks[rows][:, None] == fitted.blocks[rows][None, :]
    added = (differs.sum(axis=2) == 1) & rises.any(axis=2) & alike
    quads = []
    for base in range(rows.size):
        ones = np.flatnonzero(added[base])
        columns = differs[base, ones].argmax(axis=1) if ones.size else ones
        for i, (a, p) in enumerate(zip(ones.tolist(), columns.tolist(), strict=True)):
            for b, q in zip(ones[i + 1 :].tolist(), columns[i + 1 :].tolist(), strict=True):
                if p != q:
                    both = own[a].copy()
                    both[q] = own[b, q]
                    block = int(fitted.blocks[rows[base]])
                    o, first, second = int(rows[base]), int(rows[a]), int(rows[b])
                    first, second = min(first, second), max(first, second)
                    quads += [(o, first, second, ab) for ab in where.get((block, both.tobytes()), [])]
    return iter(sorted(quads, key=lambda quad: (quad[3], quad[0], quad[1], quad[2])))
