"""Which run is compared with which: stated, chosen, or proposed."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from balance.compare.fitted import proposed_baselines, what_was_fitted
from balance.errors import InputError, UnknownName, quoted

if TYPE_CHECKING:
    from collections.abc import Mapping

    from balance.compare.fitted import Fitted
    from balance.records import Session
    from balance.reduce.readings import Readings


@dataclass(frozen=True, slots=True, kw_only=True)
class Pair:
    """A run and its baseline, as positions among the used runs; ``runs`` and ``baseline_runs`` are averaged."""

    run: int
    baseline: int
    runs: tuple[int, ...]
    baseline_runs: tuple[int, ...]
    differs: tuple[str, ...]
    proposed: bool
    mirrors: int | None = None
    notes: tuple[str, ...] = ()


def pair_runs(
    session: Session, readings: Readings, chosen: Mapping[str, str], *, across_blocks: bool = False
) -> tuple[tuple[Pair, ...], Fitted]:
    """Give every run its baseline, where it has one.

    Parameters
    ----------
    session : Session
        The session, void runs included. [1]
    readings : Readings
        Its readings. [1]
    chosen : mapping of str to str
        Baselines for runs that state none. [1]
    across_blocks : bool, optional
        Whether repeats and proposals may cross a change of block. [1]

    Returns
    -------
    tuple of (tuple of Pair, Fitted)
        Pairs in running order, and what was fitted in each run. [1]

    Raises
    ------
    UnknownName
        If a chosen run or baseline is not among the runs that count.
    InputError
        If a run is chosen as its own baseline.

    Notes
    -----
    A stated baseline that is void is not used; the next source stands in, which is said.

    References
    ----------
    Common practice, no source.
    """
    position = {label: k for k, label in enumerate(readings.labels)}
    for chosen_run, chosen_baseline in chosen.items():
        for label in (chosen_run, chosen_baseline):
            if label not in position:
                raise UnknownName("run", label, position)
        if chosen_run == chosen_baseline:
            raise InputError(
                f"baseline of run {quoted(chosen_run)}: found the run itself, expected another run"
            )
    void = {run.label for run in session.runs if run.status == "void"}
    fitted = what_was_fitted(readings, across_blocks=across_blocks)
    proposals = proposed_baselines(fitted)
    pairs = []
    for k, run in enumerate(readings.runs):
        notes: tuple[str, ...] = ()
        stated = run.baseline
        if stated in void:
            notes = (f"stated baseline {quoted(stated or '')} is void and not used",)
        named = stated if stated in position else chosen.get(run.label)
        baseline = position[named] if named is not None else int(proposals[k])
        if baseline < 0:
            continue
        differs = fitted.differs(k, baseline)
        same = fitted.groups[k] == fitted.groups[baseline]
        if fitted.blocks[k] != fitted.blocks[baseline]:
            notes += ("run and baseline are of different blocks: what changed between them is in it",)
        pairs.append(
            Pair(
                run=k,
                baseline=baseline,
                runs=(k,) if same else fitted.sets[k],
                baseline_runs=(baseline,) if same else fitted.sets[baseline],
                differs=differs,
                proposed=named is None,
                notes=notes,
            )
        )
    return _mark_mirrors(pairs, fitted), fitted


def _mark_mirrors(pairs: list[Pair], fitted: Fitted) -> tuple[Pair, ...]:
    """Mark proposed pairs that are another pair turned round; of two proposals that of the newer part stands."""

    def sides(pair: Pair) -> tuple[int, int, int]:
        return int(fitted.blocks[pair.run]), int(fitted.groups[pair.run]), int(fitted.groups[pair.baseline])

    standing: dict[tuple[int, int, int], Pair] = {}
    for pair in pairs:
        key = sides(pair)
        if key not in standing or (standing[key].proposed and not pair.proposed):
            standing[key] = pair
    marked = []
    for pair in pairs:
        block, run, baseline = sides(pair)
        twin = standing.get((block, baseline, run))
        if pair.proposed and pair.differs and twin and (not twin.proposed or run < baseline):
            marked.append(replace(pair, mirrors=twin.run))
        else:
            marked.append(pair)
    return tuple(marked)
