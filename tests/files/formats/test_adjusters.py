"""Holes, limits and loadings of vehicle.toml: read in SI or the column's unit, every fault with its line."""

import pytest

from balance.files.formats.adjusters import adjusters_in_units_of
from balance.files.formats.runs import read_runs
from balance.files.formats.vehicle import read_vehicle
from balance.model.errors import FileFaults
from balance.model.records import Run, Setting, Triple

CAR = 'name = "car"\n[mass]\ntotal = "1290 kg"\nfront_share = "54 %"\n[size]\nwheelbase = "2575 mm"\n'
GOOD = """
[[adjusters]]
setting = "wing_angle"
holes = { "1" = "2 deg", "2" = "5 deg", "top" = "0.2 rad" }
limits = { low = "0 deg", high = "12 deg", confirmed_by = "scrutineer, 12 May" }
[loadings.race]
driver = { mass = "80 kg", behind_front_axle = "1350 mm" }
fuel = { mass = "-20 kg", behind_front_axle = "2.3 m" }
"""


def read(tmp_path, text):
    path = tmp_path / "vehicle.toml"
    path.write_text(CAR + text, encoding="utf-8")
    return read_vehicle(path, shown_as="vehicle.toml")


def run_with(unit):
    nothing = Triple(front=0.0, rear=0.0, drag=0.0)
    settings = {"wing_angle": Setting(value=1.0, unit=unit)}
    return Run(label="1", configuration="a", reading=nothing, resolution=nothing, settings=settings)


def test_they_are_read(tmp_path):
    vehicle = read(tmp_path, GOOD)
    (one,) = vehicle.adjusters
    assert (one.setting, one.unit, one.low, one.high) == ("wing_angle", "deg", 0.0, 12.0)
    assert one.confirmed_by == "scrutineer, 12 May"
    assert one.holes[:2] == (("1", 2.0), ("2", 5.0))
    assert one.holes[2][1] == pytest.approx(11.459, abs=1e-3)
    (loading,) = vehicle.loadings
    assert [(m.name, m.mass, m.behind_front_axle) for m in loading.masses] == [
        ("driver", 80.0, 1.35),
        ("fuel", -20.0, 2.3),
    ]


def test_they_come_to_the_unit_of_the_column(tmp_path):
    vehicle, notes = adjusters_in_units_of(read(tmp_path, GOOD), (run_with("rad"),))
    assert vehicle.adjusters[0].unit == "rad"
    assert vehicle.adjusters[0].high == pytest.approx(0.20944, abs=1e-5)
    assert notes == ()


def test_an_adjuster_of_another_kind_is_left_out_and_said(tmp_path):
    vehicle, notes = adjusters_in_units_of(read(tmp_path, GOOD), (run_with("mm"),))
    assert vehicle.adjusters == ()
    assert notes == ("adjuster of wing_angle left out: the vehicle file has it in deg, runs.csv in mm",)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ('[[adjusters]]\nsetting = "w"\nholes = { "1" = "2" }', "expected a setting with its unit"),
        (
            '[[adjusters]]\nsetting = "w"\nholes = { "1" = "2 deg", "2" = "5 mm" }',
            "figures of different kinds",
        ),
        ('[[adjusters]]\nsetting = "w"\nholes = { "1" = "2 dog" }', "the unit 'dog'"),
        ('[[adjusters]]\nsetting = "w"', "an adjuster without figures"),
        ('[[adjusters]]\nholes = { "1" = "2 deg" }', 'add setting = "wing_angle"'),
        ('[[adjusters]]\nsetting = "w"\nlimits = { high = "2 deg" }', "limits confirmed by nobody"),
        (
            '[[adjusters]]\nsetting = "w"\nlimits = { low = "3 deg", high = "2 deg", confirmed_by = "x" }',
            "a low end of 3 deg",
        ),
        ('[loadings.race]\nfuel = "20 kg"', "expected a mass and its distance"),
        ('[loadings]\nrace = "20 kg"', "a table [loadings.race]"),
        ('[mountings]\nwing_angle = "550 mm"', "expected how far behind the rear axle and how high"),
        (
            '[mountings]\nwing_angle = { behind_rear_axle = "550 mm", height = "9 m" }',
            "vehicle.toml",
        ),
    ],
)
def test_faults_say_where_and_how_to_mend(tmp_path, text, said):
    with pytest.raises(FileFaults) as caught:
        read(tmp_path, text)
    assert said in str(caught.value)
    assert str(caught.value).startswith("vehicle.toml:")


def test_a_loading_column_is_a_record_and_no_setting(tmp_path):
    path = tmp_path / "runs.csv"
    path.write_text(
        "run,configuration,loading,front_lift [N],rear_lift [N],drag [N]\n1,a,race,1,2,3\n2,a,,1,2,3\n",
        encoding="utf-8",
    )
    table = read_runs(path)
    assert [run.loading for run in table.runs] == ["race", ""]
    assert table.names("setting") == ()


def test_a_mounting_is_read_in_si(tmp_path):
    vehicle = read(tmp_path, '[mountings]\nwing_angle = { behind_rear_axle = "550 mm", height = "1.3 m" }\n')
    (mounting,) = vehicle.mountings
    assert (mounting.setting, mounting.behind_rear_axle, mounting.height) == ("wing_angle", 0.55, 1.3)
