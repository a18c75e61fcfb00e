"""A session as a workbook: readings, results, increments and method, numbers as numbers, formulas where one wants to follow."""

from __future__ import annotations

import io
import math
from functools import partial
from typing import TYPE_CHECKING, Any

from balance.compare.column_increments import ONLY
from balance.decide.day.day_scatter import column_scatters
from balance.decide.parts.parts import assess_parts
from balance.handling.axle_loads import static_axle_weights
from balance.model.channels import CHANNELS, DRAG, FRONT, REAR, TOTAL
from balance.model.columns import CONDITIONS, TEXTS
from balance.model.quantities import AT_SPEED, LIMITS, meaning
from balance.tell.export.quantity_values import finite, held
from balance.tell.export.record_parts import FORCE_NAMES
from balance.tell.figures import Show, percent
from balance.tell.head import session_line, state_line
from balance.tell.parts.column_text import compared_words
from balance.tell.parts.effects import part_effect_in_full
from balance.tell.parts.part_words import part_sentence
from balance.tell.runs.remarks import gathered, run_remarks, session_remarks
from balance.tell.table import Cell, Column, Table, table_of
from balance.units.shown import SI
from balance.units.text import unit_scale

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence

    from balance.compare.contrasts import Changes
    from balance.decide.day.assessment import Assessment
    from balance.model.channels import Channel
    from balance.model.quantities import Quantity
    from balance.model.records import Column as ReadColumn
    from balance.model.records import Run, Session

_FIRST_ROW = 2
"""Row of the first figures, counted from 0: below the head and its units."""


Filled = tuple[Column, "Sequence[float | str | None]"]
"""A column of a sheet, and what its rows hold: a figure, a text, or nothing."""


def _filled(
    *,
    title: str,
    values: Sequence[float | str | None],
    key: str = "",
    unit: str = "",
    style: str = "0.0",
    width: int = 12,
    formula: Callable[[int], str] | None = None,
) -> Filled:
    """Return a column of a sheet with its values; it goes by its title where it has no key of its own."""
    column = Column(key or title, title, unit=unit, style=style, width=width, formula=formula)
    return column, values


def _sheet_table(filled: Sequence[Filled]) -> Table:
    """Lay filled columns out as one table."""
    rows = zip(*(values for _, values in filled), strict=True)
    return table_of([column for column, _ in filled], ([Cell(value=value) for value in row] for row in rows))


def _letters(index: int) -> str:
    """Name a column as a spreadsheet does.

    Examples
    --------
    >>> _letters(0), _letters(27)
    ('A', 'AB')
    """
    name = ""
    while index >= 0:
        name = chr(65 + index % 26) + name
        index = index // 26 - 1
    return name


def _write_table(book: Any, sheet: Any, table: Table) -> None:
    """Write a table with the heads and units of its columns, and keep the heads in sight."""
    head = book.add_format({"bold": True, "text_wrap": True, "valign": "top"})
    unit = book.add_format({"italic": True})
    for index, column in enumerate(table.columns):
        style = book.add_format({"num_format": column.style})
        sheet.set_column(index, index, column.width)
        sheet.write_string(0, index, column.title, head)
        sheet.write_string(1, index, column.unit, unit)
        for row, cells in enumerate(table.rows, start=_FIRST_ROW):
            value = cells[column.key].value
            if isinstance(value, str):
                sheet.write_string(row, index, value)
            elif value is not None and math.isfinite(value):
                if column.formula is None:
                    sheet.write_number(row, index, value, style)
                else:
                    sheet.write_formula(row, index, f"={column.formula(row + 1)}", style, value)
    sheet.freeze_panes(_FIRST_ROW, 2)


def _readings_sheet(book: Any, result: Assessment) -> None:
    """Add the sheet of readings."""
    _write_table(book, book.add_worksheet("Readings"), _readings(result.day.session))


def _reading_cells(session: Session) -> Callable[[str, Channel], str]:
    """State in formulas where readings stand, brought to SI and to downforce."""
    names = [column.key for column in _readings(session).columns]
    rows = {run.label: row for row, run in enumerate(session.runs, start=_FIRST_ROW + 1)}
    places = {channel: _letters(names.index(session.columns[channel].name)) for channel in CHANNELS}
    factors = {channel: _factor(session.columns[channel]) for channel in CHANNELS}

    def cell(label: str, channel: Channel) -> str:
        factor = factors[channel]
        return f"Readings!{places[channel]}{rows[label]}" + ("" if factor == 1.0 else f"*{factor:.17g}")

    return cell


def _readings(session: Session) -> Table:
    """Lay the readings out, each column under the name that it has in runs.csv."""
    runs = session.runs
    columns = [
        _filled(title="run", values=[run.label for run in runs], width=8),
        _filled(title="configuration", values=[run.configuration for run in runs], width=24),
        *(_fitted(name, runs) for name in (*session.setting_names, *session.recorded_names)),
    ]
    for name, known in CONDITIONS.items():
        values = [getattr(run, known.held) for run in runs]
        if any(value is not None for value in values):
            unit = SI.unit("share" if known.measures == "fraction" else known.measures)
            shown = [None if v is None else round(unit.from_si(v), 9) for v in values]
            columns.append(_filled(title=name, unit=unit.label, values=shown, style="0.0##"))
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
            columns.append(_filled(title=name, values=texts, width=14))
    return _sheet_table(columns)


def _fitted(name: str, runs: Sequence[Run]) -> Filled:
    found = [run.settings.get(name) or run.recorded.get(name) for run in runs]
    unit = next((setting.unit for setting in found if setting and setting.unit), "")
    return _filled(
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


def _figures(column: ReadColumn, values: Sequence[float | None]) -> Filled:
    up = "positive up" if column.positive_up else "positive down"
    sign = "positive rearward" if column.name.startswith("drag") else up
    unit = f"{column.unit or '1'}, {sign}"
    return _filled(title=column.name, unit=unit, values=values, style="General", width=16)


def _factor(column: ReadColumn) -> float:
    scale = 1.0 if column.form == "coefficient" else unit_scale(column.unit, column.form)[0]
    return -scale if column.positive_up else scale


_HEADS = ("run", "configuration", "dynamic pressure", "speed", "density", "front area", "rear area", "drag area", "front", "rear",
          "total", "drag", "share", "offset", "front added", "rear added")  # fmt: skip
_FOLLOWED = (
    "front_downforce_N",
    "rear_downforce_N",
    "downforce_N",
    "drag_N",
    "aero_balance",
    "balance_offset",
    "front_added_load",
    "rear_added_load",
)
"""Quantities whose columns carry formulas."""
_STYLES = {"force": "0.0", "power": "0", "speed": "0.00", "ratio": "0.00", "coefficient": "0.000"}
_PLACES = {name: _letters(index) for index, name in enumerate(_HEADS)}
"""Letters of the columns that formulas refer to."""


def _results_sheet(book: Any, result: Assessment) -> None:
    """Add the sheet of results, downforce positive.

    Area = reading / dynamic pressure of its run, where the readings are forces as they were read; load = area × dynamic
    pressure; front share = front / (front + rear); added load = load / static weight.
    Names in the formulas (stated_pressure and the like) stand on the sheet of the method.
    """
    _write_table(book, book.add_worksheet("Results"), _sheet_table([*_followed(result), *_computed(result)]))


def _numbers(array: Iterable[Any] | None, result: Assessment) -> list[float | None]:
    return [None] * len(result.labels) if array is None else [finite(value) for value in array]


def _followed(result: Assessment) -> list[Filled]:
    """Return the columns that carry formulas, and those they start from."""
    readings, n, at = result.day.readings, result.handling.nominal, _PLACES
    areas = readings.areas

    def load(area: str) -> Any:
        return lambda row: f"{at[area]}{row}*stated_pressure"

    def over(top: str, bottom: str) -> Any:
        return lambda row: f"{at[top]}{row}/{bottom}"

    labels, cell = readings.labels, _reading_cells(result.day.session)

    def area_of(channel: Channel) -> Any:
        def formula(row: int) -> str:
            return f"{cell(labels[row - _FIRST_ROW - 1], channel)}/{at['dynamic pressure']}{row}"

        return formula if _as_read(result.day.session) else None

    share = _numbers(result.handling.aero_balance.value, result)
    force = partial(_filled, unit="N", style="0.0")
    area = partial(_filled, unit="m^2", style="0.0000")
    return [
        _filled(title="run", values=list(readings.labels), width=8),
        _filled(title="configuration", values=[run.configuration for run in readings.runs], width=24),
        _filled(
            title="dynamic pressure of the run", unit="Pa", values=_numbers(readings.dynamic_pressure, result),
            formula=lambda row: f"0.5*{at['density']}{row}*{at['speed']}{row}^2",
        ),
        _filled(title="speed of the run", unit="m/s", values=_numbers(readings.speed, result), style="0.00"),
        _filled(title="air density of the run", unit="kg/m^3", values=_numbers(readings.air_density, result), style="0.0000"),
        area(title="front downforce area", values=_numbers(areas[:, FRONT], result), formula=area_of("front")),
        area(title="rear downforce area", values=_numbers(areas[:, REAR], result), formula=area_of("rear")),
        area(title="drag area", values=_numbers(areas[:, DRAG], result), formula=area_of("drag")),
        force(title="front downforce", values=_numbers(n.front_downforce, result), formula=load("front area")),
        force(title="rear downforce", values=_numbers(n.rear_downforce, result), formula=load("rear area")),
        force(title="downforce", values=_numbers(n.downforce, result), formula=lambda row: f"{at['front']}{row}+{at['rear']}{row}"),
        force(title="drag", values=_numbers(n.drag, result), formula=load("drag area")),
        _filled(
            title="aero balance, blank where there is none", values=share, style="0.0%",
            formula=lambda row: f"{at['front']}{row}/{at['total']}{row}",
        ),
        _filled(
            title="aero balance behind weight, negative rearward", style="0.0%", values=_numbers(result.handling.balance_offset, result),
            formula=lambda row: f"{at['share']}{row}-front_weight_share",
        ),
        _filled(
            title="front added load", values=_numbers(n.front_added_load, result), style="0.0%", formula=over("front", "front_weight")
        ),
        _filled(title="rear added load", values=_numbers(n.rear_added_load, result), style="0.0%", formula=over("rear", "rear_weight")),
    ]  # fmt: skip


def _as_read(session: Session) -> bool:
    """Return whether areas follow from the readings by division alone: forces as read, no couple of drag added."""
    facility = session.facility
    forces = all(column.form == "force" for column in session.columns.values())
    return forces and not facility.restated and not facility.drag_reacted_at


def _computed(result: Assessment) -> list[Filled]:
    """Return what no formula of a sheet can follow: every other registered quantity, uncertainties and intervals."""
    columns = []
    for quantity in (*AT_SPEED, *LIMITS):
        if quantity.kind == "shares":
            continue
        words = quantity.kind == "word"
        said = quantity.title.removesuffix(f", {quantity.head}")
        column = partial(_filled, unit=_unit(quantity), style=_STYLES.get(quantity.kind, "0.00%"))
        if quantity.key not in _FOLLOWED:
            values = held(result, quantity.value)
            texts = [None if word is None else str(word) for word in values] if words else None
            columns.append(
                column(
                    title=said,
                    values=texts if texts is not None else _numbers(values, result),
                    width=28 if words else 12,
                )
            )
        if quantity.std:
            columns.append(
                column(
                    title=f"{said}, standard uncertainty", values=_numbers(held(result, quantity.std), result)
                )
            )
        if quantity.interval:
            ends = held(result, quantity.interval)
            for end in ("low", "high"):
                figures = None if ends is None else getattr(ends, end)
                title = f"{said}, {percent(result.day.confidence, decimals=0)} interval, {end} end"
                columns.append(column(title=title, values=_numbers(figures, result)))
    return columns


def _unit(quantity: Quantity) -> str:
    """Return the unit in SI of a quantity's column; nothing for a word or a share."""
    said = meaning(quantity.key)
    return "" if said is None or said.unit in ("none", "1") else said.unit


_CHANGED = (("front downforce", FRONT), ("rear downforce", REAR), ("downforce", TOTAL), ("drag", DRAG))
_BEFORE = 4
"""Columns that stand before the figures: run, baseline, what differs, whether it is a package."""


def _increments_sheet(book: Any, result: Assessment) -> None:
    """Add the sheet of increments, run less baseline, downforce positive.

    The ends of an interval are the change less and plus its half width, as formulas. Compared columns follow the forces,
    each in the unit of its file.
    """
    parts = assess_parts(result.day, speed=result.speed, air_density=result.air_density)
    increments = list(parts.increments)
    rows = range(len(increments))
    columns = [
        _filled(title="run", values=[i.run for i in increments], width=8),
        _filled(title="baseline", values=[i.baseline for i in increments], width=8),
        _filled(title="differs", values=[", ".join(i.differs) for i in increments], width=24),
        _filled(title="package", values=["yes" if i.package else "no" for i in increments]),
    ]
    compared = [(f"{name} change", "N", parts.increments.changes, column) for name, column in _CHANGED]
    compared += [(f"{one.column.title} change", one.column.unit, one.changes, ONLY) for one in parts.columns]
    for k, (title, unit, changes, column) in enumerate(compared):
        columns += _changed(title, unit, changes, column, _BEFORE + 5 * k)
    columns += [
        _filled(
            title="downforce per drag",
            unit="N per N",
            values=[i.ratio.value for i in increments],
            style="0.00",
        ),
        _filled(title="effect", values=[part_effect_in_full(parts, row) for row in rows], width=34),
        _filled(title="in words", values=[part_sentence(parts, row, Show()) for row in rows], width=80),
    ]
    _write_table(book, book.add_worksheet("Increments"), _sheet_table(columns))


def _changed(title: str, unit: str, changes: Changes, column: int, before: int) -> list[Filled]:
    """Return the columns of one quantity's changes, behind as many others."""
    name = title.removesuffix(" change")
    value, half = _letters(before), _letters(before + 1)
    found, wide = changes.change[:, column], (changes.high[:, column] - changes.low[:, column]) / 2.0

    def formula(sign: str) -> Callable[[int], str]:
        return lambda row: f"{value}{row}{sign}{half}{row}"

    ends = [
        _filled(
            key=f"{name} {end}", title=end, unit=unit, values=list(map(finite, values)), formula=formula(sign)
        )
        for end, sign, values in (("low", "-", found - wide), ("high", "+", found + wide))
    ]
    of = f"{unit}, {changes.confidence:.0%}"
    resolved = ["yes" if r else "no" for r in changes.resolved[:, column]]
    return [
        _filled(title=title, unit=unit, values=list(map(finite, found))),
        _filled(key=f"{name} half", title="half interval", unit=of, values=list(map(finite, wide))),
        *ends,
        _filled(key=f"{name} significant", title="significant", values=resolved),
    ]


def _method_sheet(book: Any, result: Assessment) -> None:
    """Add the sheet of the method, whose named cells the formulas of the results refer to."""
    sheet = book.add_worksheet("Method")
    sheet.set_column(0, 0, 44)
    day, show = result.day, Show()
    vehicle = day.session.vehicle
    front, rear = static_axle_weights(vehicle.mass, vehicle.front_share)
    bold = book.add_format({"bold": True})
    sheet.write_string(0, 0, session_line(day.session), bold)
    sheet.write_string(1, 0, state_line(result, show))
    named = (
        ("speed at which loads are stated", "stated_speed", result.speed, "m/s"),
        ("air density at which loads are stated", "stated_density", result.air_density, "kg/m^3"),
        ("dynamic pressure at which loads are stated", "stated_pressure", result.dynamic_pressure, "Pa"),
        ("static weight of the front axle", "front_weight", front, "N"),
        ("static weight of the rear axle", "rear_weight", rear, "N"),
        ("static front weight share", "front_weight_share", vehicle.front_share, "1"),
    )
    for row, (words, name, value, unit) in enumerate(named, start=3):
        sheet.write_string(row, 0, words)
        if name == "stated_pressure":
            sheet.write_formula(row, 1, "=0.5*stated_density*stated_speed^2", None, value)
        else:
            sheet.write_number(row, 1, value)
        sheet.write_string(row, 2, unit)
        book.define_name(name, f"=Method!$B${row + 1}")
    row = _scatter(sheet, result, 4 + len(named))
    remarks = [list(run_remarks(result, k, show)) for k in range(len(result.labels))]
    others = (
        result.day.session.left_out
    )  # days of other customers, whom a workbook that goes out does not name
    said = [note for note in session_remarks(result, show) if note not in others]
    notes = [*gathered(result.labels, remarks), *said]
    sheet.write_string(row + 1, 0, "Notes", bold)
    for position, note in enumerate(notes, start=row + 2):
        sheet.write_string(position, 0, note)


def _scatter(sheet: Any, result: Assessment, row: int) -> int:
    scatter = result.day.repeatability
    for k, name in enumerate(FORCE_NAMES):
        sheet.write_string(row + k, 0, f"{name}, standard deviation of one reading at the tested speed")
        if math.isfinite(scatter.deviation[k]):
            sheet.write_number(row + k, 1, float(scatter.deviation[k]))
        sheet.write_string(row + k, 2, "N")
        sheet.write_string(row + k, 3, f"from {scatter.source[k]}" if scatter.source[k] else "not known")
    row += len(FORCE_NAMES)
    facility, show = result.day.session.facility, Show()
    for one in column_scatters(result.day):
        deviation, source = float(one.scatter.deviation[ONLY]), one.scatter.source[ONLY]
        sheet.write_string(row, 0, f"{one.column.title}, standard deviation of one value")
        if math.isfinite(deviation):
            sheet.write_number(row, 1, deviation)
        sheet.write_string(row, 2, one.column.unit)
        how = compared_words(one.readings, facility, show)
        sheet.write_string(row, 3, f"{f'from {source}' if source else 'not known'}; {how}")
        row += 1
    return row


SHEETS: tuple[Callable[[Any, Assessment], None], ...] = (
    _readings_sheet,
    _results_sheet,
    _increments_sheet,
    _method_sheet,
)
"""What a workbook holds, in the order of its tabs: each adds its own sheet to it."""


def workbook(result: Assessment, sheets: Sequence[Callable[[Any, Assessment], None]] = SHEETS) -> bytes:
    """Write a session as an XLSX workbook, SI.

    Formulas carry their values, so that a program that does not recalculate shows them too. A text is always
    written as text, whatever it begins with.
    """
    import xlsxwriter  # type: ignore[import-untyped]  # noqa: PLC0415 - slow to load, and only for workbooks

    out = io.BytesIO()
    book = xlsxwriter.Workbook(out, {"in_memory": True, "strings_to_formulas": False, "strings_to_urls": False,
                                     "strings_to_numbers": False})  # fmt: skip
    book.set_properties({"title": result.day.session.title, "created": _day(result)})
    for add in sheets:
        add(book, result)
    book.close()
    return out.getvalue()


def _day(result: Assessment) -> Any:
    """Return the day of the session as the day of the file, so that equal sessions give equal files."""
    import datetime as dt  # noqa: PLC0415 - one use

    date = result.day.session.date
    return dt.datetime(2000, 1, 1) if date is None else dt.datetime(date.year, date.month, date.day)  # noqa: DTZ001
