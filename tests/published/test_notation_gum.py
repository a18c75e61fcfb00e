"""A value with its uncertainty: JCGM 100:2008 (GUM), 7.2.2, four forms of one result; forms that are read alike.

The result there is m_S = 100,021 47 g with u_c = 0,35 mg. The figures that are read alike are those of a public library's
documentation of its reader of such texts (read).
"""

import pytest

from balance.model.errors import UnitError
from balance.units.stated import parse_stated

GRAM = 0.001
# a normal distribution has 95 % of itself within 1.959964 standard deviations (published tables, from memory)
HALF = 1.959964


@pytest.mark.parametrize(
    "text",
    [
        "100.02147 g sd 0.35 mg",  # the first form, "with u_c = 0,35 mg", in our word for it
        "100.02147(35) g",  # the second: the digits count in the last digits of the value
        "100.02147(0.00035) g",  # the third: in the unit of the value
    ],
)
def test_three_forms_are_one_standard_uncertainty(text):
    stated = parse_stated(text, "mass")
    assert stated.value == pytest.approx(100.02147 * GRAM, rel=1e-15)
    assert stated.std == pytest.approx(0.35e-3 * GRAM, rel=1e-12)
    assert not stated.exact


def test_the_fourth_form_is_half_an_interval_here_on_purpose():
    """In the GUM ± is one standard uncertainty there, and it advises against that; who writes ± mostly means an interval."""
    stated = parse_stated("(100.02147 ± 0.00035) g", "mass")
    assert stated.value == pytest.approx(100.02147 * GRAM, rel=1e-15)
    assert stated.std == pytest.approx(0.35e-3 * GRAM / HALF, rel=1e-6)


def test_the_decimal_comma_of_the_gum_is_refused_as_elsewhere():
    with pytest.raises(UnitError, match="a comma for a point"):
        parse_stated("100,02147(35) g", "mass")


@pytest.mark.parametrize(
    ("text", "value", "std"),
    [
        ("-1.23(3.4)", -1.23, 3.4),
        ("-1.34(5)", -1.34, 0.05),
        ("12.345(15)", 12.345, 0.015),
        ("169.0(7)", 169.0, 0.7),
        ("-0.1+/-1", -0.1, 1.0 / HALF),
        ("(3.141±0.001)E+02", 314.1, 0.1 / HALF),
        ("(2 +/- 0.1)", 2.0, 0.1 / HALF),
    ],
)
def test_texts_that_are_read_alike(text, value, std):
    stated = parse_stated(text, "number")
    assert stated.value == pytest.approx(value, rel=1e-12)
    assert stated.std == pytest.approx(std, rel=1e-6)


def test_a_bare_number_states_no_uncertainty():
    stated = parse_stated("169.0", "number")
    assert (stated.value, stated.std, stated.exact) == (169.0, None, False)
