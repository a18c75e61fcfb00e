"""The sheet of readings: every run as it was read, void ones too, in the units of the session's own file."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

from balance.model.channels import CHANNELS
from balance.model.columns import CONDITIONS, TEXTS
from balance.tell.export.sheet_cells import FIRST_ROW, filled, letters, sheet_table, write_table
from balance.units.shown import SI
from balance.units.text import unit_scale

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from balance.decide.day.assessment import Assessment
    from balance.model.channels import Channel
    from balance.model.records import Column, Run, Session
    from balance.tell.export.sheet_cells import Filled
    from balance.tell.table import Table


def readings_sheet(book: Any, result: Assessment) -> None:
    """Add the sheet of readings."""
    write_table(book, book.add_worksheet("Readings"), _table(result.day.session))


def reading_cells(session: Session) -> Callable[[str, Channel], str]:
    """State in formulas where readings stand, brought to SI and to downforce."""
    names = [column.key for column in _table(session).columns]
    rows = {run.label: row for row, run in enumerate(session.runs, start=FIRST_ROW + 1)}
    places = {channel: letters(names.index(session.columns[channel].name)) for channel in CHANNELS}
    factors = {channel: _factor(session.columns[channel]) for channel in CHANNELS}

    def cell(label: str, channel: Channel) -> str:
        factor = factors[channel]
        return f"Readings!{places[channel]}{rows[label]}" + ("" if factor == 1.0 else f"*{factor:.17g}")

    return cell


def _table(session: Session) -> Table:
    """Lay the readings out, each column under the name that it has in runs.csv."""
    runs = session.runs
    columns = [
        filled(title="run", values=[run.label for run in runs], width=8),
        filled(title="configuration", values=[run.configuration for run in runs], width=24),
        *(_fitted(name, runs) for name in (*session.setting_names, *session.recorded_names)),
    ]
    for name, known in CONDITIONS.items():
        values = [getattr(run, known.held) for run in runs]
        if any(value is not None for value in values):
            unit = SI.unit("share" if known.measures == "fraction" else known.measures)
            shown = [None if v is None else round(unit.from_si(v), 9) for v in values]
            columns.append(filled(title=name, unit=unit.label, values=shown, style="0.0##"))
    columns += [_reading(session, channel) for channel in CHANNELS]
    if (total := session.total_column) is not None:
        factor = _factor(total)
        values = [None if run.total is None else round(run.total / factor, 9) for run in runs]
        columns.append(_figures(total, values))
    for name, known in TEXTS.items():
        if known.required:
            continue
        texts = [getattr(run, known.held) or "" for run in runs]
        if any(texts):
            columns.append(filled(title=name, values=texts, width=14))
    return sheet_table(columns)


def _fitted(name: str, runs: Sequence[Run]) -> Filled:
    found = [run.settings.get(name) or run.recorded.get(name) for run in runs]
    unit = next((setting.unit for setting in found if setting and setting.unit), "")
    return filled(
        title=name, unit=unit, values=[None if s is None else s.value for s in found], style="General"
    )


def _reading(session: Session, channel: Channel) -> Filled:
    column = session.columns[channel]
    factor = _factor(column)
    values = []
    for run in session.runs:
        figure, resolution = (
            getattr(run.reading, channel) / factor,
            getattr(run.resolution, channel) / abs(factor),
        )
        values.append(round(figure, max(0, -math.floor(math.log10(2 * resolution) + 1e-9))))
    return _figures(column, values)


def _figures(column: Column, values: Sequence[float | None]) -> Filled:
    up = "positive up" if column.positive_up else "positive down"
    sign = "positive rearward" if column.name.startswith("drag") else up
    unit = f"{column.unit or '1'}, {sign}"
    return filled(title=column.name, unit=unit, values=values, style="General", width=16)


def _factor(column: Column) -> float:
    scale = 1.0 if column.form == "coefficient" else unit_scale(column.unit, column.form)[0]
    return -scale if column.positive_up else scale
