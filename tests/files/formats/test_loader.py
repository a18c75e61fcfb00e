"""Three files held side by side: faults across them, and what a session says of itself."""

import subprocess
import sys
from pathlib import Path

import pytest

from balance.files.loader import load_session

ROOT = Path(__file__).parents[3]
DEMOS = sorted(path.relative_to(ROOT) for path in (ROOT / "vehicles").glob("*/*/session.toml"))
HEAD = "run,configuration,front_lift [N],rear_lift [N],drag [N]"
FORCES = 'forces = "as read"\n'


def test_faults_of_all_three_files_come_together(desk, vehicle_text, session_text, runs_text):
    assert desk.faults(
        vehicle=vehicle_text.replace("kg", "g"),
        session=session_text.replace("km/h", "kmh"),
        runs=runs_text.replace("84", ""),
    ) == [
        "session.toml:4: facility.speed: found the unknown unit 'kmh', expected a speed unit such as km/h, mph, m/s; write 'km/h'",
        "../vehicle.toml:3: mass.total: found '1290 g', expected a mass with its unit, from 100 kg to 10000 kg; check the figure and its unit",
        "runs.csv:2: front_lift [N]: found an empty cell, expected a number; fill it in, or leave the row out",
    ]


@pytest.mark.parametrize("column", ["speed [km/h]", "temperature [degC]", "pressure [hPa]", "humidity [%]"])
def test_runs_with_speed_or_air_ask_what_the_forces_are(desk, session_text, column):
    name = column.split()[0]
    silent = session_text.replace(FORCES, "")
    assert desk.load(session=silent).facility.restated is False
    wanted = "found nothing, expected 'as read' or 'restated'"
    mend = 'write forces = "as read", or "restated" if the facility has brought the readings to its own speed and density'
    assert desk.faults(session=silent, runs=f"{HEAD},{column}\n1,base,1,2,3,\n2,base,,2,3,\n") == [
        f"session.toml:3: facility.forces: {wanted}; runs.csv has a column '{name}': {mend}",
        "runs.csv:3: front_lift [N]: found an empty cell, expected a number; fill it in, or leave the row out",
    ]


def test_coefficients_need_an_area(desk, vehicle_text, session_text):
    bare = vehicle_text.replace('frontal_area = "1.98 m^2"\n', "")
    runs = "run,configuration,front_lift_coefficient,rear_lift_coefficient,drag_coefficient\n1,base,0.05,0.1,0.4\n"
    mend = 'add reference_area = "2.05 m^2" here, or frontal_area to the vehicle file'
    assert desk.faults(
        vehicle=bare, session=f"{session_text}[repeatability]\nfront = 0.003\n", runs=runs
    ) == [
        f"session.toml:3: facility.reference_area: found nothing, expected the area that 'front_lift_coefficient' refers to; {mend}",
        f"session.toml:7: repeatability: found coefficients, expected an area that they refer to; {mend}",
    ]
    stated = session_text + 'reference_area = "2.05 m^2"\n'
    assert desk.load(vehicle=bare, session=stated, runs=runs).facility.reference_area == 2.05


@pytest.mark.parametrize(
    ("name", "message"),
    [
        (
            "speed",
            "runs.csv:1: speed: found a name with a meaning of its own listed as recorded, expected the name of a column that is not a known one; take it off the list",
        ),
        (
            "wing_angel",
            "runs.csv:1: wing_angel: found no such column, listed as recorded, expected the name of a column that is not a known one; did you mean 'wing_angle'?",
        ),
    ],
)
def test_recorded_names_are_those_of_columns(desk, session_text, name, message):
    session = f'{session_text}[columns]\nrecorded = ["{name}"]\n'
    assert desk.faults(session=session, runs=f"{HEAD},wing_angle [deg]\n1,base,1,2,3,4\n") == [message]


def notes_of(desk, header, *rows):
    runs = "\n".join([f"{HEAD},{header}", *(f"{i},base,1,2,3,{row}" for i, row in enumerate(rows, start=1))])
    return desk.load(runs=runs).notes


def test_numbers_without_a_unit_are_pointed_out(desk):
    note = "setting 'flap': numbers without a unit are kept as text; write 'flap [mm]', or whatever its unit is, to have a curve over it ('[1]' for a plain number)"
    assert note in notes_of(desk, "flap", "5", "5.5")
    assert note not in notes_of(desk, "flap", "5", "low")
    assert note not in notes_of(desk, "flap [mm]", "5", "5.5")


def test_a_setting_that_differs_in_every_run_is_pointed_out(desk):
    note = "setting 'ride [mm]'".replace(" [mm]", "") + (
        " differs in every run: if it was recorded rather than set, list it under [columns] recorded in session.toml"
    )
    assert note in notes_of(desk, "ride [mm]", "1", "2", "3", "4")
    assert note not in notes_of(desk, "ride [mm]", "1", "2", "3", "3")
    assert note not in notes_of(desk, "ride [mm]", "1", "2", "3", "")
    assert note not in notes_of(desk, "ride [mm]", "1", "2", "3")


def test_air_that_is_half_recorded_is_pointed_out(desk):
    assert (
        "runs.csv has pressure without its partner: a run's own air needs temperature and pressure, "
        "so the facility's density is used"
    ) in notes_of(desk, "pressure [hPa]", "1000")


def test_a_void_baseline_is_pointed_out(desk):
    assert "run '2': its baseline '1' is void" in notes_of(desk, "baseline,status", ",void", "1,")


def test_there_are_demonstration_sessions():
    assert DEMOS


@pytest.mark.parametrize("path", DEMOS, ids=str)
def test_demonstration_sessions_are_read(path):
    assert load_session(ROOT / path).used


def test_nothing_heavy_is_loaded_before_a_unit_is_read():
    code = (
        "import sys, balance.files.loader; print({'pint', 'pandas', 'scipy', 'textual'} & set(sys.modules))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=ROOT)
    assert done.stdout.strip() == "set()"
