"""The appendix: run sheet, air, method with sources, versions and checksums of the files."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from balance.files.formats.report import report_file
from balance.files.formats.what_if import WHAT_IF_FILE
from balance.files.loader import checksums
from balance.model.channels import CHANNELS, DRAG, FRONT, REAR
from balance.model.columns import CONDITIONS, TEXTS
from balance.model.glossary import terms
from balance.tell.figures import NONE, percent
from balance.tell.report.blocks import Lines, Section, Words
from balance.tell.report.cells import both, load_cells, quantity_cell
from balance.tell.table import Cell, Table, figures_columns, table_of, words_columns

if TYPE_CHECKING:
    from balance.model.columns import RunsColumn
    from balance.model.records import Run
    from balance.tell.report.report_data import ReportData

_METHOD = (
    (
        "Signs",
        "Lift is positive up, downforce positive down, drag positive rearward (SAE J1594); axes after ISO 8855.",
    ),
    (
        "To one speed and one air",
        (
            "Each reading is divided by its own dynamic pressure, half of air density times speed squared, and multiplied "
            "by that of the speed stated. This takes it that the coefficients do not change with speed."
        ),
    ),
    (
        "Air",
        "Density from temperature, pressure and humidity of the run after CIPM-2007, else the facility's figure.",
    ),
    (
        "Grip of an axle",
        (
            "Grows with the load on it to the power of the grip load exponent; the grip balance is the rear's growth over "
            "the front's, less one. The car is compared with itself at rest, not with another car."
        ),
    ),
    (
        "Differences",
        (
            "Each is a contrast of readings; its interval is Student's t with the degrees of freedom of the day's repeatability "
            "(JCGM 100). What all readings of a day share cancels."
        ),
    ),
    (
        "Downforce per drag",
        "Given only where both rise or both fall and Fieller's confidence set is bounded (E. C. Fieller, 1954).",
    ),
    (
        "Grip balance and verdicts",
        "By draws after JCGM 101: readings differ as repeats of the day do, assumed exponents over their ranges.",
    ),
)


_AIR = tuple(
    one for name, one in CONDITIONS.items() if name != "speed"
)  # whose speed is told with its source
_REMARKS = ("link", "label", "text")  # what is said of a run, in this order


def appendix_section(report: ReportData) -> Section:
    """Return what an engineer needs to check the page: run sheet, air, method, versions, checksums."""
    shared = report.day.shared
    name = report_file(Path(report.session.folder))
    files = (name, *((WHAT_IF_FILE,) if report.choices.what_ifs else ()))
    how = (
        (
            "Draws",
            f"{shared.count}, seed {shared.seed}, intervals of {percent(report.day.confidence, decimals=0)}",
        ),
        ("Versions", _versions()),
        *((f"SHA-256 of {name}", checksum) for name, checksum in checksums(report.session, *files)),
    )
    used = sorted(
        {terms()[key].source for key in ("grip_load_exponent", "stiffness_load_exponent", "repeatability")}
    )
    return Section(
        (
            _run_sheet(report),
            _air(report) if _own_air(report) else Words(_same_air(report)),
            Words("Method", role="strong"),
            Lines(_METHOD),
            Words(f"Sources of what is assumed: {'; '.join(used)}.", role="soft"),
            Words("How this page was made", role="strong"),
            Lines(how),
        ),
    )


def _run_sheet(report: ReportData) -> Table:
    """List every run, the void ones too, with what was fitted and what it read at its own speed and air."""
    positions = {run.label: k for k, run in enumerate(report.runs)}
    readings = report.day.readings
    rows = []
    for run in report.session.runs:
        k = positions.get(run.label)
        if k is None:
            loads = tuple(Cell(NONE, "muted") for _ in CHANNELS)
        else:
            forces = readings.areas[k] * readings.force_pressure[k]
            loads = load_cells(report, forces, np.full_like(forces, np.nan), (FRONT, REAR, DRAG))
        fitted = Cell(", ".join([run.configuration, *_fitted(run)]))
        rows.append((Cell(run.label), fitted, *loads, Cell(_status(run))))
    return table_of(
        key="sheet",
        heading="Run sheet, in the order of running; loads at each run's own speed and air",
        columns=(
            *words_columns("run", "what was fitted"),
            *figures_columns("front axle", "rear axle", "drag"),
            *words_columns("remarks"),
        ),
        rows=tuple(rows),
    )


def _fitted(run: Run) -> list[str]:
    return [f"{name.replace('_', ' ')} {setting.text}" for name, setting in run.settings.items()]


def _status(run: Run) -> str:
    said = [] if run.status == "good" else [f"{run.status}: {run.reason}" if run.reason else run.status]
    told = sorted((one for one in TEXTS.values() if one.remark), key=lambda one: _REMARKS.index(one.kind))
    said += [one.remark.format(cell) for one in told if (cell := getattr(run, one.held))]
    return "; ".join(said)


def _own_air(report: ReportData) -> bool:
    """Return whether any run has a speed or air of its own."""
    return any(
        value is not None for run in report.runs for value in (run.speed, run.temperature, run.pressure)
    )


def _same_air(report: ReportData) -> str:
    facility = report.session.facility
    return (
        f"Speed and air of every run are the facility's: {both(report, 'speed', facility.speed)} and "
        f"{both(report, 'density', facility.air_density)}; no run has its own."
    )


def _air(report: ReportData) -> Table:
    """List speed and air of every run that counts."""
    readings = report.day.readings
    rows = []
    for k, run in enumerate(report.runs):
        rows.append(
            (
                Cell(run.label),
                quantity_cell(report, "speed", float(readings.speed[k])),
                *(_air_cell(report, one, getattr(run, one.held)) for one in _AIR),
                quantity_cell(report, "density", float(readings.air_density[k])),
                quantity_cell(report, "dynamic_pressure", float(readings.dynamic_pressure[k])),
            )
        )
    return table_of(
        key="air",
        heading=f"Speed and air of each run; the facility states {both(report, 'density', report.session.facility.air_density)}",
        columns=(
            *words_columns("run"),
            *figures_columns("speed", *(one.title for one in _AIR), "air density", "dynamic pressure"),
        ),
        rows=tuple(rows),
    )


def _air_cell(report: ReportData, column: RunsColumn, value: float | None) -> Cell:
    if value is None:
        return Cell(NONE, "muted")
    if column.measures == "fraction":
        return Cell(percent(value, decimals=0))
    return quantity_cell(report, column.measures, value)


def _versions() -> str:
    """Name what made the figures and the page."""
    from importlib.metadata import PackageNotFoundError, version  # noqa: PLC0415 - slow to load

    found = []
    for name in ("axletrim", "numpy", "matplotlib", "Jinja2"):
        try:
            found.append(f"{name} {version(name)}")
        except PackageNotFoundError:
            found.append(f"{name}, version unknown")
    return ", ".join(found)
