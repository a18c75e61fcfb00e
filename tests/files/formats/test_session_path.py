"""From what the user typed to a session."""

import pytest

from balance.files.session_path import session_folder
from balance.model.errors import FileFaults

WANTED = "expected the folder of a day or its session.toml"


def refused(path):
    with pytest.raises(FileFaults) as caught:
        session_folder(path)
    return str(caught.value)


def test_a_folder_and_its_file_are_the_same_session(desk):
    assert session_folder(desk.session) == desk.session
    assert session_folder(str(desk.session / "session.toml")) == desk.session


def test_nothing_there_suggests_a_neighbour(desk):
    gone = desk.car / "dya"
    assert refused(gone) == f"{gone}: found nothing there, {WANTED}; did you mean 'day'?"


def test_the_folder_of_a_car_names_its_sessions(desk):
    found = refused(desk.car)
    assert found == (
        f"{desk.car}: found a folder without a session.toml, {WANTED}; did you mean '{desk.session}'?"
    )


def test_a_folder_with_nothing_to_do_with_it(tmp_path):
    assert refused(tmp_path) == (
        f"{tmp_path}: found a folder without a session.toml, {WANTED}; "
        "a day is a folder that holds session.toml and runs.csv"
    )


def test_another_file_of_the_session_names_the_folder(desk):
    runs = desk.session / "runs.csv"
    assert refused(runs) == f"{runs}: found another file, {WANTED}; did you mean '{desk.session}'?"


def test_a_file_taken_for_a_folder(desk):
    path = desk.session / "runs.csv" / "session.toml"
    assert refused(path) == (
        f"{path}: found a path that cannot be used (Not a directory), {WANTED}; check how it is written"
    )


@pytest.mark.parametrize("path", ["a\0b", "x" * 5000, "", "\udcff", "\x1b[2J"])
def test_odd_paths_are_refused_in_one_printable_line(path):
    assert refused(path).isprintable()
