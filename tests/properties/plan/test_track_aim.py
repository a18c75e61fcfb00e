"""A day that is to choose the least lap time: what loads are worth is what they do to the lap."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from balance.decide.day.day import reduce_day
from balance.decide.laps.lap import simulate_lap
from balance.decide.laps.lap_car import lap_car
from balance.decide.plan.day_belief import belief_of_day
from balance.decide.plan.planned_day import plan_day
from balance.decide.plan.track_merit import merit_on_track
from balance.files.loader import load_session
from balance.model.errors import DomainError
from balance.model.plans import Choose, DayPlan
from balance.model.tracks import track_of_segments

HATCH = Path(__file__).parents[3] / "vehicles" / "brindlow_hatch" / "tunnel_day"
TRACK = track_of_segments("loop", [500.0, 180.0] * 2, [0.0, np.pi / 180.0] * 2)
PLAN = DayPlan(aim=Choose(track="loop"))


@pytest.fixture(scope="module")
def day():
    return reduce_day(load_session(HATCH), draws=400)


@pytest.fixture(scope="module")
def stand(day):
    return belief_of_day(day, PLAN)


def lap_of(stand, areas):
    front, rear, drag = areas
    vehicle = stand.session.vehicle
    return float(
        simulate_lap(
            TRACK, lap_car(vehicle), front_area=front, rear_area=rear, drag_area=drag, air_density=1.2
        ).time
    )


def test_merit_is_what_the_lap_gains(stand):
    """A little more downforce in balance, and a little less drag, gain what the laps themselves say."""
    merit = merit_on_track(stand, TRACK)
    assert merit.unit == "s"
    means = stand.belief.mean(list(stand.tried))
    fastest = min(means, key=lambda areas: lap_of(stand, areas))
    share = stand.session.vehicle.front_share
    more = np.array([share, 1.0 - share, 0.0])
    gained = lap_of(stand, fastest - 0.02 * more) - lap_of(stand, fastest + 0.02 * more)
    assert merit.weights @ (0.04 * more) == pytest.approx(gained, rel=0.01)
    lost = lap_of(stand, fastest + np.array([0.0, 0.0, 0.02])) - lap_of(stand, fastest)
    assert merit.weights @ [0.0, 0.0, 0.02] == pytest.approx(-lost, rel=0.01)
    # the band costs as much as where the aim is load, brought to seconds by what a newton of downforce gains
    assert merit.beyond_front > merit.beyond_rear > 0.0


def test_a_day_is_planned_in_seconds(day):
    planned = plan_day(day.session, day, PLAN, track=TRACK)
    assert planned.why_not == ""
    assert planned.found.unit == "s"
    assert all(0.0 <= run.worth < 2.0 for run in planned.found.runs)  # seconds of a lap of half a minute
    assert planned.found.merit > planned.found.start_merit


@pytest.mark.parametrize(
    ("track", "words"),
    [
        ("plan: aim: track: found 'lop', expected one of: loop", "plan: aim: track: found 'lop'"),
        (None, "for which loads are not valued here"),
    ],
)
def test_a_track_that_cannot_be_had_is_told_and_the_order_stands(day, track, words):
    planned = plan_day(day.session, day, PLAN, track=track)
    assert planned.found is None
    assert words in planned.why_not
    assert planned.order is not None


def test_a_car_without_friction_is_told(day):
    session = replace(day.session, vehicle=replace(day.session.vehicle, friction=None))
    planned = plan_day(session, reduce_day(session, draws=200), PLAN, track=TRACK)
    assert planned.found is None
    assert "[tyres] friction" in planned.why_not


def test_a_straight_where_downforce_gains_nothing_is_told(stand):
    straight = track_of_segments("strip", [1000.0], [0.0], closed=False)
    car = replace(stand.session.vehicle, power=2e3)
    weak = replace(stand, session=replace(stand.session, vehicle=car))
    with pytest.raises(DomainError, match="downforce costs time"):
        merit_on_track(weak, straight)
