"""Bars as text, and as a widget."""

from math import nan

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rich.cells import cell_len
from textual.app import App

from tui.widgets.axle_bars import AxleBars, Bar, draw_bars
from tui.widgets.canvas import to_text

PAIR = (Bar("front", "5.9 %", 0.059), Bar("rear", "11.8 %", 0.118))


def rows(bars, width=40, **options):
    return to_text(draw_bars(bars, width, **options)).split("\n")


def filled(row):
    return sum(row.count(block) for block in "█▏▎▍▌▋▊▉▐▕▒")


def test_bars_share_one_scale():
    front, rear = rows(PAIR)
    assert filled(rear) == pytest.approx(2 * filled(front), abs=1)
    assert front.index("│") == rear.index("│")


def test_lift_runs_to_the_left_of_zero_with_its_words():
    front, rear = rows([Bar("front", "LIFT 2.0 %", -0.02, role="danger"), Bar("rear", "4.0 %", 0.04)])
    assert front.index("█") < front.index("│") < front.index("LIFT 2.0 %")
    assert rear.index("│") < rear.index("█")


def test_the_uncertain_part_is_shaded():
    lines = draw_bars([Bar("rear", "10 %", 0.10, 0.08, 0.12)], 40)
    assert [role for _, role in lines[0] if role in {"bar", "interval"}] == ["bar", "interval"]


def test_an_interval_across_zero_is_shaded_on_both_sides():
    (row,) = rows([Bar("rear", "0 %", 0.0, -0.02, 0.02)])
    assert "▒│▒" in row
    assert "█" not in row


def test_a_bar_beyond_the_given_scale_ends_in_an_arrow():
    (row,) = rows([Bar("rear", "20 %", 0.2)], scale=(0.0, 0.1))
    assert "█▶" in row


def test_ticks_are_written_by_the_caller():
    lines = rows(PAIR, tick=lambda fraction: f"{100 * fraction:.0f} %")
    assert lines[-1].split() == ["0", "%", "5", "%", "10", "%"]


def test_ascii_is_ascii():
    assert "".join(rows([*PAIR, Bar("a", "b", -0.1, -0.2, 0.1)], ascii_only=True)).isascii()


def test_words_come_before_bars_where_there_is_no_room():
    assert rows(PAIR, 16) == ["front 5.9 %", "rear  11.8 %"]


def test_no_bars_are_no_lines():
    assert draw_bars([], 40) == []


anything = st.floats(allow_nan=True, allow_infinity=True)


@given(st.lists(st.tuples(st.text(max_size=8), anything, anything, anything), max_size=4), st.integers(0, 60))
def test_any_bar_at_any_width(items, width):
    bars = [Bar(text, text, fraction, low, high) for text, fraction, low, high in items]
    for line in draw_bars(bars, width, tick=lambda fraction: f"{fraction:.3g}"):
        assert sum(cell_len(character) for text, _ in line for character in text) == width


class BarsApp(App):
    def compose(self):
        yield AxleBars(PAIR, ascii_only=False)


async def test_the_widget_is_as_high_as_its_bars_and_follows_them():
    app = BarsApp()
    async with app.run_test(size=(40, 10)) as pilot:
        bars = app.query_one(AxleBars)
        assert bars.size.height == 2
        assert "5.9 %" in bars.render_line(0).text
        bars.bars = (*PAIR, Bar("both [/]", "none", nan))
        await pilot.pause()
        assert bars.size.height == 3
        assert "both [/]" in bars.render_line(2).text
        bars.ascii_only = True
        assert "#" in bars.render_line(0).text
