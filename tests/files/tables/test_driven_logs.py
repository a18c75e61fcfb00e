"""A driver's log through the one door: its columns, units, signs and laps are found, or asked, or refused in words."""

import numpy as np
import pytest

from balance.decide.laps.logged_laps import laps_of_log, trace_log
from balance.files.tables.importing.plan import ImportOptions
from balance.files.tables.logs.log_reading import read_log
from balance.model.errors import DomainError, FileFaults, InputError, UnknownName
from tests.files.tables.driven import GRAVITY, Driven, written

DRIVEN = Driven()


def read(path, laps=None, **options):
    return read_log(path, ImportOptions(**options), laps=laps)


def log_of(path, laps=None, **options):
    found = read(path, laps, **options)
    assert [str(one) for one in found.questions] == []
    return found.log


def asked(path, laps=None, **options):
    found = read(path, laps, **options)
    assert found.log is None
    return {one.key: str(one) for one in found.questions}


def refused(path, laps=None, **options):
    with pytest.raises(InputError) as found:
        read(path, laps, **options)
    return str(found.value)


def changed(tmp_path, name="log.csv", *, without=(), **columns):
    """Write the least log with other columns, some left out."""
    kept = {head: cells for head, cells in DRIVEN.columns().items() if head not in without}
    return written(tmp_path / name, {**kept, **columns})


def check_is_the_oval(log, *, way=-1.0, length=DRIVEN.length):
    traced = trace_log(log, "oval").traced
    assert traced.track.length == pytest.approx(length, rel=4e-3)
    assert traced.track.turned == pytest.approx(way * 2.0 * np.pi, rel=0.02)
    assert traced.used
    assert float(np.abs(traced.track.curvature).max()) == pytest.approx(
        1.0 / 60.0, rel=0.25
    )  # as smoothing rounds it


def test_the_least_log(tmp_path):
    log = log_of(changed(tmp_path))
    assert log.time == pytest.approx(DRIVEN.time, abs=6e-4)
    assert log.speed == pytest.approx(DRIVEN.speed, abs=2e-3)
    assert log.lateral_acceleration == pytest.approx(DRIVEN.across, abs=1e-3)
    assert [one.name for one in log.pieces] == ["lap 1", "lap 2", "lap 3", "lap 4"]
    check_is_the_oval(log)


@pytest.mark.parametrize(
    ("mark", "decimal", "before", "encoding"),
    [
        (";", ",", "Fahrer;Müller\n", "cp1252"),
        ("\t", ".", "", "utf-16"),
        (",", ".", "Event,any\nDate,2026-05-14\n\n", "utf-8"),
    ],
)
def test_text_marks_and_lines_above_are_those_of_the_one_door(tmp_path, mark, decimal, before, encoding):
    path = written(
        tmp_path / "log.csv", DRIVEN.columns(), mark=mark, decimal=decimal, before=before, encoding=encoding
    )
    check_is_the_oval(log_of(path))


def test_words_of_another_language_and_units_in_a_row_of_their_own(tmp_path):
    least = DRIVEN.columns()
    columns = {
        "Zeit": ["s", *least["Time [s]"]],
        "Runde": ["-", *least["Lap"]],
        "Geschwindigkeit": ["km/h", *least["Speed [km/h]"]],
        "Querbeschleunigung": ["g", *least["Lat Acc [g]"]],
    }
    found = read(written(tmp_path / "log.csv", columns))
    assert "header on line 1 to 2, units in a row of their own" in found.understood
    assert found.columns[1] == ("speed", "Geschwindigkeit", "km/h")
    check_is_the_oval(found.log)


def test_a_workbook(tmp_path):
    from openpyxl import Workbook

    book = Workbook()
    columns = DRIVEN.columns()
    book.active.append(list(columns))
    for row in zip(*columns.values(), strict=True):
        book.active.append([float(cell) for cell in row])
    book.save(tmp_path / "log.xlsx")
    check_is_the_oval(log_of(tmp_path / "log.xlsx"))


@pytest.mark.parametrize(
    ("head", "figures", "told"),
    [
        ("Lat Acc", DRIVEN.across / GRAVITY, "is taken in g"),
        ("Lat Acc", DRIVEN.across, "is taken in m/s^2"),
        ("Yaw rate", np.degrees(DRIVEN.yaw), "is taken in deg/s"),
        ("Yaw rate", DRIVEN.yaw, "is taken in rad/s"),
    ],
)
def test_a_unit_that_nothing_says_is_told_from_what_a_car_can_do_and_said(tmp_path, head, figures, told):
    found = read(changed(tmp_path, without=["Lat Acc [g]"], **{head: Driven.texts(figures, 5)}))
    (said,) = [one for one in found.assumed if head in one]
    assert told in said
    assert "the car then turns 36" in said
    assert "° in a lap" in said
    check_is_the_oval(found.log)


def test_a_unit_that_cannot_be_told_is_asked_and_answered(tmp_path):
    least = DRIVEN.columns()
    path = changed(tmp_path, without=["Speed [km/h]"], Speed=least["Speed [km/h]"])
    told = asked(path)
    assert told["unit.speed"] == (
        "in which unit is the speed, 'Speed'? its largest figure is 122; answer with --unit speed=km/h|mph|knot"
    )
    check_is_the_oval(log_of(path, units={"speed": "km/h"}))
    assert "found the unit 'kg', which measures a mass" in refused(path, units={"speed": "kg"})


def test_distance_tells_the_unit_of_distance(tmp_path):
    path = changed(tmp_path, Distance=Driven.texts(DRIVEN.where / 1609.344, 5))  # exact: a mile
    found = read(path)
    assert any("distance, 'Distance', is taken in mi" in one for one in found.assumed)
    check_is_the_oval(found.log)


@pytest.mark.parametrize(
    ("head", "figures", "told"),
    [
        ("Speed [m/s]", 3.6 * DRIVEN.speed * 1.6, "Speed [m/s]: found 196 m/s at most, expected 18 to 110 m/s; is it in km/h or mph or knot?"),
        ("Speed [km/h]", DRIVEN.speed, "expected 64.8 to 396 km/h; is it in m/s? say so with --unit speed=…"),
        ("Lat Acc [m/s2]", DRIVEN.across / GRAVITY, "expected 2.5 to 60 m/s^2; is it in g? say so with --unit lateral_acceleration=…"),
        ("Lat Acc [g]", DRIVEN.across, "expected 0.255 to 6.12 g; is it in m/s^2"),
        ("Yaw rate [rad/s]", np.degrees(DRIVEN.yaw), "is it in deg/s? say so with --unit yaw_rate=…"),
        ("Distance [km]", DRIVEN.where, "found 1e+03 times the way that speed over time makes, expected the same; is it in m?"),
        ("Time [s]", 1000.0 * DRIVEN.time, "found 50 s from sample to sample, expected 0.0005 to 2 s; is it in ms?"),
    ],
)  # fmt: skip
def test_figures_that_cannot_be_in_their_unit_are_refused(tmp_path, head, figures, told):
    without = [one for one in DRIVEN.columns() if one.split(" [")[0] == head.split(" [")[0]]
    assert told in refused(changed(tmp_path, without=without, **{head: Driven.texts(figures, 5)}))


def test_a_car_that_turns_ten_times_a_lap_is_refused(tmp_path):
    """Speed a third of what it is: curvature by lateral acceleration is nine times too large; elementary, no source."""
    slow = Driven.texts(3.6 * DRIVEN.speed / 1.7, 3)
    path = changed(tmp_path, without=["Speed [km/h]", "Lat Acc [g]"], **{"Speed [km/h]": slow, "Lat Acc [g]": Driven.texts(3.0 * DRIVEN.across / GRAVITY, 4)})  # fmt: skip
    assert "expected about 360°" in refused(path)


def test_the_other_sign_is_the_other_way_round_until_somebody_says_it(tmp_path):
    path = changed(
        tmp_path, without=["Lat Acc [g]"], **{"Lat Acc [g]": Driven.texts(-DRIVEN.across / GRAVITY, 4)}
    )
    log = log_of(path)
    made = trace_log(log, "oval")
    assert (made.side, made.traced.track.direction) == ("", "anticlockwise")
    said = trace_log(log, "oval", direction="clockwise")
    assert (said.side, said.traced.track.direction) == ("right", "clockwise")
    assert said.traced.track.curvature == pytest.approx(-made.traced.track.curvature)
    assert trace_log(log, "oval", positive="right").traced.track.turned == pytest.approx(
        said.traced.track.turned
    )
    with pytest.raises(DomainError, match="expected one that goes round"):
        trace_log(log, "oval", direction="clockwise", closed=False)


def test_yaw_rate_is_preferred_and_what_does_not_agree_is_said(tmp_path):
    path = changed(tmp_path, **{"Yaw rate [deg/s]": Driven.texts(-np.degrees(DRIVEN.yaw), 4)})
    found = read(path)
    assert found.log.lateral_acceleration is None
    assert "yaw rate and lateral acceleration are counted positive to opposite sides" in found.assumed
    left = read(path, columns={"yaw_rate": "none"})
    assert left.log.yaw_rate is None


def test_roll_is_taken_out_whichever_way_it_is_counted(tmp_path):
    """Of 1 g, 3° of roll adds 5 %, g sin 3°: elementary, no source."""
    roll = np.radians(3.0) * np.sign(DRIVEN.across)
    across = DRIVEN.across + GRAVITY * np.sin(roll)
    columns = {
        "Lat Acc [g]": Driven.texts(across / GRAVITY, 4),
        "Roll [deg]": Driven.texts(-np.degrees(roll), 2),
    }
    found = read(changed(tmp_path, without=["Lat Acc [g]"], **columns))
    assert "roll is turned round: a body leans out of a corner" in found.assumed
    check_is_the_oval(found.log)
    assert any("no column of roll" in one for one in read(changed(tmp_path)).assumed)


def oval_places():
    """Give the oval's places in closed form, from its start along x, turning right."""
    half = np.pi * 60.0
    s = DRIVEN.along
    first, second = s < 400.0, (s >= 400.0) & (s < 400.0 + half)
    third = (s >= 400.0 + half) & (s < 800.0 + half)
    a, b = (s - 400.0) / 60.0, (s - 800.0 - half) / 60.0
    x = np.select([first, second, third], [s, 400.0 + 60.0 * np.sin(a), 800.0 + half - s], -60.0 * np.sin(b))
    y = np.select(
        [first, second, third],
        [0.0 * s, -60.0 * (1.0 - np.cos(a)), -120.0 + 0.0 * s],
        -60.0 - 60.0 * np.cos(b),
    )
    return x, y


def test_places_tell_how_it_turns(tmp_path):
    x, y = oval_places()
    path = changed(tmp_path, without=["Lat Acc [g]"], x=Driven.texts(x, 3), y=Driven.texts(y, 3))
    found = read(path)
    assert "places x and y are taken in m, as speed over time says" in found.assumed
    check_is_the_oval(found.log)


def test_places_on_the_map_know_left_from_right(tmp_path):
    """A degree of latitude is 111.19 km on a sphere of 6,371 km: elementary, no source."""
    x, y = oval_places()
    north = 47.0 + y / 111_194.93
    east = 8.0 + x / (111_194.93 * np.cos(np.radians(47.0)))
    columns = {"GPS latitude": Driven.texts(north, 9), "GPS longitude": Driven.texts(east, 9)}
    log = log_of(changed(tmp_path, without=["Lat Acc [g]"], **columns))
    check_is_the_oval(log)
    made = trace_log(log, "oval")
    assert (made.side, made.traced.track.direction) == ("left", "clockwise")


def test_time_may_be_a_clock_or_milliseconds_or_summed_from_distance(tmp_path):
    start = 23 * 3600 + 59 * 60 + 50
    clock = [
        f"{int((start + t) // 3600) % 24:02d}:{int((start + t) // 60) % 60:02d}:{(start + t) % 60:06.3f}"
        for t in DRIVEN.time
    ]
    log = log_of(changed(tmp_path, without=["Time [s]"], Time=clock))
    assert np.diff(log.time) == pytest.approx(np.diff(DRIVEN.time), abs=2e-3)  # past midnight too
    check_is_the_oval(log)
    found = read(changed(tmp_path, without=["Time [s]"], Time=Driven.texts(1000.0 * DRIVEN.time, 0)))
    assert any("time, 'Time', is taken in ms: samples are then 0.05 s apart" in one for one in found.assumed)
    check_is_the_oval(found.log)
    found = read(changed(tmp_path, without=["Time [s]"], **{"Distance [m]": Driven.texts(DRIVEN.where, 2)}))
    assert "no column of time: it is summed from distance and speed" in found.assumed
    check_is_the_oval(found.log)


def test_laps_by_a_mark_by_a_distance_that_starts_anew_and_by_times(tmp_path):
    begun = np.diff(np.concatenate(([0], DRIVEN.lap))) != 0
    path = changed(tmp_path, without=["Lap"], Beacon=[str(int(one)) for one in begun])
    log = log_of(path)
    assert [one.name for one in log.pieces] == ["lap 1", "lap 2", "lap 3", "after the last lap"]
    check_is_the_oval(log)
    path = changed(tmp_path, without=["Lap"], **{"Lap distance [m]": Driven.texts(DRIVEN.along, 2)})
    found = read(path)
    assert any("a lap begins where time or distance starts anew: 4 pieces" in one for one in found.assumed)
    check_is_the_oval(found.log)
    path = changed(tmp_path, without=["Lap"])
    assert "where does each lap begin?" in asked(path)["laps"]
    starts = DRIVEN.time[begun]
    log = log_of(path, ", ".join(f"{one:.2f} s" for one in starts))
    assert [one.name for one in log.pieces] == ["lap 1", "lap 2", "lap 3"]
    check_is_the_oval(log)
    assert len(log_of(path, "whole").pieces) == 1
    for text, told in (
        ("10", "found '10', expected a time as in '62.1 s' or '1:02.1'"),
        ("10 s", "expected two times or more, rising"),
        ("20 s, 10 s", "expected two times or more, rising"),
        ("10 s, 1:10:00", "expected times within the log's"),
    ):
        assert told in refused(path, text)


def test_laps_that_cannot_be_used_are_named_with_the_reason(tmp_path):
    columns = DRIVEN.columns()
    second, third = np.flatnonzero(DRIVEN.lap == 2), np.flatnonzero(DRIVEN.lap == 3)
    for k in second[100:600]:
        columns["Speed [km/h]"][k] = "0.00"
    for k in third[100:250]:
        columns["Lat Acc [g]"][k] = ""
    traced = trace_log(log_of(written(tmp_path / "log.csv", columns)), "oval").traced
    assert traced.used == ("lap 1", "lap 4")
    reasons = {one.lap: one.reason for one in traced.left_out}
    assert "a stop, or the pits" in reasons["lap 2"]
    assert "nothing recorded over" in reasons["lap 3"]


def test_one_lap_alone_has_no_noise(tmp_path):
    one = Driven(laps=1)
    traced = trace_log(log_of(written(tmp_path / "log.csv", one.columns())), "oval").traced
    assert traced.used == ("lap 1",)
    assert traced.track.curvature_std is None


def test_no_lap_at_all_is_refused(tmp_path):
    columns = DRIVEN.columns()
    columns["Lat Acc [g]"] = ["" for _ in columns["Lap"]]
    columns["Lat Acc [g]"][:3] = ["0.4", "0.5", "0.6"]
    log = log_of(written(tmp_path / "log.csv", columns))
    with pytest.raises(DomainError, match="found none that can be used"):
        trace_log(log, "oval")


def test_what_is_missing_is_asked(tmp_path):
    told = asked(
        changed(
            tmp_path,
            without=["Speed [km/h]", "Time [s]", "Lat Acc [g]"],
            Throttle=DRIVEN.columns()["Lap"],
            Gear=DRIVEN.columns()["Lap"],
        )
    )
    assert set(told) == {"column.speed", "column.time", "column.yaw_rate"}
    assert (
        "the file has 'Lap', 'Throttle', 'Gear'; answer with --column speed=\"HEADER\""
        in told["column.speed"]
    )
    least = DRIVEN.columns()
    path = changed(
        tmp_path,
        without=["Speed [km/h]"],
        **{"GPS speed [km/h]": least["Speed [km/h]"], "Wheel speed [km/h]": least["Speed [km/h]"]},
    )
    assert (
        "which column is the speed: 'GPS speed [km/h]', 'Wheel speed [km/h]'?" in asked(path)["column.speed"]
    )
    check_is_the_oval(log_of(path, columns={"speed": "GPS speed [km/h]"}))
    check_is_the_oval(log_of(path, columns={"speed": "column 4"}))
    for wrong in ({"speed": "GPS sped [km/h]"}, {"sped": "GPS speed [km/h]"}):
        with pytest.raises(UnknownName, match="did you mean"):
            read(path, columns=wrong)


def test_faults_have_their_row_and_column(tmp_path):
    columns = DRIVEN.columns()
    columns["Lat Acc [g]"][40] = "ERR?"
    path = written(tmp_path / "log.csv", columns)
    assert refused(path) == (
        "log.csv:42: Lat Acc [g]: found 'ERR?', expected a number; mend the cell, empty it, or leave lines out with --lines"
    )
    columns["Lat Acc [g]"] = ["x" for _ in columns["Lap"]]
    faults = refused(written(tmp_path / "log.csv", columns)).splitlines()
    assert len(faults) == 21
    assert "more cells that are no numbers" in faults[-1]


def test_a_line_of_words_is_left_out_and_named(tmp_path):
    columns = {head: list(cells) for head, cells in DRIVEN.columns().items()}
    for head, word in zip(columns, ("session", "two", "of", "three"), strict=True):
        columns[head].insert(5, word)
    columns["Lap"][5] = columns["Lap"][4]
    found = read(written(tmp_path / "log.csv", columns))
    assert [(one.line, one.reason) for one in found.dropped] == [(7, "no figure in any column that is read")]
    check_is_the_oval(found.log)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("", "found an empty file"),
        ("Time [s],Lap,Speed [km/h],Lat Acc [g]\n", "log.csv:1: found a header without rows, expected a row for each sample"),
        ("Time [s],Lap,Speed [km/h],Lat Acc [g]\n0,1,100,0\n", "found 1 sample, expected 20 or more"),
    ],
)  # fmt: skip
def test_nothing_in_it_is_told(tmp_path, text, told):
    path = tmp_path / "log.csv"
    path.write_text(text)
    assert told in refused(path)


def test_a_million_rows_are_refused_in_words_before_they_take_memory(tmp_path):
    path = tmp_path / "log.csv"
    path.write_text("Time [s],Lap,Speed [km/h],Lat Acc [g]\n" + "1,1,100,0\n" * 1_000_000)
    assert "expected at most 500,000; save some laps alone, or fewer samples a second" in refused(path)


def test_the_end_of_a_lap_is_the_first_sample_of_the_next(tmp_path):
    laps = laps_of_log(log_of(changed(tmp_path, **{"Lap distance [m]": Driven.texts(DRIVEN.along, 2)})))
    whole = [one.distance[-1] - one.distance[0] for one in laps[:-1]]
    assert whole == pytest.approx([DRIVEN.length] * 3, abs=2.5)  # a sample is 1.7 m long at most


def test_bytes_of_another_kind_are_refused(tmp_path):
    path = tmp_path / "log.csv"
    path.write_bytes(bytes(range(256)) * 40)
    with pytest.raises((FileFaults, InputError)):
        read(path)
    assert "found no such file" in refused(tmp_path / "none.csv")
    assert "found a folder" in refused(tmp_path)
