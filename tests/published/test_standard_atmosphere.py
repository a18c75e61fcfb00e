"""Density of the standard atmosphere: ISO 2533:1975, geometric altitude (from memory; US 1976 has the same)."""

import pytest

from balance.model.what_ifs import Air
from balance.reduce.standard_atmosphere import density_of


@pytest.mark.parametrize(
    ("altitude", "density"),
    [(0.0, "1.2250"), (500.0, "1.1673"), (1000.0, "1.1117"), (1500.0, "1.0581"), (2000.0, "1.0066")],
)
def test_density(printed, altitude, density):
    expected = printed(density)
    assert density_of(Air(altitude=altitude))[0] == pytest.approx(expected.value, abs=expected.half)


def test_what_is_known_stands_before_the_standard():
    warm, assumed = density_of(Air(altitude=1000.0, temperature=303.15))
    assert warm < density_of(Air(altitude=1000.0))[0]
    assert assumed == ("pressure of the standard atmosphere at that altitude", "humidity of 50 %")
    assert density_of(Air(density=1.18, altitude=1000.0)) == (1.18, ())
