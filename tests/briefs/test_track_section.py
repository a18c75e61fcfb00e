"""“On the track”: seconds of the recommendation with their interval, held against the laps; absent where there is no lap."""

import re
import shutil
from dataclasses import replace

import numpy as np
import pytest

from balance.decide.laps.corner_losses import corner_losses
from balance.files.formats.report import read_brief
from balance.files.loader import load_session
from balance.model.errors import FileFaults
from balance.tell.laps.worth_words import NOT_A_LAP
from balance.tell.report.page import brief_page
from balance.tell.report.track_section import track_section


@pytest.fixture(scope="module")
def car(shared, tmp_path_factory):
    """A copy of the invented hatchback."""
    return shutil.copytree(shared["DEMO"].parent, tmp_path_factory.mktemp("car") / "hatch")


@pytest.fixture(scope="module")
def report(shared, car):
    return shared["report"](car / "tunnel_day")


def said(report):
    (block,) = track_section(report).blocks
    return dict(block.lines), " ".join(text for _, text in block.lines)


def keys(report):
    return [section.key for section in brief_page(report).sections]


def test_seconds_stand_with_their_interval_against_the_start(report):
    laps = report.laps
    position = laps.rows.index(report.answer)
    against = laps.worths.against_start
    lines, text = said(report)
    first = next(iter(lines.values()))
    found = re.match(r"([0-9.]+) s (faster|slower) than the start \(([0-9.]+) to ([0-9.]+)\)", first)
    value, low, high = (float(found[k]) for k in (1, 3, 4))
    ends = sorted(abs(float(end[position])) for end in (against.low, against.high))
    assert value == pytest.approx(abs(float(against.value[position])), abs=0.006)
    assert [low, high] == pytest.approx(ends, abs=0.006)
    assert (found[2] == "faster") == (float(against.value[position]) < 0.0)
    assert "friction 1.08 ± 0.04" in first  # as the car's file states it
    assert NOT_A_LAP in text


def test_the_speeds_are_those_of_the_laps(report):
    laps = report.laps
    position = laps.rows.index(report.answer)
    lines, _ = said(report)
    longest = max(laps.straights(), key=lambda one: one.end - one.start)
    for row in (position, laps.start):
        assert f"{3.6 * float(longest.fastest[row]):.1f}" in lines["Straight"]
    losses = [float(one.value) for one in corner_losses(laps, position)]
    pace = laps.corners()[int(np.argmin(losses))]
    assert lines["Corner"].startswith(f"Most gained in corner {pace.corner.number}")
    assert f"{-min(losses):.3f} s" in lines["Corner"]
    assert "of downforce, split as the weights, pays for" in lines["Drag"]


def test_it_advises_neither_lines_nor_driving(report):
    _, text = said(report)
    assert not re.search(r"\b(?:brake later|racing line|apex|steer|throttle|try|should)\b", text)


def test_one_that_is_not_in_balance_says_that_its_verdict_stands(report):
    other = replace(report, choices=replace(report.choices, answer="16"))
    _, text = said(other)
    assert "Its verdict on page one stands" in text
    assert "Its verdict on page one stands" not in said(report)[1]


def test_the_start_itself_has_no_difference(report):
    same = replace(report, choices=replace(report.choices, answer=report.choices.baseline))
    lines, text = said(same)
    assert "Corner" not in lines
    assert "than the start" not in text


def test_it_stands_where_the_others_do_and_is_left_out_and_moved_like_them(report):
    assert keys(report)[-2:] == ["track", "limits"]
    without = replace(report.choices, sections=tuple(k for k in report.choices.sections if k != "track"))
    assert "track" not in keys(replace(report, choices=without))
    first = replace(report.choices, sections=("track", *without.sections))
    assert keys(replace(report, choices=first))[0] == "track"


def test_a_car_without_a_track_or_friction_has_no_such_section(shared, car, tmp_path):
    bare = shutil.copytree(car, tmp_path / "bare")
    shutil.rmtree(bare / "tracks")
    assert "track" not in keys(shared["report"](bare / "tunnel_day"))
    assert "track" not in keys(shared["report"](bare / "tunnel_day", depth="full"))
    smooth = shutil.copytree(car, tmp_path / "smooth")
    stated = (smooth / "vehicle.toml").read_text(encoding="utf-8")
    stated = re.sub(r"(?m)^friction = .*\n", "", stated)
    (smooth / "vehicle.toml").write_text(stated, encoding="utf-8")
    assert "track" not in keys(shared["report"](smooth / "tunnel_day"))


def test_of_several_tracks_the_file_chooses_one(shared, car, tmp_path):
    copied = shutil.copytree(car, tmp_path / "car")
    (track,) = (copied / "tracks").iterdir()
    shutil.copytree(track, copied / "tracks" / "other")
    assert "track" not in keys(shared["report"](copied / "tunnel_day"))
    file = copied / "tunnel_day" / "report.toml"
    text = file.read_text(encoding="utf-8")
    file.write_text(f'track = "Other"\n{text}', encoding="utf-8")
    assert "track" in keys(shared["report"](copied / "tunnel_day"))
    file.write_text(f'track = "othr"\n{text}', encoding="utf-8")
    with pytest.raises(
        FileFaults, match="track: found 'othr', expected a track of the car; did you mean 'other'"
    ):
        read_brief(load_session(copied / "tunnel_day"), copied / "tunnel_day")


def test_a_track_with_faults_is_told_of_and_keeps_no_report_back(shared, car, tmp_path):
    copied = shutil.copytree(car, tmp_path / "car")
    (track,) = (copied / "tracks").iterdir()
    (track / "line.csv").write_text("nonsense\n", encoding="utf-8")
    (block,) = track_section(shared["report"](copied / "tunnel_day")).blocks
    assert block.kind == "missing"
    assert "have faults" in block.why
