"""Figures from one unit to another, written with no fewer digits than they deserve."""

from __future__ import annotations

import math
from decimal import Decimal
from typing import TYPE_CHECKING

from balance.units.text import unit_scale

if TYPE_CHECKING:
    from balance.model.kinds import Kind

_DIGITS = 6


def converted(text: str, unit: str, into: str, kind: Kind) -> str:
    """Bring a figure to another unit, one digit more than it had and at least six that count.

    A workbook does not tell how many digits a figure had: 1.2 may be 1.2000.

    Examples
    --------
    >>> converted("100", "lbf", "N", "force"), converted("1.15", "kN", "N", "force")
    ('444.822', '1150')
    """
    factor, offset = unit_scale(unit, kind)
    size, zero = unit_scale(into, kind)
    exponent = Decimal(text).as_tuple().exponent
    step = 10.0 ** (exponent if isinstance(exponent, int) else 0) * factor / size
    value = (float(text) * factor + offset - zero) / size
    least = max(0, 1 - math.floor(math.log10(step)))
    places = max(least, _DIGITS - 1 - math.floor(math.log10(abs(value)))) if value else least
    written = f"{value:.{places}f}"
    cut = len(written) - (places - least)
    return (written[:cut] + written[cut:].rstrip("0")).removesuffix(".")
