"""Rows of a table tell apart at every width: by a setting's column, else by what stands in the configuration's cell."""

from collections import Counter

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from balance.decide.day.assessment import assess
from balance.decide.day.day import reduce_day
from balance.files.loader import load_session
from balance.tell.figures import Show
from balance.tell.runs.row_names import telling_settings
from balance.tell.runs.run_table import SETTING, RunTable
from tests.small_session import Desk
from tui.widgets.columns import lay_out
from tui.widgets.plain import cut

DEMOS = ("vehicles/brindlow_hatch/tunnel_day", "vehicles/ostrel_two_seater/straight_morning")
WIDTHS = (60, 80, 100, 120, 160)
HEAD = "run,configuration,splitter [mm],wing [deg],flap [mm],canards,block,front_lift [N],rear_lift [N],drag [N]\n"


def table_of(session):
    day = reduce_day(load_session(session))
    return RunTable(assess(day, rows=day.rows.configurations), Show())


def looks(table, width):
    """Give what tells each row apart as it is drawn: the configuration's cell as cut, and the settings that have room."""
    layout = lay_out(table.columns, width)
    rows = range(len(table.table.rows))
    cell = table.apart(rows, layout.room)
    places = [p for p in layout.places if p.column.key.startswith((SETTING, "configuration"))]
    return [tuple(cut(cell(row, p.column.key).text, p.width) for p in places) for row in rows]


@pytest.fixture(scope="module", params=DEMOS)
def demo(request):
    return table_of(request.param)


@pytest.mark.parametrize("width", WIDTHS)
def test_no_two_rows_of_a_demo_day_look_alike(demo, width):
    assert [look for look, count in Counter(looks(demo, width)).items() if count > 1] == []


def test_a_setting_that_tells_rows_apart_stays_longer_than_a_figure_that_can_be_recomputed(demo):
    """Total is front and rear together; it goes before the flap, which alone tells runs 16 and 21 apart."""
    for width in range(60, 161):
        keys = set(lay_out(demo.columns, width).room)
        telling = {
            f"{SETTING}{name}"
            for name in telling_settings(demo.table.day, demo.table.rows, list(demo._short))
        }
        assert telling <= keys or "total" not in keys


def test_a_block_stays_readable_where_the_name_has_to_be_cut():
    two = table_of(DEMOS[1])
    layout = lay_out(two.columns, 80)
    cell = two.apart(range(len(two.table.rows)), layout.room)
    names = [
        cut(cell(row, "configuration").text, layout.room["configuration"])
        for row in range(len(two.table.rows))
    ]
    assert any(name.endswith("late morning") for name in names)
    assert not any(name.endswith("morni…") for name in names)


def test_where_all_columns_have_room_a_name_is_the_configurations(demo):
    layout = lay_out(demo.columns, 400)
    cell = demo.apart(range(len(demo.table.rows)), layout.room)
    for row in range(len(demo.table.rows)):
        assert cell(row, "configuration").text == demo.table.configuration(row)


CARS = st.lists(
    st.tuples(
        st.sampled_from(("base", "splitter and wing", "wing")),
        st.sampled_from(("", "40", "60")),
        st.sampled_from(("", "2", "5", "11")),
        st.sampled_from(("", "10")),
        st.sampled_from(("", "pair", "one")),
    ),
    min_size=2,
    max_size=12,
    unique=True,
)


@settings(max_examples=30)
@given(cars=CARS, width=st.integers(80, 160))
def test_no_two_rows_of_any_day_look_alike(tmp_path_factory, cars, width):
    desk = Desk(tmp_path_factory.mktemp("day"))
    rows = "".join(f"{k},{','.join(car)},,{-50 - k},{60 + k},{1150 + k}\n" for k, car in enumerate(cars, 1))
    desk.write(runs=HEAD + rows)
    assert [look for look, count in Counter(looks(table_of(desk.session), width)).items() if count > 1] == []
