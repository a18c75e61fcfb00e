"""Printed figures with the tolerance that their digits allow."""

from decimal import Decimal
from typing import NamedTuple

import pytest


class Printed(NamedTuple):
    """A figure as printed, and half of its last digit."""

    value: float
    half: float


def as_printed(text: str) -> Printed:
    number = Decimal(text)
    return Printed(float(number), 0.5 * 10.0 ** int(number.as_tuple().exponent))


@pytest.fixture(scope="session")
def printed():
    return as_printed
