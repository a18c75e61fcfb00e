"""Seconds of a lap in words: no more digits than their interval bears, direction and noise said."""

import math
import re
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from balance.decide.day.estimate import Estimate
from balance.decide.laps.worth import ExchangeRate, Slope
from balance.model.records import Stated
from balance.tell.laps.worth_words import (
    ITSELF,
    NOT_A_LAP,
    assumed_words,
    faster_words,
    friction_words,
    lap_notes,
    lap_words,
    rate_words,
    seconds_cell,
    seconds_decimals,
    seconds_words,
    way_words,
)


@pytest.mark.parametrize(
    ("half", "decimals"),
    [(0.0012, 3), (0.012, 3), (0.12, 2), (0.0996, 2), (1.2, 1), (9.96, 0), (12.0, 0), (120.0, 0)],
)  # two significant figures of the half-width, three decimals at most: the contract of this page, no source
def test_seconds_have_the_digits_that_half_their_interval_bears(half, decimals):
    assert seconds_decimals(-half, half) == decimals


@given(st.floats(-50.0, 50.0), st.floats(1e-4, 20.0), st.floats(1e-4, 20.0))
def test_value_and_ends_have_the_same_digits_and_the_mark_of_noise_is_right(value, below, above):
    low, high = value - below, value + above
    text = seconds_words(value, low, high)
    figures = re.findall(r"[0-9]+(?:\.([0-9]+))?", text)
    assert len({len(one) for one in figures}) == 1
    assert text.startswith("~") == (low <= 0.0 <= high)
    shown = float(re.search(r"[+−]?[0-9.]+", text)[0].replace("−", "-"))
    assert abs(shown - value) <= 0.5 * 10.0 ** -seconds_decimals(low, high) + 1e-9


def test_the_direction_is_a_word():
    assert faster_words(-0.213, -0.34, -0.09) == "0.21 s a lap faster (0.09 to 0.34)"
    assert faster_words(0.213, 0.09, 0.34) == "0.21 s a lap slower (0.09 to 0.34)"
    assert "faster" not in faster_words(-0.01, -0.2, 0.2)


def test_nothing_is_claimed_where_the_repeatability_is_not_known():
    for text in (seconds_words(-0.2, math.nan, math.nan), faster_words(-0.2, math.nan, math.nan)):
        assert text.endswith("(repeatability not known)")
    assert "(" not in lap_words(90.0, math.nan, math.nan)


def test_a_car_that_gets_stuck_and_the_start_itself_have_no_seconds():
    for one in (seconds_words, faster_words, lap_words):
        assert one(math.nan, math.nan, math.nan) == "does not get round"
    assert (
        seconds_words(0.0, 0.0, 0.0)
        == faster_words(0.0, 0.0, 0.0)
        == seconds_cell(0.0, 0.0, 0.0).text
        == ITSELF
    )


def test_a_cell_is_muted_within_noise_and_keeps_its_figure_for_a_workbook():
    assert seconds_cell(-0.2, -0.3, -0.1).role == ""
    cell = seconds_cell(-0.2, -0.5, 0.1)
    assert (cell.text, cell.role, cell.value) == ("~−0.20", "muted", -0.2)


def rate(balanced, low, high, *, front=0.2, rear=0.2):
    """Make an exchange rate with one interval."""

    def one(value, low=math.nan, high=math.nan):
        return Estimate(
            value=np.float64(value), std=np.float64(math.nan), low=np.float64(low), high=np.float64(high)
        )

    slope = Slope(added=-0.1, taken=-0.1)
    return ExchangeRate(
        front=one(front), rear=one(rear), balanced=one(balanced, low, high),
        front_slope=slope, rear_slope=slope, balanced_slope=slope, drag_slope=slope,
    )  # fmt: skip


def test_the_exchange_rate_is_one_sentence():
    assert rate_words(rate(0.214, 0.187, 0.243)) == (
        "one newton of downforce, split as the weights, pays for 0.214 N of drag here (0.187 to 0.243)."
    )
    assert "one pound of downforce" in rate_words(rate(0.2, 0.1, 0.3), "lbf")
    assert "0.20 lbf of drag" in rate_words(rate(0.2, 0.1, 0.3), "lbf")


def test_the_exchange_rate_in_words_where_there_is_no_figure():
    assert "more drag costs no time" in rate_words(rate(math.nan, math.nan, math.nan))
    assert "pays for no drag" in rate_words(rate(0.0, 0.0, 0.1))
    said = rate_words(rate(0.2, 0.1, 0.3, rear=0.0))
    assert said.endswith("More on the rear alone pays for none: that axle does not limit the lap.")


def test_seconds_name_the_friction_that_they_rest_on(hatch_laps):
    vehicle, car = hatch_laps.day.session.vehicle, hatch_laps.car
    assert friction_words(vehicle, car) == "with friction 1.08 ± 0.04"  # as the car's file states it
    plain = replace(vehicle, uncertainties={})
    assert (
        friction_words(plain, car) == "with friction 1.08 ± 0.05"
    )  # 5 % assumed, common practice, no source
    exact = replace(vehicle, uncertainties={"tyres.friction": Stated(value=1.08, exact=True)})
    assert friction_words(exact, car) == "with friction 1.08, taken as exact"


def test_what_was_assumed_is_said(hatch_laps):
    said = assumed_words(hatch_laps.car)
    assert all(one in said for one in hatch_laps.car.assumed)
    assert assumed_words(replace(hatch_laps.car, assumed=())) == ""


def test_which_way_an_interval_was_got_is_said_where_it_differs():
    assert way_words(("table", "table")) == "Intervals are read from a table of laps."
    assert way_words(("table", "laps")) == (
        "Intervals are read from a table of laps, 1 of 2 from laps run for that configuration."
    )
    assert "table" not in way_words(("laps", "laps"))


def test_the_notes_hold_all_that_must_stand_wherever_seconds_stand(hatch_laps):
    notes = list(lap_notes(hatch_laps, rate=hatch_laps.rate(hatch_laps.start)))
    said = " ".join(notes)
    for wanted in (
        NOT_A_LAP,
        "Minus is faster.",
        "friction 1.08 ± 0.04",
        "95 %",
        "One newton of downforce",
        "Assumed:",
    ):
        assert wanted in said
    for word in ("driver should", "line", "brake later"):
        assert word not in said.casefold()  # no advice on lines or driving
