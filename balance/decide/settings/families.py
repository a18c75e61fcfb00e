"""Runs that differ in one numeric setting alone, or that somebody says belong on one curve."""

from __future__ import annotations

import shlex
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np

from balance.compare.fitted import what_was_fitted
from balance.compare.setting_sweeps import setting_families
from balance.decide.car.changed_car import Assumption
from balance.model.errors import InputError, UnknownName
from balance.model.records import LENGTHS

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from numpy.typing import NDArray

    from balance.decide.car.prepared_day import PreparedDay
    from balance.decide.day.day import Day


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Family:
    """Runs on one curve.

    Attributes
    ----------
    setting, unit : str
        The setting, and the unit of its column.
    values : numpy.ndarray
        (settings,) tested values, rising, in ``unit``.
    weights : numpy.ndarray
        (settings, runs) of the mean at each value over the session's readings. [1]
    runs : tuple of tuple of str
        Runs averaged at each value.
    differs : tuple of str
        What else differs between them; nothing but where the family was chosen by hand.
    chosen : bool
        Whether it was chosen by hand.
    """

    setting: str
    unit: str
    values: NDArray[np.float64]
    weights: NDArray[np.float64]
    runs: tuple[tuple[str, ...], ...]
    differs: tuple[str, ...] = ()
    chosen: bool = False

    @property
    def stalls(self) -> bool:
        """Whether the setting may be the angle of a surface that stalls, a hole of its adjuster too; of a length nothing does."""
        return self.unit not in LENGTHS

    @property
    def labels(self) -> tuple[str, ...]:
        """All runs of the family, by rising value."""
        return tuple(label for some in self.runs for label in some)


def find_families(prepared: PreparedDay, setting: str) -> tuple[Family, ...]:
    """Find every family that has a setting at two values or more.

    In the order of their first runs: one block and all settings equal but the one, whatever the labels.
    """
    numeric = {name for run in prepared.day.readings.runs for name, s in run.settings.items() if s.numeric}
    if setting not in numeric:
        raise UnknownName("setting", setting, sorted(numeric))
    return tuple(
        Family(
            setting=setting,
            unit=sweep.unit,
            values=sweep.values,
            weights=sweep.loads.weights,
            runs=sweep.runs,
            differs=("configuration",) if sweep.named_apart else (),
        )
        for sweep in prepared.sweeps
        if sweep.setting == setting
    )


def family_of(prepared: PreparedDay, run: str, setting: str) -> Family:
    """Find the family that a run belongs to.

    Refused is a run in no family that has the setting; the refusal lists the runs that are.
    """
    prepared.row(run)
    families = find_families(prepared, setting)
    for sweep, family in zip([s for s in prepared.sweeps if s.setting == setting], families, strict=True):
        if run in sweep.order:
            return family
    listed = "; ".join(", ".join(dict.fromkeys(family.labels)) for family in families) or "none"
    way = _way_from(prepared, run, setting)
    if way:
        raise InputError(
            f"run '{run}': found one value of {setting} with all else as there, expected two or more; {setting} was moved on "
            f"the car of run '{way}', on which run '{run}' was measured as a part: from run {way} with part {run}, "
            f"--from {shlex.quote(way)} --setting {shlex.quote(setting)} --part {shlex.quote(run)}, or in a what-if "
            f"from={shlex.quote(way)} on={shlex.quote(run)}"
        )
    raise InputError(
        f"run '{run}': found in no family of two values of {setting} or more (one block, all other settings "
        f"equal), expected one of the runs {listed}; or name the runs of the curve with --family RUN,RUN"
    )


def _way_from(prepared: PreparedDay, run: str, setting: str) -> str:
    """Find the run that a part was measured against whose setting was moved; nothing where the part moves it too."""
    increments, labels = prepared.increments, prepared.day.readings.labels
    column = increments.fitted.names.index(setting)
    for pair in increments.pairs:
        if labels[pair.run] == run and pair.shows_part:
            codes = increments.fitted.codes[[pair.run, pair.baseline], column]
            baseline = labels[pair.baseline]
            moved = any(one.setting == setting and baseline in one.order for one in prepared.sweeps)
            return baseline if moved and codes[0] == codes[1] else ""
    return ""


@lru_cache(maxsize=4)
def movable_settings(day: Day) -> Mapping[str, tuple[str, ...]]:
    """Find what can be moved in each run.

    By run, the settings of which it is in a family, that of most values first; runs in none are left out.
    """
    fitted, labels = what_was_fitted(day.fits), day.readings.labels
    families = setting_families(fitted)
    values = {column: len(np.unique(fitted.codes[:, column])) for column, _ in families}
    found: dict[str, list[int]] = {}
    for column, rows in families:
        for row in rows:
            found.setdefault(labels[row], []).append(column)
    return {
        label: tuple(fitted.names[column] for column in sorted(set(columns), key=lambda k: (-values[k], k)))
        for label, columns in found.items()
    }


def nearest_movable(day: Day, run: str, setting: str = "") -> str | None:
    """Find the run nearest to one in which a setting can be moved.

    The run itself where it can be moved in it; else of the others the one with fewest other settings, of
    these the nearest in the order of the day; nothing where there is none. Any setting will do where none is
    named.
    """
    fitted, labels = what_was_fitted(day.fits), day.readings.labels
    here, movable = labels.index(run), movable_settings(day)
    rows = [
        row
        for row, label in enumerate(labels)
        if label in movable and (not setting or setting in movable[label])
    ]
    if not rows:
        return None
    apart = {row: int(np.count_nonzero(fitted.codes[row] != fitted.codes[here])) for row in rows}
    return labels[min(rows, key=lambda row: (row != here, apart[row], abs(row - here), row))]


def sister_families(prepared: PreparedDay, family: Family) -> tuple[Family, ...]:
    """Find the families that differ from one in exactly one other setting: with the flap, and without.

    Of the same block, each with the setting in which it differs. They are curves of their own, compared,
    never joined.
    """
    if family.chosen:
        return ()
    fitted, row = prepared.increments.fitted, prepared.row(family.labels[0])
    found = []
    for other in find_families(prepared, family.setting):
        its = prepared.row(other.labels[0])
        differs = tuple(name for name in fitted.differs(row, its) if name != family.setting)
        if fitted.blocks[row] == fitted.blocks[its] and len(differs) == 1 and differs != ("configuration",):
            found.append(replace(other, differs=differs))
    return tuple(found)


def family_from(prepared: PreparedDay, labels: Sequence[str], setting: str) -> Family:
    """Make a family of named runs.

    Whatever else differs between the runs is taken as doing nothing, which is said. Their repeats are
    averaged with them; all must have the setting, at two values or more.
    """
    find_families(prepared, setting)
    fitted = prepared.increments.fitted
    rows = [prepared.row(label) for label in labels]
    by_value: dict[float, set[int]] = {}
    unit = ""
    for label, row in zip(labels, rows, strict=True):
        held = fitted.setting(row, setting)
        if held is None or isinstance(held.value, str):
            raise InputError(f"run '{label}' of the family: found no {setting}, expected a number of it")
        by_value.setdefault(float(held.value), set()).update(fitted.sets[row])
        unit = held.unit
    if len(by_value) < 2:
        raise InputError(
            f"family {', '.join(labels)}: found one value of {setting}, expected runs at two values or more"
        )
    values = sorted(by_value)
    sets = [tuple(sorted(by_value[value])) for value in values]
    differs = {name for row in rows[1:] for name in fitted.differs(rows[0], row)} - {setting}
    if any(fitted.label_codes[row] != fitted.label_codes[rows[0]] for row in rows):
        differs |= {"configuration"}
    if any(fitted.blocks[row] != fitted.blocks[rows[0]] for row in rows):
        differs |= {"block"}
    run_labels = prepared.day.readings.labels
    return Family(
        setting=setting,
        unit=unit,
        values=np.array(values),
        weights=prepared.day.fits.means(sets),
        runs=tuple(tuple(run_labels[row] for row in some) for some in sets),
        differs=tuple(sorted(differs)),
        chosen=True,
    )


def family_for(prepared: PreparedDay, run: str, setting: str, named: Sequence[str]) -> Family:
    """Return the family of named runs where there are any, else that of the run."""
    return family_from(prepared, named, setting) if named else family_of(prepared, run, setting)


def of_other_runs(family: Family) -> list[Assumption]:
    """State that a curve is of runs that differ in more than the setting, where it is."""
    if not family.chosen and family.differs != ("configuration",):
        return []
    values = {"runs": ", ".join(family.labels), "differs": ", ".join(family.differs)}
    return [Assumption(kind="curve of other runs", values=values)]


def of_suspect_runs(prepared: PreparedDay, family: Family) -> list[Assumption]:
    """Name the runs of a curve that are marked suspect."""
    runs = prepared.day.readings.runs
    suspect = [label for label in family.labels if runs[prepared.row(label)].status == "suspect"]
    return [Assumption(kind="suspect run", values={"run": label}) for label in suspect]


def value_of(prepared: PreparedDay, run: str, setting: str) -> float:
    """Return the value of a numeric setting in a run.

    A run that says it repeats another has the settings of that one.
    """
    held = prepared.increments.fitted.setting(prepared.row(run), setting)
    if held is None or isinstance(held.value, str):
        raise InputError(f"run '{run}': found no {setting}, expected a number of it to start from")
    return float(held.value)
