"""The order in which a verdict is found, case by case: band from -1.5 % to 3 %."""

import numpy as np
import pytest

from balance.decide.day.verdict import VerdictWord, class_shares, classify, judge
from balance.model.records import Target

BAND = Target(rear_tolerance=0.03, front_tolerance=0.015)
IN, REAR, FRONT = VerdictWord.IN_BALANCE, VerdictWord.REAR_OVERPOWERS, VerdictWord.FRONT_OVERPOWERS
EDGE, UNSURE, OFF = VerdictWord.AT_THE_EDGE, VerdictWord.CANNOT_TELL, VerdictWord.OFF_THE_GROUND
INF = float("inf")


def judged(surplus, interval=None, **changes):
    fields = {
        "surplus": surplus,
        "surplus_without_drive": surplus,
        "off_the_ground": False,
        "added_loads": (0.05, 0.05),
        "target": BAND,
        "interval": interval,
        "shares": None if interval is None else np.array([0.5, 0.3, 0.2]),
        **changes,
    }
    return judge(**fields)


@pytest.mark.parametrize(
    ("surplus", "expected"),
    [
        (0.0, IN),
        (0.03, IN),
        (0.030001, REAR),
        (-0.015, IN),
        (-0.015001, FRONT),
        (INF, REAR),
        (-INF, FRONT),
    ],
)
def test_class_of_a_surplus(surplus, expected):
    assert classify(surplus, BAND) is expected


@pytest.mark.parametrize(
    ("surplus", "low", "high", "word", "edge"),
    [
        (0.05, 0.04, 0.06, REAR, None),
        (0.05, 0.030001, INF, REAR, None),  # some draws have the front off
        (INF, INF, INF, REAR, None),
        (-0.03, -0.04, -0.02, FRONT, None),
        (-0.03, -INF, -0.0151, FRONT, None),  # some draws have the rear off
        (0.01, 0.0, 0.02, IN, None),
        (0.01, -0.015, 0.03, IN, None),  # the edges belong to the band
        (0.035, 0.03, 0.04, EDGE, REAR),
        (0.02, 0.01, 0.04, EDGE, REAR),
        (0.02, 0.01, INF, EDGE, REAR),
        (-0.01, -0.02, 0.01, EDGE, FRONT),
        (-0.02, -INF, 0.01, EDGE, FRONT),
        (-0.02, -0.03, -0.015, EDGE, FRONT),
        (0.01, -0.02, 0.04, UNSURE, None),
        (0.05, -INF, 0.06, UNSURE, None),
        (-0.05, -0.06, INF, UNSURE, None),
        (0.01, -INF, INF, UNSURE, None),
    ],
)
def test_verdict_from_the_interval(surplus, low, high, word, edge):
    verdict = judged(surplus, (low, high))
    assert verdict.word is word
    assert verdict.edge is edge
    assert (verdict.low, verdict.high) == (low, high)
    assert verdict.nominal is classify(surplus, BAND)
    assert verdict.probability == {IN: 0.5, REAR: 0.3, FRONT: 0.2}[verdict.nominal]
    assert verdict.shares == {"in balance": 0.5, "rear overpowers front": 0.3, "front overpowers rear": 0.2}
    assert verdict.certain


@pytest.mark.parametrize("interval", [(-INF, INF), (0.0, 0.01), (0.05, 0.06), None])
@pytest.mark.parametrize("surplus", [INF, -INF, float("nan")])
def test_off_the_ground_comes_first(surplus, interval):
    verdict = judged(surplus, interval, off_the_ground=True, added_loads=(-1.2, 0.001))
    assert verdict.word is OFF
    assert verdict.nominal is OFF
    assert verdict.probability is None
    assert not verdict.light
    assert verdict.certain is (interval is not None)


@pytest.mark.parametrize(("surplus", "expected"), [(0.02, IN), (0.04, REAR), (-0.02, FRONT)])
def test_unknown_repeatability_leaves_the_nominal_class_and_no_probability(surplus, expected):
    verdict = judged(surplus)
    assert verdict.word is verdict.nominal is expected
    assert verdict.probability is None
    assert verdict.shares is None
    assert verdict.low is None
    assert verdict.high is None
    assert not verdict.certain
    assert not verdict.dangerous


@pytest.mark.parametrize(
    ("added", "interval", "light"),
    [
        ((0.0099, -0.0099), (0.0, 0.01), True),
        ((0.0101, 0.0), (0.0, 0.01), False),
        ((0.0, -0.0101), (0.0, 0.01), False),
        ((0.001, 0.001), (0.0, 0.04), False),  # light, but the surplus may lie outside the band
        ((0.001, 0.001), None, True),
    ],
)
def test_too_little_load_only_inside_the_band(added, interval, light):
    assert judged(0.005, interval, added_loads=added).light is light


@pytest.mark.parametrize(
    ("surplus", "without", "by_drive"), [(-0.02, 0.01, True), (-0.02, -0.016, False), (0.01, 0.04, True)]
)
def test_says_when_drive_force_made_the_class(surplus, without, by_drive):
    verdict = judged(surplus, (surplus - 0.001, surplus + 0.001), surplus_without_drive=without)
    assert verdict.by_drive is by_drive


@pytest.mark.parametrize(("without", "with_drive"), [(0.01, False), (0.011, True), (0.009, False)])
@pytest.mark.parametrize("interval", [(0.0, 0.02), None])
def test_says_when_drive_force_has_a_part_in_the_surplus(without, with_drive, interval):
    assert judged(0.01, interval, surplus_without_drive=without).with_drive is with_drive


@pytest.mark.parametrize(("share", "dangerous"), [(0.049, False), (0.05, True), (0.9, True)])
def test_warning_from_five_per_cent_of_front_over_rear(share, dangerous):
    verdict = judged(0.01, (0.0, 0.02), shares=np.array([1.0 - share, 0.0, share]))
    assert verdict.word is IN
    assert verdict.dangerous is dangerous


@pytest.mark.parametrize("aim", [-0.01, 0.0, 0.02, 0.2])
def test_a_target_moves_no_verdict(aim):
    target = Target(grip_surplus=aim, rear_tolerance=0.03, front_tolerance=0.015)
    for surplus in (-0.05, -0.015, 0.0, 0.03, 0.05):
        assert classify(surplus, target) is classify(surplus, BAND)


def test_shares_count_infinite_draws_and_make_one():
    draws = np.array([[-INF, 0.0], [-0.02, 0.0], [0.0, 0.03], [0.031, 0.04], [INF, INF]])
    shares = class_shares(draws, BAND)
    assert shares == pytest.approx(np.array([[0.2, 0.6], [0.4, 0.4], [0.4, 0.0]]))


@pytest.mark.parametrize(
    ("surplus", "limit", "dangerous"),
    [
        # the usual limit is 1.5 %, common practice, no source; a wider one hides nothing where no scatter is known
        (-0.016, 0.05, True),
        (-0.014, 0.05, False),
        (0.014, 0.05, False),
        (0.04, 0.05, False),
        (-0.016, 0.015, False),  # its verdict says it already
    ],
)
def test_a_wide_front_limit_hides_no_danger_where_the_scatter_is_unknown(surplus, limit, dangerous):
    assert judged(surplus, target=Target(front_tolerance=limit, rear_tolerance=0.03)).dangerous is dangerous
