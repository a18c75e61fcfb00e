"""Load index and speed symbol: ISO 4000-1 and UN Regulation No. 30 (tables read in several copies; Y from memory)."""

import pytest

from balance.handling.axle_loads import STANDARD_GRAVITY
from balance.handling.tyre_rating import tyre_capacity
from balance.model.errors import DomainError
from balance.model.records import TyreRating

KILOGRAMS = {60: 250, 65: 290, 70: 335, 75: 387, 80: 450, 81: 462, 82: 475, 83: 487, 84: 500, 85: 515}
KILOGRAMS |= {86: 530, 87: 545, 88: 560, 89: 580, 90: 600, 91: 615, 92: 630, 93: 650, 94: 670, 95: 690}
KILOGRAMS |= {96: 710, 97: 730, 98: 750, 99: 775, 100: 800, 101: 825, 102: 850, 103: 875, 104: 900}
KILOGRAMS |= {105: 925, 106: 950, 107: 975, 108: 1000, 109: 1030, 110: 1060}
# the other indices below 80, from memory: a tenth of the series 140 to 159 of the same table
KILOGRAMS |= {61: 257, 62: 265, 63: 272, 64: 280, 66: 300, 67: 307, 68: 315, 69: 325, 71: 345, 72: 355}
KILOGRAMS |= {73: 365, 74: 375, 76: 400, 77: 412, 78: 425, 79: 437}
SHARES = [
    ("T", 190, 1.0),
    ("U", 200, 1.0),
    ("H", 210, 1.0),
    ("V", 210, 1.0),
    ("V", 225, 0.955),
    ("V", 240, 0.91),
    ("W", 240, 1.0),
    ("W", 255, 0.925),
    ("W", 270, 0.85),
    ("Y", 270, 1.0),
    ("Y", 300, 0.85),
]


@pytest.mark.parametrize(("index", "mass"), KILOGRAMS.items())
def test_load_index(index, mass):
    capacity = tyre_capacity(TyreRating(load_index=index, speed_symbol="W"), 30.0)
    assert capacity == pytest.approx(mass * STANDARD_GRAVITY, rel=1e-12)


@pytest.mark.parametrize(("symbol", "kilometres_an_hour", "share"), SHARES)
def test_speed_symbol(symbol, kilometres_an_hour, share):
    rating = TyreRating(load_index=91, speed_symbol=symbol)
    capacity = tyre_capacity(rating, kilometres_an_hour / 3.6)
    assert capacity == pytest.approx(615 * STANDARD_GRAVITY * share, rel=1e-12)


@pytest.mark.parametrize(
    ("symbol", "limit"), [("T", 190), ("U", 200), ("H", 210), ("V", 240), ("W", 270), ("Y", 300)]
)
def test_no_load_at_all_beyond_the_symbol(symbol, limit):
    assert tyre_capacity(TyreRating(load_index=91, speed_symbol=symbol), (limit + 1) / 3.6) is None


def test_a_speed_at_the_symbol_and_one_of_nothing_are_allowed():
    rating = TyreRating(load_index=80, speed_symbol="H")
    full = 450 * STANDARD_GRAVITY
    assert tyre_capacity(rating, 0.0) == pytest.approx(full, rel=1e-12)
    assert tyre_capacity(rating, 210 / 3.6) == pytest.approx(full, rel=1e-12)
    with pytest.raises(DomainError, match="speed"):
        tyre_capacity(rating, -0.1)


def test_an_unknown_rating_is_refused():
    with pytest.raises(DomainError, match="load index"):
        tyre_capacity(TyreRating(load_index=111, speed_symbol="W"), 30.0)
    with pytest.raises(DomainError, match="load index"):
        tyre_capacity(TyreRating(load_index=59, speed_symbol="W"), 30.0)
    with pytest.raises(DomainError, match="speed symbol"):
        tyre_capacity(TyreRating(load_index=91, speed_symbol="Q"), 30.0)
