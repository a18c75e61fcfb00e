"""The table of parts: what each run changed against its baseline, in cells ready to be shown."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property
from types import MappingProxyType
from typing import TYPE_CHECKING

import numpy as np

from balance.compare.classes import PartClass
from balance.compare.ratios import RatioCase
from balance.decide.parts.parts import RankBy, rank_parts
from balance.model.kinds import unit_mark
from balance.reduce.median import median
from balance.tell.figures import NONE, Show, decimals_for, number, percent
from balance.tell.parts.change_text import FORCES, half_cell, ratio_figures, signed
from balance.tell.parts.column_text import COLUMN, column_heads, only_columns, signed_figure, usual_places
from balance.tell.parts.effects import part_effect
from balance.tell.parts.part_names import differing
from balance.tell.runs.doubt_words import run_mark
from balance.tell.runs.range_words import range_role, range_short
from balance.tell.runs.run_table import shortened
from balance.tell.table import Cell, Column

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from balance.compare.column_increments import ColumnIncrements
    from balance.decide.parts.parts import Parts

RANKS: Mapping[str, tuple[RankBy, str]] = MappingProxyType(
    {
        "downforce": (RankBy.DOWNFORCE, "total downforce gained, the most first"),
        "front": (RankBy.FRONT, "front downforce gained, the most first"),
        "rear": (RankBy.REAR, "rear downforce gained, the most first"),
        "drag": (RankBy.DRAG, "drag added, the most first"),
        "target": (RankBy.TARGET, "grip balance moved towards its target, the most first"),
        "ratio": (
            RankBy.DOWNFORCE_PER_DRAG,
            "downforce gained per drag, the most first; significant ones only",
        ),
    }
)
"""What parts are ranked by, under the word that is typed, in the order in which a key goes through them."""
RANK_COLUMNS: Mapping[str, str] = MappingProxyType(
    {
        "downforce": "total",
        "front": "front",
        "rear": "rear",
        "drag": "drag",
        "target": "grip",
        "ratio": "ratio",
    }
)
"""The column that each order goes by."""
AS_MEASURED = "‡"
"""Stands beside a run from whose figures no drift is taken out, while it is out of others."""
_HEADS = ("run", "against", "front", "rear", "total", "drag", "effect", "then")
"""Heads of the table that no compared column may be called by."""
_EFFECT = 14
"""Cells of what a part did; more where a compared column stands there."""
_FIRST_COMPARED, _FURTHER_COMPARED = 2, 6
"""How readily compared columns give way: the first stays as long as total and drag nearly, the others go before price."""
_SHOWS_NOTHING = (
    PartClass.LESS_THAN_SHOWN,
    PartClass.SCATTER_UNKNOWN,
    PartClass.REFIT_ASSUMED,
    PartClass.REPEAT,
)


@dataclass(frozen=True)
class PartTable:
    """Cells of a day's parts; ``row`` is the position among the increments."""

    parts: Parts
    show: Show
    wide: bool = True

    @cached_property
    def columns(self) -> tuple[Column, ...]:
        """All columns, in order."""
        known = self.parts.increments.changes.scatter_known
        unit = self.show.unit("force")
        ratio = f"{unit} per {unit}"
        unit += f", ± {percent(self.parts.day.confidence, decimals=0)}" if known else ""
        single = [row for row, pair in enumerate(self.parts.increments.pairs) if len(pair.differs) < 2]
        differs = max((len(self.cell(row, "differs").text) for row in single), default=7)

        def force(key: str, priority: int) -> Column:
            width = self._widest(key, 6)
            return Column(
                key,
                key,
                unit=unit,
                align="right",
                width=width,
                priority=priority,
                group="changes",
                term="increment",
            )

        return (
            Column("run", "run", width=self._widest("run", 3), term="run"),
            Column("baseline", "against", width=self._widest("baseline", 7), term="baseline"),
            Column(
                "differs",
                "what differs",
                width=min(max(differs, 12), 26 if self.wide else 15),
                flexible=True,
                term="configuration",
            ),
            force("front", 3),
            force("rear", 3),
            force("total", 1),
            force("drag", 1),
            *self._compared(),
            Column(
                "ratio",
                "ΔDF/ΔD",
                unit=ratio,
                width=self._widest("ratio", 8),
                priority=4,
                group="ratio",
                term="cost_ratio",
            ),
            Column(
                "class",
                "effect",
                width=max(_EFFECT, self._widest("class", 0)),
                group="class",
                term="part_class",
            ),
            Column("grip", "grip R−F", width=18, priority=8, group="balance", term="grip_surplus"),
            Column(
                "verdict",
                "then",
                unit="all speeds",
                width=self._widest("verdict", 15),
                priority=7,
                group="balance",
                term="range_verdict",
            ),
        )

    def _widest(self, key: str, default: int) -> int:
        """Return how wide the widest cell of a column is."""
        return max((len(self.cell(row, key).text) for row in range(len(self.parts))), default=default)

    def _compared(self) -> tuple[Column, ...]:
        """Return the columns of what else is compared, each in its own unit; those listed first stay longest."""
        found = self.parts.columns
        heads = column_heads([one.column for one in found], _HEADS)
        columns = []
        for place, (one, head) in enumerate(zip(found, heads, strict=True)):
            key, unit = f"{COLUMN}{one.column.name}", unit_mark(one.column.unit)
            known = math.isfinite(one.deviation)
            columns.append(
                Column(
                    key,
                    head,
                    unit=f"{unit}, ±" if known else unit,  # short: the forces beside it say of how many %
                    align="right",
                    width=self._widest(key, 6),
                    priority=_FIRST_COMPARED if place == 0 else _FURTHER_COMPARED,
                    group="changes",
                    term="compared_column",
                )
            )
        return tuple(columns)

    def ranked(self, rank: str) -> tuple[int, ...]:
        """Return the parts in the order of a rank, each comparison once."""
        return rank_parts(self.parts, RANKS[rank][0])

    def cell(self, row: int, key: str) -> Cell:
        """Return one cell."""
        return self._cells[key](row)

    @cached_property
    def _cells(self) -> dict[str, Callable[[int], Cell]]:
        return {
            "run": self._run,
            "baseline": self._baseline,
            "differs": self._differs,
            **{key: self._force(column) for key, column in FORCES},
            **{f"{COLUMN}{one.column.name}": self._changed(one) for one in self.parts.columns},
            "ratio": self._ratio,
            "class": self._class,
            "grip": self._grip,
            "verdict": self._verdict,
        }

    def _run(self, row: int) -> Cell:
        pair, runs = self.parts.increments.pairs[row], self.parts.increments.readings.runs
        text = runs[pair.run].label + (f" ×{len(pair.runs)}" if len(pair.runs) > 1 else "")
        mark = run_mark(self.parts.day, (*pair.runs, *pair.baseline_runs))
        if self.parts.increments.drift_corrected and not self.parts.increments.taken[row]:
            text += AS_MEASURED
        return Cell(f"{text}{mark}", "warn" if mark else "")

    def _baseline(self, row: int) -> Cell:
        pair, runs = self.parts.increments.pairs[row], self.parts.increments.readings.runs
        if pair.second is not None:
            return Cell(f"{runs[pair.baseline].label}–{runs[pair.second].label}")
        text = runs[pair.baseline].label + (
            f" ×{len(pair.baseline_runs)}" if len(pair.baseline_runs) > 1 else ""
        )
        if not pair.proposed:
            return Cell(text)
        return Cell(f"{text} {'later' if pair.later else 'auto'}", "muted")

    def _differs(self, row: int) -> Cell:
        clauses = differing(self.parts.increments, row, shortened=self._short)
        if len(clauses) > 1:
            return Cell(f"{len(clauses)} changes: {', '.join(clauses)}")
        return Cell(clauses[0]) if clauses else Cell("nothing: repeat", "muted")

    @cached_property
    def _short(self) -> Mapping[str, str]:
        names = self.parts.increments.fitted.names
        return {name: shortened(name, names) for name in names}

    def _force(self, column: int) -> Callable[[int], Cell]:
        changes = self.parts.increments.changes
        with np.errstate(all="ignore"):
            usual = float(median(changes.std[:, column])) if len(changes) else math.nan
        places = self.show.decimals("force", usual)
        scale = self.show.system.unit("force")

        def cell(row: int) -> Cell:
            value = float(changes.change[row, column])
            figure = signed(self.show, value, usual)
            half = (float(changes.high[row, column]) - float(changes.low[row, column])) / 2.0
            if not math.isfinite(half):
                return Cell(figure, "muted")
            return half_cell(figure, number(scale.from_si(half), places), known=changes.resolved[row, column])

        return cell

    @staticmethod
    def _changed(one: ColumnIncrements) -> Callable[[int], Cell]:
        """Return the cells of a compared column."""
        places = usual_places(one)

        def cell(row: int) -> Cell:
            change = one.of(row)
            if not math.isfinite(change.change):
                return Cell(NONE, "muted")
            figure = signed_figure(change.change, places)
            if not math.isfinite(change.std):
                return Cell(figure, "muted")
            half = number((change.high - change.low) / 2.0, places)
            return half_cell(figure, half, known=change.resolved)

        return cell

    def _ratio(self, row: int) -> Cell:
        if not self.parts.increments.pairs[row].differs:
            return Cell(NONE, "muted")
        ratio = self.parts.increments.ratios[row]
        figure, between = ratio_figures(ratio)
        if ratio.value is None:
            return Cell(("no ratio" if figure == NONE else figure), "muted")
        deed = "gained" if ratio.case is RatioCase.MORE_FOR_MORE else "given up"
        return Cell(f"{figure} {deed}" + (f" ({between})" if self.wide else ""))

    def _class(self, row: int) -> Cell:
        word, _ = self.parts.increments.classes[row]
        faint = word in _SHOWS_NOTHING and not only_columns(self.parts, row)
        return Cell(part_effect(self.parts, row), "muted" if faint else "")

    def _grip(self, row: int) -> Cell:
        value = float(self.parts.grip_surplus.value[row])
        if not math.isfinite(value):
            return Cell(NONE, "muted")
        std = float(self.parts.grip_surplus.std[row])
        moved = number(abs(value) * 100.0, decimals_for(std * 100.0, fallback=1, most=2))
        return Cell(f"{moved} points to the {'rear' if value > 0.0 else 'front'}")

    def _verdict(self, row: int) -> Cell:
        one = self.parts.ranges_after[row]
        return Cell(range_short(one), range_role(one))
