"""From a base to a final configuration in the order of building, one bar after another."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING, Literal

import numpy as np

from balance.compare.pairing import Pair
from balance.model.errors import InputError, UnknownName, quoted

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from balance.compare.contrasts import Changes
    from balance.compare.fitted import Fitted
    from balance.compare.increments import Increments


@dataclass(frozen=True, slots=True, kw_only=True)
class Bar:
    """One bar: a part, a package that cannot be told apart, or what a package's parts do beyond their sum.

    ``run`` is the run that measured it, ``baseline`` the one it is against, ``differs`` the settings changed.
    """

    kind: Literal["part", "package", "interaction"]
    run: str
    baseline: str
    differs: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Waterfall:
    """Bars that lead from a base to a final configuration; they sum to the difference of the two exactly.

    ``ends`` holds two rows, the loads of base and final, ``changes`` one row a bar, ``whole`` one row: final less
    base.
    """

    base: str
    final: str
    bars: tuple[Bar, ...]
    ends: Changes
    changes: Changes
    whole: Changes


def build_waterfall(
    increments: Increments, final: str, *, base: str | None = None, through: Sequence[str] = ()
) -> Waterfall:
    """Build the waterfall from a base to a final configuration.

    Parameters
    ----------
    increments : Increments
        The session's increments. [1]
    final : str
        Label of the run to arrive at. [1]
    base : str, optional
        Label of the run to start from; absent: as far back as the baselines lead. [1]
    through : sequence of str, optional
        Labels of the runs to pass on the way, in the order of building, in place of the baselines' own way. [1]

    Returns
    -------
    Waterfall
        Bars in the order of building. [1]

    Raises
    ------
    UnknownName
        If a run is not among those that count.
    InputError
        If the baselines do not lead from the final run to the base.

    Notes
    -----
    Each run is led back to its baseline, that to its own, and so on. A package whose every setting was also run alone
    on the same baseline is shown as those parts and an interaction bar: together less the sum of parts.
    """
    labels = increments.readings.labels
    for label in (final, *through, *(() if base is None else (base,))):
        if label not in labels:
            raise UnknownName("run", label, labels)
    stops = [labels.index(label) for label in (*through, final)]
    path = _path(increments, stops[0], None if base is None else labels.index(base))
    path += [_step(increments.fitted, run, baseline) for baseline, run in pairwise(stops)]
    reached = path[0].baseline if path else stops[0]
    if base is not None and increments.fitted.sets[reached] != increments.fitted.sets[labels.index(base)]:
        raise InputError(
            f"waterfall to run {quoted(final)}: found no chain of baselines to run {quoted(base)}, expected one; "
            "name the baselines of the runs between them"
        )
    means = increments.fits.means(increments.fitted.sets)
    bars: list[Bar] = []
    rows: list[NDArray[np.float64]] = []
    for pair in path:
        step = means[pair.run] - means[pair.baseline]
        alone = _parts_alone(increments.fitted, pair)
        for part in alone:
            differs = increments.fitted.differs(part, pair.baseline)
            bars.append(Bar(kind="part", run=labels[part], baseline=labels[pair.baseline], differs=differs))
            rows.append(means[part] - means[pair.baseline])
            step = step - rows[-1]
        whole: Literal["part", "package"] = "package" if len(pair.differs) > 1 else "part"
        bars.append(
            Bar(
                kind="interaction" if alone else whole,
                run=labels[pair.run],
                baseline=labels[pair.baseline],
                differs=pair.differs,
            )
        )
        rows.append(step)
    ends = means[[reached, stops[-1]]]
    return Waterfall(
        base=labels[reached],
        final=final,
        bars=tuple(bars),
        ends=increments.contrast(ends),
        changes=increments.contrast(np.array(rows).reshape(len(rows), len(labels))),
        whole=increments.contrast(ends[1:] - ends[:1]),
    )


def _path(increments: Increments, final: int, base: int | None) -> list[Pair]:
    """Follow the baselines back from a run, to the base if it is on the way; pairs in the order of building."""
    sets = increments.fitted.sets
    by_run = {pair.run: pair for pair in increments.pairs if pair.shows_part}
    path: list[Pair] = []
    seen = {sets[final]}
    here = final
    while base is None or sets[here] != sets[base]:
        pair = next((by_run[k] for k in (here, *sets[here]) if k in by_run), None)
        if pair is None or sets[pair.baseline] in seen:
            break
        path.append(pair)
        here = pair.baseline
        seen.add(sets[here])
    return path[::-1]


def _step(fitted: Fitted, run: int, baseline: int) -> Pair:
    """Pair a run with the one before it on a way that was asked for."""
    return Pair(
        run=run,
        baseline=baseline,
        runs=fitted.sets[run],
        baseline_runs=fitted.sets[baseline],
        differs=fitted.differs(run, baseline),
        proposed=False,
    )


def _parts_alone(fitted: Fitted, pair: Pair) -> list[int]:
    """Find the runs that measured each setting of a package alone, in running order; none if one is missing."""
    if len(pair.differs) < 2:
        return []
    found = []
    for name in pair.differs:
        column = fitted.names.index(name)
        wanted = fitted.codes[pair.baseline].copy()
        wanted[column] = fitted.codes[pair.run, column]
        alike = np.all(fitted.codes == wanted, axis=1) & (fitted.blocks == fitted.blocks[pair.run])
        if not alike.any():
            return []
        found.append(int(alike.argmax()))
    return sorted(found)
