"""The registry of the columns of runs.csv: every field of a run has its column, and each place knows every column."""

from dataclasses import fields

import openpyxl
import pytest
from click.testing import CliRunner

from balance.decide.day.assessment import assess
from balance.decide.day.day import reduce_day
from balance.files.day.entry_line import column_called
from balance.files.day.run_entry import next_entry
from balance.files.day.run_sheet import sheet_from
from balance.files.formats.runs_header import plan_columns
from balance.files.loader import load_session
from balance.files.tables.header.mapping import likely
from balance.files.tables.header.meanings import meaning_of
from balance.files.tables.importing.plan import ImportOptions
from balance.files.tables.importing.planning import plan_import
from balance.model.columns import CONDITIONS, FORMAT, READINGS, TEXTS, TOTALS, columns
from balance.model.glossary import explain
from balance.model.records import Run
from balance.tell.figures import Show
from balance.tell.runs.detail import run_detail
from tests.small_session import SESSION, Desk
from tui.host.typed_run import TypedRun

DERIVED = {"resolution", "settings", "recorded", "line"}
"""Fields of a run that no column of its own gives."""
CELLS = {
    "run": "R2", "configuration": "low wing", "baseline": "R1", "repeat_of": "R0", "block": "dusk", "time": "19:45",
    "operator": "Mabel", "loading": "race", "note": "tufts", "status": "suspect", "reason": "tape", "speed": "160",
    "temperature": "21.5", "pressure": "1003", "humidity": "43", "front_lift": "84", "rear_lift": "261", "drag": "1151",
    "total_lift": "347",
}  # fmt: skip
UNITS = {"speed": "km/h", "temperature": "degC", "pressure": "hPa", "humidity": "%"}
SIGNED_OR_COEFFICIENT = {name for name in (*READINGS, *TOTALS) if name not in CELLS}
"""Other names of a channel or a total, of which a table has one."""
NOT_FOR_THE_CUSTOMER = {"time", "operator", "total_lift"}


def header(name):
    """A column with its usual unit."""
    one = columns()[name]
    unit = UNITS.get(name) or {"force": "N"}.get(one.measures, "")
    return f"{name} [{unit}]" if unit else name


def rows():
    """A table that has every column, and three runs; the last has something in every cell."""
    heads = ",".join(map(header, CELLS))
    first = {**dict.fromkeys(CELLS, ""), "run": "R0", "configuration": "low wing"}
    first |= {name: CELLS[name] for name in (*CONDITIONS, "front_lift", "rear_lift", "drag", "total_lift")}
    made = [first, {**first, "run": "R1", "configuration": "bare"}, CELLS]
    return "\n".join([heads, *(",".join(run[name] for name in CELLS) for run in made)]) + "\n"


@pytest.fixture
def day(tmp_path):
    desk = Desk(tmp_path)
    loadings = '[loadings.race]\nfuel = { mass = "-25 kg", behind_front_axle = "2300 mm" }\n'
    desk.replace(
        session=f"format = {FORMAT}\n{SESSION}",
        vehicle=(desk.car / "vehicle.toml").read_text() + loadings,
        runs=rows(),
    )
    return desk.session


def said(*arguments):
    from tui.command_line.cli import axletrim

    result = CliRunner().invoke(axletrim, [str(a) for a in arguments], catch_exceptions=False)
    assert result.exit_code == 0, result.output
    return result.stdout


def test_every_field_of_a_run_that_comes_from_a_column_is_in_the_registry():
    assert {f.name for f in fields(Run)} - DERIVED - {"second_baseline"} == {
        one.held for one in columns().values()
    }


def test_the_day_of_this_test_has_every_column():
    assert CELLS.keys() | SIGNED_OR_COEFFICIENT == columns().keys()


@pytest.mark.parametrize("column", columns().values(), ids=lambda column: column.name)
def test_a_column_is_explained(column):
    assert explain(column.name)
    assert explain(column.title)


@pytest.mark.parametrize("name", columns())
def test_the_reader_knows_it(name):
    (plan,), _ = plan_columns([header(name)], line=1, file="runs.csv", recorded=(), file_format=FORMAT)
    assert plan.role in ("text", "condition", "reading", "total")


@pytest.mark.parametrize("name", columns())
def test_import_knows_it(name):
    meaning = meaning_of(columns()[name].title)[0]
    one = columns()[name]
    expected = one.channel or (one.kind if one.kind in ("condition", "total") else "text")
    assert (meaning.quantity, meaning.name) == (expected, name if expected in ("condition", "text") else "")


def test_import_takes_every_column_over(day):
    table = day / "theirs.csv"
    table.write_text(rows().replace("repeat_of", "Repeat of").replace("loading", "Loading"), encoding="utf-8")
    options = ImportOptions(speed="160 km/h", air_density="1.2 kg/m^3", forces="as read")
    plan = plan_import(table, vehicle=day.parent / "vehicle.toml", options=options)
    assert plan.questions == ()
    assert {cell.partition(" [")[0] for cell in plan.header} == CELLS.keys()
    assert set(plan.rows[2]) >= {CELLS[name] for name in TEXTS}


def test_the_entry_knows_every_column():
    sheet = sheet_from(rows(), file_format=FORMAT)
    assert {column_called(sheet, name, readings=True) for name in CELLS} == CELLS.keys()
    assert {name for name, _ in TypedRun(sheet=sheet).columns} == CELLS.keys()
    begun = next_entry(sheet, start="R2").cells
    for name, one in columns().items():
        if name in CELLS and name != "run":
            assert (begun.get(name) == CELLS[name]) is one.carried
    bare = sheet_from("run,configuration,front_lift [N],rear_lift [N],drag [N]\n")
    offered = {name for name, one in columns().items() if one.offered}
    assert offered < {name for name, _ in TypedRun(sheet=bare).columns}


@pytest.mark.parametrize("name", CELLS)
def test_a_watched_file_offers_it_by_its_own_words(name):
    assert likely(sheet_from(rows(), file_format=FORMAT).plan(name), [columns()[name].title]) == (
        columns()[name].title,
    )


def test_the_workbook_has_every_column(day, tmp_path):
    said("export", day, "--xlsx", tmp_path / "day.xlsx", "--draws", "100")
    sheet = openpyxl.load_workbook(tmp_path / "day.xlsx")["Readings"]
    assert {cell.value for cell in sheet[1]} >= CELLS.keys()
    assert {str(cell.value) for cell in sheet[5]} >= set(CELLS.values())


def test_the_detail_tells_every_column(day):
    table = assess(reduce_day(load_session(day), draws=100))
    told = " ".join(
        f"{one.heading} {' '.join(map(' '.join, one.lines))}" for one in run_detail(table, 2, Show())
    )
    assert [cell for cell in CELLS.values() if cell not in told] == []


def test_the_appendix_tells_every_column_but_those_that_are_not_for_the_customer(day, tmp_path):
    said("report", day, "-o", tmp_path / "page.html", "--depth", "full")
    appendix = (tmp_path / "page.html").read_text(encoding="utf-8").partition('id="appendix"')[2]
    untold = {name for name, cell in CELLS.items() if cell not in appendix}
    assert untold == NOT_FOR_THE_CUSTOMER


@pytest.mark.parametrize("name", [name for name, one in columns().items() if one.since > 1])
def test_what_has_its_meaning_from_a_later_format_is_a_setting_before_it(name):
    (plan,), _ = plan_columns([header(name)], line=1, file="runs.csv", recorded=())
    assert plan.role == "setting"
    assert name not in columns(columns()[name].since - 1)
