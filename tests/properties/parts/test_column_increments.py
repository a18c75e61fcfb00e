"""A compared column: what holds of its increments, whatever the day, and one by hand."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from balance.compare.column_increments import column_increments
from balance.compare.increments import find_increments
from balance.model.channels import FRONT
from balance.model.records import ComparedColumn, OptionalTriple, Setting, Triple
from balance.reduce.fits import fits_of_session
from balance.reduce.readings import reduce_session

PRESSURE = 0.5 * 1.2 * 50.0**2
NAME = "radiator_pressure_drop"
FIGURES = ("change", "std", "low", "high", "resolved", "degrees", "rounding")


def with_column(session, values, *, unit="mm", scales=False, deviation=None, resolution=0.0):
    """Give each run its value of a compared column, none where there is None."""
    runs = tuple(
        run
        if value is None
        else replace(run, recorded={NAME: Setting(value=value, unit=unit, resolution=resolution)})
        for run, value in zip(session.runs, values, strict=True)
    )
    column = ComparedColumn(name=NAME, unit=unit, scales=scales, deviation=deviation)
    return replace(session, runs=runs, compared=(column,))


def compare(session, *, correct_drift=False, across_blocks=False):
    """Compare a session's forces, and its column."""
    fits = fits_of_session(session, reduce_session(session), across_blocks=across_blocks)
    increments = find_increments(session, fits, dynamic_pressure=PRESSURE, correct_drift=correct_drift)
    found = column_increments(session, increments, session.compared[0], correct_drift=correct_drift)
    return increments, found


def row_of(increments, run):
    """Find the increment of a run, by its place."""
    return next(row for row, pair in enumerate(increments.pairs) if pair.run == run)


LETTERS = st.lists(st.sampled_from("AABC"), min_size=2, max_size=9)
VALUES = st.lists(st.floats(-600.0, 600.0), min_size=9, max_size=9)
BLOCKS = st.lists(st.sampled_from(["", "", "", "after lunch"]), min_size=9, max_size=9)
MARKS = st.lists(st.sampled_from(["good", "good", "good", "suspect", "void"]), min_size=9, max_size=9)


def day(make_session, letters, values, *, blocks=None, marks=None, speeds=None, **stated):
    """Build a day whose settings go by letters, and whose front axle reads the values."""
    parts = {"A": {}, "B": {"wing": Setting(value=4.0, unit="deg")}, "C": {"vents": Setting(value="open")}}
    runs = [
        {
            "settings": parts[letter],
            "block": blocks[k] if blocks else "",
            "status": marks[k] if marks else "good",
            "speed": speeds[k] if speeds else None,
        }
        for k, letter in enumerate(letters)
    ]
    readings = [(value, 0.0, 900.0) for value in values[: len(letters)]]
    return make_session(readings, configurations=[*letters], runs=runs, **stated)


@given(LETTERS, VALUES, BLOCKS, MARKS, st.booleans(), st.booleans())
def test_a_column_of_a_channels_numbers_has_its_contrasts_and_intervals(
    make_session, letters, values, blocks, marks, stated, correct_drift
):
    """By definition: the same numbers, the same means, the same scatter, the same drift."""
    marks = ["good", *marks[1:]]
    deviation = 7.0 if stated else None
    session = day(
        make_session, letters, values, blocks=blocks, marks=marks, deviation=(deviation, None, None)
    )
    session = with_column(session, values[: len(letters)], deviation=deviation)
    increments, found = compare(session, correct_drift=correct_drift)
    alone = found.drifts.blocks and [one.resolved[0] for one in found.drifts.blocks]
    assume(not correct_drift or not alone or alone == [one.offered for one in increments.drifts.blocks])
    for name in FIGURES:
        np.testing.assert_allclose(
            getattr(found.changes, name)[:, 0].astype(float),
            getattr(increments.changes, name)[:, FRONT].astype(float),
            rtol=1e-9,
            atol=1e-7,
            err_msg=name,
        )


@given(LETTERS, VALUES, st.lists(st.sampled_from([50.0, 50.0, 60.0, 40.0]), min_size=9, max_size=9))
def test_a_pressure_scales_over_speeds_as_a_force_does(make_session, letters, values, speeds):
    session = day(make_session, letters, values, speeds=speeds, deviation=(7.0, None, None))
    session = with_column(session, values[: len(letters)], unit="Pa", scales=True, deviation=7.0)
    increments, found = compare(session)
    used = speeds[: len(letters)]
    assert found.scaled == (max(used) > 1.02 * min(used))
    if not found.scaled and used[0] != 50.0:
        return  # as read at the one speed, and not at the facility's
    for name in ("change", "std", "low", "high"):
        np.testing.assert_allclose(
            getattr(found.changes, name)[:, 0],
            getattr(increments.changes, name)[:, FRONT],
            rtol=1e-9,
            atol=1e-7,
            err_msg=name,
        )


AIR = 101325.0  # Pa; ISO 2533:1975, Standard atmosphere, table 5: pressure at sea level


@given(LETTERS, VALUES, st.lists(st.sampled_from([40.0, 60.0, 95.0]), min_size=9, max_size=9))
@pytest.mark.parametrize(("unit", "factor"), [("Pa", 1.0), ("hPa", 100.0)])
def test_an_absolute_pressure_is_compared_as_read_at_whatever_speed(
    make_session, unit, factor, letters, values, speeds
):
    """Nothing that flows past a car changes the pressure by the whole of the air's."""
    read = [(AIR + value) / factor for value in values[: len(letters)]]
    there = with_column(day(make_session, letters, values, speeds=speeds), read, unit=unit, scales=True)
    column = replace(there.compared[0], si_unit="Pa", factor=factor)
    found = compare(replace(there, compared=(column,)))[1]
    assert not found.scaled
    assert found.fits.readings.column.absolute
    np.testing.assert_array_equal(found.fits.readings.areas[:, 0], read)


@given(LETTERS, VALUES, st.lists(st.sampled_from([40.0, 60.0]), min_size=9, max_size=9))
def test_a_pressure_difference_in_pascals_still_scales(make_session, letters, values, speeds):
    there = with_column(
        day(make_session, letters, values, speeds=speeds), values[: len(letters)], unit="Pa", scales=True
    )
    column = replace(there.compared[0], si_unit="Pa")
    found = compare(replace(there, compared=(column,)))[1]
    assert found.scaled == (len(set(speeds[: len(letters)])) > 1)


@given(LETTERS, VALUES, st.lists(st.sampled_from([50.0, 60.0]), min_size=9, max_size=9))
def test_a_temperature_is_compared_as_read_at_whatever_speed(make_session, letters, values, speeds):
    there = day(make_session, letters, values, speeds=speeds)
    found = compare(with_column(there, values[: len(letters)], unit="degC"))[1]
    assert not found.scaled
    np.testing.assert_array_equal(found.fits.readings.areas[:, 0], values[: len(letters)])


@given(
    LETTERS, VALUES, BLOCKS, st.floats(0.01, 100.0), st.sampled_from([1.0, -1.0]), st.floats(-300.0, 300.0)
)
def test_another_unit_or_zero_changes_no_contrast(make_session, letters, values, blocks, size, sign, zero):
    """JCGM 100:2008 (GUM), 5.1.2: differences are linear in their readings."""
    session = day(make_session, letters, values, blocks=blocks)
    own = values[: len(letters)]
    first = compare(with_column(session, own))[1].changes
    second = compare(with_column(session, [size * sign * one + zero for one in own]))[1].changes
    np.testing.assert_allclose(second.change, size * sign * first.change, rtol=1e-9, atol=1e-6 * size)
    np.testing.assert_allclose(second.std, size * first.std, rtol=1e-6, atol=1e-6 * size)


@given(LETTERS, VALUES, st.lists(st.booleans(), min_size=9, max_size=9), BLOCKS)
def test_a_run_without_a_value_is_left_out_of_the_means_and_out_of_nothing_else(
    make_session, letters, values, there, blocks
):
    own = [value if kept else None for value, kept in zip(values, there, strict=True)][: len(letters)]
    assume(any(value is not None for value in own))
    session = day(make_session, letters, values, blocks=blocks)
    increments, found = compare(with_column(session, own))
    assert found.missing == tuple(str(k + 1) for k, value in enumerate(own) if value is None)
    fit_of = increments.fits.fit_of.tolist()

    def mean(rows):
        """The plain mean of the fits' plain means, of the readings that have a value."""
        by_fit = {}
        for row in rows:
            if own[row] is not None:
                by_fit.setdefault(fit_of[row], []).append(own[row])
        return np.mean([np.mean(some) for some in by_fit.values()]) if by_fit else np.nan

    for row, pair in enumerate(increments.pairs):
        if fit_of and len({increments.fits.blocks[k] for k in (*pair.runs, *pair.baseline_runs)}) > 1:
            continue  # over blocks by what was run in both, which may be what has no value
        expected = mean(pair.runs) - mean(pair.baseline_runs)
        got = found.of(row)
        assert got.change == pytest.approx(expected, abs=1e-9, nan_ok=True)
        assert np.isfinite(got.change) or not (got.resolved or np.isfinite(got.std))


@given(LETTERS, VALUES, st.lists(st.booleans(), min_size=9, max_size=9))
def test_a_column_enters_neither_forces_nor_their_scatter(make_session, letters, values, there):
    bare = day(make_session, letters, values)
    own = [value if kept else None for value, kept in zip(values, there, strict=True)][: len(letters)]
    without = find_increments(
        bare, fits_of_session(bare, reduce_session(bare)), dynamic_pressure=PRESSURE
    ).changes
    session = with_column(bare, own)
    fits = fits_of_session(session, reduce_session(session))
    with_it = find_increments(session, fits, dynamic_pressure=PRESSURE).changes
    for name in FIGURES:
        np.testing.assert_array_equal(getattr(with_it, name), getattr(without, name))


def test_one_increment_by_hand(make_session):
    """A and B, A three times and C twice: by hand, t from a published table.

    Louvres: 431 Pa; without 412, 415, 411 Pa; with a wing 410, 413 Pa. Squares about the means: 8.667 + 4.5 = 13.167
    over 2 + 1 degrees of freedom, sd 2.095 Pa. Change 431 - 412.667 = 18.333 Pa; its sd 2.095 sqrt(1 + 1/3) = 2.419 Pa;
    t of 0.975 and 3 degrees of freedom is 3.182 (NIST/SEMATECH e-Handbook of Statistical Methods, table 1.3.6.7.2), so
    that half of its interval is 7.70 Pa.
    """
    session = day(make_session, "ACBABAC"[:7], [0.0] * 9, deviation=(None, None, None))
    letters = ["A", "C", "B", "A", "B", "A", "C"]
    values = [412.0, 431.0, 410.0, 415.0, 413.0, 411.0, None]
    assert [run.configuration for run in session.runs] == letters
    increments, found = compare(with_column(session, values, unit="Pa", scales=True))
    change = found.of(row_of(increments, 1))
    assert found.deviation == pytest.approx(2.095, abs=0.0005)
    assert change.change == pytest.approx(18.333, abs=0.0005)
    assert change.std == pytest.approx(2.419, abs=0.0005)
    assert (change.high - change.low) / 2.0 == pytest.approx(7.70, abs=0.005)
    assert change.resolved
    assert found.missing == ("7",)


def test_the_facilitys_figure_stands_where_nothing_was_repeated(make_session):
    session = day(make_session, "AB", [0.0] * 9, degrees=20.0)
    found = compare(with_column(session, [412.0, 431.0], deviation=6.0))[1]
    scatter = found.fits.repeatability
    assert (scatter.source, scatter.deviation.tolist()) == (("facility",), [6.0])
    assert scatter.degrees_of_freedom.tolist() == [20.0]
    assert found.of(0).std == pytest.approx(6.0 * 2.0**0.5)  # JCGM 100:2008 (GUM), 5.1.2


def test_four_degrees_of_freedom_are_assumed_and_said(make_session):
    session = replace(day(make_session, "AB", [0.0] * 9), repeatability=None)
    found = compare(with_column(session, [412.0, 431.0], deviation=6.0))[1]
    assert found.fits.repeatability.degrees_of_freedom.tolist() == [4.0]
    (note,) = found.fits.repeatability.notes
    assert "4 assumed" in note
    assert "radiator pressure drop" in note


def test_without_repeats_or_figure_nothing_is_called_significant(make_session):
    session = day(make_session, "AB", [0.0] * 9, deviation=(None, None, None))
    increments, found = compare(with_column(session, [412.0, 431.0]))
    change = found.of(row_of(increments, 1))
    assert change.change == 19.0
    assert not change.resolved
    assert np.isnan(change.std)


def test_readings_that_agree_to_the_digit_scatter_as_rounding_does(make_session):
    """Half a digit over the square root of 3: JCGM 100:2008 (GUM), F.2.2.1."""
    session = day(make_session, "ABAB", [0.0] * 9, deviation=(None, None, None))
    found = compare(with_column(session, [31.2, 31.4, 31.2, 31.4], unit="degC", resolution=0.05))[1]
    assert found.deviation == pytest.approx(0.05 / 3.0**0.5)


def test_a_column_without_any_value_is_not_compared(make_session):
    session = with_column(day(make_session, "AB", [0.0] * 9), [None, None])
    assert session.columns_with_values == ()
    held = with_column(day(make_session, "AB", [0.0] * 9, marks=["good", "void"]), [None, 3.0])
    assert held.columns_with_values == ()


@settings(max_examples=30)
@given(st.lists(st.floats(-20.0, 20.0), min_size=8, max_size=8))
def test_a_steady_drift_of_the_column_is_taken_out_by_its_own_slope(make_session, noise):
    """A drift of 10 a run between interleaved A and B; what is left is the noise, within its own least squares."""
    values = [10.0 * k + (100.0 if k % 2 else 0.0) + 0.01 * one for k, one in enumerate(noise)]
    session = day(make_session, "ABABABAB", [0.0] * 9, deviation=(None, None, None))
    increments, found = compare(with_column(session, values), correct_drift=True)
    assert found.drift_corrected
    row = row_of(increments, 1)
    assert found.changes.change[row, 0] == pytest.approx(100.0, abs=1.0)
    assert found.uncorrected.change[row, 0] == pytest.approx(110.0, abs=1.0)


def test_the_stated_repeatability_of_the_forces_says_nothing_of_the_column(make_session):
    session = replace(
        day(make_session, "ABAB", [0.0] * 9),
        repeatability=replace(
            day(make_session, "AB", [0.0] * 9).repeatability, deviation=OptionalTriple(front=1e4)
        ),
    )
    found = compare(with_column(session, [1.0, 5.0, 2.0, 6.0]))[1]
    assert found.fits.repeatability.source == ("repeats",)
    assert session.runs[0].reading == Triple(front=0.0, rear=0.0, drag=900.0)
