"""What a log tells of a car, in words: intervals, what it cannot tell, and lines that the car's file takes."""

import numpy as np
import pytest

from balance.decide.laps.fit_log import Fitted, FittedExponent, LogFit
from balance.decide.laps.lap_car import LapCar
from balance.files.formats.vehicle import VEHICLE, read_vehicle
from balance.files.text_file import text_at_hand
from balance.files.toml.edit import edited_toml
from balance.model.tracks import track_of_rows, track_of_segments
from balance.tell.figures import Show
from balance.tell.laps.fit_text import changes_of, fit_lines, fit_notes, offered_lines, offered_text

CAR = LapCar(
    mass=1290.0,
    front_share=0.54,
    friction=1.1,
    front_exponent=0.86,
    rear_exponent=0.86,
    power=230e3,
    losses=0.12,
    driven="rear",
    wheelbase=2.575,
    assumed=("friction is known within ±5 %", "the brakes use what each axle can take"),
)
TEXT = 'name = "c"  # ours\n[mass]\ntotal = "1290 kg"\nfront_share = "54 %"\n[size]\nwheelbase = "2575 mm"\n'
EXPONENT = FittedExponent(value=0.843, half=0.041, offered=True, unusual=False)


def fitted(value, low, high):
    return Fitted(
        value=value, std=(high - low) / 3.92, low=low, high=high, each=np.array([value, np.nan, value]), places=("a", "b", "c"), spread=0.021
    )  # fmt: skip


def fit(friction=None, power=None, exponent=None):
    return LogFit(friction=friction, power=power, exponent=exponent, corner_speeds=np.ones((2, 3)), car=CAR)


def vehicle(text=TEXT):
    return read_vehicle(text_at_hand(text, "vehicle.toml"), shown_as="vehicle.toml")


ALL = fit(fitted(1.152, 1.124, 1.180), fitted(228.4e3, 223.0e3, 234.0e3), EXPONENT)


def test_figures_stand_with_their_interval_and_no_more_digits_than_it_bears():
    friction, power, exponent = fit_lines(ALL, vehicle(), Show())
    assert friction.startswith(
        "Friction at the static load: 1.152 (1.124 to 1.180), the median of 2 corners that differ by sd 2.1 %"
    )
    assert power.startswith("Power of the engine: 228 kW (223 to 234), the median of 2 straights")
    assert "losses of 12 % on the way are counted in" in power
    assert exponent.startswith("Grip exponent: 0.84 ± 0.04")


def test_what_a_log_cannot_tell_is_said_and_not_offered():
    lines = fit_lines(fit(), vehicle(), Show())
    assert all("this log cannot tell" in line for line in lines)
    assert offered_lines(fit(), vehicle()) == ()
    wide = FittedExponent(value=0.7, half=0.31, offered=False, unusual=True)
    told = fit_lines(fit(exponent=wide), vehicle(), Show())[2]
    assert "± 0.31 where ± 0.05 is wanted" in told
    assert "0.86 stays" in told
    assert offered_lines(fit(exponent=wide), vehicle()) == ()


def test_an_unusual_exponent_is_said():
    odd = FittedExponent(value=0.71, half=0.04, offered=True, unusual=True)
    assert "outside what is usual of tyres" in fit_lines(fit(exponent=odd), vehicle(), Show())[2]


def test_offered_lines_are_read_by_the_car_s_file():
    offered = offered_lines(ALL, vehicle())
    assert offered_text(offered) == [
        "[tyres]",
        'friction = "1.152 ± 0.028"',
        'grip_load_exponent = "0.84 ± 0.04"',
        "[drive]",
        'power = "228 kW ± 6 kW"',
    ]
    text = edited_toml(VEHICLE, TEXT, changes_of(offered))
    assert text.startswith(TEXT)
    read = vehicle(text)
    assert (read.friction, read.power, read.grip_exponent.front) == (1.152, 228e3, 0.84)
    assert read.uncertainties["tyres.friction"].std == pytest.approx(0.028 / 1.96, rel=1e-3)  # half of 95 %


def test_a_curve_of_power_is_not_written_over():
    curved = vehicle(TEXT + '[drive]\npower_curve = [["60 km/h", "120 kW"], ["150 km/h", "240 kW"]]\n')
    assert [one.key for one in offered_lines(ALL, curved)] == ["tyres.friction", "tyres.grip_load_exponent"]
    assert "The stated power_curve would have to be 0.95 times as high." in fit_lines(ALL, curved, Show())[1]


def test_what_the_fit_replaces_is_no_assumption_of_it():
    by_hand = track_of_segments("any", [100.0], [0.01])
    assert fit_notes(ALL, by_hand)[0] == "assumed: the brakes use what each axle can take"


def test_how_well_the_line_is_known_is_said():
    by_hand = track_of_segments("any", [100.0], [0.01])
    traced = track_of_rows("any", [0.0, 100.0], [0.01, 0.01], curvature_std=[1e-4, 1e-4])
    assert "shows in how the corners differ, and nowhere else" in fit_notes(ALL, by_hand)[1]
    assert "holds how well the traced line is known" in fit_notes(ALL, traced)[1]
