"""The table of runs: which columns there are, in which order they give way, and what stands in each cell."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from balance.model.kinds import unit_mark
from balance.model.quantities import quantities
from balance.reduce.median import median
from balance.tell.export.quantity_values import held
from balance.tell.figures import NONE, Show, behind_weight, number, percent, toward
from balance.tell.runs.doubt_words import run_mark
from balance.tell.runs.range_words import balance_to, range_role, range_then
from balance.tell.runs.row_names import row_names, setting_text, telling_settings
from balance.tell.table import Cell, Column
from balance.tell.words import share_words

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from balance.decide.day.assessment import Assessment
    from balance.decide.day.day import Day
    from balance.model.records import Run

SETTING = "setting:"
_SUFFIXES = ("_angle", "_aoa", "_height", "_length", "_position", "_size")


class _Shown(NamedTuple):
    """How the table shows a registered quantity: width, rule before it, and what differs from the registry."""

    quantity: str
    width: int
    group: str
    title: str = ""
    unit: str | None = None
    words: bool = False


_SHOWN = {
    "front": _Shown("front_downforce_N", 6, "loads"),
    "rear": _Shown("rear_downforce_N", 6, "loads"),
    "total": _Shown("downforce_N", 6, "loads"),
    "drag": _Shown("drag_N", 6, "loads"),
    "power": _Shown("drag_power_W", 6, "loads"),
    "share": _Shown("aero_balance", 25, "balance", unit="", words=True),
    "shift": _Shown("neutral_steer_shift", 24, "balance", unit="of wheelbase", words=True),
    "surplus": _Shown("grip_surplus", 7, "balance"),
}
"""Columns of quantities, in order, by the name under which the table is sorted."""


@dataclass(frozen=True)
class RunTable:
    """Cells of a session's runs, ready to be shown; ``row`` is the position among the used runs."""

    table: Assessment
    show: Show
    wide: bool = True

    @cached_property
    def columns(self) -> tuple[Column, ...]:
        """All columns, in order."""
        runs = self.table.runs
        longest = max((len(self.table.configuration(row)) for row in range(len(runs))), default=8)
        return (
            Column("run", "run", width=min(max(len(r.label) for r in runs) + 1, 11), term="run"),
            Column(
                "configuration",
                "configuration",
                width=min(max(longest, 13), 30 if self.wide else 17),
                flexible=True,
                term="configuration",
            ),
            *_varying(self.table.day, self.table.rows)[1],
            Column("n", "n", align="right", width=2, priority=11, term="repeat"),
            *(self._quantity(key) for key in _SHOWN),
            Column(
                "to",
                quantities()["leaves_band_at_m_s"].head,
                unit=self.show.unit("speed"),
                align="right",
                width=10,
                group="verdict",
                term="leaves_band",
            ),
            Column(
                "verdict",
                "then",
                unit=f"up to {self.show.speed(float(self.table.ranges[0].end))}" if self.table.ranges else "",
                width=max([15, *(len(range_then(one)) for one in self.table.ranges)]),
                group="verdict",
                term="range_verdict",
            ),
        )

    def _quantity(self, key: str) -> Column:
        """Return the column of a registered quantity."""
        shown = _SHOWN[key]
        quantity = quantities()[shown.quantity]
        return Column(
            key,
            shown.title or quantity.head,
            unit=self.show.unit(quantity.kind) if shown.unit is None else shown.unit,
            align="left" if shown.words else "right",
            width=shown.width,
            priority=quantity.priority,
            group=shown.group,
            term=quantity.term,
        )

    def cell(self, row: int, key: str) -> Cell:
        """Return one cell."""
        if key.startswith(SETTING):
            return self._setting(self._runs[row], key.removeprefix(SETTING))
        return self._cells[key](row)

    def apart(self, rows: Sequence[int], room: Mapping[str, int]) -> Callable[[int, str], Cell]:
        """Return the cells in a layout, in which no two rows look alike."""
        shown = [key.removeprefix(SETTING) for key in room if key.startswith(SETTING)]
        names = row_names(self.table, rows, shown, room.get("configuration", 0), self._short)

        def cell(row: int, key: str) -> Cell:
            return Cell(names[row]) if key == "configuration" and row in names else self.cell(row, key)

        return cell

    def sort_value(self, row: int, key: str) -> tuple[int, float | str]:
        """Return what a column sorts by: numbers before texts, nothing last."""
        if key.startswith(SETTING):
            setting = self._runs[row].settings.get(key.removeprefix(SETTING))
            if setting is None:
                return (2, "")
            return (1, setting.value.casefold()) if isinstance(setting.value, str) else (0, setting.value)
        if key == "configuration":
            return (1, self._runs[row].configuration.casefold())
        if key == "run":
            return (0, float(row))
        if key == "n":
            return (0, float(self._count(row)))
        value = float(self._values[key][row])
        return (2, "") if math.isnan(value) else (0, value)

    @cached_property
    def _runs(self) -> tuple[Run, ...]:
        return self.table.runs

    @cached_property
    def _values(self) -> dict[str, np.ndarray]:
        verdicts = np.array([v.surplus for v in self.table.handling.verdicts])
        to = np.array([one.in_balance_to for one in self.table.ranges])
        held_by = {key: held(self.table, quantities()[one.quantity].value) for key, one in _SHOWN.items()}
        return {**held_by, "surplus": verdicts, "verdict": verdicts, "to": to}

    @cached_property
    def _cells(self) -> dict[str, Callable[[int], Cell]]:
        return {
            "run": self._run,
            "n": lambda row: Cell(str(self._count(row))),
            "configuration": lambda row: Cell(self.table.configuration(row)),
            **{key: self._figure(key) for key, shown in _SHOWN.items() if not shown.words},
            "share": self._share,
            "shift": self._shift,
            "surplus": self._surplus,
            "to": self._to,
            "verdict": self._verdict,
        }

    def _run(self, row: int) -> Cell:
        day = self.table.day
        mark = run_mark(day, day.rows.members[self.table.rows[row]])
        return Cell(f"{self._runs[row].label}{mark}", "warn" if mark else "")

    def _count(self, row: int) -> int:
        """Count the readings behind a row."""
        return len(self.table.day.rows.members[self.table.rows[row]])

    def _figure(self, key: str) -> Callable[[int], Cell]:
        """Format a column's figures with one number of decimals, so that points stand in line."""
        quantity, values = quantities()[_SHOWN[key].quantity], self._values[key]
        unit = self.show.system.unit(quantity.kind)
        std = math.nan
        if quantity.std:
            with np.errstate(all="ignore"):
                std = float(median(held(self.table, quantity.std)))
        places = self.show.decimals(quantity.kind, std, usual=quantity.digits)

        def cell(row: int) -> Cell:
            value = float(values[row])
            lift = quantity.term == "downforce" and value < 0
            return Cell(number(unit.from_si(value), places), "danger" if lift else "")

        return cell

    def _share(self, row: int) -> Cell:
        balance, nominal = self.table.handling.aero_balance, self.table.handling.nominal
        share, std = float(balance.value[row]), float(balance.std[row])
        if math.isnan(share):
            why = share_words(float(nominal.front_downforce[row]), float(nominal.rear_downforce[row]))
            return Cell(f"{why}: none", "muted")
        return Cell(
            f"{percent(share, std)}, {behind_weight(float(self.table.handling.balance_offset[row]), std)}", ""
        )

    def _shift(self, row: int) -> Cell:
        shift = self.table.handling.neutral_steer_shift
        return Cell(toward(float(shift.value[row]), float(shift.std[row])))

    def _surplus(self, row: int) -> Cell:
        value = self.table.handling.verdicts[row].surplus
        return Cell(number(value * 100.0, 1))

    def _to(self, row: int) -> Cell:
        one = self.table.ranges[row]
        return self._stands_for_none(row) or Cell(balance_to(one, self.show), range_role(one))

    def _verdict(self, row: int) -> Cell:
        one = self.table.ranges[row]
        return self._stands_for_none(row) or Cell(range_then(one), range_role(one))

    def _stands_for_none(self, row: int) -> Cell | None:
        """Leave the verdict out beside a reading whose configuration has others: the mean of them is judged."""
        rows, place = self.table.day.rows, self.table.rows[row]
        if place >= rows.readings or rows.standing[place] == place:
            return None
        return Cell(NONE, "muted")

    @property
    def _short(self) -> Mapping[str, str]:
        """What each setting that varies is called."""
        return _varying(self.table.day, self.table.rows)[0]

    @staticmethod
    def _setting(run: Run, name: str) -> Cell:
        setting = run.settings.get(name)
        return Cell(NONE, "muted") if setting is None else Cell(setting_text(setting.value))


@lru_cache(maxsize=2)
def _varying(day: Day, rows: tuple[int, ...]) -> tuple[Mapping[str, str], tuple[Column, ...]]:
    """Name the settings that vary over some rows, and give each a column; those with most values stay longest.

    They hang on no speed and no unit, and take most of the time of a day of thousands of runs: they are found once.
    """
    runs = [day.readings.runs[day.rows.members[row][0]] for row in rows]
    held = {name: [s for run in runs if (s := run.settings.get(name))] for name in day.session.setting_names}
    values = {name: {one.value for one in found} for name, found in held.items()}
    names = [name for name in held if len(values[name]) + (len(held[name]) < len(runs)) > 1]
    short = {name: shortened(name, names) for name in names}
    telling = telling_settings(day, rows, sorted(names, key=lambda name: -len(values[name])))
    priority = {name: (2, 3, 4)[k] if k < 3 else 6 for k, name in enumerate(telling)}
    columns = []
    for name in names:
        numeric, unit = all(one.numeric for one in held[name]), held[name][0].unit
        texts = [short[name], unit if numeric else "", *map(setting_text, values[name])]
        columns.append(
            Column(
                f"{SETTING}{name}",
                short[name],
                unit=unit_mark(unit) if numeric else "",
                align="right" if numeric else "left",
                width=min(max(map(len, texts)), 14),
                priority=priority.get(name, 9),
                term="setting",
            )
        )
    return short, tuple(columns)


def shortened(name: str, names: Sequence[str]) -> str:
    """Drop what kind of dimension a setting is from its name where that leaves it unmistakable."""
    for suffix in _SUFFIXES:
        stem = name.removesuffix(suffix)
        if stem != name and stem and sum(other.startswith(stem) for other in names) == 1:
            return stem.replace("_", " ")
    return name.replace("_", " ")
