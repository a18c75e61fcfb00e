"""Who is who: what is like something known is asked, what is answered is kept, nothing is merged in silence."""

import tomllib

import pytest

from balance.decide.library.kept import effects_of_day
from balance.files.library.confirming import join_library
from balance.files.library.joining import ChangedMeanwhile, add_day, as_known, begin_library, read_to_add
from balance.files.library.parts_file import Confirmed, parts_from, read_parts_file, with_confirmed
from balance.files.library.proposals import CarProposal, CarSaid, car_like, new_name, part_like
from balance.model.errors import InputError, UnknownName
from balance.model.libraries import CarFigures, KnownPart, SaidChange
from tests.files.library.conftest import HEAD

STRANGE = [
    "the \"low\" one, '25' = [x] \\ #1",
    "gurney 🏁 12",
    "ספוילר אחורי",
    "ذيل خلفي ١٠",
    "x" * 200,
    "DROP TABLE days; --",
]


def test_the_first_part_is_new_without_a_question(days):
    joining, _ = days.add(days.day())
    assert joining.questions == ()
    assert joining.new == ("rear spoiler 25 mm",)


def test_a_like_part_is_asked_and_nothing_is_written_before_an_answer(days):
    days.add(days.day())
    before = (days.library / "parts.toml").read_bytes()
    joining, _ = days.add(days.day("oak"))
    assert [(one.key, one.kind, one.proposal) for one in joining.questions] == [
        ("1", "part", "rear spoiler 25 mm")
    ]
    assert (days.library / "parts.toml").read_bytes() == before
    with days.open() as library:
        assert len(library.days) == 1


@pytest.mark.parametrize(
    ("answer", "parts"),
    [
        ("same", {"rear spoiler 25 mm": 2}),
        ("new", {"rear spoiler 25 mm": 1, "rear spoiler 25 mm (2)": 1}),
        ("rear spoiler 25 mm", {"rear spoiler 25 mm": 2}),
    ],
)
def test_the_answer_is_kept(days, answer, parts):
    days.add(days.day())
    joining, _ = days.add(days.day("oak"), n1=answer)
    assert joining.questions == ()
    assert days.add(days.day("oak"))[0].questions == ()
    with days.open() as library:
        assert {name: len(where) for name, _, _, where in library.parts()} == parts


def test_a_name_that_is_not_there_is_told(days):
    days.add(days.day())
    with pytest.raises(UnknownName, match="did you mean 'rear spoiler 25 mm'"):
        days.add(days.day("oak"), n1="rear spoiler 26 mm")
    with pytest.raises(UnknownName):
        days.add(days.day("oak"), n7="new")
    with pytest.raises(InputError, match="found no proposal"):
        days.add(days.day("oak"), n1="same", car="same")


def test_a_car_of_a_like_name_is_asked_and_one_of_the_same_file_is_not(days):
    days.add(days.day())
    assert (
        days.add(days.day("one", "summer", gain=50.0), n1="same")[0].confirmed.car == "oneoneone (invented)"
    )
    days.day("copy", name="Oneoneone  (invented)")
    joining, _ = days.add(days.place / "copy" / "spring", n1="same")
    assert [one.key for one in joining.questions] == ["car"]
    assert days.add(days.place / "copy" / "spring", n1="same", car="same")[0].questions == ()
    with days.open() as library:
        assert {day.car_key for day in library.days} == {("oneoneone (invented)", "")}


def test_another_car_of_the_same_name_is_told_apart(days):
    days.add(days.day("one", name="Larkspur"))
    days.add(days.day("two", name="Larkspur"), car="new", n1="same")
    with days.open() as library:
        assert sorted(day.car for day in library.days) == ["Larkspur", "Larkspur (2)"]


def test_two_programs_that_add_at_once_merge_nothing(days):
    begin_library(days.library)
    first, second = days.day("ash"), days.day("oak")
    with days.open() as one, days.open() as other:
        waiting = []
        for library, folder in ((one, first), (other, second)):
            day, _ = as_known(library, read_to_add(folder, effects_of_day))
            file = read_parts_file(days.library)
            joining = join_library(library, file, day, {})
            assert joining.questions == ()  # neither knows of the other
            waiting.append((library, day, joining.confirmed, file))
        add_day(*waiting[0])
        with pytest.raises(ChangedMeanwhile, match="add the day again"):
            add_day(*waiting[1])
    assert [one.proposal for one in days.add(second)[0].questions] == ["rear spoiler 25 mm"]


def car(name="Customer Arden coupe", body="coupe", mass=1250.0, wheelbase=2.5, driven="rear", digest=""):
    return CarSaid(name, body, CarFigures(mass=mass, wheelbase=wheelbase, driven=driven), "/days/x", digest)


@pytest.mark.parametrize(
    ("own", "proposed", "certain"),
    [
        (car("Customer Eaves coupe"), True, False),
        (car("Customer Arden coupe"), True, True),
        (car("customer arden  coupe"), True, False),
        (car("Customer Arden coupe", mass=1500.0), True, False),
        (car("Customer Eaves coupe", mass=1376.0), False, False),
        (car("Customer Eaves coupe", mass=1374.0), True, False),
        (car("Customer Eaves coupe", wheelbase=2.511), False, False),
        (car("Customer Eaves coupe", wheelbase=2.51), True, False),
        (car("Customer Eaves coupe", body="saloon"), False, False),
        (car("Customer Eaves coupe", body=""), True, False),
        (car("Customer Eaves coupe", driven="front"), False, False),
        (car("nobody", digest="abc"), True, True),
        (car("nobody"), False, False),
    ],
)
def test_which_car_is_proposed(own, proposed, certain):
    found = car_like(own, {"Customer Arden coupe": [car(digest="abc")], "Birch van": [car("Birch van")]})
    assert (found.name, found.certain) == ("Customer Arden coupe" if proposed else "", certain)


def test_a_car_of_which_no_day_is_left_is_proposed_by_its_name_alone():
    assert car_like(car("Customer Eaves coupe"), {"Customer Arden coupe": []}).name == ""
    assert car_like(car(), {"Customer Arden coupe": []}) == CarProposal("Customer Arden coupe", None, False)


def said(value, setting="rear_spoiler", before=""):
    return (SaidChange(setting, value, before),)


@pytest.mark.parametrize(
    ("own", "like"),
    [
        (said("25 mm"), True),
        (said("2.5 cm"), True),
        (said("25 mm", "Rear Spoiler"), True),
        (said("25 mm", "rear_spoilers"), True),
        (said("30 mm"), False),
        (said("25 mm", before="10 mm"), False),
        (said("25 mm", "splitter"), False),
        (said("25 deg"), False),
        (said("1 in"), True),  # 25.4 mm: the size of an inch by definition
        (said("1.02 in"), False),
        (said("26 mm"), False),
        ((*said("25 mm"), *said("on", "strip")), False),
    ],
)
def test_what_is_proposed(own, like):
    file = parts_from("")
    known = KnownPart(name="the low one", seen=(("day", said("25 mm")),))
    assert part_like(own, type(file)(parts=(known,))) == ("the low one" if like else "")


def test_a_library_without_parts_reads():
    assert parts_from("# nothing yet\n").parts == ()


@pytest.mark.parametrize("name", STRANGE)
def test_any_name_goes_through_all_files(days, name):
    quoted = '"' + name.replace('"', '""') + '"'
    folder = days.day(runs=HEAD + f"1,base,84,260,1150,\n2,{quoted},90,200,1158,25\n")
    runs = (
        (folder / "runs.csv").read_text(encoding="utf-8").replace("rear_spoiler [mm]", '"kind of rear wing"')
    )
    (folder / "runs.csv").write_text(runs.replace("1158,25", f"1158,{quoted}"), encoding="utf-8")
    car = days.place / "one" / "vehicle.toml"
    literal = "'''" + name.replace("'", "’") + "'''"
    car.write_text(
        car.read_text(encoding="utf-8").replace('"oneoneone (invented)"', literal), encoding="utf-8"
    )
    joining, _ = days.add(folder)
    assert joining.questions == ()
    for _ in range(2):
        with days.open() as library:
            ((part, *_),) = library.parts()
            assert part.endswith(name)
            ((day, effect),) = library.effects(part)
            assert day.car == name.replace("'", "’")
            assert effect.changes[0].value == name
            assert library.unconfirmed() == []
        (days.library / "index.sqlite").unlink()


def test_what_stands_in_the_file_stays():
    text = (
        '# about cars\n[[cars]]\nname = "a" # mine\n\n# about parts\n[[parts]]\nname = "p"\nnote = "[[parts]]"\n'
        '[[parts.seen]]\nday = "x"\nsetting = "s"\nvalue = "1 mm"\n\n# the next\n[[parts]]\nname = "q"'
    )
    more = Confirmed(
        day="y", car="a", parts={said("1 mm", "s"): "p", said("2 mm", "s"): "q", said("3 mm", "s"): "r"}
    )
    new = with_confirmed(parts_from(text), [more])
    kept = [line for line in text.splitlines() if line]
    assert all(line in new.splitlines() for line in kept)
    assert (
        new.index("# about parts")
        < new.index('name = "p"')
        < new.index("# the next")
        < new.index('name = "q"')
    )
    read = parts_from(new)
    assert [(part.name, [day for day, _ in part.seen]) for part in read.parts] == [
        ("p", ["x", "y"]), ("q", ["y"]), ("r", ["y"]),
    ]  # fmt: skip
    assert read.cars[0].seen == ("y",)
    assert with_confirmed(read, [more]) == new  # once, however often


def test_a_file_in_another_hand_loses_nothing():
    text = 'parts = [{ name = "p", seen = [{ day = "x", setting = "s", value = "1 mm" }] }]\n'
    new = with_confirmed(parts_from(text), [Confirmed(day="y", car="a", parts={said("1 mm", "s"): "p"})])
    assert tomllib.loads(new)["parts"][0]["seen"][1] == {"day": "y", "setting": "s", "value": "1 mm"}
    assert [car.name for car in parts_from(new).cars] == ["a"]


def test_changes_made_together_are_one_part():
    both = (SaidChange("angle", "5 deg"), SaidChange("wing", "on", "off"))
    new = with_confirmed(parts_from(""), [Confirmed(day="y", parts={both: "wing at 5"})])
    assert parts_from(new).parts[0].seen == (("y", both),)
    assert new_name(both, []) == "angle 5°, wing on from off"
