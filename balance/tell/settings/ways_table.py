"""Every way to balance, as a table: what is done, what it changes, and what the car is then at every speed."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

from balance.decide.day.range_seen import BEYOND_TESTS, highest_tested
from balance.decide.settings.ways import costs_alike
from balance.model.channels import AXLES, CHANNELS, DRAG, TOTAL
from balance.model.records import Setting
from balance.tell.export.quantity_values import finite
from balance.tell.export.record_parts import FORCES, ends
from balance.tell.figures import NONE, decimals_for, number, percent
from balance.tell.parts.part_names import part_name, setting_words
from balance.tell.runs.range_words import balance_to, beyond_words, range_role, range_then
from balance.tell.table import Cell, Column, Table
from balance.tell.what_if.assumption_text import assumption_lines

if TYPE_CHECKING:
    from collections.abc import Sequence

    from balance.decide.car.prepared_day import PreparedDay
    from balance.decide.settings.trim import TrimAnswer
    from balance.decide.settings.ways import Way
    from balance.tell.figures import Show

ALIKE = "~"
"""Stands before a drag that the day cannot tell from that of the way above."""


def way_words(way: Way, prepared: PreparedDay, show: Show) -> str:
    """Name what is done."""
    if way.ballast is not None:
        mass = show.quantity("mass", way.ballast.mass)
        other = "rear" if way.ballast.axle == "front" else "front"
        if way.ballast.moved:
            return f"{mass} moved from {other} to {way.ballast.axle} axle"
        return f"{mass} added at the {way.ballast.axle} axle"
    said = []
    if way.part is not None:
        name = part_name(prepared.increments, way.part.row)
        said.append(name if way.part.on else f"without {name}")
    if way.fitted:
        first = prepared.day.readings.runs[prepared.row(way.runs[0])]
        said += [
            setting_words(name, first.settings[name])
            if name in first.settings
            else f"without {name.replace('_', ' ')}"
            for name in way.fitted
        ]
    said += [
        setting_words(name, Setting(value=float(f"{value:.3g}"), unit=unit))
        for name, (value, unit) in way.settings.items()
    ]
    return ", ".join([*said, *way.stall])


def ways_table(ways: Sequence[Way], whole: TrimAnswer, show: Show) -> Table:
    """List the ways to balance."""
    force, prepared = show.unit("force"), whole.moved.prepared
    alike = costs_alike(ways, prepared.day.confidence)
    changes = [
        Column(key, title, unit=force, align="right", width=9, priority=priority, term=term)
        for key, title, term, priority in (
            ("front", "front", "downforce", 4),
            ("rear", "rear", "downforce", 4),
            ("drag", "drag", "drag", 1),
        )
    ]
    rows = tuple(
        {
            "way": Cell(name, "strong" if way.to_target else ""),
            **{key: Cell(_change(way, k, show)) for k, key in enumerate(CHANNELS[AXLES])},
            "drag": Cell(f"{ALIKE if same else ''}{_change(way, DRAG, show)}"),
            "ratio": Cell(NONE if way.downforce_per_drag is None else number(way.downforce_per_drag, 1)),
            "surplus": Cell(_surplus(way)),
            "to": Cell(balance_to(way.over_range, show), range_role(way.over_range)),
            "then": Cell(range_then(way.over_range), range_role(way.over_range)),
            "measured": Cell("yes" if way.measured else "no", "" if way.measured else "muted"),
        }
        for name, way, same in zip(_names(ways, prepared, show), ways, alike, strict=True)
    )
    day = prepared.day
    known = f", ± {percent(day.confidence, decimals=0)}" if day.repeatability.known else ""
    marked = f"; {ALIKE} drag as above, within noise" if any(alike) else ""
    tested = BEYOND_TESTS * highest_tested(day.session)
    marked += "".join(f"; {words}" for words in beyond_words([way.over_range for way in ways], tested, show))
    return Table(
        heading=(
            f"Options: every change that brings the car nearer to its target, least drag first, those in balance at every speed "
            f"before the others; changes at {show.speed(whole.speed)}{known}{marked}"
        ),
        columns=(
            Column(
                "way",
                "option",
                width=min(max((len(row["way"][0]) for row in rows), default=8), 42),
                flexible=True,
                term="trim",
            ),
            *changes,
            Column("ratio", "ΔDF/ΔD", align="right", width=7, priority=5, term="downforce_per_drag"),
            Column("surplus", "grip R−F", unit="%", align="right", width=7, priority=3, term="grip_surplus"),
            Column(
                "to",
                "in bal. to",
                unit=show.unit("speed"),
                align="right",
                width=10,
                priority=0,
                term="leaves_band",
            ),
            Column("then", "then", width=15, priority=0, term="range_verdict"),
            Column("measured", "measured", width=8, priority=6, term="measured"),
        ),
        rows=rows,
    )


def _names(ways: Sequence[Way], prepared: PreparedDay, show: Show) -> list[str]:
    """Name every way; a part that several runs show by the run too."""
    parts = {way.part.row: part_name(prepared.increments, way.part.row) for way in ways if way.part}
    said = list(parts.values())
    names = []
    for way in ways:
        name = way_words(way, prepared, show)
        if way.part is not None and said.count(part := parts[way.part.row]) > 1:
            run = prepared.day.readings.labels[prepared.increments.pairs[way.part.row].run]
            name = name.replace(part, f"{part} (run {run})", 1)
        names.append(name)
    return names


def way_record(way: Way, prepared: PreparedDay, show: Show) -> dict[str, Any]:
    """Return the record of one way."""
    verdict = way.state.handling.verdicts[0]
    record: dict[str, Any] = {
        "way": way_words(way, prepared, show),
        "settings": {name: {"value": value, "unit": unit} for name, (value, unit) in way.settings.items()},
        "runs": list(way.runs),
    }
    for name, k in FORCES.items():
        if k != TOTAL:
            record[f"{name}_change_N"] = finite(float(way.change.value[k]))
            record[f"{name}_change_N_interval"] = ends(float(way.change.low[k]), float(way.change.high[k]))
    record |= {
        "downforce_per_drag": way.downforce_per_drag,
        "surplus": finite(verdict.surplus),
        "surplus_interval": None
        if verdict.low is None or verdict.high is None
        else ends(verdict.low, verdict.high),
        "range_verdict": str(way.over_range.word),
        "to_target": way.to_target,
        "outside_at_a_place": way.outside,
        "measured": way.measured,
        "assumes": assumption_lines(way.assumptions),
    }
    return record


def _change(way: Way, column: int, show: Show) -> str:
    value = float(way.change.value[column])
    half = (float(way.change.high[column]) - float(way.change.low[column])) / 2.0
    text = show.bare("force", value, std=half / 2.0 if math.isfinite(half) else math.nan)
    sign = "+" if value > 0.0 and not text.startswith(("0", "−")) else ""
    return f"{sign}{text}" + (f" ±{show.bare('force', half)}" if math.isfinite(half) and half > 0.0 else "")


def _surplus(way: Way) -> str:
    verdict = way.state.handling.verdicts[0]
    if not math.isfinite(verdict.surplus):
        return NONE
    std = math.nan if verdict.low is None or verdict.high is None else (verdict.high - verdict.low) * 25.0
    return number(verdict.surplus * 100.0, decimals_for(std, fallback=1, most=1))
