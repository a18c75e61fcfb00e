"""Corners and straights of a lap as tables, held against the lap they are from and against laps run outright."""

import numpy as np
import pytest

from balance.decide.laps.corner_losses import corner_losses
from balance.tell.figures import Show
from balance.tell.laps.corner_table import corner_table, straight_table
from balance.tell.laps.worth_words import ITSELF
from balance.units.shown import US


def fastest(laps):
    return int(np.argmin(laps.lap.time))


@pytest.fixture(scope="module")
def losses(hatch_laps):
    return corner_losses(hatch_laps, fastest(hatch_laps))


def test_each_corner_has_its_name_speed_limit_and_seconds(hatch_laps, losses):
    at = fastest(hatch_laps)
    table = corner_table(hatch_laps, at, Show(), losses=losses)
    marks = [str(pace.limited_by[at])[0] for pace in hatch_laps.corners()]  # f, r or p: the first letter
    names = ["1{} hairpin", "2{}", "3{}", "4{}", "5{}"]
    assert [table.cell(row, "corner").text for row in range(5)] == [
        name.format(mark) for name, mark in zip(names, marks, strict=True)
    ]
    for row, pace in enumerate(hatch_laps.corners()):
        assert table.cell(row, "slowest").text == f"{3.6 * pace.lowest[at]:.0f}"
        assert table.cell(row, "limited").text == pace.limited_by[at]
        assert table.cell(row, "without_air").value == pytest.approx(pace.without_air[at])
        assert table.cell(row, "against").value == float(losses[row].value)
        assert " ±" in table.cell(row, "against").text


def test_speeds_are_in_the_units_shown(hatch_laps):
    at = hatch_laps.start
    table = corner_table(hatch_laps, at, Show(US))
    assert table.columns[1].unit == "mph"
    slowest = float(hatch_laps.corners()[0].lowest[at])
    assert (
        table.cell(0, "slowest").text == f"{slowest / 0.44704:.0f}"
    )  # exact: international mile per hour, 1959
    assert "against" not in {column.key for column in table.columns}


def test_seconds_of_corners_and_straights_add_up_to_those_of_the_lap(hatch_laps, losses):
    at, start = fastest(hatch_laps), hatch_laps.start
    straights = sum(float(one.time[at] - one.time[start]) for one in hatch_laps.straights())
    whole = float(hatch_laps.worths.against_start.value[at])
    assert sum(float(one.value) for one in losses) + straights == pytest.approx(whole, abs=0.002)


def test_the_interval_of_a_corner_holds_its_own_value(losses):
    for one in losses:
        assert one.low < one.value < one.high


def test_the_start_loses_nothing_to_itself(hatch_laps):
    own = corner_losses(hatch_laps, hatch_laps.start)
    table = corner_table(hatch_laps, hatch_laps.start, Show(), losses=own)
    assert {table.cell(row, "against").text for row in range(5)} == {ITSELF}
    straights = straight_table(hatch_laps, hatch_laps.start, Show())
    assert {straights.cell(row, "against").text for row in range(5)} == {"·"}


def test_each_straight_is_named_by_the_corner_that_it_leads_to(hatch_laps):
    at = fastest(hatch_laps)
    table = straight_table(hatch_laps, at, Show())
    assert [table.cell(row, "straight").text for row in range(5)] == [
        "to 1 hairpin", "to 2", "to 3", "to 4", "to 5",
    ]  # fmt: skip
    for row, pace in enumerate(hatch_laps.straights()):
        assert table.cell(row, "fastest").text == f"{3.6 * pace.fastest[at]:.0f}"
        moved = 3.6 * float(pace.fastest[at] - pace.fastest[hatch_laps.start])
        assert table.cell(row, "against").value == pytest.approx(moved)
        assert table.cell(row, "held").text in ("drag", "length")
        assert not np.isnan(pace.time[at])
