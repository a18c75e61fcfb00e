"""Grip exponent, surplus, onset and verdict of a car on a published tyre.

H. B. Pacejka, Tire and Vehicle Dynamics, 2nd ed. 2006, table A3.1, 205/60R15 91V (second-hand): nominal wheel load
4000 N, pDy1 -0.990, pDy2 0.145: peak friction 0.990 - 0.145 (Fz - 4000) / 4000, so 1.0625, 0.990, 0.9175 and 0.845 at 2,
4, 6 and 8 kN. All else is derived by hand, and the arithmetic stands beside it: the car is invented, 4000 N on each wheel
at rest, 8000 N an axle.
"""

import numpy as np
import pytest

from balance.decide.day.assessment import assess
from balance.decide.day.day import reduce_day
from balance.decide.day.verdict import VerdictWord
from balance.handling.grip import grip_surplus
from balance.handling.onset import onset_pressure
from tests.properties.conftest import build_session, build_vehicle

EXPONENT = 0.853535
"""d ln(mu Fz) / d ln Fz = 1 + (Fz / mu) dmu/dFz = 1 - 0.145 / 0.990 at 4000 N."""
TABLE = [(2000.0, 1.0625), (4000.0, 0.990), (6000.0, 0.9175), (8000.0, 0.845)]
AREA, DENSITY = 0.25, 1.2


def test_the_exponent_stands_between_those_of_the_tables_neighbours():
    """By ln(mu Fz) over ln Fz, 2 to 4 kN and 4 to 6 kN: 0.898 and 0.812; friction falls with load, and so does it."""
    load, friction = np.array(TABLE).T
    chords = np.diff(np.log(load * friction)) / np.diff(np.log(load))
    assert chords[:2] == pytest.approx([0.898, 0.812], abs=5e-4)
    assert chords[1] < EXPONENT < chords[0]


@pytest.mark.parametrize(
    ("front", "rear", "by_exponent", "by_table"),
    [
        # rear alone 4400 N a wheel, friction 0.9755: 1.10 x 0.9755 / 0.990; by the exponent 1.10^0.853535
        (0.0, 0.10, 0.084751, 0.083889),
        # 4160 and 4400 N, 0.9842 and 0.9755: 1.07305 / 1.023568; (1.10 / 1.04)^0.853535
        (0.04, 0.10, 0.049039, 0.048343),
        (0.10, 0.04, -0.046746, -0.046113),
        # front alone 4200 N, 0.98275: 0.990 / (1.05 x 0.98275); 1.05^-0.853535
        (0.05, 0.0, -0.040789, -0.040593),
    ],
)
def test_the_surplus_is_that_of_the_tyre(front, rear, by_exponent, by_table):
    found = grip_surplus(front, rear, front_exponent=EXPONENT, rear_exponent=EXPONENT)
    assert found == pytest.approx(by_exponent, rel=0, abs=1e-6)
    assert found == pytest.approx(by_table, rel=0, abs=1e-3)  # a tangent: the tyre bends away from it


@pytest.fixture
def day():
    """The car with 0.25 m^2 of downforce area on one axle, of which all is known well."""

    def make(front, rear):
        weights = {"mass": 16000.0 / 9.80665, "front_share": 0.5}  # four wheels of 4000 N
        car = build_vehicle(grip=(EXPONENT, EXPONENT), exact=True, **weights)
        pressure = 0.5 * DENSITY * 50.0**2
        reading = (front * pressure, rear * pressure, 500.0)
        return reduce_day(build_session([reading], vehicle=car, deviation=(1e-3, 1e-3, 1e-3)), draws=500)

    return make


@pytest.mark.parametrize(
    ("areas", "onset", "by_table", "word"),
    [
        # 3 %: 1.03^(1 / 0.853535) - 1 = 0.035238 of 8000 N is 281.9 N; over 0.25 m^2 1127.6 Pa; 43.35 m/s in 1.2 kg/m^3.
        # By the table (1 + e)(0.990 - 0.145 e) = 1.03 x 0.990: e = 0.035363, 1131.6 Pa, 43.43 m/s.
        ((0.0, AREA), 43.351, 43.428, VerdictWord.REAR_OVERPOWERS),
        # -1.5 %: 0.985^(-1 / 0.853535) - 1 = 0.017865, 571.7 Pa, 30.87 m/s; by the table e = 0.017897, 30.89 m/s
        ((AREA, 0.0), 30.867, 30.895, VerdictWord.FRONT_OVERPOWERS),
    ],
)
def test_onset_and_verdict_are_those_of_the_tyre(day, areas, onset, by_table, word):
    made = day(*areas)
    found = assess(made, air_density=DENSITY).onsets
    assert found.speed[0] == pytest.approx(onset, rel=0, abs=1e-3)
    assert found.speed[0] == pytest.approx(by_table, rel=3e-3)
    assert found.low[0] == pytest.approx(onset, rel=1e-4)
    assert found.high[0] == pytest.approx(onset, rel=1e-4)
    assert found.verdict == (word,)
    for speed, expected in ((by_table - 0.5, VerdictWord.IN_BALANCE), (by_table + 0.5, word)):
        judged = assess(made, speed=speed, air_density=DENSITY).handling.verdicts[0]
        assert judged.word is expected


def test_each_axle_has_its_own_tyre():
    """8 kN a wheel at the rear: exponent 1 - 2 x 0.145 / 0.845 = 0.656805; 1.03^(1 / 0.656805) - 1 = 0.046032."""
    found = onset_pressure(0.0, 1e-4, 0.03, front_exponent=EXPONENT, rear_exponent=0.656805)
    assert found == pytest.approx(460.32, rel=0, abs=0.01)
