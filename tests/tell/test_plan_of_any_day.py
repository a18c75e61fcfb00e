"""The plan of any day has an answer or a clear word, as text, as a record and as a run sheet: no figure that is none.

Days are invented: without times, without runs, with one, all void or suspect, hours that are over, minutes that cannot be
right, sixty runs of twelve settings.
"""

import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from balance.decide.day.assessment import assess
from balance.decide.day.day import reduce_day
from balance.decide.plan.configuration import configuration
from balance.decide.plan.planned_day import plan_day
from balance.files.formats.plan import read_plan
from balance.files.loader import load_session
from balance.model.plans import Choose, DayPlan, Hours, Know, WantedRun
from balance.model.records import Setting
from balance.tell.export.records_csv import to_json
from balance.tell.figures import Show
from balance.tell.plan.next_words import best_line, differs_line
from balance.tell.plan.plan_json import plan_record
from balance.tell.plan.plan_names import Names
from balance.tell.plan.sheet import sheet_html
from balance.tell.runs.range_words import range_phrase
from balance.units.shown import SYSTEMS
from tui.printing.plan import print_plan

DEMO = Path(__file__).parents[2] / "vehicles" / "brindlow_hatch" / "tunnel_day"
SESSION = load_session(DEMO)
HOURS = Hours(start=8.0 * 3600.0, end=18.0 * 3600.0)
WANTED = (
    WantedRun(settings={"wing_angle": 5.5}),
    WantedRun(settings={"wing_angle": 9.0, "vents": "open"}, must=True),
)


def with_runs(**more):
    return replace(SESSION, runs=tuple(replace(run, **more) for run in SESSION.runs))


def large():
    rng = np.random.default_rng(1)
    names = tuple(f"part{k}_angle" for k in range(12))
    runs = []
    for k in range(60):
        settings = {
            n: Setting(value=float(rng.integers(1, 5)), unit="deg") for n in names if rng.random() < 0.4
        }
        front, rear, drag = rng.normal((0.0, 0.0, 1150.0), (200.0, 200.0, 40.0))
        run = SESSION.runs[0]
        reading = replace(run.reading, front=float(front), rear=float(rear), drag=float(drag))
        clock = f"{8 + k // 10}:{6 * (k % 10):02d}"
        runs.append(
            replace(
                run, label=str(k + 1), configuration=f"c{k}", settings=settings, reading=reading, time=clock
            )
        )
    return replace(SESSION, runs=tuple(runs), setting_names=names)


DAYS = {
    "as it is": (SESSION, read_plan(SESSION, DEMO)),
    "nothing stated": (SESSION, DayPlan()),
    "to know": (SESSION, DayPlan(aim=Know(downforce=15.0, drag=6.0), hours=HOURS, wanted=WANTED)),
    "a track": (SESSION, DayPlan(aim=Choose(track="club circuit"), wanted=WANTED)),
    "no times": (with_runs(time=""), DayPlan(hours=HOURS, wanted=WANTED)),
    "one run": (replace(SESSION, runs=SESSION.runs[:1]), DayPlan(hours=HOURS, wanted=WANTED)),
    "all void": (with_runs(status="void"), DayPlan(hours=HOURS, wanted=WANTED)),
    "all suspect": (with_runs(status="suspect"), DayPlan(hours=HOURS, wanted=WANTED)),
    "no runs": (replace(SESSION, runs=()), DayPlan(wanted=WANTED)),
    "hours over": (SESSION, DayPlan(hours=Hours(start=3600.0, end=7200.0), wanted=WANTED)),
    "wrong minutes": (SESSION, DayPlan(hours=HOURS, reading=80_000.0, changes={"wing": 1.0}, wanted=WANTED)),
    "sixty runs": (
        large(),
        DayPlan(hours=HOURS, wanted=tuple(WantedRun(settings={f"part{k}_angle": 7.0}) for k in range(12))),
    ),
}


@pytest.mark.parametrize("named", DAYS)
@pytest.mark.parametrize("units", ["si", "kgf"])
def test_every_day_is_told(named, units):
    session, plan = DAYS[named]
    planned = plan_day(session, reduce_day(session, draws=200) if session.used else None, plan)
    names, show = Names.of(planned), Show(SYSTEMS[units])
    record = json.loads(to_json(plan_record(planned, names, show)))
    runs = [one for one in record["order"] if one["kind"] == "run"]
    made = sum(planned.made)
    if planned.order is not None:
        assert len(runs) + len(record["dropped"]) + made == len(plan.wanted)
    for full in (False, True):
        text = print_plan(planned, names, show, 100, full=full)
        assert "nan" not in text.split()
        assert "inf" not in text.split()
        assert max(map(len, text.splitlines())) <= 100
    page = sheet_html(planned, names, show)
    assert "nan" not in page.split()
    assert all(name in page for name in ("Run sheet", "Cautions"))


def test_without_any_time_it_says_so():
    session, plan = DAYS["no times"]
    planned = plan_day(session, reduce_day(session, draws=200), plan)
    said = " ".join(print_plan(planned, Names.of(planned), Show(), 100, full=False).split())
    assert "time of day unknown" in said
    assert "run 24 done" in said


def test_the_most_merit_stands_beside_its_verdict_and_why_it_may_not_be_the_recommendation():
    """The verdict is that of the table, whatever the merit says: balance over the range is no part of it."""
    day = reduce_day(SESSION, draws=400)
    planned = plan_day(SESSION, day, read_plan(SESSION, DEMO), now=17.0 * 3600.0)
    best = dict(planned.found.best.settings)
    row = next(
        row
        for row in day.rows.configurations
        if {name: one.value for name, one in day.readings.runs[day.rows.members[row][0]].settings.items()}
        == best
    )
    table = assess(day, speed=SESSION.facility.speed, rows=[row])
    said = best_line(planned, Names.of(planned), Show())
    assert range_phrase(table.ranges[0], Show()) in said
    assert differs_line(planned, Show()) == (
        "Merit is of 160 km/h alone. The recommendation (page 1) asks for balance over all speeds first, then downforce "
        "less 5 times drag: the two can differ."
    )
    before = plan_day(replace(SESSION, runs=()), None, DayPlan(hours=HOURS))
    assert differs_line(before, Show()) == ""


@pytest.mark.parametrize(
    ("other", "said"),
    [
        ({"wing_angle": 6.5, "canards": "pair"}, "as best, wing 6.5° not 8°"),
        ({"wing_angle": 8.0}, "as best, canards pair off"),
        ({"wing_angle": 8.0, "canards": "pair", "splitter_length": 60.0}, "as best, splitter 60 mm on"),
        ({"wing_angle": 8.0, "canards": "one"}, "as best, canards one not pair"),
    ],
)
def test_a_run_near_the_best_is_named_by_what_it_has_instead(other, said):
    names = Names(
        ("wing_angle", "canards", "splitter_length"), {"wing_angle": "deg", "splitter_length": "mm"}, {}
    )
    best = configuration({"wing_angle": 8.0, "canards": "pair"})
    assert names.instead(best, configuration(other)) == said
