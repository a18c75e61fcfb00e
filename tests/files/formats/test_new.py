"""A new car and a new day: files that a person would write, checked at once, never in place of anything."""

import tomllib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from balance.files.day.durable import read_stamped
from balance.files.day.opening import open_day
from balance.files.formats.new_files import create_car, create_session, usual_columns
from balance.files.formats.session import SESSION
from balance.files.formats.vehicle import VEHICLE, read_vehicle
from balance.files.loader import load_session
from balance.files.toml.edit import edited_toml
from balance.files.toml.fields import asked_fields, check_typed
from balance.model.errors import FileFaults, InputError, OutsideChange, SaveError, UnitError, UnknownName

CAR = {
    "name": "Larkspur coupe (invented)",
    "mass.total": "1290 kg",
    "mass.front_share": "54.2 %",
    "size.wheelbase": "101.4 in",
}
DAY = {"title": "Spring day (invented)", "facility.speed": "100 mph", "facility.air_density": "1.225 kg/m^3"}
CORNERS = {
    f"mass.corners.{name}": mass
    for name, mass in zip(
        ("front_left", "front_right", "rear_left", "rear_right"),
        ("352 kg", "347 kg", "298 kg", "293 kg"),
        strict=True,
    )
}


@pytest.fixture(autouse=True)
def own_data(monkeypatch, tmp_path):
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "own"))


@pytest.fixture
def car(tmp_path):
    return create_car(tmp_path / "car", CAR)


def names(folder):
    return sorted(path.name for path in folder.iterdir())


def test_a_car_is_written_as_typed_with_a_word_behind_each_line(car):
    text = car.read_text()
    assert 'wheelbase = "101.4 in"\n' in text
    assert 'total = "1290 kg"                       # or corners below, from which both follow\n' in text
    assert '# power = "230 kW"\n' in text
    assert all(line.isprintable() for line in text.splitlines())
    assert (read_vehicle(car).mass, read_vehicle(car).name) == (1290.0, "Larkspur coupe (invented)")


def test_corners_tyres_and_exponents_are_written_where_they_belong(tmp_path):
    more = {
        "tyres.front.load_index": "91",
        "tyres.front.speed_symbol": "W",
        "tyres.grip_load_exponent": "0.9",
        "drive.driven": "rear",
    }
    typed = {key: text for key, text in CAR.items() if not key.startswith("mass")} | CORNERS | more
    car = read_vehicle(create_car(tmp_path / "car", typed))
    assert (car.mass, car.front_tyre.load_index, car.grip_exponent.front, car.driven) == (
        1290.0,
        91,
        0.9,
        "rear",
    )


def test_every_option_shown_as_a_comment_holds_when_it_is_taken_in(tmp_path, car):
    every = {one.key: one.example for one in asked_fields(VEHICLE)} | CAR
    text = create_car(
        tmp_path / "full", {k: v for k, v in every.items() if not k.startswith("mass.corners")}
    ).read_text()
    assert set(tomllib.loads(text)) == {
        "format",
        "name",
        "note",
        "mass",
        "size",
        "drive",
        "tyres",
        "brakes",
        "target",
        "body",
    }
    lines = [
        line.removeprefix("# ") if " = " in line and "corners" not in line else line
        for line in car.read_text().splitlines()
    ]
    car.write_text("\n".join(lines))
    found = read_vehicle(car)
    assert (found.power, found.body.kind, found.body.rear_ride_height) == (230e3, "hatchback", 0.11)


def test_everything_that_is_wrong_is_told_together_and_nothing_is_written(tmp_path):
    with pytest.raises(FileFaults) as caught:
        create_car(
            tmp_path / "car", {**CAR, "mass.total": "1290", "size.wheelbase": "25 kg", "drive.driven": "reer"}
        )
    assert str(caught.value).splitlines() == [
        "mass.total: found '1290' without a unit, expected a mass with its unit; write '1290 kg' or '1290 lb', whichever it is",
        "size.wheelbase: found the unit 'kg', which measures a mass, expected a length unit such as mm, m, in; check the figure and its unit",
        "drive.driven: found 'reer', expected 'front' or 'rear' or 'both'; did you mean 'rear'?",
    ]
    with pytest.raises(
        FileFaults, match=r"mass.total: found nothing, expected total and front_share, or corners"
    ):
        create_car(tmp_path / "car", {"name": "x", "size.wheelbase": "2 m"})
    with pytest.raises(FileFaults, match=r"the 1290.0 kg of the corners"):
        create_car(tmp_path / "car", {**CAR, **CORNERS, "mass.total": "1300 kg"})
    assert not (tmp_path / "car").exists()


def test_nothing_is_overwritten(tmp_path, car):
    before = car.read_bytes()
    with pytest.raises(SaveError, match="nothing was overwritten"):
        create_car(car.parent, CAR)
    day = create_session(car.parent / "day", DAY, vehicle=car, columns=usual_columns())
    text = (day / "session.toml").read_bytes()
    with pytest.raises(SaveError, match="found a file there already"):
        create_session(day, DAY, vehicle=car, columns=usual_columns())
    assert (car.read_bytes(), (day / "session.toml").read_bytes()) == (before, text)
    alone = tmp_path / "alone"
    alone.mkdir()
    (alone / "runs.csv").write_text("mine")
    with pytest.raises(SaveError):
        create_session(alone, DAY, vehicle=car, columns=usual_columns())
    assert (names(alone), (alone / "runs.csv").read_text()) == (["runs.csv"], "mine")


@pytest.mark.parametrize("units", ["si", "us"])
@pytest.mark.parametrize("sign", ["lift", "downforce"])
def test_a_new_day_takes_runs_at_once(car, units, sign):
    columns = usual_columns(units, sign=sign, settings=["wing_angle [deg]", "vents"])
    more = {
        "date": "2026-05-14",
        "facility.name": "North tunnel",
        "facility.kind": "wind tunnel",
        "repeatability.front": "7 N",
        "places.0.name": "fast left",
        "places.0.speed": "115 mph",
    }
    folder = create_session(
        car.parent / "days" / "first", {**DAY, **more}, vehicle=car.parent, columns=columns
    )
    with open_day(folder) as day:
        assert (day.session.runs, day.session.vehicle.mass) == ((), 1290.0)
        cells = {
            "run": "1",
            "configuration": "base",
            f"front_{sign}": "10",
            f"rear_{sign}": "20",
            "drag": "260",
            "wing_angle": "4",
        }
        day.change("first", day.sheet.appended(cells))
    session = load_session(folder)
    assert session == day.session
    assert (str(session.date), session.places[0].name, session.repeatability.deviation.front) == (
        "2026-05-14",
        "fast left",
        7.0,
    )
    assert session.columns["front"].positive_up == (sign == "lift")
    assert session.facility.name == "North tunnel"
    assert 'forces = "as read"' in (folder / "session.toml").read_text()


def test_a_day_that_would_not_open_is_not_left_behind(tmp_path, car):
    coefficients = [
        "run",
        "configuration",
        "front_lift_coefficient",
        "rear_lift_coefficient",
        "drag_coefficient",
    ]
    for typed, columns, words in (
        (DAY, coefficients, "session.toml: facility.reference_area: found nothing"),
        (
            DAY,
            ["run", "configuration", "front_lift [lb]", "rear_lift [N]", "drag [N]"],
            "runs.csv: front_lift [lb]: found the unit 'lb'",
        ),
        ({**DAY, "facility.speed": "100"}, usual_columns(), "facility.speed: found '100' without a unit"),
        ({"title": "x"}, usual_columns(), "facility.speed: found nothing"),
    ):
        with pytest.raises(FileFaults) as caught:
            create_session(tmp_path / "day", typed, vehicle=car, columns=columns)
        assert words in str(caught.value)
        assert not (tmp_path / "day").exists() or names(tmp_path / "day") == []
    with pytest.raises(FileFaults, match="found no such file"):
        create_session(tmp_path / "day", DAY, vehicle=tmp_path / "nothing", columns=usual_columns())


@pytest.mark.parametrize("odd", ["\x1b[2J", "a\x00b", "\u202ecar", "\x9b31m"])
def test_control_characters_never_reach_a_file_through_a_name(tmp_path, car, odd):
    for attempt in (
        lambda: create_car(tmp_path / "new", {**CAR, "name": odd}),
        lambda: create_car(f"{tmp_path}/{odd}", CAR),
        lambda: create_session(tmp_path / "new", {**DAY, "title": odd}, vehicle=car, columns=usual_columns()),
        lambda: create_session(tmp_path / "new", DAY, vehicle=car, columns=(*usual_columns(), odd)),
        lambda: edited_toml(VEHICLE, car.read_text(encoding="utf-8"), {"note": odd}),
    ):
        with pytest.raises(InputError, match="control characters") as caught:
            attempt()
        assert str(caught.value).isprintable()
    assert names(tmp_path) == ["car"]


def test_one_field_is_checked_as_it_is_typed():
    check_typed(VEHICLE, "mass.total", "2844 lb")
    check_typed(SESSION, "places.0.speed", "185 km/h")
    check_typed(SESSION, "date", "2026-05-14")
    with pytest.raises(UnitError, match=r"^found '54', expected"):
        check_typed(SESSION, "date", "54")
    with pytest.raises(UnitError, match="from 100 kg to 10000 kg"):
        check_typed(VEHICLE, "mass.total", "12 kg")
    with pytest.raises(UnknownName, match=r"did you mean 'mass.total'"):
        check_typed(VEHICLE, "mass.totl", "12 kg")


HAND = """\
# my car
name = 'Mine'   # as painted

[size]
wheelbase="2575 mm"# taped
[mass]
front_share = "54 %"    # scales of May
total = "1290 kg"  # driver in
"""


def test_an_edit_keeps_what_the_hand_wrote():
    text = edited_toml(
        VEHICLE, HAND, {"mass.total": "1300 kg", "mass.front_share": "53.5 %", "drive.driven": "rear"}
    )
    assert text.startswith(HAND.replace('"1290 kg"', '"1300 kg"').replace('"54 %"', '"53.5 %"'))
    assert tomllib.loads(text)["drive"] == {"driven": "rear"}
    assert edited_toml(VEHICLE, HAND, {}) == HAND
    without = edited_toml(VEHICLE, HAND, {"mass.front_share": None, "target.tolerance": None})
    assert without == HAND.replace('front_share = "54 %"    # scales', '# front_share = "54 %"  # scales')
    assert edited_toml(VEHICLE, without, {"mass.front_share": "54 %"}) == HAND


def test_an_edit_that_would_not_be_read_changes_nothing(car):
    before = car.read_bytes()
    day = create_session(car.parent / "day", DAY, vehicle=car, columns=usual_columns())
    _, seen = read_stamped(car)
    tyre = {"tyres.front.load_index": "91", "tyres.front.speed_symbol": "V"}
    with open_day(day) as opened:
        for changes in ({"mass.total": "1290"}, {"mass.total": None}, {"size.wheelbase": "3 kg"}):
            with pytest.raises(FileFaults):
                opened.edit("weighed", car, changes, seen=seen)
        assert car.read_bytes() == before
        opened.edit("weighed", car, {"mass.total": "1300 kg", **tyre}, seen=seen)
    assert (read_vehicle(car).mass, read_vehicle(car).front_tyre.speed_symbol) == (1300.0, "V")


def test_an_edit_of_a_day_and_a_change_made_outside(car):
    day = create_session(car.parent / "day", DAY, vehicle=car, columns=usual_columns())
    file = day / "session.toml"
    _, seen = read_stamped(file)
    stated = {
        "facility.floor": "fixed",
        "date": "2026-05-14",
        "repeatability.degrees_of_freedom": "20",
        "repeatability.front": "7 N",
    }
    with open_day(day) as opened:
        opened.edit("stated", file, stated, seen=seen)
        with pytest.raises(OutsideChange, match=r"session.toml: found a change made outside"):
            opened.edit("stated", file, {"facility.floor": "road"}, seen=seen)
        _, seen = read_stamped(file)
        with pytest.raises(FileFaults, match="floor"):
            opened.edit("stated", file, {"facility.floor": "rode"}, seen=seen)
    with open_day(day) as opened:
        assert (opened.session.facility.floor, opened.session.repeatability.degrees_of_freedom) == (
            "fixed",
            20.0,
        )


WORDS = st.text(st.characters(exclude_categories=["C", "Z"]), min_size=1, max_size=20)


@given(
    name=WORDS, note=WORDS, mass=st.floats(100, 10_000), share=st.floats(10, 90), wheelbase=st.floats(1, 6)
)
def test_whatever_car_is_written_is_read_back_to_the_last_digit(
    tmp_path_factory, name, note, mass, share, wheelbase
):
    typed = {
        "name": name,
        "note": note,
        "mass.total": f"{mass!r} kg",
        "mass.front_share": f"{share!r} %",
        "size.wheelbase": f"{wheelbase!r} m",
    }
    path = create_car(tmp_path_factory.mktemp("car"), typed)
    car = read_vehicle(path)
    assert (car.name, car.note, car.mass, car.wheelbase) == (name, note, mass, wheelbase)
    assert car.front_share == pytest.approx(share / 100, rel=1e-15)
    path.write_text(
        edited_toml(VEHICLE, path.read_text(encoding="utf-8"), {"note": name, "drive.power": "230 kW"}),
        encoding="utf-8",
    )
    assert (read_vehicle(path).note, read_vehicle(path).mass) == (name, mass)
