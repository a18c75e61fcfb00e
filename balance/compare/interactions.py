"""What two parts do together beyond the sum of what each does alone."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from balance.compare.contrasts import combined_weights

if TYPE_CHECKING:
    from collections.abc import Iterator

    from numpy.typing import NDArray

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


@dataclass(frozen=True, kw_only=True, eq=False)
class Interactions:
    """All interactions of a session, in the order in which the parts came together.

    ``corners`` is (interactions, 4): the first runs of base, first part, second part and both, as positions among
    the used runs of ``increments``. ``interaction`` is together less the sum of parts, one row each.
    """

    increments: Increments
    corners: NDArray[np.int_]
    interaction: Changes

    @cached_property
    def first(self) -> Changes:
        """The first part alone against the base."""
        return self._against_base(1)

    @cached_property
    def second(self) -> Changes:
        """The second part alone against the base."""
        return self._against_base(2)

    @cached_property
    def together(self) -> Changes:
        """Both parts against the base."""
        return self._against_base(3)

    def _against_base(self, corner: int) -> Changes:
        fitted = self.increments.fitted
        means = self.increments.fits.means(fitted.distinct)
        sets = fitted.set_of[self.corners]
        return self.increments.contrast(combined_weights(means, [sets[:, corner]], [sets[:, 0]]))

    def __len__(self) -> int:
        return len(self.corners)

    def __iter__(self) -> Iterator[Interaction]:
        return (self[row] for row in range(len(self)))

    def __getitem__(self, row: int) -> Interaction:
        fitted, labels = self.increments.fitted, self.increments.readings.labels
        base, first, second, both = self.corners[row].tolist()
        runs = [tuple(labels[r] for r in fitted.sets[corner]) for corner in (base, first, second, both)]
        return Interaction(
            first=fitted.differs(base, first)[0],
            second=fitted.differs(base, second)[0],
            base_runs=runs[0],
            first_runs=runs[1],
            second_runs=runs[2],
            together_runs=runs[3],
        )


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
    corners = np.array(_corners(increments.fitted), int).reshape(-1, 4)
    base, first, second, both = increments.fitted.set_of[corners.T]
    means = increments.fits.means(increments.fitted.distinct)
    weights = combined_weights(means, [both, base], [first, second])
    return Interactions(increments=increments, corners=corners, interaction=increments.contrast(weights))


def _corners(fitted: Fitted) -> list[tuple[int, int, int, int]]:
    """Return base, first part, second part and both, as the first runs of each, in order of building."""
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
    return sorted(quads, key=lambda quad: (quad[3], *quad))
