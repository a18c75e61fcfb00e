"""Bars of a column: marks where the figures are, nothing where there are none, arrows beyond the scale."""

import math
from types import SimpleNamespace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from balance.tell.table import Cell, Column, table_of
from tui.widgets.interval_bars import ASCII, BARS, Ruler, interval_bar, scale_line, with_bars

FORCES = st.floats(-1e4, 1e4)


def span(value, low, high, kind="car"):
    return SimpleNamespace(value=value, low=low, high=high, kind=kind)


@given(FORCES, FORCES, FORCES, st.integers(24, 90))
def test_a_bar_has_its_width_and_its_value_where_the_scale_has_it(one, two, three, width):
    low, value, high = sorted((one, two, three))
    ruler = Ruler(min(low, 0.0) - 1.0, max(high, 0.0) + 1.0, width)
    bar = interval_bar(span(value, low, high), ruler)
    assert len(bar) == width
    assert bar[ruler.at(value)] == "┼"
    assert bar.strip("┊ ")[0] in "├┼"
    assert bar.strip("┊ ")[-1] in "┤┼"


def test_an_end_beyond_the_scale_is_an_arrow():
    bar = interval_bar(span(50.0, -500.0, 900.0), Ruler(-20.0, 100.0, 30))
    assert (bar[0], bar[-1]) == ("◀", "▶")


def test_kinds_are_told_by_their_signs():
    ruler = Ruler(0.0, 100.0, 40)
    assert "◆" in interval_bar(span(50.0, 30.0, 70.0, "mean"), ruler)
    following = interval_bar(span(math.nan, 30.0, 70.0, "next"), ruler)
    assert "═" in following
    assert not set("◆┼") & set(following)
    assert interval_bar(span(50.0, math.nan, math.nan), ruler).strip("┊ ") == "┼"
    assert interval_bar(None, ruler).strip() == "┊"
    assert interval_bar(span(50.0, 30.0, 70.0), ruler, ASCII).isascii()


@given(FORCES, st.floats(1.0, 1e4), st.integers(24, 90))
def test_the_scale_has_its_width(low, room, width):
    assert len(scale_line(Ruler(low, low + room, width), 1.0)) == width


@pytest.mark.parametrize("width", [40, 58, 59, 100, 400])
def test_bars_come_where_there_is_room(width):
    table = table_of((Column("car", "car"), Column("figure", "rear")), [[Cell("ash"), Cell("60 ± 21")]])
    found = with_bars(table, [span(60.0, 39.0, 81.0)], (0.0, 100.0), width=width, unit=1.0)
    keys = [column.key for column in found.columns]
    assert keys == (["car", "figure"] if width < 59 else ["car", BARS, "figure"])
    assert found.cell(0, "figure").text == "60 ± 21"
