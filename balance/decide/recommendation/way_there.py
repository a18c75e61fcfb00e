"""The way from the car's start to a recommendation: single changes in a safe order, and the dangerous step between."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from balance.decide.doubts.plausibility import is_for_axle

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from balance.compare.fitted import Fitted
    from balance.decide.day.assessment import Assessment
    from balance.decide.parts.parts import Parts
    from balance.model.records import Setting


@dataclass(frozen=True, slots=True, kw_only=True)
class SettingStep:
    """One setting to change: what it was and what it becomes; nothing where it is not fitted."""

    name: str
    before: Setting | None
    after: Setting | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """What to change at once: one setting, or several that never ran apart on this day, so that none is known by itself.

    ``alone`` is the row of the start with this step alone, where it was run. ``moved`` is what the step does to the grip
    balance, positive towards understeer, where a comparison of the day shows it [1]. ``unknown_car`` tells that the car
    after this step and those before it was not run, and that no comparisons of the day add up to it.
    """

    changes: tuple[SettingStep, ...]
    alone: int | None
    moved: float | None
    unknown_car: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Middle:
    """A row between start and recommendation that is dangerous: which changes it has, and which it lacks."""

    row: int
    made: tuple[SettingStep, ...]
    lacking: tuple[SettingStep, ...]


def steps_between(table: Assessment, parts: Parts, start: int, end: int) -> tuple[Step, ...]:
    """List the steps from one configuration to another, those that load the rear first.

    Settings that never ran apart on this day, in no configuration the one as at the start and the other not,
    are one step: the cars between are unknown. Oversteer is the dangerous side: a step that gives the rear
    more grip comes first, one of unknown effect after those, and one that takes grip from the rear last. The
    effect is that of the start with the step alone, else that of any comparison of the day in which these
    settings alone went the same way. Where nothing shows it the name of the part tells: what loads the rear
    comes foremost of the unknown, what loads the front behind everything.
    """
    fitted, members = parts.increments.fitted, table.day.rows.members
    first, last = (fitted.codes[members[row][0]] for row in (start, end))
    found = []
    for columns in _never_apart(table, fitted, first, last):
        wanted = first.copy()
        wanted[columns] = last[columns]
        alone = _row_with(table, fitted, wanted.tolist())
        changes = tuple(
            SettingStep(
                name=fitted.names[column],
                before=fitted.values[column][first[column]],
                after=fitted.values[column][last[column]],
            )
            for column in columns
        )
        found.append(
            Step(
                changes=tuple(sorted(changes, key=_by_name)),
                alone=alone,
                moved=_moved(table, parts, (start, alone), columns, (first, last)),
            )
        )
    return _with_unknown_cars(table, fitted, first, sorted(found, key=_turn), last)


def _never_apart(
    table: Assessment, fitted: Fitted, first: NDArray[np.int_], last: NDArray[np.int_]
) -> list[list[int]]:
    """Gather the settings that change into those that were as at the start, or not, in the same configurations."""
    rows = [table.day.rows.members[row][0] for row in table.day.rows.configurations]
    changed = fitted.codes[rows] != first
    gathered: dict[bytes, list[int]] = {}
    for column in np.flatnonzero(first != last).tolist():
        gathered.setdefault(changed[:, column].tobytes(), []).append(column)
    return list(gathered.values())


def _with_unknown_cars(
    table: Assessment,
    fitted: Fitted,
    first: NDArray[np.int_],
    steps: list[Step],
    last: NDArray[np.int_],
) -> tuple[Step, ...]:
    """Mark the steps after which stands a car that was not run and whose balance no comparisons add up to."""
    own, known, marked = first.copy(), True, []
    for step in steps:
        columns = [fitted.names.index(one.name) for one in step.changes]
        own[columns] = last[columns]
        run = _row_with(table, fitted, own.tolist()) is not None
        known = run or (known and step.moved is not None)
        marked.append(replace(step, unknown_car=not known))
    return tuple(marked)


def _turn(step: Step) -> tuple[int, float]:
    """Put what loads the rear first, the most of it foremost; then what is unknown; then what takes grip from the rear.

    Of the unknown, what loads the rear by its name is foremost, and what loads the front behind everything.
    """
    if step.moved is None:
        names = {_by_name(change) for change in step.changes}
        return (names.pop() if len(names) == 1 else _NAME_TELLS_NOTHING), 0.0
    return (0 if step.moved >= 0.0 else 4), -step.moved


_LOADS_REAR, _NAME_TELLS_NOTHING, _LOADS_FRONT = 1, 2, 5


def _by_name(change: SettingStep) -> int:
    """Place a change among steps by what its name says that fitting it, or taking it off, loads."""
    setting = change.before if change.after is None else change.after
    words = change.name if setting is None or setting.numeric else f"{change.name} {setting.value}"
    rear, front = (is_for_axle(words, axle) for axle in ("rear", "front"))
    if rear == front or (change.before is not None and change.after is not None):
        return _NAME_TELLS_NOTHING
    return _LOADS_REAR if rear == (change.after is not None) else _LOADS_FRONT


def _row_with(table: Assessment, fitted: Fitted, codes: list[int]) -> int | None:
    """Find the configuration with these settings, one that is not suspect before one that is."""
    rows = [
        row
        for row in table.day.rows.configurations
        if fitted.codes[table.day.rows.members[row][0]].tolist() == codes
    ]
    return min(rows, key=lambda row: table.runs[row].status == "suspect", default=None)


def _moved(
    table: Assessment,
    parts: Parts,
    rows: tuple[int, int | None],
    columns: list[int],
    ends: tuple[NDArray[np.int_], NDArray[np.int_]],
) -> float | None:
    surplus = table.handling.nominal.grip_surplus
    start, alone = rows
    if alone is not None:
        moved = float(surplus[alone] - surplus[start])
        return moved if np.isfinite(moved) else None
    fitted, values = parts.increments.fitted, np.atleast_1d(parts.grip_surplus.value)
    names = {fitted.names[column] for column in columns}
    for pair, value in zip(parts.increments.pairs, values, strict=True):
        before, after = fitted.codes[pair.baseline], fitted.codes[pair.run]
        shown = pair.shows_part and set(pair.differs) == names
        same_way = all(
            after[column] == ends[1][column]
            and _on_the_way(fitted.values[column], before[column], ends[0][column], ends[1][column])
            for column in columns
        )
        if shown and same_way and np.isfinite(value):
            return float(value)
    return None


def _on_the_way(values: Sequence[Setting | None], before: int, first: int, last: int) -> bool:
    """Return whether a setting that went from one value to the last went the same way as from the first to the last."""
    sizes = [values[code] for code in (before, first, last)]
    figures = [0.0 if one is None else one.value for one in sizes]
    if before == first or any(isinstance(one, str) for one in figures):
        return before == first
    at, begin, end = (float(one) for one in figures)
    return min(begin, end) < at < max(begin, end)


def dangerous_middle(
    table: Assessment, parts: Parts, start: int, end: int, steps: tuple[Step, ...]
) -> Middle | None:
    """Find the dangerous configuration between start and recommendation that is worst.

    Dangerous is an axle that the air unloads, or more oversteer than in slow corners, anywhere in the range.
    The worst leaves balance at the lowest speed. Nothing where no tested configuration with some of the
    changes, and not all, is dangerous.
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
    changes = [one for step in steps for one in step.changes]
    made = {
        one.name for one in changes if own[fitted.names.index(one.name)] == last[fitted.names.index(one.name)]
    }
    return Middle(
        row=worst,
        made=tuple(one for one in changes if one.name in made),
        lacking=tuple(one for one in changes if one.name not in made),
    )
