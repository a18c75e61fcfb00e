"""Pooling over cars against an independent library, where both do the same."""

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

import balance


@given(
    values=arrays(float, st.shared(st.integers(3, 15), key="cars"), elements=st.floats(-100.0, 100.0)),
    errors=arrays(float, st.shared(st.integers(3, 15), key="cars"), elements=st.floats(0.5, 20.0)),
)
@pytest.mark.parametrize(("between", "theirs"), [("DL", "chi2"), ("PM", "iterated")])
def test_mean_variance_and_interval(between, theirs, values, errors):
    from statsmodels.stats.meta_analysis import combine_effects

    variances = np.square(errors)
    ours = balance.pool_effects(values, variances, between)
    # theirs lets moments fall below 0, and says 0 where its last step goes past the root by a rounding
    assume(ours.between_variance > 0.0)
    steps = {"maxiter": 100, "atol": 1e-13} if between == "PM" else {}
    them = combine_effects(values, variances, method_re=theirs, **steps)
    assume(them.tau2 > 0.0)
    assert ours.heterogeneity == pytest.approx(them.q, rel=1e-8)
    assert ours.between_variance == pytest.approx(them.tau2, rel=1e-6, abs=1e-8)
    assert ours.mean == pytest.approx(them.mean_effect_re, rel=1e-6, abs=1e-6)
    assert ours.std == pytest.approx(them.sd_eff_w_re, rel=1e-6)
    plain = them.conf_int(use_t=False)[1]
    assert ours.plain_interval == pytest.approx(plain, rel=1e-6, abs=1e-5)
    if them.scale_hksj_re >= 1.0:
        assert ours.interval == pytest.approx(them.conf_int(use_t=True)[3], rel=1e-6, abs=1e-5)
