"""A value with its uncertainty: what is read, what is kept, and the words of each fault."""

import shutil
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from balance.files.day.stated_disk import stated_texts
from balance.files.formats.report import read_brief
from balance.files.formats.session import SESSION
from balance.files.formats.stated_text import read_air, read_change, read_offset, read_stated
from balance.files.formats.vehicle import VEHICLE
from balance.files.formats.what_if import WHAT_IF_FILE, read_what_ifs
from balance.files.formats.what_if_options import what_if_of_options
from balance.files.formats.what_if_save import save_what_if
from balance.files.loader import load_session
from balance.files.toml.edit import edited_toml
from balance.files.toml.fields import check_typed
from balance.model.errors import FileFaults, InputError, UnitError
from balance.model.kinds import KINDS
from balance.model.records import Stated
from balance.units.stated import parse_stated, uncertainty_text
from balance.units.text import parse_quantity, unit_scale
from tui.features.car_and_day.new_session import place_texts

DEMO = Path(__file__).resolve().parents[3] / "vehicles" / "brindlow_hatch"
HALF = (
    1.959964  # standard deviations of a normal distribution in half of its 95 % interval: tables, from memory
)
UNITS = [(kind, unit.strip("1")) for kind, about in KINDS.items() for unit in about.common]
FIGURES = st.decimals(-999, 999, places=2, allow_nan=False, allow_infinity=False)
SPREADS = st.decimals(0, 99, places=2, allow_nan=False, allow_infinity=False)


@given(FIGURES, SPREADS, st.sampled_from(UNITS), st.sampled_from(["±", "+/-", "+-"]))
def test_every_form_is_read_in_every_unit(figure, spread, of, sign):
    kind, unit = of
    value, std = parse_quantity(f"{figure} {unit}", kind), float(spread) * unit_scale(unit, kind)[0]
    digits = int(spread * 100)
    forms = {
        f"{figure} {unit} sd {spread} {unit}": std,
        f"{figure} sd {spread} {unit}": std,
        f"{figure}({digits}) {unit}": std,
        f"{figure}({spread}) {unit}": std,
        f"{figure} {unit} {sign} {spread} {unit}": std / HALF,
        f"{figure} {sign} {spread} {unit}": std / HALF,
        f"{figure}{sign}{spread} {unit}": std / HALF,
        f"({figure} {sign} {spread}) {unit}": std / HALF,
    }
    for text, expected in forms.items():
        stated = parse_stated(text, kind)
        assert stated.value == pytest.approx(value, rel=1e-12, abs=1e-15)
        assert stated.std == pytest.approx(
            expected, rel=1e-6, abs=1e-11
        )  # a temperature's loses digits to its zero
        assert not stated.exact
    assert parse_stated(f"{figure} {unit} exactly", kind) == Stated(value=value, exact=True)
    assert parse_stated(f"{figure} {unit}", kind) == Stated(value=value)


@given(st.floats(1e-6, 1e6), st.floats(0.0, 1e6), st.booleans(), st.sampled_from(["N", "lbf", "kgf"]))
def test_what_is_written_is_read_back(value, std, exact, unit):
    stated = Stated(value=value, std=None if exact else std, exact=exact)
    scale = unit_scale(unit, "force")[0]
    text = f"{value / scale!r} {unit}{uncertainty_text(stated, 1.0 / scale, unit)}"
    read = parse_stated(text, "force")
    assert read.value == pytest.approx(value, rel=1e-12)
    assert read.exact == exact
    assert read.std == (None if exact else pytest.approx(std, rel=1e-12))


@pytest.mark.parametrize("text", ["−60 ± 20 N", "-60(20) N", "−60 N sd 20 N"])
def test_a_minus_of_either_kind_is_that_of_the_value(text):
    stated = parse_stated(text, "force")
    assert stated.value == -60.0
    assert stated.std > 0.0


@pytest.mark.parametrize(
    ("text", "kind", "std"),
    [
        ("120 N ± 5 %", "force", 6.0 / HALF),
        ("-120 N sd 5 %", "force", 6.0),
        ("54.2 ± 0.3 %", "fraction", 0.003 / HALF),
        ("54.2 % sd 0.3 %", "fraction", 0.003),
        ("20 degC sd 0.5 degC", "temperature", 0.5),
        ("68 degF sd 0.5 K", "temperature", 0.5),
        ("60 N sd 1 lbf", "force", 4.4482216152605),
    ],
)
def test_the_unit_of_the_uncertainty(text, kind, std):
    assert parse_stated(text, kind).std == pytest.approx(std, rel=1e-6)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("60 N ± 20 N sd 10 N", "expected one uncertainty"),
        ("60(20) N ± 3 N", "expected one uncertainty"),
        ("60 N exactly exactly", "expected one uncertainty"),
        ("60 N ± 20 N exactly", "expected an uncertainty or 'exactly', not both"),
        ("60 N exactly sd 20 N", "expected an uncertainty or 'exactly', not both"),
        ("60(20) N exactly", "expected an uncertainty or 'exactly', not both"),
        ("60 N ± -20 N", "expected an uncertainty of 0 or more"),
        ("60(-20) N", "expected an uncertainty of 0 or more"),
        ("60 N sd −20 N", "expected an uncertainty of 0 or more"),
        ("60 N ± 20 kg", "'kg', which measures a mass, in the uncertainty of '60 N ± 20 kg'"),
        ("60 N ± 20", "'20' without a unit, in the uncertainty"),
        ("60 ± 20", "'60' without a unit"),
        ("60(20)", "'60' without a unit"),
        ("60 ± 5 %", "'60' without a unit"),
        ("60 N ±", "expected a figure and its uncertainty"),
        ("± 20 N", "expected a figure and its uncertainty"),
        ("60 N ± 2,5 N", "a comma for a point"),
        ("60,5 ± 2 N", "a comma for a point"),
        ("60 N ± nan N", "in the uncertainty"),
        ("60 N ± 1e999 N", "finite"),
        ("exactly", "found 'exactly'"),
        ("60 N exact", "unit 'N exact'"),
        ("6" * 300 + " ± 1 N", "check the figure and its unit"),
    ],
)
def test_faults(text, said):
    with pytest.raises(UnitError, match=said):
        parse_stated(text, "force")


@given(st.text(alphabet="0123456789.,±+-/()eE sdNexactly%", max_size=30))
def test_any_text_is_read_or_refused_in_words(text):
    try:
        stated = parse_stated(text, "force")
    except UnitError:
        return
    assert stated.std is None or stated.std >= 0.0


PRESSURE = 0.5 * 1.2 * (160.0 / 3.6) ** 2


@pytest.mark.parametrize(
    ("text", "std"),
    [
        ("120 N ± 20 N at 160 km/h", 20.0 / HALF),
        ("120 ± 20 N at 160 km/h", 20.0 / HALF),
        ("120 N at 160 km/h ± 20 N", 20.0 / HALF),
        ("120 N at 160 km/h and 1.2 kg/m^3 ± 20 N", 20.0 / HALF),
        ("120(20) N at 160 km/h", 20.0),
        ("120 N sd 20 N at 160 km/h", 20.0),
        ("120 N at 160 km/h sd 20 N", 20.0),
        ("120 N at 160 km/h sd 10 %", 12.0),
    ],
)
def test_a_load_at_a_speed_carries_its_uncertainty(text, std):
    change = read_stated({"front": text}, air_density=1.2)
    assert change.front == pytest.approx(120.0 / PRESSURE, rel=1e-12)
    assert change.front_std == pytest.approx(std / PRESSURE, rel=1e-6)
    assert change.assumed == ()


def test_a_stated_change_is_assumed_uncertain_unless_exactly():
    assert read_stated({"front": "120 N at 160 km/h", "rear": "0 m^2"}, air_density=1.2).assumed == (
        "front",
        "rear",
    )
    for text in ("120 N exactly at 160 km/h", "120 N at 160 km/h exactly"):
        change = read_stated({"front": text}, air_density=1.2)
        assert (change.front_std, change.assumed) == (0.0, ())
    assert read_change("0.05(1) m^2", air_density=1.2).stated == Stated(value=0.05, std=0.01)


@pytest.mark.parametrize(
    ("texts", "said"),
    [
        ({"front": "120 N ± 20 N at 160 km/h", "front_std": "10 N"}, "leave out front_std"),
        (
            {"front": "120 N at 160 km/h exactly", "front_std": "10 N"},
            "expected its uncertainty in one place",
        ),
        ({"front": "120 N at 160 km/h", "front_std": "10 N ± 1 N"}, "a standard uncertainty alone"),
        ({"front": "120 N at 160 km/h ± 5 km/h"}, "'km/h', which measures a speed, in the uncertainty"),
        ({"front": "120 ± 5 N at 160 km/h ± 5 N"}, "expected one uncertainty"),
    ],
)
def test_faults_of_a_stated_change(texts, said):
    with pytest.raises(UnitError, match=said):
        read_stated(texts, air_density=1.2)


def test_air_keeps_what_is_said_of_it():
    air = read_air("29 degC, 940 hPa exactly")
    assert air.uncertainties == {"pressure": Stated(value=94000.0, exact=True)}
    with pytest.raises(UnitError, match="expected figures alone: they are chosen, not measured"):
        read_air("29 degC sd 0.5 degC, 940 hPa")


def test_a_session_keeps_what_its_files_say(desk, vehicle_text, session_text):
    vehicle = vehicle_text.replace("1290 kg", "1290 ± 4 kg").replace("54.2 %", "54.2(3) %")
    vehicle = vehicle.replace("1.98 m^2", "1.98 m^2 exactly")
    vehicle += (
        "[tyres]\n"
        'stiffness_load_exponent = { front = "0.75 sd 0.02", rear = 0.78 }\n'
        'grip_load_exponent = "0.86 exactly"\n'
        '[[adjusters]]\nsetting = "wing_angle"\nholes = { "1" = "2 deg" }\n'
        '[loadings.race]\nfuel = { mass = "-25 kg sd 2 kg", behind_front_axle = "2300 mm" }\n'
        '[mountings]\nwing_angle = { behind_rear_axle = "550 mm", height = "1300 mm sd 10 mm" }\n'
    )
    session = session_text.replace("160 km/h", "160 km/h exactly")
    session += 'drag_reacted_at = "300 ± 20 mm"\n[repeatability]\nfront = "7 N exactly"\n[[places]]\nname = "bend"\nspeed = "185 ± 10 km/h"\n'
    loaded = desk.load(vehicle=vehicle, session=session)
    car = loaded.vehicle
    assert (car.mass, car.front_share, car.frontal_area) == (1290.0, 0.542, 1.98)
    assert (car.stiffness_exponent.front, car.stiffness_exponent.rear, car.grip_exponent.rear) == (
        0.75,
        0.78,
        0.86,
    )
    assert not car.grip_exponent.assumed
    assert {key: one.std for key, one in car.uncertainties.items()} == {
        "mass.total": pytest.approx(4.0 / HALF, rel=1e-6),
        "mass.front_share": pytest.approx(0.003),
        "size.frontal_area": None,
        "tyres.stiffness_load_exponent.front": pytest.approx(0.02),
        "tyres.grip_load_exponent": None,
    }
    assert car.uncertainties["size.frontal_area"].exact
    assert car.adjusters[0].holes == (("1", 2.0),)
    assert car.loadings[0].masses[0].uncertainties == {"mass": Stated(value=-25.0, std=2.0)}
    assert car.mountings[0].uncertainties["height"].std == pytest.approx(0.01)
    assert loaded.facility.air_density == 1.225
    assert loaded.repeatability.deviation.front == 7.0
    assert {key: one.std for key, one in loaded.uncertainties.items()} == {
        "facility.speed": None,
        "facility.drag_reacted_at": pytest.approx(0.02 / HALF, rel=1e-6),
        "places.0.speed": pytest.approx(10.0 / 3.6 / HALF, rel=1e-6),
        "repeatability.front": None,
    }


def test_faults_of_a_file_name_line_and_key(desk, vehicle_text, session_text):
    vehicle = vehicle_text.replace("1290 kg", "1290 kg ± 4 N").replace("54.2 %", "54.2 ± 0.3 % exactly")
    session = session_text.replace("160 km/h", "160 km/h ± -2 km/h")
    assert desk.faults(vehicle=vehicle, session=session) == [
        (
            "session.toml:4: facility.speed: found an uncertainty below 0 in '160 km/h ± -2 km/h', expected an uncertainty of "
            "0 or more; leave out its minus"
        ),
        (
            "../vehicle.toml:3: mass.total: found the unit 'N', which measures a force, in the uncertainty of '1290 kg ± 4 N', "
            "expected a mass unit such as kg, lb, g; check the figure and its unit"
        ),
        (
            "../vehicle.toml:4: mass.front_share: found '54.2 ± 0.3 % exactly', expected an uncertainty or 'exactly', not both; "
            "leave out one of the two"
        ),
    ]


def test_a_number_in_quotes_is_a_fault_without_its_uncertainty(desk, vehicle_text):
    (fault,) = desk.faults(vehicle=vehicle_text + '[tyres]\ngrip_load_exponent = "0.86"\n')
    assert "grip_load_exponent: found '0.86', expected a number" in fault


@pytest.fixture
def folder(tmp_path):
    shutil.copytree(DEMO, tmp_path / "car", ignore=shutil.ignore_patterns(WHAT_IF_FILE))
    return tmp_path / "car" / "tunnel_day"


WHAT_IF = """\
[[what_if]]
name = "all"
from = "16"
settings = { wing_angle = "9.0(2) deg" }  # as measured
stated = [{ front = "120 ± 20 N at 160 km/h", rear = "0 N at 160 km/h", drag = "3 N at 160 km/h exactly" }]
forces = [{ downforce = "300 N sd 30 N at 160 km/h", behind_rear_axle = "600 mm ± 10 mm", height = "1200 mm" }]
masses = { ballast = { mass = "20 kg exactly", behind_front_axle = "300 mm" } }
mass = "1200 ± 5 kg"
air = { temperature = "29 degC exactly" }
speed = "185 km/h exactly"
grip_load_exponent = "0.86 sd 0.01"
"""


def test_a_what_if_keeps_what_is_said_and_writes_it_again(folder):
    session = load_session(folder)
    (folder / WHAT_IF_FILE).write_text(WHAT_IF, encoding="utf-8")
    (read,) = read_what_ifs(session, folder)
    assert dict(read.settings) == {"wing_angle": 9.0}
    assert (read.mass, read.grip_exponent) == (1200.0, 0.86)
    assert {key: one.std for key, one in read.uncertainties.items()} == {
        "settings.wing_angle": pytest.approx(0.2),
        "mass": pytest.approx(5.0 / HALF, rel=1e-6),
        "speed": None,
        "grip_load_exponent": pytest.approx(0.01),
    }
    assert read.air.uncertainties["temperature"].exact
    assert read.forces[0].uncertainties["downforce"].std * PRESSURE == pytest.approx(30.0)
    assert read.masses[0].uncertainties["mass"].exact
    assert read.stated[0].assumed == ("rear",)
    save_what_if(session, folder, read)
    assert (folder / WHAT_IF_FILE).read_text(encoding="utf-8") == WHAT_IF
    (folder / WHAT_IF_FILE).unlink()
    save_what_if(session, folder, read)
    (again,) = read_what_ifs(session, folder)
    assert {key: one.std for key, one in again.uncertainties.items()} == {
        key: pytest.approx(one.std) for key, one in read.uncertainties.items()
    }
    assert again.stated[0].front_std == pytest.approx(read.stated[0].front_std)
    assert again.stated[0].assumed == ("rear",)
    assert again.masses == read.masses
    assert again.air.uncertainties.keys() == read.air.uncertainties.keys()
    assert again.forces[0].uncertainties.keys() == {"downforce", "behind_rear_axle"}


def test_two_uncertainties_of_one_change_are_a_fault_of_the_file(folder):
    session = load_session(folder)
    text = '[[what_if]]\nname = "a"\nfrom = "16"\nstated = [{ front = "9(2) N at 160 km/h", front_std = "2 N" }]\n'
    (folder / WHAT_IF_FILE).write_text(text, encoding="utf-8")
    with pytest.raises(FileFaults) as caught:
        read_what_ifs(session, folder)
    assert str(caught.value) == (
        "what_if.toml:4: what_if.stated: found front '9(2) N at 160 km/h' and front_std '2 N', expected its uncertainty in "
        "one place; leave out front_std, or what stands behind the figure of front"
    )


def test_options_take_the_notation(folder):
    session = load_session(folder)
    texts = ["from=16", "mass=1200(5) kg", "air=29 degC exactly", "grip_load_exponent=0.86 exactly"]
    made = what_if_of_options(session, texts)
    assert made.uncertainties == {
        "mass": Stated(value=1200.0, std=5.0),
        "grip_load_exponent": Stated(value=0.86, exact=True),
    }
    assert made.air.uncertainties["temperature"].exact


CHOSEN, EXACT = "the figure alone: it is chosen, not measured", "the figure alone: it is taken as exact"


def test_the_speed_of_a_brief_is_chosen(folder):
    (folder / "report.toml").write_text('speed = "148 km/h sd 2 km/h"\n', encoding="utf-8")
    with pytest.raises(FileFaults, match=CHOSEN):
        read_brief(load_session(folder), folder)
    (folder / "report.toml").write_text('speed = "148 km/h exactly"\n', encoding="utf-8")
    assert read_brief(load_session(folder), folder).speed == pytest.approx(148.0 / 3.6)


@pytest.mark.parametrize(
    ("lines", "expected"),
    [
        ('[target]\ngrip_surplus = "1 ± 0.5 %"\n', CHOSEN),
        ('[target]\ntolerance = "3(1) %"\n', CHOSEN),
        ('[target]\nfront_tolerance = "1.5 % sd 0.1 %"\n', CHOSEN),
        ('[drive]\nlosses = "12 ± 2 %"\n', EXACT),
        ('[drive]\ntop_speed = "245 ± 5 km/h"\n', EXACT),
        ('[[adjusters]]\nsetting = "wing_angle"\nholes = { "1" = "2(1) deg" }\n', CHOSEN),
        (
            '[[adjusters]]\nsetting = "wing_angle"\nlimits = { low = "2(1) deg", confirmed_by = "x" }\n',
            CHOSEN,
        ),
    ],
)
def test_an_uncertainty_that_no_figure_rests_on_is_refused(desk, vehicle_text, lines, expected):
    fault = "; ".join(desk.faults(vehicle=vehicle_text + lines))
    assert "an uncertainty in '" in fault
    assert expected in fault
    assert "leave out the uncertainty" in fault


@pytest.mark.parametrize(
    ("old", "new", "mend"),
    [
        ("160 km/h", "160 ± 2 km/h", "belongs in [repeatability], as systematic"),
        ("1.225 kg/m^3", "1.225(12) kg/m^3", "belongs in [repeatability], as systematic"),
        (
            'forces = "as read"\n',
            '[repeatability]\nfront = "7 N sd 1 N"\n',
            "degrees_of_freedom says how well",
        ),
        ('forces = "as read"\n', '[repeatability]\nfront = "0.003(1)"\n', "degrees_of_freedom says how well"),
    ],
)
def test_where_an_uncertainty_of_the_facility_belongs_is_said(desk, session_text, old, new, mend):
    (fault,) = desk.faults(session=session_text.replace(old, new))
    assert EXACT in fault
    assert mend in fault


def test_what_a_what_if_chooses_has_no_uncertainty(folder):
    session = load_session(folder)
    for text in ("speed=185 ± 5 km/h", "target_surplus=1 ± 0.5 %"):
        with pytest.raises(FileFaults, match=CHOSEN):
            what_if_of_options(session, ["from=16", text])
    with pytest.raises(InputError, match="they are chosen, not measured"):
        what_if_of_options(session, ["from=16", "air=29 degC sd 1 degC"])


@pytest.mark.parametrize(
    ("text", "speed"),
    [
        ("fast left 185 ± 5 km/h", "185 ± 5 km/h"),
        ("T3 172(2) km/h", "172(2) km/h"),
        ("crest 172 km/h sd 2 km/h", "172 km/h sd 2 km/h"),
        ("crest 100 mph +/- 3 mph", "100 mph +/- 3 mph"),
        ("crest 172 km/h exactly", "172 km/h exactly"),
        ("crest 172 km/h", "172 km/h"),
    ],
)
def test_places_in_one_line_take_the_notation(text, speed):
    assert place_texts(text)["places.0.speed"] == speed
    check_typed(SESSION, "places.0.speed", speed)


@pytest.mark.parametrize(
    "text", ["3 ± 0.5 points rearward", "3(1) points rearward", "3 points rearward sd 1 points"]
)
def test_a_target_offset_takes_the_notation_and_is_chosen(text):
    assert read_offset("3 points rearward exactly") == pytest.approx(-0.03)
    with pytest.raises(UnitError, match=CHOSEN):
        read_offset(text)


def test_a_form_takes_it_and_the_file_keeps_the_text():
    old = '[mass]\ntotal = "1290 ± 4 kg"   # as weighed\nfront_share = "54.2(3) %"\n[tyres]\ngrip_load_exponent = 0.86\n'
    assert stated_texts(old)["mass.total"] == "1290 ± 4 kg"
    new = edited_toml(
        VEHICLE, old, {"mass.front_share": "54.0 % sd 0.2 %", "tyres.grip_load_exponent": "0.9 exactly"}
    )
    assert new == old.replace("54.2(3) %", "54.0 % sd 0.2 %").replace("= 0.86", '= "0.9 exactly"')
    check_typed(VEHICLE, "mass.total", "1290(2) kg")
    with pytest.raises(UnitError, match="expected an uncertainty of 0 or more"):
        check_typed(VEHICLE, "mass.total", "1290(-2) kg")
