"""The commands of a library: days in and out, who is who, and no more said than the cars allow."""

import json
import math
import re
import shutil
import time
import tomllib
from xml.etree import ElementTree as ET

import pytest

from tests.cli.typed import typed
from tests.files.library.conftest import HEAD, Days

PART = "rear spoiler 25 mm"
CARS = {"ash": 60.0, "birch": 75.0, "cedar": 40.0, "oak": 66.0, "yew": 52.0}


@pytest.fixture
def days(tmp_path):
    return Days(tmp_path)


@pytest.fixture
def library(axletrim, days):
    """Run a command of the library beside the days."""

    def run(command, *arguments):
        return axletrim("library", command, *arguments, "--library", days.library)

    return run


@pytest.fixture
def added(days, library):
    """Add a day of each of so many cars."""

    def add(count):
        for car in list(CARS)[:count]:
            result = library("add", days.day(car, gain=CARS[car]), "--same")
            assert result.returncode == 0, result.stderr

    return add


@pytest.mark.parametrize("count", range(1, 6))
def test_so_many_cars_allow_so_much_to_be_said(added, library, count):
    added(count)
    said = library("show", PART).stdout
    assert f"{count} car" in said
    assert ("mean of" in said) == (count >= 3)
    assert ("next car, 95 %" in said) == (count >= 5)
    assert {
        1: "One car: it says what the part did there, and nothing of another car.",
        2: "Two cars: both are shown. A mean needs three, a range for the next car five.",
        3: "Three cars: a mean with its interval. Too few cars for a range for the next one: it needs five.",
        4: "Four cars: a mean with its interval. Too few cars for a range for the next one: it needs five.",
        5: "Five cars: the next car like these is expected inside the range, not at the mean.",
    }[count] in said.replace("\n  ", " ")
    pooled = json.loads(library("show", PART, "--json").stdout)["pooled"]
    for channel in ("front", "rear", "drag", "total"):
        assert (pooled[channel]["mean"] is not None) == (count >= 3)
        assert (pooled[channel]["next_interval"] is not None) == (count >= 5)


def test_one_car_on_six_days_counts_once(days, library):
    for k in range(6):
        assert library("add", days.day("oak", f"day {k}", gain=60.0 + k), "--same").returncode == 0
    found = json.loads(library("show", PART, "--json").stdout)
    assert (found["cars"], found["days"], len(found["effects"])) == (1, 6, 6)
    assert found["pooled"]["rear"]["mean"] is None
    assert "One car, however many days (6)" in library("show", PART).stdout


def test_the_record_of_a_part(added, library):
    added(2)
    found = json.loads(
        library("show", PART, "--json", "--speed", "180 km/h", "--air-density", "1.2 kg/m^3").stdout
    )
    assert list(found) == [
        "format",
        "part",
        "speed_m_s",
        "air_density_kg_m3",
        "cars",
        "days",
        "only",
        "effects",
        "pooled",
        "facilities",
    ]
    assert (found["format"], found["part"], found["speed_m_s"], found["air_density_kg_m3"]) == (
        "axletrim-library/1", PART, 50.0, 1.2,
    )  # fmt: skip
    pressure = 0.5 * 1.225 * (160 / 3.6) ** 2  # by hand: the day's dynamic pressure
    by_car = {one["car"]: one for one in found["effects"]}
    assert by_car["ashashash (invented)"]["rear_downforce_area_m2"] == pytest.approx(60.0 / pressure)
    assert by_car["birchbirchbirch (invented)"]["rear_downforce_area_m2"] == pytest.approx(75.0 / pressure)
    assert by_car["ashashash (invented)"]["with"] == []
    listed = json.loads(library("parts", "--json").stdout)
    assert [one["part"] for one in listed["parts"]] == [PART]
    assert listed["parts"][0]["effects"] == found["effects"]


def test_forces_stand_at_the_speed_asked_for(added, library):
    added(1)
    assert "at 160 km/h, 1.225 kg/m³" in library("show", PART).stdout
    assert " 60 ± " in library("show", PART).stdout
    doubled = library("show", PART, "--speed", "226.274 km/h").stdout  # by hand: twice the dynamic pressure
    assert " 120 ± " in doubled


BODIES = {
    "ash": {"kind": "hatchback", "rear_glass_angle": "40 deg"},
    "birch": {"kind": "hatchback", "rear_glass_angle": "25 deg", "floor": "moving"},
    "cedar": {"kind": "saloon", "rear_glass_angle": "30 deg"},
    "oak": {"kind": "Hatchback"},
}


@pytest.fixture
def bodies(days, library):
    """Add a day of each of four cars, of some of which something is stated."""
    for car, facts in BODIES.items():
        assert library("add", days.day(car, gain=CARS[car], **facts), "--same").returncode == 0


def _cars(text):
    """Return the cars of a printed or recorded part, in order: a row of a day has three forces."""
    if text.startswith("{"):
        return [one["car"].split(" ")[0] for one in json.loads(text)["effects"]]
    return [line.split()[0] for line in text.splitlines() if len(re.findall(r"\d ± ", line)) == 3]


@pytest.mark.usefixtures("bodies")
def test_rows_are_kept_by_body_and_floor_and_the_mean_is_theirs(library):
    hatches = library("show", PART, "--body", "HATCHBACK", "--width", "140").stdout
    assert _cars(hatches) == ["ashashash", "birchbirchbirch", "oakoakoak"]
    assert "3 cars, 3 days, only HATCHBACK, of 4 cars in all" in hatches
    assert "mean of 3" in hatches
    record = json.loads(library("show", PART, "--body", "hatchback", "--floor", "fixed", "--json").stdout)
    assert (record["cars"], record["only"]) == (2, {"body": "hatchback", "floor": "fixed"})
    assert record["pooled"]["rear"]["mean"] is None
    none = library("show", PART, "--body", "saloon", "--floor", "moving").stdout
    assert "0 cars, 0 days, only saloon, moving floor, of 4 cars in all" in none
    assert "No day of the library measured it so." in none
    assert "1 part measured so" in library("parts", "--body", "saloon").stdout
    assert "no part was measured so" in library("parts", "--body", "saloon", "--floor", "moving").stdout
    assert json.loads(library("parts", "--floor", "road", "--json").stdout)["parts"] == []


@pytest.mark.usefixtures("bodies")
def test_rows_are_sorted_by_a_fact_and_what_is_not_stated_comes_last(library):
    said = library("show", PART, "--sort", "rear_glass_angle", "--width", "140").stdout
    assert _cars(said) == ["birchbirchbirch", "cedarcedarcedar", "ashashash", "oakoakoak"]
    assert "rear glass" in said
    record = library("show", PART, "--sort", "rear_glass_angle", "--json").stdout
    assert _cars(record) == _cars(said)
    first, *_, last = json.loads(record)["effects"]
    assert first["rear_glass_angle_rad"] == pytest.approx(25 * math.pi / 180)
    assert (first["body"], last["body"]) == ("hatchback", "Hatchback")
    assert [last[key] for key in ("rear_glass_angle_rad", "rear_ride_height_m", "mounting_height_m")] == [
        None
    ] * 3
    assert (
        _cars(library("show", PART, "--sort", "rear", "--json").stdout)[0] == "cedarcedarcedar"
    )  # 40 N, the least
    assert _cars(library("show", PART, "--sort", "body", "--json").stdout)[-1] == "cedarcedarcedar"


@pytest.mark.usefixtures("bodies")
def test_a_body_or_an_order_that_there_is_not_is_told(library, spoken):
    assert "did you mean 'saloon'?" in spoken(library("show", PART, "--body", "saloom"))
    assert "did you mean 'rear_glass_angle'?" in spoken(library("show", PART, "--sort", "rear_glass"))
    assert "'road'" in spoken(library("show", PART, "--floor", "wooden"))


def test_bars_stand_where_there_is_room(added, library):
    added(5)
    wide, narrow = (
        library("show", PART, "--width", "100").stdout,
        library("show", PART, "--width", "50").stdout,
    )
    assert wide.count("┼") == 5
    assert wide.count("◆") == 1
    assert "═" in wide
    assert not set("┼◆═") & set(narrow)
    front = library("show", PART, "--channel", "front").stdout
    assert "front downforce" in front
    assert "rear downforce" not in front


@pytest.mark.parametrize(
    ("ending", "head"), [("svg", b"<?xml"), ("png", b"\x89PNG\r\n\x1a\n"), ("pdf", b"%PDF-")]
)
def test_the_picture_as_a_file(added, library, tmp_path, ending, head):
    added(5)
    path = tmp_path / f"spoiler.{ending}"
    result = library("show", PART, "-o", path, "--speed", "180 km/h")
    assert (result.returncode, result.stdout) == (0, f"{path}\n")
    assert path.read_bytes().startswith(head)
    again = path.read_bytes()
    library("show", PART, "-o", path, "--speed", "180 km/h")
    assert path.read_bytes() == again


def test_the_picture_says_what_the_table_says(added, library, tmp_path):
    added(4)
    path = tmp_path / "spoiler.svg"
    assert library("show", PART, "-o", path).returncode == 0
    drawn = ET.fromstring(path.read_text(encoding="utf-8"))  # noqa: S314 - our own file
    said = [" ".join("".join(one.itertext()).split()) for one in drawn.iter()]
    for words in (
        "ashashash (invented) · as delivered · fixed floor",
        "mean of 4",
        "next car",
        "too few cars",
    ):
        assert words in said
    assert library("show", PART, "-o", path, "--no-names").returncode == 0
    assert "invented" not in path.read_text(encoding="utf-8")


def test_options_of_the_picture_that_cannot_be_used(added, library, spoken, tmp_path):
    added(1)
    assert "exclude one another" in spoken(library("show", PART, "--json", "-o", "a.svg"))
    assert "name its file" in spoken(library("show", PART, "--no-names"))
    assert ".svg or .png or .pdf" in spoken(library("show", PART, "-o", tmp_path / "a.gif"))


def test_what_is_open_is_named_with_what_answers_it(added, days, library, spoken):
    added(1)
    folder = days.day("oak", name="Ashashash (invented)")
    said = spoken(library("add", folder))
    assert "car 'Ashashash (invented)': found 'ashashash (invented)' in the library" in said
    assert "--car same, --car new, or the name of another" in said
    assert "--part 1=same, --part 1=new, or the name of another" in said
    assert "not added; add it alone with these, or with --same, which answers parts so" in said
    assert library("list").stdout.count("spring of") == 1
    assert library("add", folder, "--car", "new", "--part", f"1={PART}").returncode == 0
    assert "2 cars, 2 days" in library("show", PART).stdout


def test_what_is_open_is_asked_on_a_terminal(added, days, library, axletrim):
    added(1)
    folder = days.day("oak", name="Ashashash (invented)")
    said, code = typed(axletrim, ["library", "add", folder, "--library", days.library], ["n", "y"])
    assert code == 0, said
    assert "the same car as 'ashashash (invented)' of the library?" in said.replace("\r\n", "")
    assert "2 cars, 2 days" in library("show", PART).stdout


def _car_of(days, car, name, **changes):
    """Write a day of a car whose vehicle.toml says something else than the others'; give its folder."""
    folder = days.day(car, name=name)
    path = days.place / car / "vehicle.toml"
    text = path.read_text(encoding="utf-8")
    for key, stated in changes.items():
        text, count = re.subn(f"(?m)^{key} = .*$", f'{key} = "{stated}"', text)
        assert count == 1, key
    path.write_text(text, encoding="utf-8")
    return folder


@pytest.mark.parametrize("changes", [{"wheelbase": "2630 mm"}, {"total": "1500 kg"}])
def test_cars_of_like_names_with_other_figures_are_never_one(days, library, changes):
    library("add", _car_of(days, "arden", "Customer Arden coupe"))
    added = library("add", _car_of(days, "eaves", "Customer Eaves coupe", **changes), "--same")
    assert added.returncode == 0, added.stderr
    assert [one["car"] for one in json.loads(library("list", "--json").stdout)["days"]] == [
        "Customer Arden coupe", "Customer Eaves coupe",
    ]  # fmt: skip


def test_same_takes_no_car_of_another_name_however_like(days, library, spoken):
    library("add", _car_of(days, "arden", "Customer Arden coupe"))
    said = spoken(library("add", _car_of(days, "eaves", "Customer Eaves coupe"), "--same"))
    assert "car 'Customer Eaves coupe': found 'Customer Arden coupe' in the library" in said
    for car in ("arden", "eaves"):  # both cars are told apart by all that is stated
        assert f"· 1290 kg · wheelbase 2575 mm · {days.place / car / 'spring'}" in said
    assert "part" not in said.partition("not added, ")[0].partition("found 'Customer")[2]


def test_one_name_with_other_figures_is_asked_even_with_same(days, library, spoken):
    library("add", _car_of(days, "one", "Larkspur"))
    other = _car_of(days, "two", "Larkspur", total="1500 kg")
    assert "car 'Larkspur': found 'Larkspur'" in spoken(library("add", other, "--same"))
    assert library("add", _car_of(days, "three", "Larkspur"), "--same").returncode == 0


def test_a_car_that_was_answered_wrongly_is_mended(days, library):
    library("add", _car_of(days, "arden", "Customer Arden coupe"))
    folder = _car_of(days, "eaves", "Customer Eaves coupe", total="1500 kg")

    def cars():
        return [one["car"] for one in json.loads(library("list", "--json").stdout)["days"]]

    library("add", folder, "--same", "--car", "Customer Arden coupe")
    assert cars() == ["Customer Arden coupe"] * 2
    said = library("add", folder, "--car", "new").stdout
    assert "car 'Customer Arden coupe' before, now 'Customer Eaves coupe'" in said
    assert cars() == ["Customer Arden coupe", "Customer Eaves coupe"]
    assert "before" not in library("add", folder, "--car", "new").stdout  # once, however often
    library("add", folder, "--car", "Customer Arden coupe")
    assert "say otherwise" in library("forget", folder).stdout
    again = library("add", folder).stdout
    assert "Customer Arden coupe, which the day calls 'Customer Eaves coupe'" in again
    library("forget", folder)
    library("add", folder, "--car", "new")
    assert cars() == ["Customer Arden coupe", "Customer Eaves coupe"]


def test_a_part_that_was_answered_wrongly_is_mended(added, days, library):
    added(2)
    folder = days.place / "birch" / "spring"
    said = library("add", folder, "--part", "1=new").stdout
    assert f"part '{PART}' before, now '{PART} (2)'" in said
    assert "1 car, 1 day" in library("show", PART).stdout
    assert "before" not in library("add", folder, "--part", "1=new").stdout
    library("add", folder, "--part", f"1={PART}")
    assert "2 cars, 2 days" in library("show", PART).stdout
    assert (days.library / "parts.toml").read_text(encoding="utf-8").count("[[parts.seen]]") == 2


def test_a_day_is_named_once_and_one_key_answers_all_that_say_it_so(added, days, library, axletrim):
    added(1)
    folders = [days.day(car, gain=CARS[car]) for car in ("birch", "cedar", "oak")]
    said, code = typed(axletrim, ["library", "add", *folders, "--library", days.library], ["a"])
    assert code == 0, said
    assert said.count("the same part as") == 1
    assert said.replace("\r\n", "").count(f"spring of birch · birchbirchbirch (invented) · {folders[0]}") == 1
    assert "4 cars, 4 days" in library("show", PART).stdout
    later = library("add", days.day("yew"))  # a day to come is not asked either
    assert later.returncode == 0, later.stderr
    assert f"known: {PART}" in later.stdout
    kept = tomllib.loads((days.library / "parts.toml").read_text(encoding="utf-8"))["parts"]
    assert [one["unasked"] for one in kept] == [[PART]]


def test_one_key_answers_all_parts_of_equal_words_and_no_other(days, library, axletrim):
    runs = (
        HEAD.replace("\n", ",splitter [mm]\n")
        + "1,base,84,260,1150,,\n2,a,90,200,1158,25,\n3,b,60,260,1158,,50\n"
    )
    library("add", days.day("ash", runs=runs))
    other = days.day("oak", runs=runs)
    like = days.day("yew", runs=runs.replace("splitter", "splitters"))
    said, code = typed(axletrim, ["library", "add", other, like, "--library", days.library], ["e", "n"])
    assert code == 0, said
    assert said.count("the same part as") == 2
    assert sorted(one["part"] for one in json.loads(library("parts", "--json").stdout)["parts"]) == [
        PART, "splitter 50 mm", "splitters 50 mm",
    ]  # fmt: skip
    assert "3 cars, 3 days" in library("show", PART).stdout


def test_a_broken_day_is_named_and_the_others_are_added(days, library):
    bad = days.day("bad", runs="run,drag [N]\n1,many\n")
    result = library("add", days.day("oak"), bad, days.day("yew"), "--same")
    assert result.returncode == 2
    assert "runs.csv" in result.stderr
    assert result.stdout.count("added: ") == 2
    (days.place / "oak" / "spring" / "runs.csv").write_text("nothing\n")
    result = library("list")
    assert result.returncode == 0
    said = " ".join(result.stdout.split())
    assert f"left out: {days.place / 'oak' / 'spring'}: runs.csv:1: found no " in said
    assert "1 day, 1 car, 1 part" in said
    broken = json.loads(library("list", "--json").stdout)["broken"]
    assert [one["day"] for one in broken] == [str(days.place / "oak" / "spring")]


def test_the_folder_of_a_car_or_of_cars_adds_all_its_days(days, library, spoken):
    days.day("oak")
    days.day("oak", "autumn", gain=62.0)
    days.day("yew", gain=52.0)
    (days.place / "oak" / "notes").mkdir()
    assert library("add", days.place / "oak", "--same").stdout.count("added: ") == 2
    result = library("add", days.place, "--same")
    assert result.returncode == 0, result.stderr
    assert (result.stdout.count("there already: "), result.stdout.count("added: ")) == (2, 1)
    assert "one alone" in spoken(library("add", days.place, "--car", "new"))
    assert "a folder without a session.toml" in spoken(library("add", days.place / "oak" / "notes"))


def test_what_was_taken_for_a_known_part_is_named(days, library):
    assert "known" not in library("add", days.day("oak")).stdout
    runs = HEAD.replace("rear_spoiler", "low_rear_spoiler") + "1,base,84,260,1150,\n2,b,90,200,1158,25\n"
    assert "1 part, known: rear spoiler 25 mm" in library("add", days.day("yew", runs=runs), "--same").stdout


def test_a_day_that_changed_is_named_once_and_one_without_the_part_until_it_has_it(added, days, library):
    added(2)
    folder = days.day("birch", gain=90.0)
    changed = f"changed since it was added: {folder} (read again)"
    assert changed in library("show", PART, "--width", "200").stdout
    assert "changed since" not in library("show", PART, "--width", "200").stdout
    session = folder / "session.toml"
    session.write_text(session.read_text(encoding="utf-8") + "# a remark\n", encoding="utf-8")
    assert "changed since" not in library("list", "--width", "200").stdout  # it says what it said
    runs = folder / "runs.csv"
    runs.write_text(runs.read_text(encoding="utf-8").replace("rear_spoiler", "tail_flap"), encoding="utf-8")
    for expected in (True, False):
        said = library("show", PART, "--width", "200").stdout
        assert (changed in said) == expected
        assert f"'{PART}': no longer measured on {folder}" in said


def test_names_are_told_apart_where_room_is_short(days, library):
    names = ["Customer Arden coupe", "Customer Birch saloon", "Customer Cole hatch"]
    for k, name in enumerate(names):
        library("add", _car_of(days, f"long_folder_name_of_car_{k}", name), "--same", "--car", "new")
    ids = [one["day"] for one in json.loads(library("list", "--json").stdout)["days"]]
    for width in ("80", "120"):
        said = library("list", "--width", width).stdout
        assert all(one in said for one in ids)  # what `forget` takes is whole
    shown = library("show", PART, "--width", "60").stdout
    assert all(shown.count(f"\n{name.replace('Customer ', '…')} ") == 2 for name in names)
    assert all(shown.count(f"\n{name} ") == 0 for name in names)
    assert all(library("show", PART, "--width", "160").stdout.count(f"\n{name} ") == 2 for name in names)


def test_how_far_cars_differ_beside_the_noise_of_one(added, library):
    added(2)
    assert "noise of one" not in library("show", PART).stdout
    added(4)
    assert "noise of one" in library("show", PART).stdout


def test_faults_of_the_files_of_a_library_name_their_place(added, days, library):
    added(1)
    for name, line in (("parts.toml", "Spoiler, low, 25 mm"), ("library.toml", "Parts on all cars")):
        path = days.library / name
        before = path.read_text(encoding="utf-8")
        path.write_text(before + "name = oak\n", encoding="utf-8")
        said = library("list").stderr.replace("\n", "")
        assert f"{path}:" in said
        assert f'quotes: name = "{line}"' in said
        path.write_text(before, encoding="utf-8")


def test_a_broken_record_of_a_day_that_is_gone_says_what_can_be_done(added, days, library):
    added(2)
    (record,) = (days.library / "days").glob("ash*.json")
    folder = days.place / "ash" / "spring"
    shutil.rmtree(folder)
    record.write_text("{", encoding="utf-8")
    said = library("list", "--width", "400").stdout
    assert "remove the file" not in said
    assert "bring back the day's own folder, or forget it: axletrim library forget FOLDER" in said
    assert library("forget", folder).returncode == 0


def test_a_part_without_a_proposal_names_the_day(days, library):
    folder = days.day("oak")
    said = library("add", folder, "--part", "1=same").stderr.replace("\n", "")
    assert f"{folder}: part '{PART}': found no proposal" in said


def test_several_settings_changed_at_once_are_of_no_family_of_their_names(days, library):
    head = HEAD.replace("[mm]", "[mm],wing_angle [deg],baseline")
    runs = head + "1,base,84,260,1150,,,\n2,b,90,-200,1198,25,5,1\n"
    library("add", days.day("oak", runs=runs))
    assert [one["family"] for one in json.loads(library("parts", "--json").stdout)["parts"]] == ["other"]


def test_a_day_that_is_gone_is_marked_until_it_is_forgotten(added, days, library, spoken):
    added(3)
    shutil.rmtree(days.place / "cedar")
    said = library("list").stdout
    assert "gone" in said
    assert "axletrim library forget" in said
    name = next(one["day"] for one in json.loads(library("list", "--json").stdout)["days"] if one["gone"])
    forgotten = library("forget", name)
    assert f"forgotten: {days.place / 'cedar' / 'spring'}" in forgotten.stdout
    assert json.loads(library("list", "--json").stdout)["days"][0]["gone"] is False
    assert "day: found 'cedar'" in spoken(library("forget", "cedar"))


def test_where_the_library_stands_is_said(axletrim, days, tmp_path):
    folder = days.day()
    assert f"Library: {tmp_path / 'mine'}" in axletrim("library", "add", folder, "--library", "mine").stdout
    assert (
        f"Library: {tmp_path / 'data' / 'axletrim' / 'library'}" in axletrim("library", "add", folder).stdout
    )
    named = axletrim("library", "list", AXLETRIM_LIBRARY=str(tmp_path / "mine"))
    assert str(tmp_path / "mine") in named.stdout.replace("\n", "")


def test_without_a_library(library, spoken):
    assert "axletrim library add DAY begins one" in spoken(library("list"))
    assert "axletrim library add DAY begins one" in spoken(library("show", PART))


def test_input_that_cannot_be_used(added, days, library, spoken):
    added(1)
    one, other = days.day("oak"), days.day("yew")
    assert "one alone" in spoken(library("add", one, other, "--car", "new"))
    assert "expected NUMBER=NAME" in spoken(library("add", one, "--part", "spoiler"))
    assert "expected one of: 1" in spoken(library("add", one, "--part", "9=new"))
    assert "did you mean 'rear spoiler 25 mm'?" in spoken(library("show", "rear spoiler 25"))
    assert "nothing there" in spoken(library("add", "nowhere"))


def test_a_long_name_in_another_script(days, library):
    name = "ספוילר 🏁 'נמוך' \"a\" " + "ארוך " * 34
    quoted = '"' + name.replace('"', '""') + '"'
    runs = HEAD.replace("rear_spoiler [mm]", "kind") + f"1,base,84,260,1150,\n2,b,90,200,1158,{quoted}\n"
    assert library("add", days.day("oak", runs=runs)).returncode == 0
    part = json.loads(library("parts", "--json").stdout)["parts"][0]["part"]
    assert part == " ".join(f"kind {name}".split())
    assert library("show", part).returncode == 0
    assert library("parts", "--width", "60").returncode == 0


@pytest.mark.thorough
@pytest.mark.parametrize("seen", ["library.toml", "parts.toml", "days", "index.sqlite"])
def test_adding_that_is_killed_can_be_done_again(axletrim, days, library, seen):
    """Killed as soon as one of its files is there: whatever it left, the day is in once, and so is its part."""
    folder = days.day()
    process = axletrim.start("library", "add", folder, "--library", days.library)
    until = time.monotonic() + 60.0
    while process.poll() is None and not (days.library / seen).exists() and time.monotonic() < until:
        pass
    process.kill()
    process.communicate()
    again = library("add", folder)
    assert again.returncode == 0, again.stderr
    listed = json.loads(library("list", "--json").stdout)
    assert [one["folder"] for one in listed["days"]] == [str(folder)]
    assert (listed["broken"], listed["unconfirmed"]) == ([], [])
    found = json.loads(library("show", PART, "--json").stdout)
    assert (found["cars"], found["days"], len(found["effects"])) == (1, 1, 1)
    assert library("add", days.day("oak"), "--same").returncode == 0  # a lock that nobody holds is taken over
    assert not list(days.library.rglob("*.axletrim-tmp"))
    assert not (days.library / ".axletrim-lock").exists()
