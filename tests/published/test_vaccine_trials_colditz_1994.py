"""Thirteen trials of one vaccine that differ by far more than their own errors.

G. A. Colditz et al., "Efficacy of BCG vaccine in the prevention of tuberculosis", Journal of the American Medical
Association 271 (1994) 698-702: cases and others among the vaccinated and the controls. The results are those that public
statistics libraries document for these trials; the range for the next trial is computed outside this project.
"""

import numpy as np
import pytest

import balance

TRIALS = np.array(
    [
        (4, 119, 11, 128),
        (6, 300, 29, 274),
        (3, 228, 11, 209),
        (62, 13536, 248, 12619),
        (33, 5036, 47, 5761),
        (180, 1361, 372, 1079),
        (8, 2537, 10, 619),
        (505, 87886, 499, 87892),
        (29, 7470, 45, 7232),
        (17, 1699, 65, 1600),
        (186, 50448, 141, 27197),
        (5, 2493, 3, 2338),
        (27, 16886, 29, 17825),
    ],
    float,
)


def log_risk_ratios():
    """Give the logarithm of each trial's ratio of risks, and its variance."""
    ill, well, control_ill, control_well = TRIALS.T
    treated, controls = ill + well, control_ill + control_well
    ratio = np.log(ill / treated / (control_ill / controls))
    return ratio, 1 / ill - 1 / treated + 1 / control_ill - 1 / controls


def test_by_dersimonian_and_laird(printed):
    pooled = balance.pool_effects(*log_risk_ratios(), "DL")
    # the share of the scatter that the trials' own errors do not explain, in per cent
    beyond = 100.0 * (pooled.heterogeneity - 12.0) / pooled.heterogeneity
    for found, text in (
        (pooled.heterogeneity, "152.2330"),
        (beyond, "92.1173"),
        (pooled.mean, "-0.7141"),
        (pooled.between_variance, "0.3088"),
    ):
        figure = printed(text)
        assert found == pytest.approx(figure.value, rel=0, abs=figure.half), text


def test_by_restricted_likelihood_and_the_next_trial(printed):
    pooled = balance.pool_effects(*log_risk_ratios())
    for found, text in (
        (pooled.between_variance, "0.313"),
        (pooled.next_interval_t[0], "-2.008376"),
        (pooled.next_interval_t[1], "0.579311"),
    ):
        figure = printed(text)
        assert found == pytest.approx(figure.value, rel=0, abs=figure.half), text
