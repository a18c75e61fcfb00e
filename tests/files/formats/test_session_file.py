"""session.toml: what is read, and the words of each fault."""

import datetime as dt

import pytest

from balance.model.records import Facility, OptionalTriple, Place, StatedRepeatability

FULL = """\
title = "Spring tunnel day (invented)"
date = 2026-05-14
vehicle = "../vehicle.toml"
[facility]
kind = "wind tunnel"
floor = "fixed"
speed = "160 km/h"
air_density = "1.225 kg/m^3"
forces = "restated"
reference_area = "2.05 m^2"
drag_reacted_at = "0 mm"
[repeatability]
front = "7 N"
rear = "8 N"
drag = "1 lbf"
degrees_of_freedom = 20
systematic = { front = "15 N", drag = "8 N" }
[columns]
recorded = []
[[places]]
name = "fast left"
speed = "180 km/h"
[[places]]
name = "crest"
speed = "90 km/h"
"""


def test_a_full_file_is_read_into_si(desk):
    session = desk.load(session=FULL)
    assert (session.title, session.date) == ("Spring tunnel day (invented)", dt.date(2026, 5, 14))
    assert session.facility == Facility(
        kind="wind tunnel",
        floor="fixed",
        speed=pytest.approx(160 / 3.6, rel=1e-15),
        air_density=1.225,
        restated=True,
        reference_area=2.05,
        drag_reacted_at=0.0,
    )
    assert session.repeatability == StatedRepeatability(
        deviation=OptionalTriple(front=7.0, rear=8.0, drag=0.45359237 * 9.80665),
        form="force",
        degrees_of_freedom=20.0,
        degrees_assumed=False,
        systematic=OptionalTriple(front=15.0, drag=8.0),
    )
    assert session.places == (Place(name="fast left", speed=50.0), Place(name="crest", speed=25.0))


@pytest.mark.parametrize(
    "date", ["2026-05-14", '"2026-05-14"', "2026-05-14T08:00:00", "2026-05-14 08:00:00Z"]
)
def test_a_date_may_be_written_in_any_of_these_ways(desk, date):
    assert desk.load(session=FULL.replace("2026-05-14", date)).date == dt.date(2026, 5, 14)


@pytest.mark.parametrize("figures", ['front = "0.003"\nrear = "0.004"', "front = 0.003\nrear = 0.004"])
def test_repeatability_without_a_unit_is_a_coefficient(desk, session_text, figures):
    session = desk.load(session=f"{session_text}[repeatability]\n{figures}\n")
    assert session.repeatability.form == "coefficient"
    assert session.repeatability.deviation == OptionalTriple(front=0.003, rear=0.004)
    assert session.repeatability.degrees_assumed
    assert session.repeatability.degrees_of_freedom == 4.0


@pytest.mark.parametrize(
    "name", ["North tunnel", 'the "old" one', "\u05de\u05e0\u05d4\u05e8\u05d4", "tunnel 🌬️", "x" * 200]
)
def test_a_facility_may_have_any_name(desk, name):
    escaped = name.replace('"', '\\"')
    session = desk.load(session=FULL.replace('kind = "wind', f'name = "{escaped}"\nkind = "wind'))
    assert session.facility.name == name
    assert desk.load(session=FULL).facility.name == ""  # optional: absent is no name


SAME = "check the figure and its unit"
FAULTS = [
    ('title = "Spring tunnel day (invented)"\n', "", 'session.toml: title: found nothing, expected text; add title = "Spring tunnel day"'),
    ("2026-05-14", '"14.5.2026"', "session.toml:2: date: found '14.5.2026', expected a date; write date = 2026-05-14"),
    ("wind tunnel", "tunnel", "session.toml:5: facility.kind: found 'tunnel', expected 'wind tunnel' or 'straight'; did you mean 'wind tunnel'?"),
    ('kind = "wind tunnel"', "name = 7", 'session.toml:5: facility.name: found 7, expected text; write name = "North tunnel"'),
    ('speed = "160 km/h"', 'speed = "160 kmh"', "session.toml:7: facility.speed: found the unknown unit 'kmh', expected a speed unit such as km/h, mph, m/s; write 'km/h'"),
    ('speed = "160 km/h"\n', "", 'session.toml:4: facility.speed: found nothing, expected a speed with its unit, from 10 km/h to 600 km/h; add speed = "160 km/h"'),
    ('"1.225 kg/m^3"', '"1225 kg/m^3"', f"session.toml:8: facility.air_density: found '1225 kg/m^3', expected a density with its unit, from 0.5 kg/m^3 to 2 kg/m^3; {SAME}"),
    ('"restated"', '"corrected"', "session.toml:9: facility.forces: found 'corrected', expected 'as read' or 'restated'; write one of them"),
    ('"7 N"', '"7 kg"', "session.toml:13: repeatability.front: found the unit 'kg', which measures a mass, expected a force unit; write 'kgf'"),
    ('"7 N"', "7", 'session.toml:13: repeatability.front: found 7 without a unit, expected a force with its unit, or a coefficient from 0 to 1; write front = "7 N" if it is a force'),
    ('"7 N"', "0.004", "session.toml:12: repeatability: found forces and coefficients, expected all of them forces, or all coefficients; restate one kind"),
    ('"7 N"', '"-7 N"', "session.toml:13: repeatability.front: found '-7 N', expected a standard deviation of 0 or more; leave out the minus, or the line if it is not known"),
    ("degrees_of_freedom = 20", "degrees_of_freedom = 0", f"session.toml:16: repeatability.degrees_of_freedom: found 0, expected a number, from 1 to 10000; {SAME}"),
    ("recorded = []", 'recorded = "x"', "session.toml:19: columns.recorded: found 'x', expected a list of texts; write recorded = [\"front_ride_height\"]"),
    ('"90 km/h"', '"90"', "session.toml:25: places.speed: found '90' without a unit, expected a speed with its unit; write '90 km/h' or '90 mph', whichever it is"),
    ('"crest"', '"fast left"', "session.toml:24: places.name: found 'fast left', expected a name of its own for each place; rename one"),
    ("[repeatability]", "[repeatabilty]", "session.toml:12: repeatabilty: found an unknown key, expected a known one; did you mean 'repeatability'?"),
    ('"../vehicle.toml"', '"vehicle.toml"', "vehicle.toml: found no such file, expected a car's vehicle.toml; check its name and place"),
]  # fmt: skip


@pytest.mark.parametrize(("old", "new", "message"), FAULTS)
def test_a_fault_has_line_key_found_expected_and_how_to_mend(desk, old, new, message):
    assert old in FULL
    assert desk.faults(session=FULL.replace(old, new, 1)) == [message]


def test_a_table_of_repeatability_without_a_figure(desk, session_text):
    assert desk.faults(session=f"{session_text}[repeatability]\ndegrees_of_freedom = 9\n") == [
        'session.toml:7: repeatability: found no figure, expected at least one of front, rear, drag; add front = "7 N"'
    ]


def test_a_path_keeps_its_inner_spaces(desk, session_text):
    (desk.car / "my  car.toml").write_bytes((desk.car / "vehicle.toml").read_bytes())
    assert (
        desk.load(session=session_text.replace("../vehicle.toml", "../my  car.toml")).vehicle.mass == 1290.0
    )
