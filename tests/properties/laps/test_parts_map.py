"""The map of parts: the line above which a part is worth its drag on a track."""

import pytest

from balance.decide.day.day import reduce_day
from balance.decide.parts.parts import RankBy, assess_parts, rank_parts
from balance.tell.figures import Show
from balance.tell.parts.part_charts import increments_map
from balance.units.shown import SI, US

READINGS = [(0.0, 0.0, 500.0), (100.0, 20.0, 520.0), (-10.0, 30.0, 540.0)]


@pytest.fixture
def parts(make_session):
    session = make_session(READINGS, configurations=["base", "splitter", "flap"])
    return assess_parts(reduce_day(session, draws=100))


@pytest.mark.parametrize("system", [SI, US])
def test_the_line_goes_through_nothing_gained_for_nothing_paid(parts, system):
    chart = increments_map(
        parts, rank_parts(parts, RankBy.DOWNFORCE), None, Show(system), paid=("field loop", 0.25)
    )
    (line,) = (one for one in chart.series if one.label == "above: worth its drag at field loop")
    (x0, x1), (y0, y1) = line.x, line.y
    assert x0 == y0 == 0.0  # no part takes drag away
    # 1 N of downforce pays for 0.25 N of drag: 40 N of drag ask for 160 N of downforce, whatever the unit
    assert y1 / x1 == pytest.approx(4.0)


@pytest.mark.parametrize("rate", [0.0, float("nan"), -0.1])
def test_where_downforce_pays_for_nothing_there_is_no_line(parts, rate):
    chart = increments_map(
        parts, rank_parts(parts, RankBy.DOWNFORCE), None, Show(SI), paid=("field loop", rate)
    )
    assert not any("worth its drag" in one.label for one in chart.series)
