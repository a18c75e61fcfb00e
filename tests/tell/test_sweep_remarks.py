"""What stands beside a run against speed: far scaling, the drive force, and what the tyres cannot do."""

import numpy as np
import pytest

import balance
from balance.decide.day.sweeps import sweep
from balance.tell.runs.remarks import run_remarks, sweep_remarks
from balance.units.text import parse_quantity

VEHICLE = """name = "car (invented)"
[mass]
total = "1200 kg"
front_share = "56 %"
[size]
wheelbase = "2550 mm"
[drive]
driven = "{driven}"
"""
SESSION = """title = "day (invented)"
vehicle = "vehicle.toml"
[facility]
speed = "160 km/h"
air_density = "1.2 kg/m^3"
forces = "{forces}"
[repeatability]
front = "7 N"
rear = "7 N"
drag = "4 N"
degrees_of_freedom = 20
"""
RUNS = """run,configuration,speed [km/h],temperature [degC],pressure [hPa],front_downforce [N],rear_downforce [N],drag [N]
1,both,160,20,1012,243,369,1257
"""


@pytest.fixture
def day(tmp_path):
    def make(driven="rear", forces="as read"):
        (tmp_path / "vehicle.toml").write_text(VEHICLE.format(driven=driven))
        (tmp_path / "session.toml").write_text(SESSION.format(forces=forces))
        (tmp_path / "runs.csv").write_text(RUNS)
        return balance.reduce_day(balance.load_session(tmp_path))

    return make


def swept(day, *speeds):
    return sweep(day, 0, np.array([parse_quantity(text, "speed") for text in speeds]))


def test_speeds_scaled_far_are_named(day):
    said = " ".join(sweep_remarks(swept(day("front"), "60 km/h", "240 km/h")))
    assert "scaled far outside 113 km/h to 196 km/h" in said
    assert "scaled" not in " ".join(sweep_remarks(swept(day("front"), "120 km/h", "190 km/h")))


def test_where_the_drive_force_decides_is_said(day):
    said = list(sweep_remarks(swept(day(), "150 km/h", "240 km/h")))
    assert "the grip balance is that under power, as is the verdict" in said
    assert "at 240 km/h the verdict is that under power; the air load alone would not decide it" in said
    assert any(
        text.startswith("warning: past the oversteer limit") and "from 240 km/h" in text for text in said
    )


@pytest.mark.parametrize("driven", ["front", "rear"])
def test_tyres_that_cannot_push_against_drag_are_named(day, driven):
    # the driven axle carries some 6 kN, and downforce; 1.1 of that is less than the drag of 1257 N (650/160)^2
    words = (
        "the driven tyres cannot push hard enough to hold this speed against drag, at the friction assumed"
    )
    said = list(sweep_remarks(swept(day(driven), "160 km/h", "650 km/h")))
    assert f"{words} from 650 km/h" in said
    fast, slow = (balance.assess(day(driven), speed=v / 3.6) for v in (650.0, 160.0))
    assert words in run_remarks(fast, 0)
    assert words not in run_remarks(slow, 0)


def test_restated_forces_do_not_claim_the_runs_own_air(day):
    words = "air density from the run's own temperature"
    assert any(words in text for text in run_remarks(balance.assess(day()), 0))
    assert not any(words in text for text in run_remarks(balance.assess(day(forces="restated")), 0))
