"""A track in words: whether it closes, its corners by number, side and radius, its straights."""

import numpy as np
import pytest

from balance.model.tracks import TrackPlace, track_of_rows, track_of_segments
from balance.tell.figures import Show
from balance.tell.laps.track_text import (
    closure_line,
    corners_table,
    noise_line,
    straight_name,
    straights_of,
    straights_table,
    track_line,
    track_notes,
    track_record,
)
from balance.units.shown import US

SHOW = Show()
HALF = np.pi * 100.0


def oval(last=HALF, **more):
    """Build two straights of 400 m and two half circles of 100 m radius; elementary, no source."""
    return track_of_segments("oval", [400.0, HALF, 400.0, last], [0.0, 0.01, 0.0, 0.01], **more)


def test_a_closed_track():
    track = oval(places=(TrackPlace(name="far left", distance=500.0),))
    assert track_line(track, SHOW) == "oval · 1,428 m · anticlockwise · 2 corners"
    assert closure_line(track, SHOW) == "Turns 360° left in all: its ends meet, 0 m apart on the ground."
    cells = [[cell.text for cell in corners_table(track, SHOW).cells(row)] for row in range(2)]
    assert cells == [
        ["1", "far left", "557", "100", "180", "left"],
        ["2", "·", "1,271", "100", "180", "left"],
    ]
    assert [straight_name(one) for one in straights_of(track)] == ["corner 1 to 2", "corner 2 to 1"]
    assert [one.length for one in straights_of(track)] == pytest.approx([400.0, 400.0], abs=2.0)
    assert "place far left at 500 m" in track_notes(track, SHOW)
    assert track_notes(track, SHOW)[-1] == "no bank and no gradient stated: the road is taken for level there"


def test_feet_where_they_are_asked_for():
    show = Show(US)
    assert track_line(oval(), show).split(" · ")[1] == "4,686 ft"  # 1,428.3 m over 0.3048 m, exact
    assert straights_table(oval(), show).columns[1].unit == "ft"


@pytest.mark.parametrize(
    ("track", "told"),
    [
        (oval(last=HALF / 2), "90° short of a full turn: its ends do not meet"),
        (oval(last=HALF * 1.5), "90° beyond a full turn: its ends do not meet"),
        (
            track_of_segments("off", [400.0, HALF, 600.0, HALF], [0.0, 0.01, 0.0, 0.01]),
            "but its ends are 200 m apart on the ground: a length, a radius or the heading is off",
        ),
        (track_of_segments("straight", [900.0], [0.0]), "Turns 0° in all, but its ends are 900 m apart"),
        (track_of_segments("hill", [500.0, HALF / 2], [0.0, -0.01], closed=False), "Turns 90° right in all."),
        (track_of_segments("circle", [2.0 * HALF], [-0.01]), "Turns 360° right in all: its ends meet"),
    ],
)
def test_ends_that_do_not_meet_are_said(track, told):
    assert told in closure_line(track, SHOW)
    assert track_record(track)["track"] == track.name  # whatever it is, it has a record


def test_an_open_track_begins_and_ends():
    track = track_of_segments("hill", [500.0, HALF / 2, 90.0], [0.0, -0.01, 0.0], closed=False)
    assert track_line(track, SHOW) == "hill · 747 m · open: one way, not a lap · 1 corner"
    assert [straight_name(one) for one in straights_of(track)] == ["start to corner 1", "corner 1 to the end"]
    assert track_record(track)["ends_meet"] is None


def test_no_corner_is_one_straight():
    track = track_of_segments("straight", [900.0], [0.0], closed=False)
    assert [(straight_name(one), one.length) for one in straights_of(track)] == [("all of it", 900.0)]
    assert not corners_table(track, SHOW).rows


def test_noise_of_a_traced_track():
    """Of 100 m radius, sd 0.0002 1/m is 2 % of the radius: dR/R = R dk, elementary, no source."""
    rows = np.array([0.0, 400.0, 400.0 + HALF])
    track = track_of_rows("traced", rows, [0.01, 0.01, 0.01], curvature_std=np.full(3, 0.0002), closed=False)
    assert noise_line(track, SHOW) == (
        "Curvature: sd 0.00020 1/m along the line, from how the laps differ; "
        "of the radius of corner 1, 100 m, that is sd 2.0 %."
    )
    assert noise_line(oval(), SHOW) == ""
    assert track_record(oval())["curvature_std_per_m"] is None
