"""The registry of quantities: every key of every record has its term and its unit, and a quantity is everywhere."""

import json

import openpyxl
import pytest
from click.testing import CliRunner

from balance.model.glossary import terms
from balance.model.quantities import AT_SPEED, meaning, quantities
from balance.tell.runs.curves import CHARTS
from balance.units.shown import SI, US

HATCH = "vehicles/brindlow_hatch/tunnel_day"
SECOND_DAY = "vehicles/brindlow_hatch/spring_day"
TWO_SEATER = "vehicles/ostrel_two_seater/straight_morning"
# groups whose keys are the names of settings or of recorded columns, or the words of verdicts
NAMED_BY_THE_DAY = ("settings", "differs", "verdict_shares", "target", "columns", "seen")


def said(*arguments):
    """What a command writes on stdout."""
    from tui.command_line.cli import axletrim

    result = CliRunner().invoke(axletrim, [str(a) for a in arguments], catch_exceptions=False)
    assert result.exit_code == 0, result.output
    return result.stdout


def records():
    """Every kind of record that a command gives, for both invented days."""
    for day, run, part in ((HATCH, "14", "4"), (TWO_SEATER, "8", "7")):
        trim = ("--from", run, "--setting", "wing_angle", "--front-change", "60 N at 160 km/h")
        for command, rest in {
            "table": (),
            "parts": (),
            "scatter": (),
            "compare": ("1", run),
            "sweep": (run,),
            "curve": ("--setting", "wing_angle"),
            "wing": trim,
            "what-if": ("--set", f"from={run}", "--set", "wing_angle=7 deg", "--set", f"on={part}"),
        }.items():
            yield json.loads(said(command, day, *rest, "--json"))
    yield json.loads(said("join", HATCH, SECOND_DAY, "--json"))


def keys(record):
    """Every key in a record, however deep, but for those that the day names."""
    if isinstance(record, dict):
        for key, value in record.items():
            yield key
            if key not in NAMED_BY_THE_DAY:
                yield from keys(value)
    elif isinstance(record, list):
        for value in record:
            yield from keys(value)


def test_every_key_of_every_record_has_its_term_and_its_unit():
    found = {key for record in records() for key in keys(record)}
    assert len(found) > 200
    assert {key for key in found if meaning(key) is None} == set()
    assert {key for key in found if meaning(key).term not in terms()} == set()


@pytest.mark.parametrize(
    ("key", "unit"),
    [
        ("drag_power_W", "W"),
        ("drag_power_W_std", "W"),
        ("rear_downforce_change_N_interval", "N"),
        ("downforce_drift_N_per_run", "N"),
        ("onset_speed_interval_m_s", "m/s"),
        ("dynamic_pressure_Pa", "Pa"),
        ("air_density_kg_m3", "kg/m^3"),
        ("grip_surplus_interval", "1"),
        ("verdict", "none"),
    ],
)
def test_the_unit_of_a_key_is_the_one_behind_it(key, unit):
    assert meaning(key).unit == unit


@pytest.mark.parametrize("key", ["wing_angle", "drag_mood", "nonsense_N", "in balance"])
def test_what_is_no_key_of_a_record_has_no_meaning(key):
    assert meaning(key) is None


@pytest.mark.parametrize("quantity", quantities().values(), ids=lambda quantity: quantity.key)
def test_each_quantity_has_a_shown_unit_in_every_system_and_says_what_it_is(quantity):
    assert all(isinstance(system.unit(quantity.kind).label, str) for system in (SI, US))
    assert all((quantity.key, quantity.term, quantity.value, quantity.head, quantity.title))


def test_drag_power_is_in_all_that_shows_quantities(tmp_path):
    # one registered quantity reaches every page, file and record
    assert '"drag_power_W"' in said("table", HATCH, "--json")
    assert "drag_power_W_std" in said("table", HATCH, "--csv").splitlines()[0]
    assert "power" in said("table", HATCH, "--width", "240").splitlines()[3].split()
    swept = said("sweep", HATCH, "15", "--quantity", "drag_power").splitlines()
    assert any("kW" in line for line in swept)
    assert not any("%" in line for line in swept if line.strip().startswith("km/h"))
    assert "drag_power" in CHARTS
    assert "drag power" in said("sweep", HATCH, "15", "--quantity", "drag_power", "--chart")
    assert "drag power" in said("explain", "drag_power_W")
    said("export", HATCH, "--xlsx", tmp_path / "day.xlsx")
    heads = [cell.value for cell in openpyxl.load_workbook(tmp_path / "day.xlsx")["Results"][1]]
    assert "drag power" in heads


def test_drag_power_is_drag_times_speed():
    # 100 N at 36 km/h take 1 kW: hand arithmetic, force times speed
    table = json.loads(said("table", HATCH, "--speed", "36 km/h", "--json"))
    for run in table["runs"]:
        assert run["drag_power_W"] == pytest.approx(10.0 * run["drag_N"])
        assert run["drag_power_W_std"] == pytest.approx(10.0 * run["drag_N_std"])


def test_a_sweep_shows_each_quantity_in_its_own_unit():
    for quantity in AT_SPEED:
        if quantity.kind in ("force", "power", "ratio", "share", "wheelbase", "points"):
            lines = said("sweep", HATCH, "15", "--quantity", quantity.key).splitlines()
            units = next(line for line in lines if line.strip().startswith("km/h"))
            assert SI.unit(quantity.kind).label in units
