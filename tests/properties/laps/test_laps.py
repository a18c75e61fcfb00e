"""What must hold of laps, whatever the track and the car."""

import numpy as np
import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from balance.decide.laps.corners import corner_paces, lowest_near, straight_paces
from balance.decide.laps.lap import simulate_lap
from balance.decide.laps.lap_car import LapCar
from balance.decide.laps.stations import closure, find_corners
from balance.model.errors import DomainError
from balance.model.tracks import track_of_segments

AIR = 1.2
FEW = settings(max_examples=30, phases=[Phase.explicit, Phase.reuse, Phase.generate], deadline=None)
"""A lap takes a tenth of a second, so that a failing one is shown as it was found."""
FEWER = settings(FEW, max_examples=12)
"""For several laps an example, or short steps."""


@st.composite
def tracks(draw, *, closed=True, level=False):
    pieces = draw(st.integers(1, 5))
    lengths, turns, banks, slopes = [], [], [], []
    for _ in range(pieces):
        radius = draw(st.floats(15.0, 300.0)) * draw(st.sampled_from([-1.0, 1.0]))
        lengths += [draw(st.floats(30.0, 500.0)), abs(radius) * draw(st.floats(0.4, 2.0))]
        turns += [0.0, 1.0 / radius]
        banks += [0.0, 0.0 if level else draw(st.floats(-0.05, 0.2))]
        slopes += [0.0 if level else draw(st.floats(-0.08, 0.08)), 0.0]
    return track_of_segments("any", lengths, turns, bank=banks, gradient=slopes, closed=closed)


@st.composite
def cars(draw, **fixed):
    figures = {
        "mass": draw(st.floats(500.0, 1800.0)),
        "front_share": draw(st.floats(0.4, 0.62)),
        "friction": draw(st.floats(0.9, 1.7)),
        "front_exponent": draw(st.floats(0.75, 1.0)),
        "rear_exponent": draw(st.floats(0.75, 1.0)),
        "power": draw(st.floats(60e3, 450e3)),
        "driven": draw(st.sampled_from(["front", "rear", "both"])),
        "wheelbase": 2.5,
        "cg_height": draw(st.sampled_from([None, 0.3, 0.5])),
        "brake_front_share": draw(st.sampled_from([None, 0.65])),
    }
    return {**figures, **fixed}


areas = st.tuples(st.floats(-0.2, 1.5), st.floats(-0.2, 1.8), st.floats(0.3, 1.3))


def lapped(track, car, area, **options):
    front, rear, drag = (np.asarray(one) for one in area)
    return simulate_lap(
        track, LapCar(**car), front_area=front, rear_area=rear, drag_area=drag, air_density=AIR, **{"step": 5.0, **options}
    )  # fmt: skip


@FEW
@given(tracks(), cars(), areas)
def test_more_grip_is_never_slower(track, car, area):
    lap = lapped(track, {**car, "friction": car["friction"] * np.array([1.0, 1.03])}, area)
    assert lap.time[1] <= lap.time[0] * (1.0 + 1e-6)


@FEW
@given(tracks(), cars(cg_height=None), areas)
def test_more_power_is_never_slower(track, car, area):
    lap = lapped(track, {**car, "power": car["power"] * np.array([1.0, 1.05])}, area)
    assert lap.time[1] <= lap.time[0] * (1.0 + 1e-6)


@FEW
@given(st.floats(100.0, 2000.0), cars(), areas)
def test_more_drag_is_never_faster_where_nothing_brakes(length, car, area):
    track = track_of_segments("drag strip", [length], [0.0], closed=False)
    lap = lapped(track, car, (area[0], area[1], area[2] * np.array([1.0, 1.05])))
    assert lap.time[1] >= lap.time[0] * (1.0 - 1e-9)


@FEWER
@given(tracks(), cars(), areas)
def test_a_mirrored_track_takes_the_same_time(track, car, area):
    mirrored = track_of_segments(
        "mirrored",
        np.diff(track.edges),
        -track.curvature[:, 0],
        bank=track.bank[:, 0],
        gradient=track.gradient[:, 0],
    )
    assert float(lapped(mirrored, car, area).time) == float(lapped(track, car, area).time)


@FEWER
@given(tracks(), cars(), st.lists(areas, min_size=2, max_size=4))
def test_a_batch_is_a_loop(track, car, several):
    batch = lapped(track, car, np.array(several).T)
    alone = [float(lapped(track, car, one).time) for one in several]
    assert batch.time == pytest.approx(alone, rel=1e-6, nan_ok=True)


def test_shapes_are_kept_and_figures_of_the_car_may_be_drawn():
    track = track_of_segments("loop", [400.0, 150.0] * 2, [0.0, 0.02] * 2)
    car = {
        "mass": 1000.0,
        "front_share": 0.5,
        "friction": np.array([[1.0], [1.2], [1.4]]),
        "front_exponent": 0.86,
    }
    car |= {"rear_exponent": 0.86, "power": 150e3, "driven": "rear", "wheelbase": 2.5}
    lap = lapped(track, car, (np.linspace(0.0, 0.4, 4), 0.3, 0.6))
    assert lap.time.shape == (3, 4)
    assert lap.speed.shape == (3, 4, lap.stations.cells + 1)
    alone = lapped(track, {**car, "friction": 1.2}, (np.linspace(0.0, 0.4, 4), 0.3, 0.6))
    assert lap.time[1] == pytest.approx(alone.time, rel=1e-8)


@FEW
@given(tracks(level=True), cars(), areas, st.floats(0.5, 3.0))
def test_scaling_mass_areas_and_power_together_changes_nothing(track, car, area, scale):
    heavy = {**car, "mass": car["mass"] * scale, "power": car["power"] * scale}
    one, other = lapped(track, car, area), lapped(track, heavy, tuple(scale * a for a in area))
    assert float(one.time) == pytest.approx(float(other.time), rel=1e-6)


@FEW
@given(tracks(level=True), cars(power=2e6, rolling_resistance=0.0), st.floats(0.5, 3.0))
def test_a_track_scaled_by_length_scales_time_by_its_root_without_air(track, car, scale):
    """Without air and power's limit only g and the radii are left: time goes with the square root of length."""
    large = track_of_segments("large", np.diff(track.edges) * scale, track.curvature[:, 0] / scale)
    small = track_of_segments("small", np.diff(track.edges), track.curvature[:, 0])
    unlimited = {**car, "power": 1e9}
    one = lapped(small, unlimited, (0.0, 0.0, 0.0), step=2.0)
    other = lapped(large, unlimited, (0.0, 0.0, 0.0), step=2.0 * scale)
    if one.speed.max() * max(1.0, np.sqrt(scale)) < 140.0:  # beyond, the fastest car there is holds it back
        assert float(other.time) == pytest.approx(float(one.time) * np.sqrt(scale), rel=1e-3)


@FEWER
@given(tracks(), cars(), areas)
def test_half_the_step_moves_a_lap_by_less_than_a_thousandth(track, car, area):
    coarse, fine = lapped(track, car, area, step=2.0), lapped(track, car, area, step=1.0)
    assert float(fine.time) == pytest.approx(float(coarse.time), rel=1e-3)


@FEW
@given(tracks(), cars(), areas)
def test_no_station_is_beyond_what_the_tyres_hold(track, car, area):
    lap = lapped(track, car, area)
    forces = lap.forces
    for pace in corner_paces(lap):
        assert np.all(pace.lowest <= pace.limit * (1.0 + 1e-6)) or np.isfinite(lap.stopped_at)
    assert np.all(lap.speed > 0.0)
    assert np.isfinite(lap.time) or np.isfinite(lap.stopped_at)
    assert forces.shape == ()


@FEW
@given(tracks(), cars(), areas)
def test_corners_and_straights_make_up_the_lap(track, car, area):
    lap = lapped(track, car, area)
    if find_corners(track) and np.isfinite(lap.time):
        pieces = [one.time for one in (*corner_paces(lap), *straight_paces(lap))]
        assert float(np.sum(pieces)) == pytest.approx(float(lap.time), rel=1e-6)


def test_which_axle_limits_is_named():
    track = track_of_segments("loop", [200.0, 160.0] * 2, [0.0, 0.02] * 2)
    car = {"mass": 1000.0, "front_share": 0.5, "friction": 1.2, "front_exponent": 0.9, "rear_exponent": 0.9}
    car |= {"power": 150e3, "driven": "rear", "wheelbase": 2.5}
    more_rear, more_front = (
        corner_paces(lapped(track, car, one))[0] for one in ((0.1, 0.9, 0.6), (0.9, 0.1, 0.6))
    )
    assert str(more_rear.limited_by) == "front"
    assert str(more_front.limited_by) == "rear"
    assert more_rear.without_air < more_rear.limit
    weak = corner_paces(lapped(track, {**car, "power": 8e3}, (0.5, 0.5, 0.6)))[0]
    assert str(weak.limited_by) == "power"


def test_the_speed_of_a_place_is_the_lowest_about_it():
    track = track_of_segments("loop", [200.0, 160.0] * 2, [0.0, 0.02] * 2)
    car = {"mass": 1000.0, "front_share": 0.5, "friction": 1.2, "front_exponent": 0.9, "rear_exponent": 0.9}
    lap = lapped(
        track, {**car, "power": 150e3, "driven": "both", "wheelbase": 2.5}, (0.5, 0.5, 0.6), step=2.0
    )
    corner = float(corner_paces(lap)[0].lowest)
    assert lowest_near(lap, 280.0) == pytest.approx(corner)
    assert lowest_near(lap, 190.0) == pytest.approx(corner)  # 10 m before it
    assert lowest_near(lap, 100.0) > corner
    assert lowest_near(lap, 0.0) == pytest.approx(lowest_near(lap, track.length))
    with pytest.raises(DomainError, match="place"):
        lowest_near(lap, 9e4)


def test_a_car_out_of_balance_is_slower():
    track = track_of_segments("loop", [200.0, 160.0] * 2, [0.0, 0.02] * 2)
    car = {"mass": 1000.0, "front_share": 0.5, "friction": 1.2, "front_exponent": 0.9, "rear_exponent": 0.9}
    car |= {"power": 150e3, "driven": "both", "wheelbase": 2.5}
    lap = lapped(track, car, (np.array([0.5, 0.3, 0.7]), np.array([0.5, 0.7, 0.3]), 0.6))
    assert lap.time[0] < min(lap.time[1:])


def test_a_corner_that_cannot_be_taken_is_told_with_its_place():
    track = track_of_segments("off", [200.0, 80.0], [0.0, 0.02], bank=[0.0, -1.2])
    car = {"mass": 1000.0, "front_share": 0.5, "friction": 1.0, "front_exponent": 0.9, "rear_exponent": 0.9}
    lap = lapped(track, {**car, "power": 150e3, "driven": "both", "wheelbase": 2.5}, (0.1, 0.1, 0.6))
    assert np.isnan(lap.time)
    assert 195.0 <= lap.stopped_at <= 205.0 or lap.stopped_at == 0.0


def test_a_climb_beyond_the_car_is_told():
    track = track_of_segments("wall", [200.0, 500.0], [0.0, 0.0], gradient=[0.0, 2.0], closed=False)
    car = {"mass": 1000.0, "front_share": 0.5, "friction": 1.0, "front_exponent": 0.9, "rear_exponent": 0.9}
    lap = lapped(track, {**car, "power": 150e3, "driven": "rear", "wheelbase": 2.5}, (0.1, 0.1, 0.6))
    assert np.isnan(lap.time)
    assert lap.stopped_at > 200.0


@pytest.mark.parametrize(
    ("change", "told"),
    [
        ({"friction": 0.0}, "friction"),
        ({"mass": -1.0}, "mass"),
        ({"power": np.nan}, "power"),
        ({"front_share": 1.0}, "front_share"),
    ],
)
def test_no_car_is_refused_with_a_word(change, told):
    car = {"mass": 1000.0, "front_share": 0.5, "friction": 1.0, "front_exponent": 0.9, "rear_exponent": 0.9}
    with pytest.raises(DomainError, match=told):
        LapCar(**{**car, "power": 150e3, "driven": "rear", "wheelbase": 2.5, **change})


@FEW
@given(tracks(level=True))
def test_what_lacks_of_a_full_turn_is_said(track):
    found = closure(track)
    turns = (found.turned + found.missing) / (2.0 * np.pi)
    assert turns == pytest.approx(round(turns), abs=1e-9)
    oval = closure(track_of_segments("oval", [800.0, np.pi * 100.0] * 2, [0.0, -0.01] * 2))
    assert oval.meets
    assert oval.gap == pytest.approx(0.0, abs=0.01)
    assert oval.turned == pytest.approx(-2.0 * np.pi)


@pytest.mark.parametrize("height", [None, 0.48])
@pytest.mark.parametrize("driven", ["front", "rear", "both"])
def test_lap_time_is_smooth_on_either_side_of_the_kink(driven, height):
    """A small part is worth a small time: no jitter of the steps may hide it."""
    track = track_of_segments(
        "loop", [300.0, 60.0, 200.0, 90.0, 500.0, 120.0], [0.0, 1 / 40, 0.0, 1 / 60, 0.0, -1 / 90]
    )
    car = {
        "mass": 1290.0,
        "front_share": 0.54,
        "friction": 1.15,
        "front_exponent": 0.86,
        "rear_exponent": 0.86,
    }
    car |= {"power": 230e3, "driven": driven, "wheelbase": 2.575, "cg_height": height}
    front = np.linspace(0.02, 0.52, 51)
    time = lapped(track, car, (front, 0.23, 0.7), step=2.0).time
    assert np.all(np.diff(time) < 0.0)
    bends = np.abs(np.diff(time, 2))
    assert np.sort(bends)[:-6].max() < 2e-4  # all but those about the kink


@FEW
@given(
    tracks(closed=False) | tracks(),
    cars(),
    st.floats(0.02, 6.0),
    st.tuples(st.floats(-4.0, 8.0), st.floats(-4.0, 8.0), st.floats(-0.5, 4.0)),
    st.floats(1e3, 5e6),
)
def test_whatever_the_car_there_is_a_time_or_the_place_where_it_stops(track, car, friction, area, power):
    lap = lapped(track, {**car, "friction": friction, "power": power}, area)
    assert np.isfinite(lap.time) != np.isfinite(lap.stopped_at)
    assert np.all(np.isfinite(lap.speed))
    if np.isfinite(lap.time):
        assert float(lap.time) >= track.length / 150.0 * (1.0 - 1e-9)


@pytest.mark.parametrize("closed", [True, False])
def test_a_straight_alone_is_a_track(closed):
    track = track_of_segments("line", [20_000.0], [0.0], closed=closed)
    car = {"mass": 1000.0, "front_share": 0.5, "friction": 1.0, "front_exponent": 0.9, "rear_exponent": 0.9}
    lap = lapped(
        track, {**car, "power": 150e3, "driven": "rear", "wheelbase": 2.5}, (0.1, 0.1, 0.6), step=20.0
    )
    (straight,) = straight_paces(lap)
    assert corner_paces(lap) == ()
    assert bool(straight.drag_limited)
    assert lap.speed[-1] == pytest.approx(float(straight.top), rel=1e-3)
    if closed:
        assert float(lap.time) == pytest.approx(track.length / float(straight.top), rel=1e-3)


def test_what_no_lap_can_be_made_of_is_refused():
    track = track_of_segments("line", [500.0], [0.0], closed=False)
    car = {"mass": 1000.0, "front_share": 0.5, "friction": 1.0, "front_exponent": 0.9, "rear_exponent": 0.9}
    car |= {"power": 150e3, "driven": "rear", "wheelbase": 2.5}
    with pytest.raises(DomainError, match="front area"):
        lapped(track, car, (np.nan, 0.1, 0.6))
    with pytest.raises(DomainError, match="air density"):
        simulate_lap(track, LapCar(**car), front_area=0.1, rear_area=0.1, drag_area=0.6)
    with pytest.raises(DomainError, match="step"):
        lapped(track, car, (0.1, 0.1, 0.6), step=0.0)
    with pytest.raises(DomainError, match="entry speed"):
        lapped(track, car, (0.1, 0.1, 0.6), entry_speed=0.0)


@pytest.mark.parametrize(
    ("lengths", "turns"),
    [([], []), ([100.0, 0.0], [0.0, 0.0]), ([100.0, -5.0], [0.0, 0.0]), ([100.0], [np.inf])],
)
def test_what_is_no_line_is_refused(lengths, turns):
    with pytest.raises(DomainError, match="any"):
        track_of_segments("any", lengths, turns)
