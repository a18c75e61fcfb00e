"""A part of a library on a car: added as it is expected, with its doubt, and refused where too little is known."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from balance.decide.car.expected_change import expected_covariance
from balance.decide.car.prepared_day import prepare_day
from balance.decide.day.day import reduce_day
from balance.decide.what_if.what_if import evaluate_what_if
from balance.model.errors import InputError
from balance.model.libraries import FromLibrary
from balance.model.what_ifs import StatedChange, WhatIf

PRESSURE = 0.5 * 1.2 * 50.0**2
DRAWS = 40_000
KNOWN = FromLibrary(part="wing", cars=7, mean=(-0.02, 0.2, 0.03), std=(0.01, 0.04, 0.005), front_rear=-0.6)
START = WhatIf(start="1")


@pytest.fixture(scope="module")
def prepared(make_session, make_vehicle):
    return prepare_day(reduce_day(make_session([(300.0, 400.0, 600.0)], vehicle=make_vehicle()), draws=DRAWS))


def test_it_is_added_to_the_start(prepared):
    found = evaluate_what_if(prepared, replace(START, library=(KNOWN,)))
    by_hand = [-0.02 * PRESSURE, 0.2 * PRESSURE, 0.03 * PRESSURE, 0.18 * PRESSURE]
    assert found.forces.value.tolist() == pytest.approx(by_hand)


def test_its_doubt_is_in_draws_and_deviations(prepared):
    found = evaluate_what_if(prepared, replace(START, library=(KNOWN,)))
    start = evaluate_what_if(prepared, START)
    draws = found.result.draws - start.result.draws
    # what n draws can show of a standard deviation: itself over the root of 2 n (JCGM 100:2008, E.4.3); five of these
    near = 5.0 / np.sqrt(2.0 * DRAWS)
    assert draws.std(axis=1) == pytest.approx(KNOWN.std, rel=near)
    assert draws.mean(axis=1) == pytest.approx(KNOWN.mean, abs=5.0 * 0.04 / np.sqrt(DRAWS))
    assert np.corrcoef(draws)[0, 1] == pytest.approx(-0.6, abs=5.0 / np.sqrt(DRAWS))
    assert abs(np.corrcoef(draws)[1, 2]) < 5.0 / np.sqrt(DRAWS)
    # by hand, of the sum of two that go together: 0.01² + 0.04² - 2 0.6 0.01 0.04
    total = np.sqrt(0.01**2 + 0.04**2 - 2.0 * 0.6 * 0.01 * 0.04)
    assert draws[:2].sum(axis=0).std() == pytest.approx(total, rel=near)
    own = np.square(start.result.stds)
    added = np.sqrt(np.square(found.result.stds) - own) / PRESSURE
    assert added == pytest.approx([*KNOWN.std, total])


@settings(deadline=None, max_examples=20)
@given(
    st.tuples(*[st.floats(-0.3, 0.3)] * 3),
    st.tuples(*[st.floats(1e-4, 0.1)] * 3),
    st.floats(-1.0, 1.0),
)
def test_it_acts_as_a_stated_change_of_the_same_figures(prepared, mean, std, front_rear):
    part = FromLibrary(part="x", cars=5, mean=mean, std=std, front_rear=front_rear)
    front, rear, drag = mean
    stated = StatedChange(
        front=front, rear=rear, drag=drag, front_std=std[0], rear_std=std[1], drag_std=std[2]
    )
    ours = evaluate_what_if(prepared, replace(START, library=(part,)))
    theirs = evaluate_what_if(prepared, replace(START, stated=(stated,)))
    assert ours.forces.value.tolist() == pytest.approx(theirs.forces.value.tolist())
    assert ours.result.stds[:3] == pytest.approx(theirs.result.stds[:3])
    assert np.linalg.eigvalsh(expected_covariance(part)).min() > -1e-12


def test_one_more_stated_change_leaves_its_draws(prepared):
    alone = evaluate_what_if(prepared, replace(START, library=(KNOWN,)))
    both = evaluate_what_if(prepared, replace(START, library=(KNOWN,), stated=(StatedChange(front=0.1),)))
    np.testing.assert_allclose(both.result.draws[1], alone.result.draws[1], atol=1e-12)


@pytest.mark.parametrize("why", ["2 cars: too few for what a next car may do, which takes five", ""])
def test_too_little_is_refused_in_words(prepared, why):
    part = FromLibrary(part="wing", cars=2, why_not=why)
    with pytest.raises(
        InputError, match=r"part 'wing' from the library: found (2 cars: too few|nothing that)"
    ):
        evaluate_what_if(prepared, replace(START, library=(part,)))
