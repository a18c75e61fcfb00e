"""Days of every kind that a page is made of: hostile names, lift, a single run, no repeats, sixty runs."""

from dataclasses import replace
from pathlib import Path

from balance.decide.day.day import reduce_day
from balance.files.formats.report import read_brief
from balance.files.loader import load_session
from balance.tell.figures import Show
from balance.tell.report.page import brief_page, page_html
from balance.tell.report.report_data import ReportData

ROOT = Path(__file__).resolve().parents[2]
DEMO = ROOT / "vehicles" / "brindlow_hatch" / "tunnel_day"
OSTREL = ROOT / "vehicles" / "ostrel_two_seater" / "straight_morning"
HOSTILE = "<script>alert(1)</script> & \u200f“quoted” 😀 "
VEHICLE = """\
name = {name}
note = {name}
[mass]
total = "1290 kg"
front_share = "54.2 %"
[size]
wheelbase = "2575 mm"
frontal_area = "1.98 m^2"
"""
SESSION = """\
title = {name}
date = 2026-03-01
vehicle = "../vehicle.toml"
[facility]
kind = "wind tunnel"
floor = "fixed"
speed = "160 km/h"
air_density = "1.225 kg/m^3"
{more}
[[places]]
name = {name}
speed = "148 km/h"
"""
HEAD = "run,configuration,wing_angle [deg],vents,front_lift [N],rear_lift [N],drag [N],baseline\n"


def quoted(text):
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'


def write_day(folder, rows, *, name="Larkspur coupe (invented)", more="", brief=""):
    """Write a car and a day; a row is what stands in runs.csv."""
    day = folder / "car" / "day"
    day.mkdir(parents=True)
    (day.parent / "vehicle.toml").write_text(VEHICLE.format(name=quoted(name)), encoding="utf-8")
    (day / "session.toml").write_text(SESSION.format(name=quoted(name), more=more), encoding="utf-8")
    (day / "runs.csv").write_text(HEAD + "".join(f"{row}\n" for row in rows), encoding="utf-8")
    if brief:
        (day / "report.toml").write_text(brief, encoding="utf-8")
    return day


def report(session, *, show=None, draws=400, depth=None):
    """Read a session as the command does, with fewer draws."""
    read = load_session(session)
    choices = read_brief(read, Path(read.folder))
    choices = choices if depth is None else replace(choices, depth=depth)
    return ReportData(reduce_day(read, draws=draws), choices, show or Show())


def written(session, *, depth=None):
    """Write a session's page."""
    return page_html(brief_page(report(session, depth=depth)))


def hostile_day(folder):
    long = "longname" * 37 + "tail"
    words = '[words]\nanswer = """# Heading\n<script>alert(2)</script> [x](javascript:alert(3))\n"""\n'
    rows = [
        f"1,{HOSTILE},,,84,260,1150,",
        f"2,{long},4,<b>x</b>,-140,-275,1162,1",
        f"3,{long},8,<b>x</b>,-120,-375,1182,1",
        f"$x^2$,{long},12,$\\frac12$,-110,-395,1282,1",
        f"<img src=x onerror=y>,_hidden{HOSTILE},,,80,255,1152,1",
    ]
    rows = ['"' + '","'.join(row.split(",")) + '"' for row in rows]
    name = f"{HOSTILE}{long}"
    return write_day(folder, rows, name=name, brief=f"title = {quoted(name)}\n{words}")


def many_runs(folder):
    rows = ["0,base,,,84,260,1150,"]
    rows += [
        f"{k},wing {k // 12},{k % 12 + 1},{'open' if k > 30 else ''},{60 - k},{200 - 9 * k},{1150 + 4 * k},0"
        for k in range(1, 60)
    ]
    return write_day(folder, rows)


def many_remarks(folder):
    """Sixty runs of which every third has much to say, a speed of its own, and three settings."""
    head = "run,configuration,wing_angle [deg],vents,splitter,speed [km/h],front_lift [N],rear_lift [N],drag [N],baseline,note\n"
    said = "the car was stopped and looked at from below and sent out again; "
    rows = [
        f"{k},as built in week {k},{k % 12 + 1},{'bonnet louvres and side vents' if k % 2 else ''},long,{100 + k},"
        f"{60 - k},{200 - 9 * k},{1150 + 4 * k},{'0' if k else ''},{said * (k % 3)}\n"
        for k in range(60)
    ]
    day = write_day(folder, (), more='forces = "as read"')
    (day / "runs.csv").write_text(head + "".join(rows), encoding="utf-8")
    return day


DAYS = {
    "demo": lambda _folder: DEMO,
    "two seater, downforce at both": lambda _folder: OSTREL,
    "hostile names": hostile_day,
    "lift at both axles": lambda folder: write_day(
        folder, ["1,base,,,184,260,1150,", "2,lip,,,150,190,1160,1", "3,base,,,180,262,1148,"]
    ),
    "a single run": lambda folder: write_day(folder, ["1,base,,,84,260,1150,"]),
    "no repeats, no figure": lambda folder: write_day(
        folder, ["1,base,,,84,260,1150,", "2,splitter,,,-140,275,1162,1"]
    ),
    "sixty runs": many_runs,
    "sixty runs with long remarks": many_remarks,
    "nothing in balance": lambda folder: write_day(
        folder,
        ["1,base,,,-300,260,1150,", "2,lip,,,-700,255,1155,1", "3,base,,,-296,262,1148,"],
        more='[repeatability]\nfront = "7 N"\nrear = "7 N"\ndrag = "4 N"',
    ),
    "an axle off the ground": lambda folder: write_day(
        folder,
        ["1,base,,,84,9260,1150,", "2,lip,,,10,255,1155,1"],
        more='[repeatability]\nfront = "7 N"\nrear = "7 N"\ndrag = "4 N"',
    ),
}
