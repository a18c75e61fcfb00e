"""The track page: what is listed first, how corners are marked, what stands below."""

import numpy as np
import pytest

from balance.decide.day.assessment import assess
from balance.decide.laps.day_laps import by_seconds, fastest_in_balance, stuck_at
from balance.decide.parts.parts import assess_parts
from balance.model.errors import InputError
from balance.model.tracks import track_of_segments
from balance.tell.figures import Show
from balance.tell.laps.missing_words import no_lap_words, no_track_words, stuck_words
from balance.tell.laps.track_page import (
    best_line,
    configurations_table,
    marked_drawing,
    page_notes,
    parts_by_seconds,
    short_names,
    track_head,
    worth_table,
)
from balance.tell.laps.worth_words import NOT_A_LAP, SURER
from balance.units.shown import US


@pytest.fixture(scope="module")
def ranges(hatch_laps):
    return dict(zip(hatch_laps.rows, assess(hatch_laps.day, rows=hatch_laps.rows).ranges, strict=True))


@pytest.fixture(scope="module")
def parts(hatch_laps):
    return assess_parts(hatch_laps.day)


def test_the_first_is_the_fastest_in_balance_and_oversteer_stands_last(hatch_laps, ranges):
    order = by_seconds(hatch_laps, ranges)
    assert order[0] == fastest_in_balance(hatch_laps, ranges)
    dangerous = [ranges[hatch_laps.rows[k]].dangerous for k in order]
    assert dangerous == sorted(dangerous)
    line, _ = best_line(hatch_laps, ranges, Show())
    assert "Fastest in balance" in line
    assert "●" in line


def test_each_configuration_has_its_seconds_and_verdict_and_a_name_of_its_own(hatch_laps, ranges):
    order = by_seconds(hatch_laps, ranges)
    table = configurations_table(hatch_laps, ranges, order, Show())
    names = [table.cell(row, "configuration").text for row in range(len(order))]
    assert len({*names}) == len(names) == len(short_names(hatch_laps))
    for row, k in enumerate(order):
        assert table.cell(row, "worth").value == float(hatch_laps.worths.against_start.value[k])
        assert table.cell(row, "then").text[0] in "▲▼●◐○?"


def test_each_part_stands_once_with_the_verdict_after_it(hatch_laps, parts):
    order = parts_by_seconds(hatch_laps, parts)
    pairs = [parts.increments.pairs[k] for k in order]
    assert len({(pair.runs, pair.baseline_runs) for pair in pairs}) == len(order)
    table = worth_table(hatch_laps, parts)
    seconds = [table.cell(row, "worth").value for row in range(len(order))]
    assert seconds == sorted(seconds)
    assert all(table.cell(row, "then").text[0] in "▲▼●◐○?" for row in range(len(order)))


@pytest.mark.parametrize("ascii_only", [False, True])
def test_corners_are_marked_by_letter_and_role_along_their_own_stretch(hatch_laps, ascii_only):
    lines = marked_drawing(hatch_laps, 0, 60, 20, ascii_only=ascii_only)
    text = "\n".join("".join(run.text for run in line) for line in lines)
    assert [sum(len(run.text) for run in line) for line in lines] == [60] * 20
    roles = {run.role for line in lines for run in line}
    for pace in hatch_laps.corners():
        limit = str(pace.limited_by[0])
        assert f"{pace.corner.number}{limit[0]}" in text  # f, r or p: the first letter
        assert limit in roles
    assert roles <= {"front", "rear", "power", "label", ""}


def test_without_room_nothing_is_drawn(hatch_laps):
    assert marked_drawing(hatch_laps, 0, 0, 0) == ()
    assert {run.text.strip() for line in marked_drawing(hatch_laps, 0, 6, 3) for run in line} == {""}


def test_head_and_notes_hold_what_must_stand_wherever_seconds_stand(hatch_laps):
    assert SURER in track_head(hatch_laps, 0, Show())
    assert "ft" in track_head(hatch_laps, 0, Show(US))
    notes = page_notes(hatch_laps, Show(US), hatch_laps.rate(0))
    assert NOT_A_LAP in notes
    assert "its ends do not meet" in notes[0]  # the loop of these tests is none
    assert "One pound of downforce" in notes[1]
    assert "Assumed" in notes[-1]
    assert NOT_A_LAP in page_notes(hatch_laps, Show(), None, brief=True)


def test_what_is_missing_is_named_with_what_to_do(hatch_laps, loop):
    session = hatch_laps.day.session
    said = " ".join(no_track_words(session))
    assert "axletrim new track" in said
    assert "axletrim track import LOG" in said
    words = " ".join(no_lap_words(InputError("a lap: found no friction, expected one")))
    assert "× A lap: found no friction" in words
    assert "axletrim track fit" in words
    assert "corner 1 hairpin" in stuck_words(loop, 320.0)[0]
    assert "no corner" in stuck_words(loop, 100.0)[0]


def test_a_corner_that_leans_out_too_far_is_where_the_start_gets_stuck(hatch_laps):
    """Leaning out by more than the grip's own angle (tan 50° = 1.19 against friction 1.08) nothing holds the car."""
    lean = track_of_segments(
        "lean", [200.0, 100.0, 200.0, 100.0], [0.0, 0.0314, 0.0, 0.0314], bank=np.radians([0.0, -50.0, 0.0, 0.0])
    )  # fmt: skip
    where = stuck_at(hatch_laps.day, lean, hatch_laps.day.rows.standing[0])
    assert where == pytest.approx(200.0, abs=5.0)
    assert stuck_at(hatch_laps.day, hatch_laps.track, hatch_laps.day.rows.standing[0]) is None
