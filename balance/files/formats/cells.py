"""Numbers in the cells of a table: their value, and the last digit that was typed."""

from __future__ import annotations

import math

from balance.model.errors import quoted
from balance.model.kinds import NUMBER, clean_number

NOT_FITTED_SINCE = 2
"""The format from which the words for it hold in runs.csv itself."""
_LONGEST = 40
_NOT_FITTED = frozenset(
    ("", "off", "none", "not fitted", "-", "\N{EN DASH}", "\N{EM DASH}", "\N{MINUS SIGN}")
)


def not_fitted(cell: str) -> bool:
    """Return whether a setting's cell says that the part is not fitted: blank, or one of the words for it.

    Examples
    --------
    >>> not_fitted(" Off "), not_fitted("-"), not_fitted(""), not_fitted("0")
    (True, True, True, False)
    """
    return cell.strip().casefold() in _NOT_FITTED


def read_cell(cell: str) -> tuple[float, float] | None:
    r"""Read a number and half of its last typed digit.

    Examples
    --------
    >>> read_cell("412.5"), read_cell("\u221212"), read_cell("1.25e3"), read_cell("12,5")
    ((412.5, 0.05), (-12.0, 0.5), (1250.0, 5.0), None)
    """
    match = NUMBER.fullmatch(clean_number(cell)) if len(cell) <= _LONGEST else None
    if match is None:
        return None
    decimals = len(match[1] or match[2] or "")
    value = float(match.group())
    resolution = float(f"0.5e{int(match[3] or 0) - decimals}")
    return (value, resolution) if math.isfinite(value) and math.isfinite(resolution) else None


def cell_problem(cell: str) -> tuple[str, str]:
    """State what stands in place of a number, and how to mend it.

    Examples
    --------
    >>> cell_problem("12,5")
    ("'12,5'", "a comma for a point? write '12.5'")
    """
    plain = clean_number(cell)
    pointed = plain.replace(",", ".", 1)
    if "," in plain and NUMBER.fullmatch(pointed):
        return quoted(plain), f"a comma for a point? write {quoted(pointed)}"
    if not plain:
        return "an empty cell", "fill it in, or leave the row out"
    return quoted(plain), "write digits with a decimal point and no unit: the unit stands in the header"
