"""A driver's log, simulated: the track it gives back, and what it tells of the car."""

from dataclasses import replace

import numpy as np
import pytest

from balance.decide.laps.fit_log import (
    FRICTIONS,
    _corner_answers,
    _fit_exponent,
    _fit_friction,
    _median_of,
    fit_log,
)
from balance.decide.laps.lap import lap_of_areas
from balance.decide.laps.lap_car import LapCar
from balance.decide.laps.log import LogLap, curvature_read
from balance.decide.laps.smoothing import smoothed
from balance.decide.laps.stations import find_corners
from balance.decide.laps.trace import trace_track
from balance.handling.axle_loads import STANDARD_GRAVITY
from balance.model.errors import DomainError
from balance.model.tracks import track_of_rows, track_of_segments

AIR = 1.2
AREAS = np.array([0.1, 0.1, 0.7])
CAR = LapCar(
    mass=1290.0,
    front_share=0.54,
    friction=1.15,
    front_exponent=0.86,
    rear_exponent=0.86,
    power=230e3,
    losses=0.12,
    driven="rear",
    wheelbase=2.575,
    cg_height=0.48,
)


def ring():
    """Build a track whose curvature changes evenly, as a road's does."""
    rows, turns, at = [0.0], [0.0], 0.0
    for straight, radius, angle in (
        (260, 40, 95),
        (180, -60, 80),
        (350, 50, 140),
        (150, 30, 120),
        (420, 90, 85),
    ):
        arc = np.radians(angle) * abs(radius)
        for length, turn in (
            (straight, 0.0),
            (35.0, 1.0 / radius),
            (max(arc - 35.0, 5.0), 1.0 / radius),
            (35.0, 0.0),
        ):
            at += length
            rows.append(at)
            turns.append(turn)
    return track_of_rows("ring", rows, turns)


@pytest.fixture(scope="module")
def driven():
    track = ring()
    return track, lap_of_areas(track, CAR, AREAS, air_density=AIR)


def logged(
    driven, name, rng, *, noise=0.8, rate=50.0, pace=1.0, columns=("lateral_acceleration",), stretch=1.0
):
    """Log a simulated lap at a rate, with noise of lateral acceleration [m/s²], and what else is asked for."""
    track, lap = driven
    elapsed = lap.elapsed
    time = np.arange(0.0, elapsed[-1], 1.0 / rate)
    where = np.interp(time, elapsed, lap.distance)
    speed = np.interp(where, lap.distance, lap.speed)
    turn = track.sampled("curvature", where)
    made = {
        "lateral_acceleration": speed**2 * turn + rng.normal(0.0, noise, time.size),
        "yaw_rate": speed * turn + rng.normal(0.0, noise / 30.0, time.size),
    }
    told = speed * pace * stretch + rng.normal(0.0, 0.03, time.size)
    return LogLap(name=name, time=time / pace, speed=told, **{one: made[one] for one in columns})


def off(traced, track):
    rows = np.linspace(0.0, track.length, 1500)
    return traced.track.sampled("curvature", rows * traced.track.length / track.length) - track.sampled(
        "curvature", rows
    )


@pytest.mark.parametrize("column", ["lateral_acceleration", "yaw_rate"])
def test_a_traced_track_is_the_track(driven, column):
    rng = np.random.default_rng(1)
    track, lap = driven
    traced = trace_track("ring", [logged(driven, f"lap {k}", rng, columns=(column,)) for k in range(12)])
    assert len(traced.used) == 12
    assert traced.track.length == pytest.approx(track.length, rel=3e-3)
    difference = off(traced, track)
    assert np.sqrt(np.mean(difference**2)) < 4e-4
    assert len(find_corners(traced.track)) == len(find_corners(track))
    again = lap_of_areas(traced.track, CAR, AREAS, air_density=AIR)
    assert float(again.time) == pytest.approx(float(lap.time), rel=4e-3)
    assert traced.track.turned == pytest.approx(track.turned, abs=0.02)


def test_its_noise_is_that_of_the_log(driven):
    """The mean of laps is off by its stated noise where the line is not bent too sharply for the smoothing."""
    rng = np.random.default_rng(2)
    traced = trace_track("ring", [logged(driven, f"lap {k}", rng) for k in range(12)])
    alone = trace_track("ring", [logged(driven, "lap", rng, noise=0.0)])
    rows = traced.track.edges
    same = np.interp(
        rows / rows[-1],
        alone.track.edges / alone.track.edges[-1],
        np.append(alone.track.curvature[:, 0], 0.0),
    )
    mine = np.append(traced.track.curvature[:, 0], 0.0)
    scaled = (mine - same)[5:-5] / traced.track.curvature_std[5:-5]
    assert 0.7 < np.sqrt(np.mean(np.square(scaled))) < 1.4
    quiet = trace_track("ring", [logged(driven, f"lap {k}", rng, noise=0.2) for k in range(12)])
    assert quiet.noise < 0.5 * traced.noise
    assert np.isnan(alone.noise)
    assert alone.track.curvature_std is None


def test_laps_of_unlike_pace_and_wheel_size_are_laid_over_one_another(driven):
    rng = np.random.default_rng(3)
    track, _ = driven
    laps = [
        logged(
            driven,
            f"lap {k}",
            rng,
            pace=1.0,
            stretch=1.0 + 0.01 * rng.uniform(-1.0, 1.0),
            columns=("yaw_rate",),
        )
        for k in range(9)
    ]
    traced = trace_track("ring", laps)
    assert len(traced.used) == 9
    assert np.sqrt(np.mean(off(traced, track) ** 2)) < 8e-4
    assert traced.track.turned == pytest.approx(track.turned, rel=0.02)


def test_places_on_the_ground_trace_a_track_as_well():
    angle = np.linspace(0.0, 2.0 * np.pi, 4000)
    speed = np.full(angle.size, 30.0)
    lap = LogLap(
        name="1", time=100.0 * angle / 30.0, speed=speed, x=100.0 * np.cos(angle), y=100.0 * np.sin(angle)
    )
    traced = trace_track("circle", [lap])
    assert traced.track.curvature == pytest.approx(0.01, rel=1e-3)
    assert traced.track.direction == "anticlockwise"
    assert traced.closure.gap < 1.0


def test_the_other_sign_is_the_mirrored_track(driven):
    rng = np.random.default_rng(4)
    lap = logged(driven, "1", rng)
    other = replace(lap, lateral_acceleration=-lap.lateral_acceleration)
    one, two = trace_track("a", [lap]).track, trace_track("a", [other]).track
    assert two.curvature == pytest.approx(-one.curvature)
    assert {one.direction, two.direction} == {"clockwise", "anticlockwise"}


def test_body_roll_is_taken_out():
    """Gravity's share, g sin 3°, is 5 % of 1 g: elementary, no source."""
    time = np.linspace(0.0, 20.0, 400)
    speed, roll = np.full(400, 30.0), np.full(400, np.radians(3.0))
    real = 900.0 / 90.0
    lap = LogLap(
        name="1", time=time, speed=speed, roll=roll, lateral_acceleration=real + STANDARD_GRAVITY * np.sin(roll)
    )  # fmt: skip
    assert curvature_read(lap) == pytest.approx(1.0 / 90.0)
    assert curvature_read(replace(lap, roll=None))[0] * 90.0 == pytest.approx(1.0513, abs=1e-3)


def test_laps_with_a_stop_pits_or_dropouts_are_left_out_with_a_reason(driven):
    rng = np.random.default_rng(5)
    good = [logged(driven, f"good {k}", rng) for k in range(3)]
    standing = replace(
        good[0], name="stop", speed=np.where(np.arange(good[0].time.size) > 1400, 0.0, good[0].speed)
    )
    half = good[0].time.size // 2
    short = LogLap(
        name="pits", time=good[0].time[:half], speed=good[0].speed[:half],
        lateral_acceleration=good[0].lateral_acceleration[:half],
    )  # fmt: skip
    lost = replace(
        good[0],
        name="lost",
        lateral_acceleration=np.where(
            np.arange(good[0].time.size) % 4000 > 1500, np.nan, good[0].lateral_acceleration
        ),
    )
    nothing = replace(good[0], name="nothing", lateral_acceleration=None)
    backward = replace(good[0], name="backward", time=good[0].time[::-1])
    traced = trace_track("ring", [*good, standing, short, lost, nothing, backward])
    assert traced.used == ("good 0", "good 1", "good 2")
    told = {one.lap: one.reason for one in traced.left_out}
    assert set(told) == {"stop", "pits", "lost", "nothing", "backward"}
    assert "a stop, or the pits" in told["stop"]
    assert "long where the others are" in told["pits"]
    assert "nothing recorded over" in told["lost"]
    assert "expected yaw rate" in told["nothing"]
    assert "do not rise" in told["backward"]
    with pytest.raises(DomainError, match="none that can be used"):
        trace_track("ring", [nothing])


@pytest.mark.parametrize("what", ["gone", "absent", "frozen"])
def test_a_lap_with_a_hole_is_left_out_where_there_is_a_whole_one_and_named_where_there_is_none(driven, what):
    """Two seconds without samples, or four of the same figures at speed; half a second of either says nothing."""
    rng = np.random.default_rng(8)
    whole = logged(driven, "whole", rng)
    seconds = {"gone": 2.0, "absent": 2.0, "frozen": 4.0}[what]

    def holed(length):
        inside = (whole.time > 12.0) & (whole.time <= 12.0 + length)
        if what == "frozen":
            first = int(np.argmax(inside))
            stuck = {
                name: np.where(inside, getattr(whole, name)[first], getattr(whole, name))
                for name in ("speed", "lateral_acceleration")
            }
            return replace(whole, name="holed", **stuck)
        if what == "absent":
            return replace(
                whole, name="holed", lateral_acceleration=np.where(inside, np.nan, whole.lateral_acceleration)
            )
        kept = {name: getattr(whole, name)[~inside] for name in ("time", "speed", "lateral_acceleration")}
        return replace(whole, name="holed", **kept)

    both = trace_track("ring", [whole, holed(seconds)])
    assert both.used == ("whole",)
    (out,) = both.left_out
    assert out.lap == "holed"
    assert f"{seconds:.0f}.0 s from 12.0 s on" in out.reason
    assert not both.doubts
    alone = trace_track("ring", [holed(seconds)])
    assert [one.lap for one in alone.doubts] == ["holed"]
    assert trace_track("ring", [whole, holed(0.5)]).used == ("whole", "holed")


def test_a_short_dropout_is_bridged(driven):
    rng = np.random.default_rng(6)
    lap = logged(driven, "1", rng, noise=0.0)
    missing = np.isin(np.arange(lap.time.size), rng.integers(0, lap.time.size, 300))
    holed = replace(lap, speed=np.where(missing, np.nan, lap.speed))
    one, two = trace_track("a", [lap]).track, trace_track("a", [holed]).track
    assert two.length == pytest.approx(one.length, rel=1e-3)
    assert (
        np.abs(
            two.sampled("curvature", np.arange(0.0, 1500.0))
            - one.sampled("curvature", np.arange(0.0, 1500.0))
        ).max()
        < 2e-3
    )


def test_smoothing_keeps_a_quadratic_and_wraps():
    x = np.arange(100.0)
    assert smoothed(1.0 + x + 0.1 * x * x, 1.0, 20.0, closed=False)[15:85] == pytest.approx(
        (1.0 + x + 0.1 * x * x)[15:85]
    )
    wave = np.sin(2.0 * np.pi * x / 100.0)
    assert np.abs(smoothed(wave, 1.0, 10.0, closed=True) - wave).max() < 1e-3


# ----------------------------------------------------------------------------------------------- the car


def test_friction_and_power_come_back_from_a_log(driven):
    rng = np.random.default_rng(7)
    track, _ = driven
    laps = [logged(driven, f"lap {k}", rng) for k in range(5)]
    found = fit_log(track, replace(CAR, friction=1.0, power=150e3), laps, AREAS, air_density=AIR)
    assert found.friction.value == pytest.approx(1.15, rel=0.005)
    assert found.power.value == pytest.approx(230e3, rel=0.015)
    assert found.car.friction == found.friction.value
    assert found.corner_speeds.shape == (5, 5)
    assert found.exponent is None or not found.exponent.offered  # a car without downforce cannot tell


def test_the_interval_of_a_median_holds_the_truth():
    """95 % of intervals hold it, whatever the number of corners: 93 to 97 % of 2,000 trials."""
    rng = np.random.default_rng(8)
    for corners in (3, 6, 11):
        held = 0
        for _ in range(2000):
            found = _median_of(1.15 * np.exp(rng.normal(0.0, 0.03, corners)), ("",) * corners)
            held += found.low <= 1.15 <= found.high
        assert 0.93 <= held / 2000 <= 0.97
    assert _median_of(np.array([1.0, 1.1, np.nan]), ("",) * 3) is None


@pytest.mark.parametrize("areas", [(0.05, 0.05), (3.0, 2.6)])
def test_the_exponent_comes_back_or_is_not_told(areas):
    """A car of little downforce cannot tell; one of much can, and its interval holds the truth in 93 % or more."""
    rng = np.random.default_rng(9)
    radii = [20.0, 30.0, 45.0, 60.0, 80.0, 100.0, 120.0, 140.0, 155.0, 170.0]
    lengths, turns = [], []
    for radius in radii:
        lengths += [400.0, radius * 1.6]
        turns += [0.0, 1.0 / radius]
    track = track_of_segments("many", lengths, turns)
    car = replace(
        CAR, power=900e3, cg_height=None, driven="both", front_exponent=0.88, rear_exponent=0.88, friction=1.3
    )
    figures = np.array([*areas, 0.9])
    lap = lap_of_areas(track, car, figures, air_density=AIR)
    lowest = np.array(
        [lap.speed[(lap.distance >= c.start) & (lap.distance <= c.end)].min() for c in find_corners(track)]
    )
    held, offered, half = 0, 0, []
    for _ in range(300):
        found = _fit_exponent(track, car, lowest * np.exp(rng.normal(0.0, 0.005, lowest.size)), figures, AIR)
        held += abs(found.value - 0.88) <= found.half
        offered += found.offered
        half.append(found.half)
    assert held / 300 >= 0.93
    if areas[0] < 1.0:
        assert offered == 0
        assert found.told == "this log cannot tell the exponent of grip"
    else:
        assert np.median(half) < 0.15


def test_what_tells_nothing_is_refused():
    track = track_of_segments("straight", [500.0], [0.0], closed=False)
    with pytest.raises(DomainError, match="0 corners"):
        fit_log(
            track,
            CAR,
            [LogLap(name="1", time=np.arange(20.0), speed=np.full(20, 30.0))],
            AREAS,
            air_density=AIR,
        )


def test_a_million_samples_are_a_track_like_any_other():
    angle = np.linspace(0.0, 2.0 * np.pi, 1_000_000)
    lap = LogLap(
        name="1",
        time=150.0 * angle / 30.0,
        speed=np.full(angle.size, 30.0),
        yaw_rate=np.full(angle.size, -0.2),
    )
    traced = trace_track("circle", [lap])
    assert traced.track.curvature == pytest.approx(-1.0 / 150.0)
    assert traced.track.direction == "clockwise"
    assert traced.closure.meets


def test_the_interval_of_what_a_log_told_is_that_of_students_t_about_it(driven):
    rng = np.random.default_rng(11)
    track, _ = driven
    found = fit_log(track, CAR, [logged(driven, f"lap {k}", rng) for k in range(3)], AREAS, air_density=AIR)
    for one, close in ((found.friction, 1e-3), (found.power, 2e-3)):
        degrees = np.count_nonzero(np.isfinite(one.each)) - 1
        drawn = one.value * np.exp(one.std / one.value * rng.standard_t(degrees, 400_000))
        assert np.quantile(drawn, [0.025, 0.975]) == pytest.approx([one.low, one.high], rel=close)


def test_power_comes_back_where_it_grows_with_speed(driven):
    rng = np.random.default_rng(12)
    track, _ = driven
    curve = ((20.0, 0.6), (40.0, 0.9), (60.0, 1.0))
    car = replace(CAR, power_curve=curve)
    lap = lap_of_areas(track, car, AREAS, air_density=AIR)
    laps = [logged((track, lap), f"lap {k}", rng) for k in range(4)]
    found = fit_log(track, replace(car, power=180e3), laps, AREAS, air_density=AIR)
    assert found.power.value == pytest.approx(230e3, rel=0.03)


def test_the_interval_of_friction_holds_the_truth(driven):
    """A driver who uses 2 % more or less of the car from corner to corner: 93 to 97 % of 2,000 logs."""
    rng = np.random.default_rng(13)
    track, _ = driven
    corners = find_corners(track)
    answers = _corner_answers(track, CAR, AREAS, AIR)
    true = np.array([np.interp(np.log(1.15), np.log(FRICTIONS), column) for column in answers.T])
    held = 0
    for _ in range(2000):
        found = _fit_friction(answers, true * np.exp(rng.normal(0.0, 0.01, true.size)), corners)
        held += found.low <= 1.15 <= found.high
    assert 0.93 <= held / 2000 <= 0.97
