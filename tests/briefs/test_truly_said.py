"""What a page says agrees with the verdicts that stand on it."""

import pytest

from balance.decide.day.day import reduce_day
from balance.files.formats.report import BriefChoices
from balance.files.loader import load_session
from balance.tell.figures import Show
from balance.tell.report.page import brief_page, page_html
from balance.tell.report.recommended import recommended, recommended_line
from balance.tell.report.report_data import ReportData
from tests.small_session import HEAD, SESSION, VEHICLE, Desk

STATED = SESSION + '[repeatability]\nfront = "4 N"\nrear = "4 N"\ndrag = "3 N"\n'
SMOOTH = (
    VEHICLE
    + '[tyres]\nstiffness_load_exponent = 0.75\ngrip_load_exponent = 0.86\n[drive]\ntop_speed = "195 km/h"\n'
)


@pytest.fixture
def report(tmp_path):
    def made(rows, *, session=STATED, vehicle=SMOOTH, head=HEAD):
        desk = Desk(tmp_path)
        desk.write(vehicle=vehicle, session=session, runs=head + rows)
        day = reduce_day(load_session(desk.session), draws=400)
        return ReportData(day, BriefChoices(), Show())

    return made


def page(report):
    return page_html(brief_page(report))


SAFE_BUT_LOSES = "1,base,-300,100,1150\n2,more front,-330,90,1150\n3,even,10,9,1150\n"
"""By the axles' weights, 6857 and 5794 N: the first two have the front over the rear, the third adds next to nothing."""


def test_of_a_car_in_balance_it_is_not_said_that_it_is_dangerous_or_out_of_balance(report):
    made = report(SAFE_BUT_LOSES)
    said = page(made)
    assert "No recommendation: nothing tested that gains downforce is free of danger. Nearest: even" in said
    assert "Free of danger, but it gains no downforce, or loses some at an axle." in said
    assert "named speed" not in said
    assert "No configuration of this day is free of danger" not in said
    assert "do not drive this one" not in said.lower()
    line = recommended_line(recommended(made.day), made.table, made.show)[0]
    assert line.startswith("Nothing tested that gains downforce is free of danger · nearest: even · ")


@pytest.mark.parametrize(
    ("places", "where"),
    [("", "the tested speed"), ('[[places]]\nname = "crest"\nspeed = "190 km/h"\n', "every named speed")],
)
def test_named_speeds_are_spoken_of_only_where_there_are_any(report, places, where):
    made = report("1,base,-40,-700,1150\n2,pushes more,-60,-900,1150\n", session=STATED + places)
    said = page(made)
    assert f"nothing tested that gains downforce is free of danger and in balance at {where}." in said
    assert ("named speed" in said) is bool(places)
