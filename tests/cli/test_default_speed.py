"""One default speed: people see the first named speed, else the day's; programs get the day's own."""

import re
import shutil

import pytest

ASKED = {
    "table": (),
    "parts": (),
    "compare": ("4", "15"),
    "trim": ("--from", "16", "--setting", "wing_angle"),
    "what-if": ("--set", "from=16", "--set", "wing_angle=9 deg"),
    "response": ("--setting", "wing_angle"),
}
NAMED, OWN = "148 km/h", "160 km/h"
"""The first named speed of the invented hatchback, and the speed of its tunnel day: both stand in its files."""


@pytest.fixture
def nameless(demo, tmp_path):
    """A copy of the invented day that names no speeds."""
    day = shutil.copytree(demo.parent, tmp_path / "car") / demo.name
    file = day / "session.toml"
    text = file.read_text(encoding="utf-8")
    bare = re.sub(r"\[\[places\]\]\n(?:\w+ *=.*\n)+", "", text)
    assert text.count("[[places]]") > 1
    assert "[[places]]" not in bare
    file.write_text(bare, encoding="utf-8")
    return day


def printed(axletrim, command, day, *options):
    done = axletrim(command, day, *ASKED[command], *options)
    assert done.returncode == 0, done.stderr
    return done.stdout


@pytest.mark.parametrize("command", ASKED)
def test_people_see_the_first_named_speed(axletrim, demo, command):
    said = printed(axletrim, command, demo)
    assert said == printed(axletrim, command, demo, "--speed", NAMED)
    assert said != printed(axletrim, command, demo, "--speed", OWN)
    assert f"at {NAMED}" in said


@pytest.mark.parametrize("command", ASKED)
def test_without_a_named_speed_people_see_the_day_s(axletrim, nameless, command):
    said = printed(axletrim, command, nameless)
    assert said == printed(axletrim, command, nameless, "--speed", OWN)
    assert f"at {OWN}" in said


@pytest.mark.parametrize(
    ("command", "form"),
    [
        *((command, "--json") for command in ASKED),
        *((one, "--csv") for one in ("table", "parts", "response")),
    ],
)
def test_programs_get_the_day_s_own_speed(axletrim, demo, command, form):
    said = printed(axletrim, command, demo, form)
    assert said == printed(axletrim, command, demo, form, "--speed", OWN)
    assert said != printed(axletrim, command, demo, form, "--speed", NAMED)


def test_a_page_of_two_stands_at_the_named_speed(axletrim, demo, tmp_path):
    for name, options in (("default.html", ()), ("named.html", ("--speed", NAMED))):
        assert axletrim("compare", demo, "4", "15", "-o", tmp_path / name, *options).returncode == 0
    assert (tmp_path / "default.html").read_bytes() == (tmp_path / "named.html").read_bytes()


@pytest.mark.parametrize("command", ASKED)
def test_a_place_of_the_day_stands_for_its_speed(axletrim, demo, command):
    """172 km/h is what the invented hatchback's day says of its crest."""
    by_name = printed(axletrim, command, demo, "--speed", "crest")
    assert by_name == printed(axletrim, command, demo, "--speed", "172 km/h")


def test_a_place_that_is_not_there_is_answered_with_those_that_are(axletrim, demo, spoken):
    done = axletrim("table", demo, "--speed", "crst")
    assert done.returncode == 2
    assert "or name a place of this day: long left, crest, bridge esses" in spoken(done)
