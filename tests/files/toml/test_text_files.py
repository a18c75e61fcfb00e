"""Files that are no text, or not there, or not ours to read."""

import os
import subprocess
import sys
import tempfile
from pathlib import Path

import pytest

from balance.files.loader import load_session
from balance.files.text_file import clean_text
from balance.model.errors import FileFaults

TABLE = "a table of runs as comma-separated text"
BYTES = [
    (b"", f"runs.csv: found an empty file, expected {TABLE}; is it another file that was meant?"),
    (b" \r\n\n", f"runs.csv: found an empty file, expected {TABLE}; is it another file that was meant?"),
    (
        "run,configuration\n".encode("utf-16"),
        f"runs.csv: found UTF-16 text, expected {TABLE} in UTF-8; save it again as UTF-8",
    ),
    (
        b"run,configuration\n1,\0\n",
        f"runs.csv:2: found a zero byte, expected {TABLE} in UTF-8; a spreadsheet's own format or UTF-16? save it as plain text in UTF-8",
    ),
    (
        b"\xef\xbb\xbfrun,note\n1,wei\xdf\n",
        f"runs.csv:2: found the byte 0xdf, expected {TABLE} in UTF-8; written in Windows-1252 or Latin-1? save it again as UTF-8",
    ),
]


@pytest.mark.parametrize(("raw", "message"), BYTES)
def test_bytes_that_are_no_text_are_named(desk, raw, message):
    assert desk.faults(runs=raw) == [message]


def test_a_byte_order_mark_is_no_fault_in_any_of_the_files(desk, vehicle_text, session_text, runs_text):
    mark = "\N{ZERO WIDTH NO-BREAK SPACE}"
    session = desk.load(vehicle=mark + vehicle_text, session=mark + session_text, runs=mark + runs_text)
    assert [run.label for run in session.runs] == ["1", "2"]


def test_windows_line_ends_are_no_fault(desk, vehicle_text, session_text, runs_text):
    texts = (text.replace("\n", "\r\n") for text in (vehicle_text, session_text, runs_text))
    vehicle, session, runs = texts
    assert desk.load(vehicle=vehicle, session=session, runs=runs) == desk.load()


def test_a_file_beyond_reason_is_refused_before_it_is_read(desk):
    with (desk.session / "runs.csv").open("wb") as file:
        file.truncate(100_000_000)
    with pytest.raises(FileFaults) as caught:
        load_session(desk.session)
    assert str(caught.value) == (
        "runs.csv: found 100 MB, expected at most 20 MB; is it the file that was meant?"
    )


def test_every_missing_file_is_named_at_once(desk):
    (desk.session / "runs.csv").unlink()
    (desk.car / "vehicle.toml").unlink()
    with pytest.raises(FileFaults) as caught:
        load_session(desk.session)
    assert str(caught.value).splitlines() == [
        "../vehicle.toml: found no such file, expected a car's vehicle.toml; check its name and place",
        f"runs.csv: found no such file, expected {TABLE}; check its name and place",
    ]


def test_a_folder_or_a_pipe_in_place_of_a_file_is_named(desk):
    (desk.session / "runs.csv").unlink()
    (desk.session / "runs.csv").mkdir()
    (desk.car / "vehicle.toml").unlink()
    os.mkfifo(desk.car / "vehicle.toml")
    with pytest.raises(FileFaults) as caught:
        load_session(desk.session)
    assert str(caught.value).splitlines() == [
        "../vehicle.toml: found something that is not a plain file, expected a car's vehicle.toml",
        f"runs.csv: found a folder, expected {TABLE}; give the file itself",
    ]


AS_ANOTHER_USER = """
import os, sys
from balance.model.errors import InputError
from balance.files.loader import load_session
from balance.units.text import parse_quantity
parse_quantity("1 kg", "mass")
if os.getuid() == 0:
    os.setuid(65534)
try:
    load_session(sys.argv[1])
except InputError as error:
    print(error)
"""


def read_as_another_user(path):
    done = subprocess.run(
        [sys.executable, "-c", AS_ANOTHER_USER, str(path)], capture_output=True, text=True, check=False
    )
    assert done.stderr == ""
    return done.stdout.splitlines()


@pytest.fixture
def opened(desk):
    """A desk in a folder that every user may enter, as pytest's own is not."""
    with tempfile.TemporaryDirectory() as folder:
        Path(folder).chmod(0o755)
        yield type(desk)(Path(folder))


def test_a_file_without_permission_is_named(opened):
    (opened.session / "runs.csv").chmod(0)
    assert read_as_another_user(opened.session) == [
        f"runs.csv: found a file that may not be read, expected {TABLE}; give yourself the right to read it"
    ]


def test_a_folder_without_permission_is_named(opened):
    opened.session.chmod(0)
    lines = read_as_another_user(opened.session)
    opened.session.chmod(0o755)
    wanted = "expected the folder of a day or its session.toml; give yourself the right to read it"
    assert lines == [f"{opened.session}: found a place that may not be read, {wanted}"]


@pytest.mark.parametrize("text", ["\x1b[31m", "bell\a", "\x9b2J", "\u202eright to left", "\x7f"])
def test_text_that_a_terminal_would_obey_is_refused(text):
    assert clean_text(text) is None
