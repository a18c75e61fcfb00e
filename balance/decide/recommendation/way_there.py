"""The way from the car's start to a recommendation: single changes in a safe order, and the dangerous step between."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from balance.compare.fitted import Fitted
    from balance.decide.day.assessment import Assessment
    from balance.decide.parts.parts import Parts
    from balance.model.records import Setting


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One setting to change: what it was and what it becomes; nothing where it is not fitted.

    ``alone`` is the row of the start with this change alone, where it was run. ``moved`` is what the change does to the grip
    balance, positive towards understeer, where a comparison of the day shows it [1].
    """

    name: str
    before: Setting | None
    after: Setting | None
    alone: int | None
    moved: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Middle:
    """A row between start and recommendation that is dangerous: which changes it has, and which it lacks."""

    row: int
    made: tuple[Step, ...]
    lacking: tuple[Step, ...]


def steps_between(table: Assessment, parts: Parts, start: int, end: int) -> tuple[Step, ...]:
    """List the changes from one configuration to another, those that load the rear first.

    Parameters
    ----------
    table : Assessment
        Every row of the day. [1]
    parts : Parts
        The day's comparisons. [1]
    start : int
        Row of the configuration that the car started as. [1]
    end : int
        Row of the configuration to arrive at. [1]

    Returns
    -------
    tuple of Step
        Empty where both have the same settings. [1]

    Notes
    -----
    Oversteer is the dangerous side: a change that gives the rear more grip comes first, one of unknown effect after those, and
    one that takes grip from the rear last. The effect is that of the start with the change alone, else that of any comparison of
    the day in which this setting alone became the same.

    References
    ----------
    Common practice, no source.
    """
    fitted, members = parts.increments.fitted, table.day.rows.members
    first, last = (fitted.codes[members[row][0]] for row in (start, end))
    found = []
    for column, name in enumerate(fitted.names):
        if first[column] == last[column]:
            continue
        wanted = first.copy()
        wanted[column] = last[column]
        alone = _row_with(table, fitted, wanted.tolist())
        found.append(
            Step(
                name=name,
                before=fitted.values[column][first[column]],
                after=fitted.values[column][last[column]],
                alone=alone,
                moved=_moved(table, parts, start, alone, name, int(last[column])),
            )
        )
    return tuple(sorted(found, key=_turn))


def _turn(step: Step) -> tuple[int, float]:
    """Put what loads the rear first, the most of it foremost; then what is unknown; then what takes grip from the rear."""
    if step.moved is None:
        return 1, 0.0
    return (0 if step.moved >= 0.0 else 2), -step.moved


def _row_with(table: Assessment, fitted: Fitted, codes: list[int]) -> int | None:
    """Find the configuration with these settings, one that is not suspect before one that is."""
    rows = [
        row
        for row in table.day.rows.configurations
        if fitted.codes[table.day.rows.members[row][0]].tolist() == codes
    ]
    return min(rows, key=lambda row: table.runs[row].status == "suspect", default=None)


def _moved(
    table: Assessment, parts: Parts, start: int, alone: int | None, name: str, code: int
) -> float | None:
    surplus = table.handling.nominal.grip_surplus
    if alone is not None:
        moved = float(surplus[alone] - surplus[start])
        return moved if np.isfinite(moved) else None
    fitted, values = parts.increments.fitted, np.atleast_1d(parts.grip_surplus.value)
    column = fitted.names.index(name)
    for pair, value in zip(parts.increments.pairs, values, strict=True):
        shown = pair.shows_part and pair.differs == (name,)
        if shown and fitted.codes[pair.run, column] == code and np.isfinite(value):
            return float(value)
    return None


def dangerous_middle(
    table: Assessment, parts: Parts, start: int, end: int, steps: tuple[Step, ...]
) -> Middle | None:
    """Find the dangerous configuration between start and recommendation that is worst.

    Parameters
    ----------
    table : Assessment
        Every row of the day. [1]
    parts : Parts
        The day's comparisons. [1]
    start : int
        Row of the configuration that the car started as. [1]
    end : int
        Row of the configuration to arrive at. [1]
    steps : tuple of Step
        The changes from one to the other. [1]

    Returns
    -------
    Middle or None
        Nothing where no tested configuration with some of the changes, and not all, is dangerous. [1]

    Notes
    -----
    Dangerous is an axle that the air unloads, or more oversteer than in slow corners, anywhere in the range. The worst leaves
    balance at the lowest speed.

    References
    ----------
    Common practice, no source.
    """
    fitted, members = parts.increments.fitted, table.day.rows.members
    first, last = (fitted.codes[members[row][0]] for row in (start, end))
    found: list[int] = []
    for row in table.day.rows.configurations:
        own = fitted.codes[members[row][0]]
        between = np.all((own == first) | (own == last))
        if between and not np.array_equal(own, first) and not np.array_equal(own, last):
            found += [row] if table.ranges[row].dangerous else []
    if not found:
        return None
    worst = min(found, key=lambda row: (table.runs[row].status == "suspect", table.ranges[row].in_balance_to))
    own = fitted.codes[members[worst][0]]
    made = {
        step.name
        for step in steps
        if own[fitted.names.index(step.name)] == last[fitted.names.index(step.name)]
    }
    return Middle(
        row=worst,
        made=tuple(step for step in steps if step.name in made),
        lacking=tuple(step for step in steps if step.name not in made),
    )
