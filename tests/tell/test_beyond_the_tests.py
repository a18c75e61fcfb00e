"""A car in balance as far as tested: which limit its interval reaches beyond the tests is named by its own side."""

import math
from dataclasses import replace

import pytest

from balance.decide.day.range_verdict import RangeVerdict
from balance.decide.day.verdict import VerdictWord
from balance.model.records import LoadExponent, Vehicle
from balance.tell.figures import Show
from balance.tell.runs.range_words import (
    balance_to,
    customer_sentence,
    range_balance,
    range_mark,
    range_role,
    range_sentence,
    range_then,
)
from balance.units.shown import SI

PLAIN = LoadExponent(front=0.8, rear=0.8, assumed=True)
CAR = Vehicle(
    name="any (invented)",
    mass=1200.0,
    front_share=0.6,
    wheelbase=2.6,
    stiffness_exponent=PLAIN,
    grip_exponent=PLAIN,
)


def verdict(side, low=60.0, *, tested=54.0):
    return RangeVerdict(
        start=30.0, end=62.0, word=VerdictWord.IN_BALANCE, edge=None, at=50.0, low=-0.01, high=0.0,
        leaves=math.inf, leaves_low=low, leaves_high=math.inf, leaves_to=side, with_drive=False,
        beyond_tested=False, surplus=-0.01, power_understeer=None, certain=True, light=False, loose_at_place=False,
        unloaded=None, tested=tested, inside_tested=True,
    )  # fmt: skip


@pytest.mark.parametrize(
    ("side", "then", "role", "said", "customer"),
    [
        # the dangerous side keeps its capitals and is never green (common practice, no source)
        (
            VerdictWord.FRONT_OVERPOWERS,
            "◐ OVERSTEER?†",
            "warn",
            "perhaps MORE OVERSTEER",
            "treat as dangerous",
        ),
        (VerdictWord.REAR_OVERPOWERS, "● understeer?†", "good", "perhaps more understeer", "may run wide"),
    ],
)
def test_the_side_beyond_the_tests_is_named(side, then, role, said, customer):
    one, show = verdict(side), Show(SI)
    assert range_then(one) == then
    assert range_mark(one) == then[0]
    assert range_role(one) == role
    # 60 m/s is 216 km/h
    assert f"{said} from 216 km/h" in range_sentence(one, CAR, show)
    assert customer in customer_sentence(one, CAR, show)
    assert ("OVERSTEER" in range_balance(one, show)) is (side is VerdictWord.FRONT_OVERPOWERS)


def test_one_that_stays_in_balance_promises_nothing_beyond():
    one = verdict(None, low=math.inf)
    assert range_then(one) == "● in balance"
    assert range_role(one) == "good"
    assert range_balance(one, Show(SI)) == "in balance to top speed"


def test_the_mark_of_what_is_beyond_the_tests_stands_beside_no_speed_that_was_tested():
    """Some draws leave the band near rest, 3 m/s or 11 km/h, though its whole interval is inside as far as the tests reach,
    54 m/s or 194 km/h: by the meaning of the verdict it is in balance that far.
    """
    show = Show(SI)
    one = verdict(VerdictWord.REAR_OVERPOWERS, low=3.0)
    assert balance_to(one, show) == "194†"
    assert "11 km/h" not in range_sentence(one, CAR, show)
    assert balance_to(verdict(VerdictWord.REAR_OVERPOWERS, low=3.0, tested=70.0), show) == "top"
    assert balance_to(verdict(VerdictWord.REAR_OVERPOWERS), show) == "216†"
    edge = replace(one, word=VerdictWord.AT_THE_EDGE, edge=VerdictWord.FRONT_OVERPOWERS, inside_tested=False)
    assert balance_to(replace(edge, beyond_tested=True), show) == "11"


def test_a_head_never_shows_the_good_half_of_an_oversteer_limit():
    edge = verdict(VerdictWord.FRONT_OVERPOWERS)
    one = RangeVerdict(
        **{name: getattr(edge, name) for name in RangeVerdict.__dataclass_fields__}
        | {"word": VerdictWord.AT_THE_EDGE, "edge": VerdictWord.FRONT_OVERPOWERS}
    )
    assert "OVERSTEER" in range_balance(one, Show(SI))
    assert "in balance" not in range_balance(one, Show(SI))
