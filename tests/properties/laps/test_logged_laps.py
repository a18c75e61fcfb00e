"""Laps of a log as read: left and right, laps of another track or off the pace, and a friction that knows its line."""

from dataclasses import replace

import numpy as np
import pytest

from balance.decide.laps.lap import lap_of_areas
from balance.decide.laps.lap_car import LapCar
from balance.decide.laps.log import curvature_read
from balance.decide.laps.logged_laps import fit_laps, laps_of_log, laps_of_track, mirrored, trace_log
from balance.decide.laps.stations import find_corners
from balance.model.driven_log import DrivenLog, LogPiece
from balance.model.tracks import track_of_rows, track_of_segments

AIR = 1.2
AREAS = np.array([0.1, 0.1, 0.7])
CAR = LapCar(
    mass=1200.0,
    front_share=0.5,
    friction=1.15,
    front_exponent=0.86,
    rear_exponent=0.86,
    power=200e3,
    losses=0.12,
    driven="rear",
    wheelbase=2.5,
    cg_height=0.5,
)
BENDS = (
    (500.0, 40.0, 90.0),
    (350.0, -60.0, 80.0),
    (260.0, 50.0, 140.0),
    (420.0, 30.0, 120.0),
    (300.0, 90.0, 90.0),
)


def ring(*, mirror=1.0):
    """Build a track whose curvature changes evenly over 30 m at both ends of each bend."""
    rows, turns, at = [0.0], [0.0], 0.0
    for straight, radius, angle in BENDS:
        arc = np.radians(angle) * abs(radius)
        for length, turn in (
            (straight, 0.0),
            (30.0, mirror / radius),
            (arc - 30.0, mirror / radius),
            (30.0, 0.0),
        ):
            at += length
            rows.append(at)
            turns.append(turn)
    return track_of_rows("ring", rows, turns)


def driven(track, *, laps=5, paces=None, noise=0.003, seed=1, rate=20.0):
    """Log simulated laps, one after the other, each driven at a share of its speeds; yaw rate in rad/s."""
    lap = lap_of_areas(track, CAR, AREAS, air_density=AIR)
    rng = np.random.default_rng(seed)
    times, speeds, rates, pieces, begun, count = [], [], [], [], 0.0, 0
    for number, pace in enumerate(paces or [1.0] * laps, start=1):
        time = np.arange(0.0, lap.elapsed[-1] / pace, 1.0 / rate)
        where = np.interp(time * pace, lap.elapsed, lap.distance)
        speed = pace * np.interp(where, lap.distance, lap.speed)
        times.append(begun + time)
        speeds.append(speed + rng.normal(0.0, 0.05, time.size))
        rates.append(speed * track.sampled("curvature", where) + rng.normal(0.0, noise, time.size))
        pieces.append(LogPiece(f"lap {number}", count, count + time.size))
        begun += float(lap.elapsed[-1]) / pace
        count += time.size
    return DrivenLog(
        name="laps.csv", time=np.concatenate(times), speed=np.concatenate(speeds), yaw_rate=np.concatenate(rates), pieces=tuple(pieces)
    )  # fmt: skip


TRACK = ring()
LOG = driven(TRACK)


def test_left_and_right_change_places_and_twice_is_as_before():
    laps = laps_of_log(LOG)
    other = mirrored(laps)
    for one, turned in zip(laps, other, strict=True):
        assert curvature_read(turned) == pytest.approx(-curvature_read(one), nan_ok=True)
    assert mirrored(other)[0].yaw_rate == pytest.approx(laps[0].yaw_rate)


@pytest.mark.parametrize("mirror", [1.0, -1.0])
def test_a_direction_tells_the_side_whatever_the_sensor_counts_positive(mirror):
    track = ring(mirror=mirror)
    way = "anticlockwise" if track.turned > 0.0 else "clockwise"
    for sign in (1.0, -1.0):
        log = driven(track)
        log = replace(log, yaw_rate=sign * log.yaw_rate)
        made = trace_log(log, "ring", direction=way)
        assert made.side == ("left" if sign > 0.0 else "right")
        assert made.traced.track.turned == pytest.approx(track.turned, abs=0.05)
        assert made.traced.track.direction == way


def test_what_is_written_is_what_was_traced_to_the_digits_that_are_worth_it():
    traced = trace_log(LOG, "ring").traced
    assert traced.track.note == "traced from 5 laps of laps.csv, smoothed over 20 m"
    assert np.max(np.abs(np.round(traced.track.curvature, 7) - traced.track.curvature)) == 0.0
    assert traced.track.length == pytest.approx(TRACK.length, rel=3e-3)


def test_a_lap_from_the_pits_makes_no_track_and_a_slow_one_tells_nothing_of_grip():
    log = driven(TRACK, paces=[0.75, 1.0, 1.0, 0.95, 1.0])
    traced = trace_log(log, "ring").traced
    assert traced.used == ("lap 2", "lap 3", "lap 4", "lap 5")  # a lap in traffic turns as the track does
    assert [one.lap for one in traced.left_out] == ["lap 1"]
    used, left_out, _ = laps_of_track(TRACK, laps_of_log(log))
    assert [lap.name for lap in used] == ["lap 2", "lap 3", "lap 5"]
    assert {one.lap for one in left_out} == {"lap 1", "lap 4"}
    assert all("where the fastest lap takes" in one.reason for one in left_out)


def test_laps_of_another_track_are_none_of_this_one():
    longer = track_of_segments("longer", [1.2 * TRACK.length], [0.0])
    _, left_out, _ = laps_of_track(longer, laps_of_log(LOG))
    assert "long where the track is" in left_out[0].reason
    elsewhere = track_of_rows(
        "elsewhere", TRACK.length - TRACK.edges[::-1], np.append(TRACK.curvature[:, 0], 0.0)[::-1]
    )
    used, left_out, _ = laps_of_track(elsewhere, laps_of_log(LOG))
    assert used == ()
    assert "it does not turn where the track does" in left_out[0].reason


def test_friction_and_power_come_back_with_the_line_in_their_interval():
    made = trace_log(LOG, "ring")
    track = made.traced.track
    used, _, _ = laps_of_track(track, made.laps)
    fit = fit_laps(track, replace(CAR, friction=0.9, power=120e3), used, AREAS, air_density=AIR)
    assert fit.friction.low <= 1.15 <= fit.friction.high
    assert fit.power.low <= 200e3 <= fit.power.high
    surer = replace(track, curvature_std=np.zeros_like(track.curvature_std))
    alone = fit_laps(surer, replace(CAR, friction=0.9, power=120e3), used, AREAS, air_density=AIR)
    assert alone.friction.value == fit.friction.value
    assert alone.friction.low > fit.friction.low
    assert alone.friction.high < fit.friction.high
    assert len(fit.corner_speeds[0]) == len(find_corners(track))


def test_a_circle_and_a_straight_are_traced():
    time = np.arange(0.0, 40.0, 0.1)
    speed = np.full(time.size, 25.0)
    pieces = (LogPiece("lap 1", 0, 200), LogPiece("lap 2", 200, 400))
    circle = DrivenLog(
        name="c", time=time, speed=speed, yaw_rate=np.full(time.size, 2.0 * np.pi / 20.0), pieces=pieces
    )
    track = trace_log(circle, "circle", direction="anticlockwise").traced.track
    assert track.curvature == pytest.approx(2.0 * np.pi / 500.0, rel=1e-4)  # once round in 20 s at 25 m/s
    assert len(find_corners(track)) == 1
    straight = replace(circle, yaw_rate=np.zeros(time.size))
    made = trace_log(straight, "straight", closed=False, positive="left").traced.track
    assert np.all(made.curvature == 0.0)
    assert find_corners(made) == ()
