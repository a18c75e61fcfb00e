"""Places of a session that stand on a track: what is read, what is refused, and the speed they get."""

import pytest

from balance.decide.day.day import reduce_day
from balance.decide.laps.lap import simulate_lap
from balance.model.records import Place

LAPPED = '\n[tyres]\nfriction = 1.15\n[drive]\npower = "230 kW"\ndriven = "rear"\n'
TRACK = 'name = "Field loop"\nclosed = true\n'
LINE = "length [m],radius [m]\n400,\n157.08,50\n400,\n157.08,50\n"
ON_TRACK = '[[places]]\nname = "hairpin"\ntrack = "field_loop"\ndistance = "480 m"\n'


@pytest.fixture
def on_track(desk):
    folder = desk.car / "tracks" / "field_loop"
    folder.mkdir(parents=True)
    (folder / "track.toml").write_text(TRACK)
    (folder / "line.csv").write_text(LINE)
    return desk


def test_a_place_gets_the_lowest_speed_about_it_of_the_car_as_it_started(
    on_track, vehicle_text, session_text
):
    stated = '[[places]]\nname = "straight"\nspeed = "150 km/h"\n'
    texts = {"vehicle": vehicle_text + LAPPED, "session": session_text + stated + ON_TRACK}
    session = on_track.load(**texts)
    assert session.speed_shown == pytest.approx(150 / 3.6)
    day = reduce_day(session, draws=100)
    straight, hairpin = day.session.places
    assert straight == Place(name="straight", speed=pytest.approx(150 / 3.6))
    front, rear, drag = day.areas([0])[:, 0]
    lap = simulate_lap(
        hairpin.track, session.vehicle, front_area=front, rear_area=rear, drag_area=drag, air_density=1.225
    )
    near = abs(lap.distance - 480.0) <= 20.0
    assert hairpin.speed == pytest.approx(float(lap.speed[near].min()))
    assert 20.0 < hairpin.speed < 30.0
    # one speed for all: another configuration of the day does not move it
    later = reduce_day(on_track.load(**texts, runs=RUNS_WITH_A_WING), draws=100)
    assert later.session.places[1].speed == pytest.approx(hairpin.speed)


RUNS_WITH_A_WING = (
    "run,configuration,front_lift [N],rear_lift [N],drag [N]\n"
    "1,base,84,260,1150\n2,splitter,-140,275,1162\n3,wing,120,-600,1300\n"
)


@pytest.mark.parametrize(
    ("places", "words"),
    [
        (ON_TRACK.replace("field_loop", "feild_loop"), "its tracks: field_loop"),
        (ON_TRACK.replace("480 m", "4.8 km"), "at most the 1,114 m of the track"),
        (ON_TRACK.replace('"480 m"', "480"), "480 without a unit"),
        (ON_TRACK.replace('distance = "480 m"\n', ""), "half a place on a track"),
        (ON_TRACK.replace('track = "field_loop"\n', ""), "half a place on a track"),
        (ON_TRACK + 'speed = "100 km/h"\n', "a speed and a place on a track"),
        ('[[places]]\nname = "hairpin"\n', "neither speed nor track"),
    ],
)
def test_a_fault_in_a_place_is_told_with_its_line(on_track, vehicle_text, session_text, places, words):
    faults = on_track.faults(vehicle=vehicle_text + LAPPED, session=session_text + places)
    assert len(faults) == 1
    assert words in faults[0]
    assert faults[0].startswith("session.toml:")


@pytest.mark.parametrize("key", ["friction", "power"])
def test_a_car_without_friction_or_power_has_no_speed_there(on_track, vehicle_text, session_text, key):
    lines = "".join(f"{line}\n" for line in LAPPED.splitlines() if not line.startswith(key))
    (fault,) = on_track.faults(vehicle=vehicle_text + lines, session=session_text + ON_TRACK)
    assert f"as {key} = " in fault
