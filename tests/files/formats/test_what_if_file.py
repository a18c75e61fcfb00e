"""what_if.toml: what is written is read back, comments stay, and every fault is said."""

import shutil
from dataclasses import replace
from pathlib import Path

import pytest

from balance.files.formats.stated_text import read_change, read_offset, read_placed_force, read_stated
from balance.files.formats.what_if import WHAT_IF_FILE, pick_what_if, read_what_ifs
from balance.files.formats.what_if_options import what_if_of_options
from balance.files.formats.what_if_save import save_what_if
from balance.files.loader import load_session
from balance.model.errors import FileFaults, InputError, UnitError, UnknownName
from balance.model.libraries import FromLibrary
from balance.model.records import PlacedMass, Stated
from balance.model.what_ifs import Air, WhatIf

DEMO = Path(__file__).resolve().parents[3] / "vehicles" / "brindlow_hatch"


@pytest.fixture
def folder(tmp_path):
    """A copy of the invented tunnel day in which no what-if is saved yet."""
    shutil.copytree(DEMO, tmp_path / "car", ignore=shutil.ignore_patterns(WHAT_IF_FILE))
    return tmp_path / "car" / "tunnel_day"


@pytest.fixture
def session(folder):
    return load_session(folder)


def everything():
    return WhatIf(
        name="all of it",
        start="16",
        on=("5", "5"),
        off=("4",),
        settings=(("wing_angle", 9.5), ("flap_height", 0.0)),
        family=("14", "16"),
        stated=(
            read_stated(
                {"front": "120 N at 160 km/h", "front_std": "20 N", "drag": "3 N at 160 km/h"},
                air_density=1.2,
            ),
            read_stated({"rear": "0.05 m^2"}, air_density=1.2, note="from memory"),
        ),
        forces=(
            read_placed_force(
                "300 N at 160 km/h",
                "40 N",
                behind_rear_axle=Stated(value=0.6),
                height=Stated(value=1.2),
                air_density=1.2,
            ),
        ),
        library=(FromLibrary(part='Wing, "big" 🏁'), FromLibrary(part="Splitter, 60 mm")),
        masses=(PlacedMass(name="driver", mass=-80.0, behind_front_axle=1.4),),
        mass=1200.0,
        front_share=0.58,
        loading="race",
        air=Air(temperature=302.15, pressure=94000.0, humidity=0.4),
        speed=50.0,
        grip_exponent=0.8,
        stiffness_exponent=0.7,
        target_surplus=0.01,
        note="a note",
    )


def test_what_is_written_is_read_back(session, folder):
    save_what_if(session, folder, everything())
    (read,) = read_what_ifs(session, folder)
    for name in WhatIf.__dataclass_fields__:
        if name in ("stated", "forces"):
            for one, other in zip(getattr(read, name), getattr(everything(), name), strict=True):
                for part in type(one).__dataclass_fields__:
                    assert getattr(one, part) == pytest.approx(getattr(other, part), rel=1e-12)
        else:
            assert (
                getattr(read, name) == pytest.approx(getattr(everything(), name))
                if name
                in (
                    "front_share",
                    "speed",
                )
                else getattr(read, name) == getattr(everything(), name)
            ), name


def test_a_second_of_the_name_takes_its_place_and_comments_stay(session, folder):
    save_what_if(session, folder, WhatIf(name="a", start="16"))
    save_what_if(session, folder, WhatIf(name="b", start="6"))
    path = folder / WHAT_IF_FILE
    path.write_text(path.read_text("utf-8").replace('name = "b"', 'name = "b"  # mine'), encoding="utf-8")
    save_what_if(session, folder, WhatIf(name="a", start="18"))
    assert [(one.name, one.start) for one in read_what_ifs(session, folder)] == [("a", "18"), ("b", "6")]
    assert "# mine" in path.read_text("utf-8")
    assert not list(folder.glob(".*tmp*"))


def test_no_file_is_no_what_if(session, folder):
    assert read_what_ifs(session, folder) == ()
    with pytest.raises(UnknownName, match="none is saved"):
        pick_what_if((), "a")
    with pytest.raises(ValueError, match="without a name"):
        save_what_if(session, folder, WhatIf(start="1"))


def test_every_fault_is_said_with_its_line(session, folder):
    (folder / WHAT_IF_FILE).write_text(
        '[[what_if]]\nname = "x"\nfrom = "16"\nstated = [{ front = "120 N" }]\nsettings = { wing = "3 deg" }\n'
        'forces = [{ downforce = "3 N at 100 km/h" }]\nmasses = { a = 3 }\non = 3.5\nair = { pressure = "x" }\n'
        '[[what_if]]\nname = "x"\nspeed = "50"\nsettings = { wing_angle = "3 mm" }\n',
        encoding="utf-8",
    )
    with pytest.raises(FileFaults) as caught:
        read_what_ifs(session, folder)
    said = str(caught.value).splitlines()
    lines = [int(line.split(":")[1]) for line in said]
    assert lines == [4, 5, 6, 7, 8, 9, 10, 11, 12, 13]
    assert "120 N at what speed?" in said[0]


def test_options_are_the_file_in_short(session):
    short = what_if_of_options(
        session,
        [
            "from=16",
            "wing_angle=9 deg",
            "on=5,21",
            "front=120 N at 160 km/h",
            "front_std=20 N",
            "air=29 degC, 940 hPa, 40 %",
            'masses.ballast={ mass = "20 kg", behind_front_axle = "300 mm" }',
            "grip_load_exponent=0.8",
            "speed=185 km/h",
        ],
        name="short",
    )
    assert short.settings == (("wing_angle", 9.0),)
    assert short.on == ("5", "21")
    assert short.stated[0].front == pytest.approx(120.0 / (0.6 * (160 / 3.6) ** 2))
    assert short.air.temperature == pytest.approx(302.15)
    assert short.air.humidity == pytest.approx(0.4)
    assert short.masses[0].name == "ballast"
    changed = what_if_of_options(session, ["wing_angle=10 deg"], base=short)
    assert (changed.name, changed.settings) == ("short", (("wing_angle", 10.0),))
    assert changed.masses == short.masses


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("from", "expected KEY=VALUE"),
        ("wing=9 deg", "an unknown key"),
        ("front=120 N", "120 N at what speed?"),
        ("speed=50", "without a unit"),
        ("air=fine", "temperature, pressure"),
        ("grip_load_exponent=much", "expected a number"),
        ("from.x=3", "is no table"),
    ],
)
def test_options_that_cannot_be_read(session, text, said):
    with pytest.raises(InputError) as caught:
        what_if_of_options(session, ["from=16", text])
    assert said in str(caught.value)


@pytest.mark.parametrize(
    ("text", "area"),
    [
        ("120 N at 160 km/h", 0.10125),
        ("120 N at 160 km/h and 1.5 kg/m^3", 0.081),
        ("-120 N at 160 km/h, 1.2 kg/m^3", -0.10125),
        ("0.05 m^2", 0.05),
    ],
)
def test_a_change_is_kept_as_an_area(text, area):
    assert read_change(text, air_density=1.2).area == pytest.approx(area, rel=1e-12)


@pytest.mark.parametrize(
    "text",
    ["120 N", "120", "120 N at 0 km/h", "0.05 m^2 at 160 km/h", "120 kg at 160 km/h", "N at 3 km/h", ""],
)
def test_a_change_without_its_speed_or_unit_is_refused(text):
    with pytest.raises(UnitError):
        read_change(text, air_density=1.2)


@pytest.mark.parametrize(
    ("text", "offset"),
    [("3 points rearward", -0.03), ("1.5 pt forward", 0.015), ("0 points", 0.0), ("2 % rearward", -0.02)],
)
def test_an_offset_says_its_direction(text, offset):
    assert read_offset(text) == pytest.approx(offset)


@pytest.mark.parametrize(
    "text", ["3", "3 points", "-3 points rearward", "three points rearward", "3 N rearward", ""]
)
def test_an_offset_without_one_is_refused(text):
    with pytest.raises(UnitError):
        read_offset(text)


OWN = """\
# mine, for the customer
[[what_if]]            # the first idea
name = "a"             # its name
from = "16"
# a thought about the wing
settings = { wing_angle = "9 deg" }   # steeper
speed = "50 m/s"       # in the unit that I like

[[what_if]]
from = "6"
name = "b"
"""


@pytest.mark.parametrize("end", ["\n", "\r\n"])
@pytest.mark.parametrize("mark", ["", "\ufeff"])
def test_saving_an_unchanged_one_leaves_every_byte(session, folder, end, mark):
    raw = (mark + OWN.replace("\n", end)).encode()
    (folder / WHAT_IF_FILE).write_bytes(raw)
    for one in read_what_ifs(session, folder):
        save_what_if(session, folder, one)
    assert (folder / WHAT_IF_FILE).read_bytes() == raw


@pytest.mark.parametrize("end", ["\n", "\r\n"])
@pytest.mark.parametrize("mark", ["", "\ufeff"])
def test_saving_a_changed_one_touches_that_value_alone(session, folder, end, mark):
    (folder / WHAT_IF_FILE).write_bytes((mark + OWN.replace("\n", end)).encode())
    first, _ = read_what_ifs(session, folder)
    save_what_if(session, folder, replace(first, start="18"))
    wanted = OWN.replace('from = "16"', 'from = "18"').replace("\n", end)
    assert (folder / WHAT_IF_FILE).read_bytes() == (mark + wanted).encode()


@pytest.mark.parametrize(
    "raw", [b'[[what_if]\nname = "a"\n', OWN.replace("mine", "für").encode("latin-1"), OWN.encode("utf-16")]
)
def test_a_file_that_cannot_be_read_is_never_written_over(session, folder, raw):
    (folder / WHAT_IF_FILE).write_bytes(raw)
    with pytest.raises(FileFaults):
        save_what_if(session, folder, WhatIf(name="c", start="16"))
    assert (folder / WHAT_IF_FILE).read_bytes() == raw


def test_only_the_name_of_a_part_of_the_library_is_saved(session, folder):
    """What is expected of it is asked again each time, so that a figure of today never stands there for tomorrow's."""
    known = FromLibrary(part="Splitter, 60 mm", cars=7, mean=(0.1, 0.0, 0.01), std=(0.02, 0.01, 0.01))
    save_what_if(session, folder, WhatIf(name="a", start="16", library=(known,)))
    (read,) = read_what_ifs(session, folder)
    assert read.library == (FromLibrary(part="Splitter, 60 mm"),)
    assert 'library = ["Splitter, 60 mm"]' in (folder / WHAT_IF_FILE).read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("value", "fault"),
    [
        ("3", 'found 3, expected a list of parts of the library; write library = ["Splitter, 60 mm"]'),
        ("[3]", 'found 3, expected a list of texts; write library = ["Splitter, 60 mm"]'),
        ('["a", "b", "a"]', "found the part 'a' twice, expected each part once; take one of the two out"),
        ('[""]', 'found nothing, expected a list of texts; write library = ["Splitter, 60 mm"]'),
    ],
)
def test_faults_of_parts_of_the_library(session, folder, value, fault):
    (folder / WHAT_IF_FILE).write_text(
        f'[[what_if]]\nname = "x"\nfrom = "16"\nlibrary = {value}\n', encoding="utf-8"
    )
    with pytest.raises(FileFaults) as caught:
        read_what_ifs(session, folder)
    assert str(caught.value) == f"what_if.toml:4: what_if.library: {fault}"


def test_parts_of_the_library_as_options(session):
    """A name may hold a comma: each option is one part, unless it is a list as in the file."""
    made = what_if_of_options(session, ["from=16", "library=Splitter, 60 mm", 'library=["Wing", "Gurney"]'])
    assert [one.part for one in made.library] == ["Splitter, 60 mm", "Wing", "Gurney"]
    more = what_if_of_options(session, ["library=Louvres"], base=made)
    assert [one.part for one in more.library] == ["Splitter, 60 mm", "Wing", "Gurney", "Louvres"]


def test_parts_named_in_options_of_their_own_are_all_put_on(session):
    """A second option that dropped the part of the first would show a car that nobody asked for."""
    made = what_if_of_options(session, ["from=16", "on=5", "on=21", "off=7", "off=9"])
    assert (made.on, made.off) == (("5", "21"), ("7", "9"))
    assert what_if_of_options(session, ["on=8"], base=made).on == ("8",)


@pytest.mark.parametrize("text", ["wing_angle=9 deg", "front=120 N at 160 km/h", "mass=1200 kg"])
def test_a_figure_given_twice_is_refused(session, text):
    key = text.partition("=")[0]
    with pytest.raises(InputError, match=f"^--set {key}: found it twice, expected it once"):
        what_if_of_options(session, ["from=16", text, text])
