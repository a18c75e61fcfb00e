"""A slope and its uncertainty by least squares: JCGM 100:2008 (GUM), example H.3, calibration of a thermometer.

The corrections stand for readings of one configuration, the temperatures for the running order.
"""

from types import SimpleNamespace

import numpy as np
import pytest

from balance.compare.drift import _fit
from balance.records import Triple

TEMPERATURE = [21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.010, 26.511]
CORRECTION = [-0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.160]


def fit(correction):
    """Fit one channel; dynamic pressure 1 Pa, so that forces are areas."""
    count = len(correction)
    readings = SimpleNamespace(
        runs=tuple(SimpleNamespace(block="", reading=Triple(front=b, rear=b, drag=b)) for b in correction),
        labels=tuple(str(k) for k in range(count)),
        areas=np.repeat(np.array(correction)[:, None], 3, axis=1),
        force_pressure=np.ones(count),
        resolution=np.zeros((count, 3)),
    )
    rows = tuple(range(count))
    fitted = SimpleNamespace(groups=np.zeros(count, int), sets=(rows,) * count)
    drift, _ = _fit(readings, fitted, (rows,), rows, np.array(TEMPERATURE), 1.0, 0.95)
    return drift


def test_slope_and_its_standard_uncertainty():
    drift = fit(CORRECTION)
    assert drift.degrees_of_freedom == 9
    assert drift.slope[0] == pytest.approx(0.00218, rel=0, abs=5e-6)
    assert drift.std[0] == pytest.approx(0.00067, rel=0, abs=5e-6)
    assert drift.resolved[0]


def test_a_common_error_leaves_slope_and_uncertainty_unchanged():
    """H.3.4: a common error of 0.005 in every reading."""
    drift, moved = fit(CORRECTION), fit([b + 0.005 for b in CORRECTION])
    assert moved.slope == pytest.approx(drift.slope, rel=1e-9)
    assert moved.std == pytest.approx(drift.std, rel=1e-9)
