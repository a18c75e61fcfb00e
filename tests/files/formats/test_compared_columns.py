"""[columns] compared in session.toml: which columns may be compared, what is stated of them, and every fault."""

import pytest

from balance.files.loader import stated_session
from balance.model.records import ComparedColumn, Setting
from tests.small_session import SESSION

HEAD = (
    "run,configuration,wing_angle [deg],front_lift [N],rear_lift [N],drag [N],"
    "radiator_pressure_drop [hPa],intake_temperature [degF],duct_moment [N*mm],tufts,turns\n"
)
RUNS = f"{HEAD}1,base,,84,260,1150,4.12,88.1,5,attached,3\n2,wing,4,90,120,1162,,88.4,6,lifting,4\n"
RECORDED = ["radiator_pressure_drop", "intake_temperature", "duct_moment", "tufts", "turns"]


def columns(compared, more=""):
    """Write session.toml with a list of compared columns."""
    recorded = ", ".join(f'"{name}"' for name in RECORDED)
    listed = ", ".join(f'"{name}"' for name in compared)
    return f"{SESSION}[columns]\nrecorded = [{recorded}]\ncompared = [{listed}]\n{more}"


def test_a_listed_column_keeps_its_unit_and_the_digits_that_were_typed(desk):
    session = desk.load(session=columns(["intake_temperature", "radiator_pressure_drop"]), runs=RUNS)
    assert [one.name for one in session.compared] == ["intake_temperature", "radiator_pressure_drop"]
    assert session.runs[0].recorded["radiator_pressure_drop"] == Setting(value=4.12, unit="hPa")
    assert session.runs[0].recorded["radiator_pressure_drop"].resolution == pytest.approx(0.005)
    assert "radiator_pressure_drop" not in session.runs[1].recorded


def test_a_pressure_and_a_force_scale_with_dynamic_pressure_and_nothing_else_does(desk):
    session = desk.load(
        session=columns(["radiator_pressure_drop", "intake_temperature", "duct_moment"]), runs=RUNS
    )
    assert [(one.scales, one.si_unit, one.factor) for one in session.compared] == [
        (True, "Pa", 100.0),
        (
            False,
            "K",
            pytest.approx(5.0 / 9.0),
        ),  # of a difference: the kelvin and the degree Fahrenheit, by definition
        (False, "N*mm", 1.0),
    ]


def test_what_the_facility_states_is_read_in_the_unit_of_the_column(desk):
    more = 'repeatability = { radiator_pressure_drop = "6 Pa", intake_temperature = "0.5 degC", duct_moment = "0.002 N*m" }\n'
    compared = ["radiator_pressure_drop", "intake_temperature", "duct_moment"]
    session = desk.load(session=columns(compared, more), runs=RUNS)
    # 6 Pa are 0.06 hPa; half a degree Celsius is 0.9 degrees Fahrenheit; 0.002 N m are 2 N mm
    assert [one.deviation for one in session.compared] == pytest.approx([0.06, 0.9, 2.0])


def test_without_the_list_nothing_is_compared(desk):
    session = desk.load(session=columns([]), runs=RUNS)
    assert session.compared == ()
    assert desk.load().compared == ()


def test_a_day_before_its_first_run_knows_what_it_will_compare(desk):
    folder = desk.write(session=columns(["radiator_pressure_drop"]), runs=HEAD)
    assert stated_session(folder).compared == (
        ComparedColumn(name="radiator_pressure_drop", unit="hPa", scales=True, si_unit="Pa", factor=100.0),
    )


def test_a_compared_column_that_is_empty_is_pointed_out(desk):
    empty = RUNS.replace("4.12", "")
    session = desk.load(session=columns(["radiator_pressure_drop"]), runs=empty)
    assert (
        "column 'radiator_pressure_drop': listed as compared, and no run that counts has a value of it"
        in session.notes
    )
    assert desk.load(session=columns(["radiator_pressure_drop"]), runs=RUNS).notes == ()


WANTED = "expected a recorded column of runs.csv with numbers and a unit"


@pytest.mark.parametrize(
    ("compared", "message"),
    [
        ("coolant", f"'coolant', which is no column of runs.csv, {WANTED}; check the spelling, or take it off the list"),
        ("radiator_pressure_drip", f"'radiator_pressure_drip', which is no column of runs.csv, {WANTED}; did you mean 'radiator_pressure_drop'?"),
        ("wing_angle", f"'wing_angle', a setting, {WANTED}; list 'wing_angle' as recorded too: it is measured, not set"),
        ("tufts", f"'tufts', a column of text, {WANTED}; take it off the list: a recorded text is shown beside the response to a setting"),
        ("turns", f"'turns', a column without a unit, {WANTED}; write 'turns [Pa]', or whatever its unit is, in the header of runs.csv ('[1]' for a plain number)"),
        ("drag", f"'drag', which has a meaning of its own, {WANTED}; take it off the list"),
    ],
)  # fmt: skip
def test_what_cannot_be_compared_is_named_with_its_line_and_how_to_mend_it(desk, compared, message):
    assert desk.faults(session=columns([compared]), runs=RUNS) == [
        f"session.toml:9: columns.compared: found {message}"
    ]


def test_a_column_listed_twice_is_a_fault(desk):
    found = desk.faults(session=columns(["duct_moment", "duct_moment"]), runs=RUNS)
    assert found == [
        "session.toml:9: columns.compared: found 'duct_moment' twice, expected each column once; leave out one"
    ]


@pytest.mark.parametrize(
    ("stated", "message"),
    [
        ('turns = "6 Pa"', "'turns', which is not compared, expected a column listed as compared; add 'turns' to compared, or leave it out"),
        ('radiator_pressure_drop = "6 mm"', "'radiator_pressure_drop' in 'mm', expected a unit such as 'hPa', in which the column stands; check the figure and its unit"),
        ('radiator_pressure_drop = "-6 Pa"', "radiator_pressure_drop = '-6 Pa', expected a standard deviation of 0 or more; leave out the minus, or the line if it is not known"),
        ('radiator_pressure_drop = "six"', "radiator_pressure_drop = 'six', expected a standard deviation with its unit; write repeatability = { radiator_pressure_drop = \"6 Pa\" }"),
        ("radiator_pressure_drop = true", 'radiator_pressure_drop = true, expected a standard deviation with its unit; write repeatability = { radiator_pressure_drop = "6 Pa" }'),
        ('radiator_pressure_drop = "6 Pa ± 1 Pa"', "an uncertainty in '6 Pa ± 1 Pa', expected the figure alone: it is taken as exact; leave out the uncertainty"),
    ],
)  # fmt: skip
def test_what_cannot_be_stated_of_a_column_is_named(desk, stated, message):
    more = f"repeatability = {{ {stated} }}\n"
    assert desk.faults(session=columns(["radiator_pressure_drop"], more), runs=RUNS) == [
        f"session.toml:10: columns.repeatability: found {message}"
    ]


def test_a_faulty_header_is_told_alone(desk):
    faults = desk.faults(
        session=columns(["radiator_pressure_drop"]), runs=RUNS.replace("configuration", "confi", 1)
    )
    assert all(fault.startswith("runs.csv") for fault in faults)


def test_a_cell_that_is_no_number_is_a_fault_of_runs_csv(desk):
    (fault,) = desk.faults(
        session=columns(["radiator_pressure_drop"]), runs=RUNS.replace("4.12", "4,12".replace(",", ";"))
    )
    assert fault.startswith("runs.csv:2: radiator_pressure_drop [hPa]: found '4;12', expected a number")


def test_a_standard_deviation_without_end_is_refused(desk):
    text = columns(["duct_moment"], 'repeatability = { duct_moment = "1e999 N*m" }\n')
    faults = desk.faults(session=text, runs=RUNS)
    assert any("duct_moment = '1e999 N*m'" in fault for fault in faults)
