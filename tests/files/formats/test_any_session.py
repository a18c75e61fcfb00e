"""Whatever stands in the files: a session, or an error in words. Nothing else, ever."""

import contextlib
import csv
import io
import tempfile
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from balance.files.loader import load_session
from balance.model.errors import FileFaults, InputError
from balance.model.records import Session, Setting, Triple

VEHICLE = """\
name = "Larkspur coupe (invented)"
[mass]
total = "1290 kg"
front_share = "54.2 %"
[size]
wheelbase = "2575 mm"
frontal_area = "1.98 m^2"
[drive]
power = "230 kW"
driven = "rear"
[tyres]
stiffness_load_exponent = { front = 0.75, rear = 0.78 }
static_margin = "2 %"
front = { load_index = 91, speed_symbol = "W" }
[target]
grip_surplus = "1 %"
tolerance = "3 %"
"""
SESSION = """\
title = "Spring tunnel day (invented)"
date = 2026-05-14
vehicle = "../vehicle.toml"
[facility]
kind = "wind tunnel"
speed = "160 km/h"
air_density = "1.225 kg/m^3"
forces = "as read"
[repeatability]
front = "7 N"
systematic = { front = "15 N" }
[columns]
recorded = ["ride"]
[[places]]
name = "fast left"
speed = "185 km/h"
"""
RUNS = """\
run,configuration,front_lift [N],rear_lift [N],drag [N],speed [km/h],baseline,repeat_of,status,wing [deg],vents,ride [mm]
1,base,84,260,1150,160,,,good,,,101
2,wing,-14.5,-275,1162,159.8,1,,,5,open,102
3,base,85,262,1151,160.1,2,1,suspect,,,"100"
"""
FILES = {"vehicle.toml": VEHICLE, "day/session.toml": SESSION, "day/runs.csv": RUNS}
BITS = [
    "", ",", '"', "'", "\n", "\r", "\r\n", "\0", "\x1b[2J", "\u2028", "\x85", "\u202e", "\ufeff", "=", "[", "]", "[[", "]]", "{", "}", "#",
    ".", "-", "\u2212", "%", " ", "\t", ";", "0", "-0", "1", "9" * 400, "1e999", "1e-999", "0e999", "nan", "inf", "true", "1979-05-27",
    "[N]", "[lb]", "[m^2]", "[%]", "[m**9**9]", "[1]", "[degC]", "kg", "lbf", "km/h", "kmh", "µm", "°C", '"""', "'''", "\\", "\\u0000",
    "run", "drag [N]", "drag_coefficient", "front_downforce [N]", "speed", "status", "void", "3", "base", "[mass]", "[places]",
    "front", "total", "corners = {}", "é", "😀", "x" * 300,
]  # fmt: skip


@st.composite
def bent(draw, text):
    """A text with a few pieces replaced, cut out, doubled or swapped: near enough to valid to go deep."""
    for _ in range(draw(st.integers(0, 3))):
        pieces = text.splitlines(keepends=True) if draw(st.booleans()) else _split(text)
        if not pieces:
            break
        at = draw(st.integers(0, len(pieces) - 1))
        to = draw(st.integers(0, len(pieces) - 1))
        act = draw(st.sampled_from(["replace", "insert", "cut", "double", "swap", "truncate", "any"]))
        if act == "replace":
            pieces[at] = draw(st.sampled_from(BITS))
        elif act == "insert":
            pieces.insert(at, draw(st.sampled_from(BITS)))
        elif act == "cut":
            del pieces[at]
        elif act == "double":
            pieces.insert(to, pieces[at])
        elif act == "swap":
            pieces[at], pieces[to] = pieces[to], pieces[at]
        elif act == "truncate":
            del pieces[at:]
        else:
            pieces[at] = draw(st.text(max_size=20))
        text = "".join(pieces)
    return text.encode(errors="surrogatepass")


def _split(text):
    """Words and single marks, so that a number, a unit or a comma can be hit alone."""
    import re

    return re.findall(r"[A-Za-z_]+|[0-9.]+|\s|[^A-Za-z_0-9.\s]", text)


def load(contents):
    with tempfile.TemporaryDirectory() as folder:
        (Path(folder) / "day").mkdir()
        for name, raw in contents.items():
            (Path(folder) / name).write_bytes(raw)
        return load_session(Path(folder) / "day")


def assert_session_or_words(contents):
    try:
        session = load(contents)
    except InputError as error:
        lines = str(error).split("\n")
        faults = error.faults if isinstance(error, FileFaults) else (error,)
    else:
        assert isinstance(session, Session)
        assert session.used
        assert set(session.columns) == {"front", "rear", "drag"}
        return
    assert len(lines) == len(faults) > 0
    assert all(line.isprintable() and len(line) > 20 for line in lines)


@given(*(bent(text) for text in FILES.values()))
def test_bent_files_give_a_session_or_words(vehicle, session, runs):
    assert_session_or_words(dict(zip(FILES, (vehicle, session, runs), strict=True)))


@pytest.mark.parametrize("name", FILES)
@given(raw=st.binary(max_size=200) | st.text(max_size=200).map(lambda text: text.encode(errors="replace")))
def test_raw_bytes_give_a_session_or_words(name, raw):
    assert_session_or_words({**{key: text.encode() for key, text in FILES.items()}, name: raw})


@given(runs=st.lists(st.lists(st.sampled_from(BITS), max_size=14), max_size=8), headed=st.booleans())
def test_tables_of_odd_cells_give_a_session_or_words(runs, headed):
    kept = RUNS if headed else ""
    out = io.StringIO()
    with contextlib.suppress(csv.Error):  # a lone empty cell cannot be written by every writer
        csv.writer(out).writerows(runs)
    raw = (kept + out.getvalue()).encode()
    assert_session_or_words(
        {"vehicle.toml": VEHICLE.encode(), "day/session.toml": SESSION.encode(), "day/runs.csv": raw}
    )


WORDS = st.text(st.characters(exclude_categories=["C", "Z"]), min_size=1, max_size=12).filter(str.strip)
FORCE = st.floats(-1e5, 1e5, allow_nan=False)
ROWS = st.lists(
    st.fixed_dictionaries(
        {
            "label": WORDS,
            "configuration": WORDS,
            "front": FORCE,
            "rear": FORCE,
            "drag": FORCE,
            "speed": st.none() | st.floats(1, 200),
            "humidity": st.none() | st.floats(0, 1),
            "wing": st.none() | st.floats(-1e6, 1e6),
            "vents": st.none() | WORDS,
        }
    ),
    min_size=1,
    max_size=5,
    unique_by=lambda row: row["label"],
)


def written(rows):
    """A table in SI units with every digit of each number, in the shortest form that keeps them all."""
    out = io.StringIO()
    table = csv.writer(out)
    table.writerow(
        [
            "run",
            "configuration",
            "front_downforce [N]",
            "rear_lift [N]",
            "drag [N]",
            "speed [m/s]",
            "humidity [1]",
            "wing [deg]",
            "vents",
        ]
    )
    for row in rows:
        numbers = (row["front"], -row["rear"], row["drag"], row["speed"], row["humidity"], row["wing"])
        cells = ["" if number is None else repr(number) for number in numbers]
        table.writerow([row["label"], row["configuration"], *cells, row["vents"]])
    return out.getvalue()


@given(ROWS)
def test_what_is_written_is_read_back_to_the_last_digit(rows):
    session = SESSION.replace('[columns]\nrecorded = ["ride"]\n', "")
    read = load(
        {
            "vehicle.toml": VEHICLE.encode(),
            "day/session.toml": session.encode(),
            "day/runs.csv": written(rows).encode(),
        }
    )
    for row, run in zip(rows, read.runs, strict=True):
        assert (run.label, run.configuration) == (row["label"], row["configuration"])
        assert run.reading == Triple(front=row["front"], rear=row["rear"], drag=row["drag"])
        assert (run.speed, run.humidity) == (row["speed"], row["humidity"])
        wing = {} if row["wing"] is None else {"wing": Setting(value=row["wing"], unit="deg")}
        vents = {} if row["vents"] is None else {"vents": Setting(value=row["vents"])}
        assert run.settings == wing | vents


@given(mass=st.floats(100, 10_000), share=st.floats(0.1, 0.9), wheelbase=st.floats(1, 6))
def test_a_car_is_read_back_to_the_last_digit(mass, share, wheelbase):
    text = f'name = "x"\n[mass]\ntotal = "{mass!r} kg"\nfront_share = "{100 * share!r} %"\n[size]\nwheelbase = "{wheelbase!r} m"\nfrontal_area = "2 m^2"\n'
    car = load({**{key: text.encode() for key, text in FILES.items()}, "vehicle.toml": text.encode()}).vehicle
    assert (car.mass, car.wheelbase) == (mass, wheelbase)
    assert car.front_share == pytest.approx(share, rel=1e-15)
