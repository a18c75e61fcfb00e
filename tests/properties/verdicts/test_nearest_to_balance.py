"""Where nothing may be recommended, what is nearest keeps its balance to the highest speed."""

import runpy
from pathlib import Path

import pytest

from balance.decide.day.assessment import assess
from balance.decide.day.best_balanced import nearest_to_balance

DAYS = runpy.run_path(str(Path(__file__).parents[2] / "briefs" / "days.py"))
STATED = '[repeatability]\nfront = "7 N"\nrear = "7 N"\ndrag = "4 N"'


def nearest(folder, rows):
    day = DAYS["report"](DAYS["write_day"](folder, rows, more=STATED)).day
    table = assess(day, rows=day.rows.every)
    return table.runs[nearest_to_balance(table)].label


@pytest.mark.parametrize(
    ("rows", "label"),
    [
        # more front downforce over the same rear lift is more oversteer, from a lower speed
        (["1,base,,,-300,260,1150,", "2,lip,,,-700,255,1155,1"], "1"),
        (["1,base,,,-700,255,1150,", "2,no lip,,,-300,260,1155,1"], "2"),
        # a car with much rear downforce leaves its balance early, but to the side that is not dangerous
        (["1,base,,,-150,120,1150,", "2,wing,,,-100,-1500,1155,1"], "2"),
    ],
)
def test_the_nearest_keeps_its_balance_longest_and_is_not_dangerous_if_it_can(tmp_path, rows, label):
    assert nearest(tmp_path, rows) == label


def test_a_suspect_run_is_the_nearest_only_where_there_is_no_other(tmp_path):
    folder = DAYS["write_day"](tmp_path, [], more=STATED)
    head = DAYS["HEAD"].replace("\n", ",status,reason\n")
    rows = "1,base,,,-300,260,1150,,suspect,tape\n2,lip,,,-700,255,1155,1,,\n"
    (folder / "runs.csv").write_text(head + rows, encoding="utf-8")
    day = DAYS["report"](folder).day
    table = assess(day, rows=day.rows.every)
    assert table.runs[nearest_to_balance(table)].label == "2"
