"""The chart as a widget."""

import pytest
from textual.app import App

from balance.tell.chart_parts import Chart, Series
from tui.widgets.chart import ChartView


class ChartApp(App):
    def compose(self):
        yield ChartView(Chart(title="loads [/]", series=[Series([0, 1], [0, 1], "front")]), ascii_only=False)


def text_of(view):
    return "\n".join(view.render_line(y).text for y in range(view.size.height))


@pytest.mark.parametrize("size", [(80, 24), (120, 40), (8, 3)])
async def test_it_fills_its_place(size):
    app = ChartApp()
    async with app.run_test(size=size):
        view = app.query_one(ChartView)
        assert {view.render_line(y).cell_length for y in range(view.size.height)} == {size[0]}


async def test_it_shows_another_chart_and_another_alphabet():
    app = ChartApp()
    async with app.run_test(size=(40, 12)) as pilot:
        view = app.query_one(ChartView)
        assert "loads [/]" in text_of(view)
        view.chart = Chart(title="drag", series=[Series([0, 1], [3, 4])])
        await pilot.pause()
        assert "drag" in text_of(view)
        view.ascii_only = True
        assert text_of(view).isascii()
        view.chart = Chart()
        assert "nothing to draw yet" in text_of(view)


async def test_it_follows_size_and_theme():
    app = ChartApp()
    async with app.run_test(size=(40, 12)) as pilot:
        view = app.query_one(ChartView)
        dark = view.render_line(0)
        app.theme = "textual-light"
        await pilot.resize_terminal(60, 12)
        await pilot.pause()
        light = view.render_line(0)
        assert light.cell_length == 60
        assert next(iter(dark)).style != next(iter(light)).style


async def test_a_console_without_braille_gets_ascii(monkeypatch):
    monkeypatch.setenv("TERM", "linux")
    assert ChartView().ascii_only
