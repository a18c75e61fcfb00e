"""The table: columns alone, then the widget driven by keys and mouse."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rich.cells import cell_len
from textual import events
from textual.app import App

from balance.tell.table import Cell, Column
from tui.widgets.canvas import to_text
from tui.widgets.columns import fill, header_lines, lay_out, row_line
from tui.widgets.line_table import HEADER, LineTable

COLUMNS = [
    Column(key="run", title="run", align="right", width=3, group="a"),
    Column(key="name", title="configuration", flexible=True, group="a"),
    Column(key="drag", title="drag", unit="N", align="right", width=6, priority=3, group="b"),
    Column(key="share", title="share", unit="%", align="decimal", decimals=2, width=6, priority=2, group="b"),
]


def cell(index, key):
    return {
        "run": Cell(str(index + 1)),
        "name": Cell(f"wing [/] {index}", "muted"),
        "drag": Cell("1281"),
        "share": Cell(("1.25", "12.5", "7")[index % 3], "good"),
    }[key]


def test_columns_drop_whole_in_order_of_priority():
    assert lay_out(COLUMNS, 60).dropped == ()
    assert lay_out(COLUMNS, 33).dropped == ("drag",)
    assert lay_out(COLUMNS, 24).dropped == ("drag", "share")


@given(st.integers(3, 90))
def test_a_line_is_as_wide_as_the_table(width):
    layout = lay_out(COLUMNS, width)
    line = row_line(layout, lambda key: cell(0, key), cursor=True)
    assert sum(cell_len(text) for text, _ in line) == width


def test_the_flexible_column_takes_what_is_left():
    places = {place.column.key: place for place in lay_out(COLUMNS, 80).places}
    last = places["share"]
    assert last.x + last.width == 79
    assert places["name"].width > cell_len("configuration")


def test_points_line_up():
    texts = [fill(text, COLUMNS[3], 8) for text in ("1.25", "12.5", "−7", "·", "none")]
    assert texts == ["    1.25", "   12.5 ", "   −7   ", "    ·   ", "    none"]


def test_a_number_without_room_is_left_out_whole():
    assert fill("123456", COLUMNS[2], 4) == "   …"
    assert fill("a long name", COLUMNS[1], 6) == "a lon…"


def test_a_rule_stands_between_groups_and_the_sort_mark_beside_its_title():
    layout = lay_out(COLUMNS, 60)
    titles, units = (to_text([line]) for line in header_lines(layout, ("drag", True)))
    row = to_text([row_line(layout, lambda key: cell(0, key), cursor=False)])
    assert titles.index("│") == units.index("│") == row.index("│")
    assert "drag↓" in titles
    assert units.split() == ["│", "N", "%"]


@given(st.text(), st.integers(1, 20), st.sampled_from(["left", "right", "decimal"]))
def test_any_text_fills_its_column(text, width, align):
    layout = lay_out([Column(key="a", title="a", width=width, align=align, decimals=2)], width + 3)
    line = row_line(layout, lambda _key: Cell(text), cursor=False)
    assert sum(cell_len(character) for piece, _ in line for character in piece) == width + 3


class TableApp(App):
    def __init__(self, count=5000):
        super().__init__()
        self.count = count
        self.asked = []
        self.told = []

    def compose(self):
        yield LineTable(COLUMNS, ascii_only=False)

    def on_mount(self):
        self.query_one(LineTable).set_source(self.count, self.cell)
        self.query_one(LineTable).focus()

    def cell(self, index, key):
        self.asked.append(index)
        return cell(index, key)

    def on_line_table_row_moved(self, message):
        self.told.append(("moved", message.index))

    def on_line_table_row_chosen(self, message):
        self.told.append(("chosen", message.index))

    def on_line_table_header_clicked(self, message):
        self.told.append(("header", message.key))

    def on_line_table_columns_dropped(self, message):
        self.told.append(("dropped", message.dropped))


def text_of(table):
    return [table.render_line(y).text for y in range(table.size.height)]


async def test_only_rows_in_sight_are_asked_for():
    app = TableApp()
    async with app.run_test(size=(60, 12)) as pilot:
        await pilot.pause()
        assert set(app.asked) == set(range(10))


async def test_a_move_draws_two_rows():
    app = TableApp()
    async with app.run_test(size=(60, 12)) as pilot:
        await pilot.pause()
        app.asked.clear()
        await pilot.press("down")
        await pilot.pause()
        assert set(app.asked) == {0, 1}
        assert len(app.asked) == 2 * len(COLUMNS)


async def test_keys_move_and_the_cursor_stays_in_sight():
    app = TableApp()
    async with app.run_test(size=(60, 12)) as pilot:
        table = app.query_one(LineTable)
        for key, index in [
            ("up", 0),
            ("down", 1),
            ("pagedown", 10),
            ("end", 4999),
            ("down", 4999),
            ("pageup", 4990),
            ("home", 0),
        ]:
            await pilot.press(key)
            assert table.cursor == index
            lines = text_of(table)
            (row,) = [line for line in lines if line.startswith("►")]
            assert f"wing [/] {index} " in row
            assert "configuration" in lines[0]
        await pilot.press("down", "enter")
        assert app.told[-1] == ("chosen", 1)


async def test_the_mouse_moves_chooses_and_scrolls():
    app = TableApp()
    async with app.run_test(size=(60, 12)) as pilot:
        table = app.query_one(LineTable)
        await pilot.click(LineTable, offset=(8, HEADER + 3))
        assert table.cursor == 3
        await pilot.double_click(LineTable, offset=(8, HEADER + 5))
        assert app.told[-1] == ("chosen", 5)
        drag = next(place for place in lay_out(COLUMNS, 59).places if place.column.key == "drag")
        await pilot.click(LineTable, offset=(drag.x + 1, 0))
        assert app.told[-1] == ("header", "drag")
        await pilot._post_mouse_events([events.MouseScrollDown], LineTable)
        await pilot.pause()
        assert table.scroll_offset.y > 0
        assert table.cursor == 5


async def test_another_source_keeps_the_cursor_on_a_row():
    app = TableApp(count=20)
    async with app.run_test(size=(60, 12)) as pilot:
        table = app.query_one(LineTable)
        await pilot.press("end")
        table.set_source(4, cell)
        await pilot.pause()
        assert table.cursor == 3
        assert app.told[-1] == ("moved", 3)
        table.set_source(0, cell)
        await pilot.pause()
        assert "no rows" in text_of(table)[HEADER]
        await pilot.press("down", "enter", "end", "pageup")
        assert table.cursor == 0
        table.set_source(100, cell, cursor=50)
        await pilot.pause()
        assert any(line.startswith("►") and "wing [/] 50" in line for line in text_of(table))


async def test_dropped_columns_are_told():
    app = TableApp()
    async with app.run_test(size=(60, 12)) as pilot:
        table = app.query_one(LineTable)
        await pilot.resize_terminal(25, 12)
        await pilot.pause()
        assert table.dropped == ("drag", "share")
        assert ("dropped", ("drag", "share")) in app.told
        table.set_columns(COLUMNS[:2])
        assert table.dropped == ()


@pytest.mark.parametrize("theme", ["textual-dark", "textual-light"])
async def test_roles_have_styles_and_the_cursor_row_has_one(theme):
    app = TableApp()
    async with app.run_test(size=(60, 12)) as pilot:
        app.theme = theme
        await pilot.pause()
        table = app.query_one(LineTable)
        styles = {segment.text.strip(): segment.style for segment in table.render_line(HEADER + 1)}
        assert styles["12.5"].color != styles["1281"].color
        assert len({segment.style.bgcolor for segment in table.render_line(HEADER)}) == 1


async def test_ascii_marks_and_the_sort_mark():
    app = TableApp()
    async with app.run_test(size=(60, 12)) as pilot:
        table = app.query_one(LineTable)
        table.sort = ("share", False)
        await pilot.pause()
        assert "share↑" in text_of(table)[0]
        table.ascii_only = True
        assert "".join(text_of(table)).isascii()
        assert text_of(table)[HEADER].startswith(">")
