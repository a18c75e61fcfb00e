"""The bounds beyond which a run just typed is doubted: just inside there is no doubt, just outside there is that one.

Forces are invented, at 1500 Pa, with a scatter of 7 N; what is expected is worked out by hand beside its check. The bounds
themselves are common practice, no source.
"""

import math

import pytest

from balance.decide.doubts.entry_doubts import entry_doubts
from balance.model.records import Setting

READING = (100.0, 300.0, 600.0)


def entered(make_session, readings, settings):
    """Give the doubts about the last run of a day of one label."""
    runs = [
        {"settings": {name: Setting(value=value, unit="mm") for name, value in one.items()}}
        for one in settings
    ]
    session = make_session(readings, configurations=["car"] * len(readings), deviation=(7.0,) * 3, runs=runs)
    return entry_doubts(session, str(len(readings)))


@pytest.mark.parametrize(
    ("others", "value", "doubted"),
    [
        # the others span 8 mm, so that twice their range beyond them is from -16 to 24 mm
        ((0.0, 4.0, 8.0), 5.0, False),
        ((0.0, 4.0, 8.0), 23.9, False),
        ((0.0, 4.0, 8.0), 24.1, True),
        ((0.0, 4.0, 8.0), -15.9, False),
        ((0.0, 4.0, 8.0), -16.1, True),
        ((0.0, 4.0, 6.0, 8.0), 24.1, True),
        ((0.0, 8.0), 24.1, False),  # two values make no range to go by
    ],
)
def test_a_setting_far_outside_what_the_day_has(make_session, others, value, doubted):
    readings = [READING] * (len(others) + 1)
    found = entered(make_session, readings, [{"ride": one} for one in (*others, value)])
    assert [one.values for one in found if one.kind == "setting"] == (
        [{"value": value, "low": 0.0, "high": 8.0}] if doubted else []
    )


@pytest.mark.parametrize(
    ("reading", "factor"),
    [
        ((80.0, 240.0, 480.0), 0.8),  # 20 % down in all three
        ((84.0, 252.0, 504.0), 0.84),
        ((86.0, 258.0, 516.0), None),  # 14 % is not enough
        ((100.0, 300.0, 600.0), None),
        ((116.0, 348.0, 696.0), 1.16),
        # least squares make it 373,000 / 460,000 = 0.811, of which the front is 49 N off: more than 4 times 7 N
        ((130.0, 240.0, 480.0), None),
    ],
)
def test_all_channels_scaled_alike_against_a_neighbour_of_one_setting(make_session, reading, factor):
    found = entered(make_session, [READING, reading], [{"ride": 60.0}, {"ride": 61.0}])
    scaled = [one for one in found if one.kind == "scaled alike"]
    assert [one.other for one in scaled] == ([] if factor is None else ["1"])
    for one in scaled:  # forces go with the square of speed
        assert one.values["factor"] == pytest.approx(factor)
        assert one.values["perhaps"] == pytest.approx(50.0 * math.sqrt(factor))


@pytest.mark.parametrize(
    ("reading", "expected"),
    [
        ((100.0, 30.0, 600.0), [("digits", "rear")]),
        ((10.0, 300.0, 600.0), [("digits", "front")]),
        ((100.0, 3000.0, 600.0), [("magnitude", "rear")]),  # above 3 times 300 N: said once
        ((740.0, 300.0, 600.0), [("apart", "front")]),  # not above 3 times 300 N; a tenth is 26 % below 100 N
        (
            (770.0, 300.0, 600.0),
            [("digits", "front")],
        ),  # a tenth is 23 N below 100 N, less than 30 % of itself
    ],
)
def test_a_digit_too_many_or_too_few_is_said_once(make_session, reading, expected):
    found = entered(make_session, [READING, reading], [{}, {}])
    assert [(one.kind, one.axle) for one in found] == expected
