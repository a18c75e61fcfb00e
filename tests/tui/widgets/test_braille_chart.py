"""Charts as text, drawn without an application."""

from math import cos, inf, nan, pi, sin

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from rich.cells import cell_len

from balance.tell.chart_parts import Chart, HorizontalBand, HorizontalLine, Series, VerticalMark
from tui.widgets.braille_chart import LabelRows, draw
from tui.widgets.canvas import to_text
from tui.widgets.ticks import round_ticks, tick_labels

SPEEDS = [60.0, 100.0, 150.0, 220.0]
SURPLUS = Chart(
    title="grip surplus",
    x_label="speed",
    x_unit="km/h",
    y_unit="%",
    series=[Series(SPEEDS, [0.0, 0.5, 2.0, 6.0], "rear over front")],
    bands=[HorizontalBand(-1.5, 3.0, "tolerance")],
    lines=[HorizontalLine(5.0, "limit")],
    marks=[VerticalMark(185.0, "185 fast left"), VerticalMark(149.0, "149 kink", "◆")],
)
SIZES = [(20, 6), (40, 10), (80, 24), (100, 25)]


def shown(chart, width=40, height=10, **options):
    return to_text(draw(chart, width, height, **options))


def curve_rows(chart, width=40, height=10):
    """Give the braille, and the gaps in it, of each row that has some."""
    rows = ["".join(text for text, _ in line) for line in draw(chart, width, height)]
    braille = ["".join(c if ord(c) > 0x2800 else " " for c in row).strip() for row in rows]
    return [row for row in braille if row]


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("ascii_only", [False, True])
def test_every_line_fills_the_width(size, ascii_only):
    lines = draw(SURPLUS, *size, ascii_only=ascii_only)
    assert [cell_len("".join(text for text, _ in line)) for line in lines] == [size[0]] * size[1]


@pytest.mark.parametrize("size", SIZES[1:])
def test_names_units_and_places_are_all_there(size):
    text = shown(SURPLUS, *size)
    for words in (
        "grip surplus",
        "%",
        "speed, km/h",
        "rear over front",
        "tolerance",
        "limit",
        "185 fast left",
    ):
        assert words in text


def test_a_mark_stands_on_the_axis_above_its_name():
    lines = shown(SURPLUS, 100, 25).split("\n")
    axis = next(index for index, line in enumerate(lines) if "└" in line)
    column = lines[axis].index("|")
    assert lines[axis + 2][column] == "|"
    assert lines[axis + 2][column:].startswith("| 185 fast left")


def test_ascii_is_ascii():
    assert shown(SURPLUS, ascii_only=True).isascii()
    assert shown(SURPLUS, 100, 25, ascii_only=True).isascii()


def test_series_differ_in_pattern_without_colour():
    series = [Series([0, 1], [height, height], f"s{height}") for height in range(4)]
    rows = curve_rows(Chart(series=series), 50, 30)[-4:]
    inks = [sum(character != " " and ord(character).bit_count() for character in row) for row in rows]
    assert len(set(inks)) == 4


@pytest.mark.parametrize(
    "series",
    [[], [Series([], [])], [Series([nan, 1.0], [1.0, nan])], [Series([inf], [0.0])]],
)
def test_nothing_to_draw_is_said(series):
    assert "nothing to draw yet" in shown(Chart(series=series))


def test_a_gap_is_left_open():
    x = list(range(11))
    y = [1.0] * 11
    y[3] = y[4] = y[5] = y[6] = nan
    (row,) = curve_rows(Chart(series=[Series(x, y)]))
    assert len(row.split()) == 2


def test_a_constant_series_and_a_single_point_are_drawn():
    (row,) = curve_rows(Chart(series=[Series([1, 2], [5, 5])]))
    assert len(row) == 34
    assert "●" in shown(Chart(series=[Series([1], [5], mark="dots")]))


def test_numbers_too_far_apart_are_not_drawn():
    assert "nothing to draw" in shown(Chart(series=[Series([0, 1], [-1.7e308, 1.7e308])]))


def test_points_carry_their_words():
    chart = Chart(
        series=[Series([0, 10, 20], [0, 5, 10], mark="dots", labels=["wing [/]", "flap", "floor\x1b"])]
    )
    text = shown(chart, 60, 15)
    assert "wing [/]" in text
    assert "flap" in text
    assert "\x1b" not in text


def test_an_ellipse_closes():
    angles = [2 * pi * step / 60 for step in range(61)]
    rows = curve_rows(Chart(series=[Series([cos(a) for a in angles], [sin(a) for a in angles])]), 40, 12)
    assert len(rows) == 10
    assert all(len(row.split()) == 2 for row in rows[3:-3])


def test_what_leaves_the_window_is_cut_at_its_edge():
    chart = Chart(series=[Series([-100, 100], [-100, 100])], x_range=(0, 10), y_range=(0, 10))
    lines = draw(chart, 40, 10)
    curve = [index for index, line in enumerate(lines) for _, role in line if role == "series1"]
    assert len(set(curve)) == 8


def test_a_mark_beyond_the_edge_shows_the_way():
    chart = Chart(series=[Series([0, 10], [0, 1])], x_range=(0, 10), marks=[VerticalMark(30, "30 hairpin")])
    assert "30 hairpin →" in shown(chart)


def test_an_interval_is_shaded_about_its_curve():
    series = Series([0, 1], [5.0, 5.0], low=np.array([2.0, 2.0]), high=np.array([8.0, 8.0]))
    roles = {role for line in draw(Chart(series=[series]), 40, 12) for _, role in line}
    assert {"band", "series1"} <= roles


def test_series_of_unequal_length_are_refused():
    with pytest.raises(ValueError, match="2 of y for 3 of x"):
        Series([1, 2, 3], [1, 2])
    with pytest.raises(ValueError, match="both low and high"):
        Series([1], [1], low=[0])


numbers = st.floats(allow_nan=True, allow_infinity=True)


@given(
    st.lists(st.tuples(numbers, numbers), max_size=6),
    numbers,
    numbers,
    st.integers(0, 70),
    st.integers(0, 20),
)
def test_any_numbers_at_any_size(points, level, place, width, height):
    series = [Series([x for x, _ in points], [y for _, y in points], "a", mark) for mark in ("line", "dots")]
    chart = Chart(
        title="t",
        series=series,
        bands=[HorizontalBand(level, place, "b")],
        lines=[HorizontalLine(level, "l")],
        marks=[VerticalMark(place, "m n")],
    )
    lines = draw(chart, width, height)
    assert [cell_len("".join(text for text, _ in line)) for line in lines] == [width] * height


def test_ticks_are_round_and_labels_tell_them_apart():
    assert round_ticks(0.0, 1.0, 6) == pytest.approx([0.0, 0.2, 0.4, 0.6, 0.8, 1.0])
    assert tick_labels(round_ticks(-2.2, 6.4, 5)) == ["−2", "0", "2", "4", "6"]


@given(st.floats(-1e6, 1e6), st.floats(1e-3, 1e6), st.integers(2, 12))
def test_ticks_stay_in_range_and_number(low, span, most):
    ticks = round_ticks(low, low + span, most)
    assert len(ticks) <= most
    assert all(low - 1e-6 * span <= tick <= low + span * (1 + 1e-6) for tick in ticks)
    assert len(set(tick_labels(ticks))) == len(ticks)


@given(st.lists(st.tuples(st.integers(-5, 60), st.text("abc ", min_size=1, max_size=12)), max_size=12))
def test_labels_never_overlap(wanted):
    rows = LabelRows(50, 3)
    for choice in wanted:
        rows.add(choice)
    taken = [(placed.row, x) for placed in rows.placed for x in range(placed.x, placed.x + len(placed.text))]
    assert len(taken) == len(set(taken))
