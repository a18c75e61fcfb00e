"""A change and its uncertainty in one text: "120 N at 160 km/h ± 20 N"."""

from __future__ import annotations

import re

from balance.errors import UnitError, quoted

_SIGN = re.compile(r"\s*(?:±|\+/-|\+-)\s*")
_BARE = re.compile(r"[-+−]?[\d.,]+")


def split_spread(text: str) -> tuple[str, str | None]:
    """Split a change from the standard uncertainty that stands behind it.

    Parameters
    ----------
    text : str
        As in ``120 N at 160 km/h ± 20 N`` or ``120 ± 20 N at 160 km/h``; ``+-`` will do for the sign.

    Returns
    -------
    tuple of (str, str or None)
        The change and its standard uncertainty, each with its unit.

    Raises
    ------
    UnitError
        If the sign stands twice, or alone.

    Examples
    --------
    >>> split_spread("120 N at 160 km/h ± 20 N")
    ('120 N at 160 km/h', '20 N')
    >>> split_spread("120 +- 20 N at 160 km/h")
    ('120 N at 160 km/h', '20 N')
    >>> split_spread("0.05 m^2")
    ('0.05 m^2', None)
    """
    change, *spreads = _SIGN.split(text.strip())
    if not spreads:
        return change, None
    if len(spreads) > 1 or not change or not spreads[0]:
        raise UnitError(
            found=quoted(text),
            expected="a change and one standard uncertainty",
            mend="write '120 N at 160 km/h ± 20 N'",
        )
    load, at, conditions = spreads[0].partition(" at ")
    number = _BARE.match(load)
    if _BARE.fullmatch(change) and number is not None:
        return f"{change}{load[number.end() :]}{at}{conditions}", load
    return change, spreads[0]
