"""Figures as they are shown, rounded by hand: the pages' tests take theirs from these same functions.

Units are exact: the international yard and pound of 1959, standard gravity of the CGPM of 1901, so that 1 lbf is
4.4482216 N. To the last digit that the uncertainty reaches with its first: common practice, no source. The quotients
stand beside each figure.
"""

import math

import pytest

from balance.tell.figures import Show, interval, number, percent, points
from balance.units.shown import SI, US


@pytest.mark.parametrize(
    ("value", "decimals", "text"),
    [(286.4, 0, "286"), (286.5001, 0, "287"), (-286.4, 0, "−286"), (-0.04, 1, "0.0"), (-0.06, 1, "−0.1"), (9.96, 1, "10.0")],
)  # fmt: skip
def test_halves_and_signs(value, decimals, text):
    assert number(value, decimals) == text


@pytest.mark.parametrize(
    ("system", "force", "std", "text"),
    [
        (SI, 286.44, 6.0, "286 N"),  # the first digit of 6 N is ones
        (SI, 286.44, 0.4, "286.4 N"),  # of 0.4 N tenths
        (SI, 286.44, 70.0, "286 N"),  # never rounded before the decimal point
        (SI, 286.44, math.nan, "286 N"),
        (US, 286.44, 6.0, "64 lbf"),  # 286.44 / 4.4482216 = 64.394; 6 N are 1.35 lbf: ones
        (US, 286.44, 2.0, "64.4 lbf"),  # 0.45 lbf: tenths
        (US, 286.44, 0.4, "64.39 lbf"),  # 0.09 lbf: hundredths
    ],
)
def test_a_force_in_the_digits_that_its_uncertainty_supports(system, force, std, text):
    assert Show(system).quantity("force", force, std=std) == text
    assert Show(system).axle_load(force, std) == f"{text} downforce"
    assert Show(system).axle_load(-force, std) == f"{text} LIFT"


@pytest.mark.parametrize(
    ("system", "speed", "text"),
    [
        (SI, 160.0 / 3.6, "160 km/h"),
        (SI, 44.0, "158 km/h"),
        (US, 44.0, "98 mph"),
    ],  # 44 x 3600 / 1609.344 = 98.43
)
def test_a_speed(system, speed, text):
    assert Show(system).speed(speed) == text


@pytest.mark.parametrize(
    ("share", "std", "text"),
    [
        (0.3774, 0.004, "37.7 %"),
        (0.3774, 0.02, "38 %"),
        (-0.0152, math.nan, "−1.5 %"),
        (0.03774, 0.0004, "3.77 %"),
    ],
)
def test_a_share_in_per_cent(share, std, text):
    """An uncertainty of 0.4 % reaches tenths, of 2 % ones, of 0.04 % hundredths; tenths where there is none."""
    assert percent(share, std) == text


def test_ends_and_points():
    assert interval(0.0421, 0.0499, 0.002) == "4.2 to 5.0 %"
    assert interval(-0.0149, math.inf, 0.02) == "−1 to beyond %"
    assert points(-0.1652, 0.004) == "16.5 points rearward"
    assert points(0.0204) == "2.0 points forward"


def test_lift_is_said_of_the_load_and_not_of_its_uncertainty():
    """Common practice, no source: the uncertainty of a load has no direction."""
    show = Show(SI)
    assert show.uncertain_load(-145.0, 2.5) == "145 N LIFT, sd 2.5 N"
    assert show.uncertain_load(145.0, 2.5) == "145 N downforce, sd 2.5 N"
    assert show.uncertain_load(-145.0, float("nan")) == "145 N LIFT"
    assert show.uncertain("force", 145.0, 2.5) == "145 N, sd 2.5 N"
