"""A library over its life: added, changed, gone, broken, forgotten; the index is a cache."""

import json
import math
import shutil
import sqlite3
from dataclasses import replace

import pytest

from balance.decide.library.kept import effects_of_day
from balance.files.library.day_record import read_day
from balance.files.library.joining import forget_day
from balance.files.library.library import Library
from balance.model.errors import FileFaults, UnknownName
from balance.model.libraries import CarFacts


def areas(library, part="rear spoiler 25 mm"):
    return {day.car_name: effect.effect for day, effect in library.effects(part)}


class Counted:
    """Studies days, and counts how many."""

    def __init__(self):
        self.days = []

    def __call__(self, session):
        self.days.append(session.title)
        return effects_of_day(session)


def test_what_was_added_is_there(days):
    days.five()
    with days.open() as library:
        assert len(library.days) == 5
        assert library.parts() == [
            ("rear spoiler 25 mm", "spoiler", "", tuple(sorted(day.head.id for day in library.days)))
        ]
        pressure = (
            0.5 * 1.225 * (160 / 3.6) ** 2
        )  # by hand: the dynamic pressure of the day's speed and density
        assert areas(library)["ashashash (invented)"] == pytest.approx(
            (-6 / pressure, 60 / pressure, 8 / pressure, 54 / pressure), rel=1e-9
        )
        assert library.unconfirmed() == []
        assert library.broken == ()


def test_nothing_is_read_twice(days):
    days.five()
    counted = Counted()
    with days.open(counted):
        pass
    assert counted.days == []


def test_a_changed_day_is_read_again_and_no_other(days):
    days.five()
    days.day("oak", gain=100.0)
    counted = Counted()
    with days.open(counted) as library:
        first = areas(library)
    assert counted.days == ["spring of oak"]
    with days.open(counted) as library:
        assert areas(library) == first
    assert counted.days == ["spring of oak"]
    assert first["oakoakoak (invented)"][1] > first["birchbirchbirch (invented)"][1]


def test_a_day_that_was_only_touched_is_not_read_again(days):
    days.five()
    path = days.place / "oak" / "spring" / "runs.csv"
    path.write_bytes(path.read_bytes())
    counted = Counted()
    for _ in range(2):
        days.open(counted).close()
    assert counted.days == []


def test_a_day_added_twice_counts_once(days, tmp_path):
    folder = days.day()
    assert days.add(folder)[1] == "added"
    assert days.add(folder)[1] == "there"
    assert days.add(folder / "session.toml")[1] == "there"
    (tmp_path / "link").symlink_to(folder)
    assert days.add(tmp_path / "link")[1] == "there"
    shutil.copytree(days.place / "one", days.place / "copy")
    assert days.add(days.place / "copy" / "spring")[1] == "there"  # word for word the same readings
    with days.open() as library:
        assert [day.head.folder for day in library.days] == [str(folder)]
        assert len(library.effects("rear spoiler 25 mm")) == 1


def test_a_day_that_moved_is_the_same_day(days):
    days.add(days.day())
    (days.place / "one").rename(days.place / "moved")
    with days.open() as library:
        assert [day.gone for day in library.days] == [True]
        name = library.days[0].head.id
    assert days.add(days.place / "moved" / "spring")[1] == "moved"
    with days.open() as library:
        assert [(day.head.id, day.gone) for day in library.days] == [(name, False)]
        assert library.unconfirmed() == []


def test_a_day_that_is_gone_is_shown_from_its_file_until_it_is_forgotten(days):
    days.five()
    shutil.rmtree(days.place / "oak")
    with days.open() as library:
        gone = [day for day in library.days if day.gone]
        assert [day.head.title for day in gone] == ["spring of oak"]
        assert "oakoakoak (invented)" in areas(library)
        forget_day(library, gone[0].head.id)
    with days.open() as library:
        assert len(library.days) == 4
        assert "oakoakoak (invented)" not in areas(library)
        with pytest.raises(UnknownName):
            forget_day(library, "oak")


def test_a_day_is_forgotten_by_its_folder_and_its_files_stay(days):
    folder = days.day()
    days.add(folder)
    with days.open() as library:
        forget_day(library, str(folder))
    assert (folder / "runs.csv").exists()
    with days.open() as library:
        assert library.days == ()
    assert days.add(folder)[0].new == ()  # who is who stays confirmed


def test_a_broken_day_is_named_and_the_rest_stands(days):
    days.five()
    (days.place / "oak" / "spring" / "runs.csv").write_text("run,drag [N]\n1,many\n")
    with days.open() as library:
        assert len(library.days) == 4
        assert len(areas(library)) == 4
        ((shown, error),) = library.broken
        assert shown.endswith("oak/spring")
        assert "runs.csv" in str(error)
    days.day("oak", gain=66.0)
    with days.open() as library:
        assert library.broken == ()
        assert len(areas(library)) == 5


@pytest.mark.parametrize("raw", [b"", b"{", b'{"format": "axletrim-library-day/1"}', b"\xff\xfe", b"[1, 2]"])
def test_a_broken_record_is_made_again_from_its_day(days, raw):
    days.five()
    record = next((days.library / "days").glob("oak*.json"))
    record.write_bytes(raw)
    with days.open() as library:
        assert len(areas(library)) == 5
        assert library.broken == ()
    assert json.loads(record.read_text(encoding="utf-8"))["title"] == "spring of oak"


def test_a_broken_record_of_a_day_that_is_gone_is_named(days):
    days.five()
    shutil.rmtree(days.place / "oak")
    next((days.library / "days").glob("oak*.json")).write_bytes(b"{")
    with days.open() as library:
        assert len(areas(library)) == 4
        assert [
            "days/oak_spring" in shown or shown.endswith("oak/spring") for shown, _ in library.broken
        ] == [True] * 2


@pytest.mark.parametrize("damage", ["gone", "rubbish", "cut", "page", "other", "older"])
def test_an_index_that_is_missing_or_broken_is_made_again(days, damage):
    days.five()
    path = days.library / "index.sqlite"
    with days.open() as library:
        before = areas(library)
    raw = path.read_bytes()
    if damage == "gone":
        path.unlink()
    elif damage == "rubbish":
        path.write_bytes(b"not a database, and longer than its head of a hundred bytes" * 9)
    elif damage == "cut":
        path.write_bytes(raw[: len(raw) // 2])
    elif damage == "page":
        path.write_bytes(raw[:4096] + b"\xa5" * 8192 + raw[12288:])
    else:
        path.unlink() if damage == "other" else None
        database = sqlite3.connect(path)
        database.execute("PRAGMA user_version = 77")
        database.execute("CREATE TABLE theirs (a)")
        database.commit()
        database.close()
    counted = Counted()
    with days.open(counted) as library:
        assert areas(library) == before
        assert library.index.kept
    assert counted.days == []  # the records of the days are there
    with days.open() as library:
        assert areas(library) == before


def test_days_that_were_written_by_hand_are_read_and_wait_for_their_parts(days):
    days.five()
    days.day("elm", gain=50.0)
    text = (days.library / "library.toml").read_text(encoding="utf-8")
    (days.library / "library.toml").write_text(
        "# mine\n" + text.replace("days = [", 'days = ["../elm/spring", '), encoding="utf-8"
    )
    with days.open() as library:
        assert len(library.days) == 6
        ((day, said),) = library.unconfirmed()
        assert (day.head.title, said[0].setting, said[0].value) == ("spring of elm", "rear_spoiler", "25 mm")
        assert len(areas(library)) == 5
    joining, state = days.add(days.place / "elm" / "spring", n1="same")
    assert (state, joining.questions) == ("there", ())
    with days.open() as library:
        assert len(areas(library)) == 6
    assert (days.library / "library.toml").read_text(encoding="utf-8").startswith("# mine\n")


def test_two_days_of_one_name_stand_side_by_side(days):
    first = days.day("one")
    other = days.place / "elsewhere" / "one" / "spring"
    shutil.copytree(days.place / "one", days.place / "elsewhere" / "one")
    runs = (first / "runs.csv").read_text(encoding="utf-8")
    (other / "runs.csv").write_text(runs.replace("90,", "91,"), encoding="utf-8")
    days.add(first)
    assert days.add(other, car="same", n1="same")[1] == "added"
    with days.open() as library:
        assert len({day.head.id for day in library.days}) == 2
        assert len({day.car_key for day in library.days}) == 1
        assert len(library.effects("rear spoiler 25 mm")) == 2


def test_no_library_is_told(days):
    with pytest.raises(FileFaults, match="axletrim library add DAY begins one"):
        days.open()


def test_every_fault_of_the_files_is_told(days):
    days.five()
    (days.library / "library.toml").write_text('nme = "x"\ndays = [1]\n')
    with pytest.raises(FileFaults) as told:
        days.open()
    assert len(told.value.faults) == 2
    (days.library / "library.toml").write_text("days = []\n")
    (days.library / "parts.toml").write_text(
        '[[parts]]\nname = "a"\nfamily = "wheel"\n[[parts]]\nname = "b"\n[[parts.seen]]\nday = "x"\nsetting = ["k", "l"]\n'
        'value = "1 mm"\n[[cars]]\nseen = 3\n'
    )
    with pytest.raises(FileFaults) as told:
        days.open()
    assert [fault.line for fault in told.value.faults] == [3, 9, 10, 11]


def test_every_fault_of_a_record_is_told(days):
    from balance.files.library.day_record import read_day

    days.add(days.day())
    record = next((days.library / "days").glob("*.json"))
    tree = json.loads(record.read_text(encoding="utf-8"))
    tree["speed_m_s"], tree["effects"][0]["effect_m2"][2] = "fast", None
    tree["effects"][0]["covariance_m4"].pop()
    del tree["title"]
    with pytest.raises(FileFaults) as told:
        read_day(json.dumps(tree).encode(), shown_as="days/x.json")
    assert [fault.column for fault in told.value.faults] == [
        "title", "speed_m_s", "effects.0.covariance_m4", "effects.0.effect_m2",
    ]  # fmt: skip


def test_a_day_reads_back_as_it_was_written(days):
    from balance.files.library.day_record import day_text, read_day
    from balance.files.library.joining import read_to_add

    runs = "run,configuration,front_lift [N],rear_lift [N],drag [N],angle [deg]\n1,a,84,260,1150,\n2,b,90,200,1158,5\n"
    day = read_to_add(days.day(runs=runs), effects_of_day)
    assert [change.value for change in day.effects.effects[0].changes] == ["5 deg"]
    back = read_day(day_text(day).encode(), shown_as="x")
    unknown = {"repeats_variance": (), "repeats_degrees": 0.0}  # not a number is not equal to itself
    assert replace(back, effects=replace(back.effects, **unknown)) == replace(
        day, effects=replace(day.effects, **unknown)
    )


def test_facts_of_the_car_are_kept_with_the_day(days):
    folder = days.day("oak", kind="hatchback", rear_glass_angle="30 deg", rear_ride_height="120 mm")
    car = days.place / "oak" / "vehicle.toml"
    mounted = '[mountings]\nrear_spoiler = { behind_rear_axle = "750 mm", height = "1125 mm" }\n'
    car.write_text(car.read_text(encoding="utf-8") + mounted, encoding="utf-8")
    days.add(folder)
    days.add(days.day("yew"), n1="same")
    for _ in range(2):  # once from the day's file, once from an index made anew
        with days.open() as library:
            oak, yew = (day.head for day in sorted(library.days, key=lambda day: day.car_name))
        assert (oak.body, yew.body, yew.facts) == ("hatchback", "", CarFacts())
        assert oak.facts == CarFacts(
            rear_glass_angle=math.pi / 6, rear_ride_height=0.12, mountings=(("rear_spoiler", 0.75, 1.125),)
        )
        (days.library / "index.sqlite").unlink()


def test_a_changed_fact_is_read_again(days):
    days.add(days.day("oak", kind="hatchback"))
    days.day("oak", kind="estate")
    with days.open() as library:
        assert [day.head.body for day in library.days] == ["estate"]


def test_the_file_of_a_day_of_an_older_release_is_read_and_the_day_looked_at_again(days):
    days.add(days.day("oak", kind="hatchback"))
    (path,) = (days.library / "days").glob("*.json")
    tree = json.loads(path.read_text(encoding="utf-8"))
    facts = ("body", "rear_glass_angle_rad", "front_ride_height_m", "rear_ride_height_m", "mountings")
    path.write_text(json.dumps({key: value for key, value in tree.items() if key not in facts}))
    counted = Counted()
    with days.open(counted) as library:
        assert [(day.head.body, day.head.effects) for day in library.days] == [("hatchback", 1)]
    assert counted.days == ["spring of oak"]
    days.open(counted).close()
    assert counted.days == ["spring of oak"]  # once is enough
    path.write_text(json.dumps({key: value for key, value in tree.items() if key not in facts}))
    shutil.rmtree(days.place / "oak")
    with days.open(counted) as library:
        assert [(day.head.body, day.head.effects, day.gone) for day in library.days] == [("", 1, True)]


@pytest.mark.parametrize(
    ("key", "value"),
    [("body", 3), ("rear_glass_angle_rad", "28"), ("mountings", [["wing", 1.0]]), ("mountings", [[1, 2, 3]])],
)
def test_a_broken_fact_of_a_day_is_named(days, key, value):
    days.add(days.day("oak"))
    (path,) = (days.library / "days").glob("*.json")
    tree = json.loads(path.read_text(encoding="utf-8"))
    path.write_text(json.dumps(tree | {key: value}))
    shutil.rmtree(days.place / "oak")
    with days.open() as library:
        assert key in "\n".join(str(error) for _, error in library.broken)


def test_an_index_of_another_version_is_made_again(days):
    days.five()
    database = sqlite3.connect(days.library / "index.sqlite")
    database.execute("PRAGMA user_version = 1")
    database.execute("UPDATE days SET head = '[]'")
    database.commit()
    database.close()
    with days.open() as library:
        assert library.index.kept
        assert len(library.days) == 5


def test_the_name_of_a_facility_is_kept_and_an_older_record_without_one_is_read(days):
    days.add(days.day(facility="North tunnel"))
    (record,) = (days.library / "days").glob("*.json")
    with days.open() as library:
        assert [day.head.facility_name for day in library.days] == ["North tunnel"]
        assert list(library.by_facility) == ["North tunnel"]
    tree = json.loads(record.read_text(encoding="utf-8"))
    assert tree.pop("facility_name") == "North tunnel"
    record.write_text(json.dumps(tree), encoding="utf-8")
    with days.open() as library:
        assert [day.head.facility_name for day in library.days] == [""]
        assert library.by_facility == {}
    tree["facility_name"] = 7
    record.write_text(json.dumps(tree), encoding="utf-8")
    with pytest.raises(FileFaults, match="facility_name: found '7', expected a text"):
        read_day(record.read_bytes(), shown_as=record.name)
    with days.open() as library:  # a broken record is made again from its day
        assert [day.head.facility_name for day in library.days] == ["North tunnel"]


def test_a_library_that_is_moved_together_with_its_days_keeps_who_is_who(days, tmp_path):
    days.five()
    twin = days.place / "oak" / "twin"
    shutil.copytree(days.place / "oak" / "spring", twin)  # to the byte the same day, begun from a template
    stated = days.library / "library.toml"
    text = stated.read_text(encoding="utf-8").replace(f'"{days.place}/', '"../')
    stated.write_text(text.replace("days = [", 'days = ["../oak/twin", '), encoding="utf-8")
    with days.open() as library:
        before = {(day.head.id, day.car) for day in library.days}
        assert len(before) == 6
    moved = tmp_path / "moved"
    moved.mkdir()
    for folder in [path for path in days.place.iterdir() if path.is_dir() and path != moved]:
        shutil.move(folder, moved / folder.name)
    for _ in range(2):  # read in its new place, then from what was kept of it there
        with Library(moved / "library", effects_of_day) as library:
            assert {(day.head.id, day.car) for day in library.days} == before
            assert len(library.effects("rear spoiler 25 mm")) == 5
            assert library.broken == ()
            assert {day.gone for day in library.days} == {False}


def test_a_number_beyond_all_others_in_a_record_is_a_fault(days):
    from balance.files.library.day_record import read_day

    days.add(days.day())
    record = next((days.library / "days").glob("*.json"))
    tree = json.loads(record.read_text(encoding="utf-8")) | {"speed_m_s": 10**400}
    with pytest.raises(FileFaults, match="speed_m_s: found '1000"):
        read_day(json.dumps(tree).encode(), shown_as="days/x.json")


def test_the_home_of_nobody_is_a_day_that_is_not_there(days):
    days.add(days.day())
    file = days.library / "library.toml"
    file.write_text(
        file.read_text(encoding="utf-8").replace("days = [", 'days = ["~nobody_at_all/day", '),
        encoding="utf-8",
    )
    with days.open() as library:
        assert [shown for shown, _ in library.broken] == ["~nobody_at_all/day"]
        assert len(library.days) == 1
