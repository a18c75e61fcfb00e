"""The steps that a page asks for: never one that leads through a car of unknown balance without a word."""

import re

import pytest

from balance.decide.day.day import reduce_day
from balance.files.formats.report import BriefChoices
from balance.files.loader import load_session
from balance.tell.figures import Show
from balance.tell.report.report_data import ReportData
from tests.briefs.days import OSTREL
from tests.small_session import SESSION, VEHICLE, Desk

HEAD = "run,configuration,canards,front_splitter [mm],rear_wing [deg],front_lift [N],rear_lift [N],drag [N],baseline\n"
TOGETHER = HEAD + (
    "1,as delivered,,,,54,256,1007,\n"
    "2,splitter and wing,,50,6,-146,-283,1075,1\n"
    "3,canards,pair,50,6,-176,-289,1079,2\n"
    "4,as delivered,,,,46,253,998,\n"
    "5,splitter and wing,,50,6,-138,-293,1073,\n"
)
"""Invented readings: splitter and wing ran on and off together alone, the canards by themselves."""


@pytest.fixture
def page(shared, tmp_path):
    """Write a day's page; give its words and its steps."""

    def written(runs, vehicle=f'{VEHICLE}[drive]\ndriven = "rear"\n', session=SESSION, brief=""):
        desk = Desk(tmp_path)
        desk.write(vehicle=vehicle, session=session, runs=runs)
        if brief:
            (desk.session / "report.toml").write_text(brief, encoding="utf-8")
        html = shared["written"](desk.session)
        html = html.replace("\u00a0", " ")
        steps = re.findall(r"<li>(.*?)</li>", re.search(r"<ol.*?</ol>", html, re.DOTALL)[0], re.DOTALL)
        return " ".join(re.sub(r"<[^>]+>", " ", html).split()), steps

    return written


def test_parts_that_ran_together_alone_are_one_step(page):
    """Driven one after the other they lead through a car that nobody ran: the splitter's without the wing."""
    _, steps = page(TOGETHER, brief='recommendation = "3"\n')
    assert len(steps) == 2
    assert steps[0].startswith(
        "Rear wing 6° and front splitter 50 mm, together only: never run apart; these alone, "
    )
    assert steps[1] == "Canards pair."


def test_a_car_on_the_way_whose_balance_nothing_tells_is_said_to_be_so(page):
    """Wing and splitter ran apart, each with canards: no comparison shows one of them by itself. By name the wing comes first."""
    runs = HEAD + (
        "1,as delivered,,,,54,256,1007,\n"
        "2,wing and canards,pair,,6,40,-10,1060,1\n"
        "3,splitter and canards,pair,50,,-100,250,1015,1\n"
        "4,splitter and wing,,50,6,-138,-293,1073,1\n"
    )
    _, steps = page(runs, brief='recommendation = "4"\n')
    assert steps == [
        "Rear wing 6°: the car so far was not run and its balance is unknown.",
        "Front splitter 50 mm.",
    ]


FASTBACK = """\
name = "Fastback (invented)"
[mass]
total = "1340 kg"
front_share = "54 %"
[size]
wheelbase = "2600 mm"
[drive]
driven = "rear"
power = "150 kW"
"""
HALL = """\
title = "Another hall (invented)"
vehicle = "../vehicle.toml"
[facility]
kind = "wind tunnel"
floor = "fixed"
speed = "150 km/h"
air_density = "1.2 kg/m^3"
"""
SAFER = TOGETHER.replace("4,as delivered", "6,louvres,,50,6,-163,-286,1077,2\n4,as delivered")


def test_a_safer_car_is_named_with_its_price_and_what_is_gained_has_its_interval(page):
    """The one by rule may turn loose beyond the tests; the canards' car without them stays in balance and has 35 N less."""
    said, _ = page(SAFER, vehicle=FASTBACK, session=HALL)
    assert "perhaps MORE OVERSTEER from" in said.partition("Found.")[0]
    why = said.partition("Why not the next.")[2].partition("What each part did")[0]
    # by hand: 176 + 289 less the means of 146 and 138, and of 283 and 293, N
    assert re.search(
        r"Safer, no canards: 430 N; in balance, but 35 N less downforce \(\d+ to \d+\) and 5 N less drag", why
    )
    # by hand: 465 less 163 + 286 N, which one reading each cannot tell apart
    assert re.search(r"then perhaps MORE OVERSTEER, but ~16 N less downforce \(−\d+ to \d+\)", why)


def test_the_start_in_another_block_is_the_start_and_no_step():
    """Invented: the two-seater stood as it started in both blocks, so that going from one to the other changes nothing."""
    report = ReportData(reduce_day(load_session(OSTREL)), BriefChoices(), Show())
    again = [
        row
        for row in report.day.rows.configurations
        if row != report.baseline and report.run(row).settings == report.run(report.baseline).settings
    ]
    assert again
    assert report.chosen.row not in again
    assert report.steps or report.answer == report.baseline
