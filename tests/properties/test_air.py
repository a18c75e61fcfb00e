"""The widest air and speed that anybody measures a car in, and what is assumed of air that is half known: at the bounds.

The bounds are common practice, no source.
"""

import pytest

from balance.model.errors import DomainError
from balance.model.what_ifs import Air
from balance.reduce.air import dynamic_pressure, moist_air_density, speed_at
from balance.reduce.standard_atmosphere import density_of, standard_atmosphere

PLAIN = {"temperature": 293.15, "pressure": 101325.0, "humidity": 0.5}


@pytest.mark.parametrize(
    ("name", "inside", "outside"),
    [
        ("temperature", (230.0, 330.0), (229.9, 330.1)),
        ("pressure", (50e3, 115e3), (49_999.0, 115_001.0)),
        ("humidity", (0.0, 1.0), (-0.001, 1.001)),
    ],
)
def test_air_beyond_any_weather_is_refused_and_named(name, inside, outside):
    for value in inside:
        assert moist_air_density(**{**PLAIN, name: value}) > 0.0
    for value in outside:
        with pytest.raises(DomainError, match=f"{name}: found"):
            moist_air_density(**{**PLAIN, name: value})
        with pytest.raises(DomainError, match=f"{name}: found"):
            moist_air_density(**{**PLAIN, name: [PLAIN[name], value]})


@pytest.mark.parametrize("function", [dynamic_pressure, speed_at])
def test_one_impossible_speed_pressure_or_density_among_many_is_refused(function):
    assert function(0.0, 1.2) == 0.0
    for wrong in ((-0.1, 1.2), ([1.0, -0.1], 1.2), (1.0, 0.0), (1.0, [1.2, 0.0]), (1.0, float("inf"))):
        with pytest.raises(DomainError, match="found"):
            function(*wrong)


@pytest.mark.parametrize(
    ("altitude", "known"), [(-500.0, True), (-501.0, False), (5000.0, True), (5001.0, False)]
)
def test_the_standard_atmosphere_is_that_of_roads(altitude, known):
    """ISO 2533 at -500 m and 5000 m, from memory: 291.400 K and 107478 Pa; 255.676 K and 54048 Pa."""
    if known:
        temperature, pressure = standard_atmosphere(altitude)
        expected = (291.400, 107_478.0) if altitude < 0.0 else (255.676, 54_048.0)
        assert (float(temperature), float(pressure)) == pytest.approx(expected, rel=1e-5)
    else:
        with pytest.raises(DomainError, match="altitude"):
            standard_atmosphere(altitude)


@pytest.mark.parametrize(
    ("air", "assumed"),
    [
        ({"altitude": 0.0}, ("standard atmosphere at that altitude, dry",)),
        ({"temperature": 288.15, "pressure": 101325.0, "humidity": 0.0}, ()),
        ({"temperature": 288.15, "pressure": 101325.0}, ("humidity of 50 %",)),
        (
            {"altitude": 0.0, "pressure": 101325.0, "humidity": 0.0},
            ("temperature of the standard atmosphere at that altitude",),
        ),
        (
            {"altitude": 0.0, "humidity": 0.0},
            ("temperature and pressure of the standard atmosphere at that altitude",),
        ),
        ({"altitude": 3000.0, "temperature": 288.15, "pressure": 101325.0, "humidity": 0.0}, ()),
    ],
)
def test_what_is_assumed_of_air_that_is_half_known(air, assumed):
    """All of it is sea level at 15 degrees, 1.225 kg/m³ (ISO 2533, from memory); half of saturation, 853 Pa, takes 0.378 of its share off it."""
    density, said = density_of(Air(**air))
    assert said == assumed
    assert density == pytest.approx(1.225 * (0.9968 if "humidity of 50 %" in assumed else 1.0), rel=6e-4)


@pytest.mark.parametrize(
    "air",
    [{}, {"temperature": 290.0}, {"pressure": 1e5}, {"humidity": 0.5}, {"density": 0.0}, {"density": 10.0}],
)
def test_too_little_is_known_of_air_or_what_is_none(air):
    with pytest.raises(DomainError, match="air"):
        density_of(Air(**air))
    assert density_of(Air(density=9.99)) == (9.99, ())
