"""`shares` in session.toml: days of other cars in the same hired hours, and what is no such day, in words."""

import os
import shutil

import pytest

from balance.files.day.opening import open_day
from balance.files.loader import load_session
from balance.model.errors import FileFaults
from tests.small_session import RUNS, SESSION, VEHICLE

NAMED = 'date = 2026-05-14\n[facility]\nname = "North tunnel"\n'


@pytest.fixture
def write(tmp_path):
    """Write the day of a car; give its folder."""

    def day(car, *, shares=None, facility=NAMED, runs=RUNS, place="day"):
        folder = tmp_path / car / place
        folder.mkdir(parents=True, exist_ok=True)
        (tmp_path / car / "vehicle.toml").write_text(VEHICLE.replace("Larkspur", car), encoding="utf-8")
        listed = "" if shares is None else f"shares = {shares!r}\n"
        text = SESSION.replace("[facility]\n", f"{listed}{facility}").replace("Spring", f"{car}'s")
        (folder / "session.toml").write_text(text, encoding="utf-8")
        (folder / "runs.csv").write_text(runs, encoding="utf-8")
        return folder

    return day


def test_a_day_takes_another_cars_day_beside_its_own(write):
    write("other", runs=RUNS.replace("splitter", "wing"))
    session = load_session(write("own", shares=["../../other/day"]))
    assert [one.vehicle.name for one in session.alongside] == ["other coupe (invented)"]
    assert [run.configuration for run in session.runs] == ["base", "splitter"]  # each car keeps its own
    assert (session.left_out, session.alongside[0].alongside) == ((), ())
    assert load_session(write("lone")).alongside == ()


def test_two_days_may_name_one_another(write):
    own = write("own", shares=["../../other/day"])
    other = write("other", shares=["../../own/day"])
    for folder, its in ((own, "other"), (other, "own")):
        session = load_session(folder)
        assert [one.vehicle.name for one in session.alongside] == [f"{its} coupe (invented)"]
        assert session.alongside[0].alongside == ()


REFUSED = [
    (NAMED.replace("North", "South"), "found a day in 'South tunnel', expected one in 'North tunnel'; correct a name, or leave the day out"),
    (NAMED.replace("05-14", "05-15"), "found a day of 2026-05-15, expected one of 2026-05-14; correct a date, or leave the day out: days apart are joined by axletrim join"),
    ("date = 2026-05-14\n[facility]\n", 'found no name of the facility in \'../../other/day\', expected the same one on both days; add name = "North tunnel", as it is called, to [facility]'),
    ('[facility]\nname = "North tunnel"\n', "found no date in '../../other/day', expected the same one on both days; add date = 2026-05-14, as it was"),
]  # fmt: skip


@pytest.mark.parametrize(("facility", "words"), REFUSED)
def test_a_day_that_does_not_belong_is_left_out_in_words_and_the_day_stands(write, facility, words):
    write("other", facility=facility)
    session = load_session(write("own", shares=["../../other/day"]))
    assert (session.alongside, len(session.runs)) == ((), 2)
    assert session.left_out == (f"session.toml:3: shares: {words}; until then nothing is shared with it",)
    assert session.notes == session.left_out


def test_what_the_day_itself_lacks_is_named_here(write):
    write("other")
    nameless = load_session(
        write("own", shares=["../../other/day"], facility="date = 2026-05-14\n[facility]\n")
    )
    assert "found no name of the facility here, expected the same one" in nameless.left_out[0]
    undated = load_session(
        write("own", shares=["../../other/day"], facility='[facility]\nname = "North tunnel"\n')
    )
    assert "found no date here, expected the same one" in undated.left_out[0]


def test_a_day_that_is_gone_or_broken_harms_no_other(write):
    other = write("other", runs=RUNS.replace("1150", "much"))
    own = write("own", shares=["../../other/day", "../../nowhere", "../day", "../../other/day"])
    session = load_session(own)
    assert session.alongside == ()
    broken, gone, itself, twice = session.left_out
    assert "found '../../other/day', which cannot be read (runs.csv: found 'much')" in broken
    assert "found '../../nowhere', which cannot be read" in gone
    assert "found this day itself, expected each day of another car once; leave it out" in itself
    assert "found '../../other/day' a second time" in twice
    shutil.rmtree(other)
    assert len(load_session(own).runs) == 2


def test_shares_that_are_no_list_of_texts_are_a_fault(write):
    own = write("own")
    text = (own / "session.toml").read_text(encoding="utf-8")
    for wrong, found in (('"../other"', "'../other'"), ("[7]", "7")):
        (own / "session.toml").write_text(f"shares = {wrong}\n{text}", encoding="utf-8")
        with pytest.raises(FileFaults, match=f"session.toml:1: shares: found {found}"):
            load_session(own)


def test_an_open_day_has_it_too_and_sees_a_change_at_the_next_load(write):
    other = write("other")
    own = write("own", shares=["../../other/day"])
    with open_day(own) as day:
        assert len(day.session.alongside) == 1
        (other / "runs.csv").write_text(f"{RUNS}3,base,80,262,1151\n", encoding="utf-8")
        day.reload()
        assert len(day.session.alongside[0].runs) == 3
        (other / "session.toml").unlink()
        day.reload()
        assert day.session.alongside == ()
        assert "which cannot be read" in day.session.left_out[0]
        assert day.session.left_out[0] in day.session.notes


def test_a_day_before_its_first_run_shares_too(write):
    write("other")
    own = write("own", shares=["../../other/day"], runs=RUNS.splitlines()[0] + "\n")
    with open_day(own) as day:
        assert len(day.session.alongside) == 1


def test_a_copy_of_a_day_is_no_other_cars_day(write):
    write("other")
    own = write("own", shares=["../../other/day", "../copy", "../later", "../../own2/day", "../../kept/day"])
    for place in ("copy", "later"):
        shutil.copytree(own, own.parent / place)
    with (own.parent / "later" / "runs.csv").open("a") as runs:  # its day went on
        runs.write("3,base,80,262,1151\n")
    shutil.copytree(own.parent, own.parent.parent / "own2")
    shutil.copytree(own.parent.parent / "other", own.parent.parent / "kept")
    session = load_session(own)
    assert [one.vehicle.name for one in session.alongside] == ["other coupe (invented)"]
    assert [words.partition("found ")[2] for words in session.left_out] == [
        f"{name}, expected each day of another car once; leave it out"
        for name in (
            "'../copy', a copy of this day",
            "'../later', a copy of this day",
            "'../../own2/day', a copy of this day",
            "'../../kept/day', a copy of '../../other/day'",
        )
    ]


def test_a_day_of_the_same_car_with_runs_of_its_own_is_no_copy(write):
    write("own", place="afternoon", runs=RUNS.replace("84", "86").replace("275", "271"))
    assert len(load_session(write("own", shares=["../afternoon"])).alongside) == 1


def test_a_day_beside_is_read_again_only_once_it_has_changed(write):
    other = write("other")
    own = write("own", shares=["../../other/day"])
    for file in (other / "session.toml", other / "runs.csv", other.parent / "vehicle.toml"):
        os.utime(file, (1e9, 1e9))  # nobody has touched it for long
    first = load_session(own).alongside[0]
    assert load_session(own).alongside[0] is first
    (other.parent / "vehicle.toml").write_text(VEHICLE.replace("1290", "1310"), encoding="utf-8")
    assert load_session(own).alongside[0].vehicle.mass == 1310.0
