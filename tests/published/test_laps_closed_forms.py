"""A point mass round a circle, along a straight and over an oval, against closed forms.

Car: mass 620 kg, drag 0.72 V², downforce 2.15 V² (N, m/s), 550 kW, as printed in B. Lenzo, V. Rossi, Applied Sciences 10
(2020) 1498. The closed forms follow from Newton's law for a point mass and are computed, none of them by our code; they agree
with a solver of differential equations to 3e-10 m. The source's g is 9.81 m/s²; ours is standard, so that friction is
raised by the quotient and the downforce lowered by it: every product stays.
"""

import numpy as np
import pytest

from balance.decide.laps.lap import simulate_lap
from balance.decide.laps.lap_car import LapCar
from balance.handling.axle_loads import STANDARD_GRAVITY
from balance.model.tracks import track_of_segments

MASS, DRAG, DOWNFORCE, POWER = 620.0, 0.72, 2.15, 550e3
HEAVIER = 9.81 / STANDARD_GRAVITY
WITHIN = 5e-4  # of a lap in steps of 2 m: what was asked for


def point_mass(**figures):
    """Build a car whose axles are loaded alike, both driven: no point mass has a balance."""
    stated = {
        "mass": MASS,
        "front_share": 0.45,
        "friction": HEAVIER,
        "front_exponent": 1.0,
        "rear_exponent": 1.0,
        "power": POWER,
        "driven": "both",
        "wheelbase": 2.8,
        "rolling_resistance": 0.0,
    }
    return LapCar(**{**stated, **figures})


def lapped(track, car, *, downforce=DOWNFORCE, drag=DRAG, **options):
    """Lap it in air of 2 kg/m³, in which an area is a force over the square of the speed."""
    area = downforce / HEAVIER
    return simulate_lap(
        track, car, front_area=0.45 * area, rear_area=0.55 * area, drag_area=drag, air_density=2.0, **options
    )


def circle(radius):
    return track_of_segments("circle", [2.0 * np.pi * radius], [1.0 / radius])


def oval():
    return track_of_segments("oval", [800.0, 100.0 * np.pi] * 2, [0.0, 0.01] * 2)


@pytest.mark.parametrize(
    ("radius", "downforce", "drag", "speed"),
    [
        (100.0, 0.0, 0.0, "31.320920"),
        (100.0, DOWNFORCE, 0.0, "38.752778"),
        (100.0, DOWNFORCE, DRAG, "38.554958"),
        (200.0, 0.0, 0.0, "44.294469"),
        (200.0, DOWNFORCE, 0.0, "80.014472"),
        (200.0, DOWNFORCE, DRAG, "76.750678"),
    ],
)
def test_circle(radius, downforce, drag, speed, printed):
    lap = lapped(circle(radius), point_mass(), downforce=downforce, drag=drag)
    expected = printed(speed)
    assert lap.speed == pytest.approx(expected.value, abs=2.0 * expected.half)
    assert float(lap.time) == pytest.approx(2.0 * np.pi * radius / expected.value, rel=1e-6)


@pytest.mark.parametrize("step", [4.0, 2.0, 1.0])
def test_straight_with_power_alone(step):
    """40 to 80 m/s in 293.332769 m and 4.485375803 s."""
    track = track_of_segments("straight", [293.332769], [0.0], closed=False)
    lap = lapped(track, point_mass(traction=False), entry_speed=40.0, step=step)
    share = (step / 2.0) ** 2  # a step that goes by its middle is of second order
    assert lap.speed[-1] == pytest.approx(80.0, rel=2e-4 * share)
    assert float(lap.time) == pytest.approx(4.485375803, rel=2e-4 * share)


def test_straight_without_drag():
    """Constant power and nothing else: v³ = v0³ + 3 P s / m; elementary, no source."""
    track = track_of_segments("straight", [500.0], [0.0], closed=False)
    lap = lapped(track, point_mass(traction=False), drag=0.0, downforce=0.0, entry_speed=30.0)
    assert lap.speed[-1] == pytest.approx((30.0**3 + 3.0 * POWER * 500.0 / MASS) ** (1 / 3), rel=1e-4)


@pytest.mark.parametrize(("step", "share"), [(4.0, 4.0), (2.0, 1.0), (1.0, 0.25)])
def test_braking(step, share):
    """88.789978 to 38.554958 m/s in 110.21239 m: an open end of a straight that a corner follows, without drive in it."""
    # The corner's radius is chosen so that its limit without drive is the printed end of the braking.
    u = 38.554958**2
    bend = 9.81 * (1.0 + DOWNFORCE * u / (MASS * 9.81)) / u
    track = track_of_segments("brake", [110.21239, 60.0], [0.0, bend], closed=False)
    lap = lapped(track, point_mass(power=5e6), entry_speed=140.0, step=step)
    assert lap.speed[0] == pytest.approx(88.789978, rel=2e-4 * share)
    c = (DOWNFORCE + DRAG) / MASS
    root = np.sqrt(c / 9.81)
    wanted = (np.arctan(88.789978 * root) - np.arctan(38.554958 * root)) / np.sqrt(9.81 * c)
    at = np.searchsorted(lap.distance, 110.21239 - 1e-6)
    assert lap.elapsed[at] == pytest.approx(wanted, rel=2e-4 * share)


@pytest.mark.parametrize(
    ("traction", "time", "peak"), [(False, 38.332835, 88.789978), (True, 38.493558, 88.729858)]
)
def test_oval(traction, time, peak):
    lap = lapped(oval(), point_mass(traction=traction))
    assert float(lap.time) == pytest.approx(time, rel=WITHIN)
    assert lap.speed.max() == pytest.approx(peak, rel=WITHIN)
    assert lap.speed.min() == pytest.approx(38.554958, abs=1e-6)


def test_the_oval_converges_with_the_step():
    """Toward a lap 0.036 % under the closed form, which brakes to the speed that the corner holds, not to that at its entry."""
    times = [float(lapped(oval(), point_mass(), step=step).time) for step in (4.0, 2.0, 1.0, 0.5)]
    steps = np.abs(np.diff(times))
    assert np.all(steps[1:] < 0.4 * steps[:-1])
    assert times[-1] == pytest.approx(38.493558, rel=WITHIN)


def test_what_a_percent_is_worth_on_the_oval():
    """Power alone: -0.060158 s for a percent of downforce, +0.026790 s for one of drag; within 2 % of either."""
    track, car = oval(), point_mass(traction=False)
    area = DOWNFORCE / HEAVIER
    lap = simulate_lap(
        track,
        car,
        front_area=0.45 * area * np.array([1.005, 0.995, 1.0, 1.0]),
        rear_area=0.55 * area * np.array([1.005, 0.995, 1.0, 1.0]),
        drag_area=DRAG * np.array([1.0, 1.0, 1.005, 0.995]),
        air_density=2.0,
    )
    assert lap.time[0] - lap.time[1] == pytest.approx(-0.060158, rel=0.02)
    assert lap.time[2] - lap.time[3] == pytest.approx(0.026790, rel=0.02)


@pytest.mark.parametrize("bank", [0.0, 0.05, 0.2, -0.1])
def test_banked_corner(bank):
    """v² = g R (sin b + mu cos b)/(cos b - mu sin b): textbook closed form, from memory."""
    friction, radius = 0.9, 80.0
    track = track_of_segments("bowl", [2.0 * np.pi * radius], [1.0 / radius], bank=bank)
    lap = lapped(track, point_mass(friction=friction), downforce=0.0, drag=0.0)
    lifted = (np.sin(bank) + friction * np.cos(bank)) / (np.cos(bank) - friction * np.sin(bank))
    assert lap.speed == pytest.approx(np.sqrt(STANDARD_GRAVITY * radius * lifted), rel=1e-8)


@pytest.mark.parametrize(
    ("mass", "radius", "friction", "speed", "downforce", "within"),
    [
        # D. Halliday, R. Resnick, J. Walker, Fundamentals of Physics, sample problem on negative lift, from memory
        (600.0, 100.0, 0.75, 28.6, 663.7, 0.01),
        # J. Cutnell, K. Johnson, Physics, 9th ed., ch. 5, problem 22, from memory: friction printed as 0.91
        (830.0, 160.0, 0.91, 58.0, 11_000.0, 0.005),
    ],
)
def test_textbook_downforce(mass, radius, friction, speed, downforce, within):
    lap = lapped(
        circle(radius),
        point_mass(mass=mass, friction=friction * 9.8 / STANDARD_GRAVITY),
        downforce=downforce / speed**2 * HEAVIER * STANDARD_GRAVITY / 9.8,
        drag=0.0,
    )
    assert lap.speed == pytest.approx(speed, rel=within)


def test_top_speed_falls_with_the_cube_root_of_drag():
    """d ln V / d ln kx = -1/3 with constant power: exact."""
    track = track_of_segments("endless", [60_000.0], [0.0], closed=False)
    lap = simulate_lap(
        track, point_mass(), front_area=0.0, rear_area=0.0, drag_area=DRAG * np.array([0.99, 1.01]), air_density=2.0,
        step=50.0, entry_speed=60.0,
    )  # fmt: skip
    slope = np.diff(np.log(lap.speed[:, -1]))[0] / np.log(1.01 / 0.99)
    assert slope == pytest.approx(-1.0 / 3.0, rel=1e-5)
