"""One quantity measured by nine laboratories: the consensus, and how far laboratories differ.

R. N. Kacker, "Combining information from interlaboratory evaluations using a random effects model", Metrologia 41 (2004)
132-136, table 1. The results are those that a public statistics library documents for these figures; the variance by
restricted likelihood is computed outside this project.
"""

import pytest

import balance

ROUNDING_OF_THE_SOURCE = 1e-10
"""The source takes squared distances as a difference of sums some 1e4 times as large, and steps towards a variance:
in fractions, with no rounding, the squared distances are 24.801897741748, where it prints 24.801897741835."""

VALUES = [61.0, 61.4, 62.21, 62.3, 62.34, 62.6, 62.7, 62.84, 65.9]
VARIANCES = [0.2025, 1.21, 0.09, 0.2025, 0.3844, 0.5625, 0.0676, 0.0225, 1.8225]


def test_by_dersimonian_and_laird(printed):
    pooled = balance.pool_effects(VALUES, VARIANCES, "DL")
    for found, text in (
        (pooled.heterogeneity, "24.801897741835"),
        (pooled.between_variance, "0.288049246974"),
        (pooled.mean, "62.3901386045"),
        (pooled.std, "0.2457496680"),
        (pooled.interval[0], "61.7103837981"),
        (pooled.interval[1], "63.0698934108"),
    ):
        figure = printed(text)
        assert found == pytest.approx(figure.value, rel=0, abs=max(figure.half, ROUNDING_OF_THE_SOURCE)), text


def test_by_paule_and_mandel(printed):
    pooled = balance.pool_effects(VALUES, VARIANCES, "PM")
    for found, text in ((pooled.between_variance, "0.705395309224"), (pooled.mean, "62.4076199113")):
        figure = printed(text)
        assert found == pytest.approx(figure.value, rel=0, abs=max(figure.half, ROUNDING_OF_THE_SOURCE)), text


def test_by_restricted_likelihood(printed):
    figure = printed("0.2943429")
    found = balance.pool_effects(VALUES, VARIANCES).between_variance
    assert found == pytest.approx(figure.value, rel=0, abs=figure.half)
