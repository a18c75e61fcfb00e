"""A track drawn in a terminal: turned to lie across, never mirrored, every label free of the line."""

import numpy as np
import pytest

from balance.decide.laps.stations import find_corners
from balance.model.tracks import track_of_segments
from balance.tell.laps.track_drawing import START, draw_track, line_across


def hook():
    """Build a closed track with corners both ways; elementary, no source."""
    return track_of_segments(
        "hook",
        [400.0, 157.08, 150.0, 78.54, 100.0, 235.62, 250.0, 157.08],
        [0.0, 0.01, 0.0, -0.02, 0.0, 0.02, 0.0, 0.01],
    )


def test_it_lies_across_and_is_not_mirrored():
    track = hook()
    where = np.linspace(0.0, track.length, 2000)
    line = line_across(track, where)
    spread = np.ptp(line, axis=0)
    assert spread[0] >= spread[1]
    step = np.diff(line, axis=0)
    turned = np.sum(np.angle((step[1:] @ [1, 1j]) * np.conj(step[:-1] @ [1, 1j])))
    assert turned == pytest.approx(track.turned, abs=0.02)  # mirrored it would turn the other way
    assert np.hypot(*step.T).sum() == pytest.approx(track.length, rel=1e-4)


@pytest.mark.parametrize("ascii_only", [False, True])
@pytest.mark.parametrize(("width", "height"), [(60, 20), (30, 10), (8, 4), (200, 60)])
def test_rows_have_the_size_asked_for(width, height, ascii_only):
    drawing = draw_track(hook(), width, height, ascii_only=ascii_only)
    assert [len(row) for row in drawing.rows] == [width] * height
    assert drawing.along.shape == (height, width)
    drawn = np.array([[cell != " " for cell in row] for row in drawing.characters])
    assert np.array_equal(drawn, np.isfinite(drawing.along))
    assert np.nanmax(drawing.along) <= hook().length
    assert all(("." in row or not row.strip()) for row in drawing.characters) == ascii_only


def test_each_corner_has_its_number_beside_the_line():
    drawing = draw_track(hook(), 60, 20)
    assert [one.text for one in drawing.labels] == [
        START,
        *(str(one.number) for one in find_corners(hook())),
    ]
    for one in drawing.labels:
        assert drawing.rows[one.row][one.column : one.column + len(one.text)] == one.text
        assert np.isnan(drawing.along[one.row, one.column])
        near = drawing.along[
            max(one.row - 3, 0) : one.row + 4, max(one.column - 5, 0) : one.column + len(one.text) + 5
        ]
        away = np.abs(near[np.isfinite(near)] - one.distance)
        assert np.min(np.minimum(away, hook().length - away)) < 60.0  # beside where it belongs


@pytest.mark.parametrize("track", [track_of_segments("straight", [900.0], [0.0], closed=False),
                                   track_of_segments("circle", [628.3], [0.01])])  # fmt: skip
def test_a_straight_and_a_circle_are_drawn(track):
    drawing = draw_track(track, 40, 12)
    assert any(row.strip() for row in drawing.characters)


@pytest.mark.parametrize(("width", "height"), [(7, 20), (20, 3), (0, 0), (-1, 5)])
def test_no_room_is_blank_rows(width, height):
    drawing = draw_track(hook(), width, height)
    assert drawing.labels == ()
    assert "".join(drawing.rows).strip() == ""
