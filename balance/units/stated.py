"""A quantity with its uncertainty as people write it: "60 N ± 20 N", "60(20) N", "60 N sd 20 N", "60 N exactly"."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, NamedTuple

from balance.model.errors import UnitError, quoted
from balance.model.kinds import KINDS, NUMBER, clean_number, with_unit
from balance.model.records import HALF_95, Stated
from balance.units.text import dimension_of, parse_quantity, unit_scale

if TYPE_CHECKING:
    from collections.abc import Mapping

    from balance.model.kinds import Kind

_PLUS_MINUS = r"±|\+/-|\+-"
_MARK = re.compile(rf"\s*(?P<pm>{_PLUS_MINUS})\s*|\s+sd\b\s*", re.IGNORECASE)
_EXACTLY = re.compile(r"\s+exactly\s*$", re.IGNORECASE)
_LAST_DIGITS = re.compile(
    r"(?P<figure>[+-]?(?:[0-9]+(?:\.(?P<places>[0-9]*))?|\.(?P<only>[0-9]+)))"
    r"\((?P<spread>-?[0-9]*\.?[0-9]+)\)(?P<power>[eE][+-]?[0-9]+)?(?P<unit>.*)",
    re.DOTALL,
)
_BOTH = re.compile(
    rf"\((?P<figure>[^()]*?)\s*(?P<mark>{_PLUS_MINUS})\s*(?P<spread>[^()]*)\)(?P<unit>.*)", re.DOTALL
)
_POWER = re.compile(r"[eE][+-]?[0-9]+")
_MEND = (
    "as in '60 N ± 20 N' (half of a 95 % interval), '60 N sd 20 N' or '60(20) N' (one standard uncertainty)"
)
_LONGEST = 200  # characters that are looked at; a quantity has far fewer


class _Parts(NamedTuple):
    figure: str  # with its unit
    spread: str  # with its unit; empty where none is stated
    to_std: float  # what turns the spread into a standard uncertainty
    exact: bool


def parse_stated(text: str, kind: Kind) -> Stated:
    """Read a quantity, and what is said of its uncertainty, into SI.

    ``±`` is not the fourth form of the GUM, where it may stand for one standard uncertainty: most people who write it
    mean an interval. Half of a 95 % interval is 1.96 standard uncertainties of a normal distribution.

    JCGM 100:2008 (GUM), 7.2.2 for the digits in brackets, 4.3.4 for the interval.

    Examples
    --------
    >>> parse_stated("60(20) N", "force")
    Stated(value=60.0, std=20.0, exact=False)
    >>> round(parse_stated("60 ± 20 N", "force").std, 4)
    10.2043
    >>> parse_stated("1.30 m exactly", "length")
    Stated(value=1.3, std=None, exact=True)
    """
    parts = _parted(text)
    in_percent = kind == "fraction" and NUMBER.fullmatch(parts.figure) and _unit(parts.spread) == "%"
    value = parse_quantity(f"{parts.figure} %" if in_percent else parts.figure, kind)
    if not parts.spread:
        return Stated(value=value, exact=parts.exact)
    try:
        std = _spread(parts.spread, kind, value) * parts.to_std
    except UnitError as error:
        found = f"{error.found}, in the uncertainty of {quoted(clean_number(text))}"
        raise UnitError(found, error.expected, error.mend) from None
    if std < 0.0:
        raise UnitError(
            f"an uncertainty below 0 in {quoted(clean_number(text))}",
            "an uncertainty of 0 or more",
            "leave out its minus",
        )
    return Stated(value=value, std=std)


def parse_chosen(text: str, kind: Kind) -> float:
    """Read a quantity that is chosen rather than known, such as a speed to look at: it has no uncertainty.

    Examples
    --------
    >>> parse_chosen("2 %", "fraction")
    0.02
    """
    stated = parse_stated(text, kind)
    if stated.std is not None:
        raise UnitError(
            f"an uncertainty in {quoted(clean_number(text))}",
            f"{KINDS[kind].article} alone: it is chosen, not measured",
            "leave out the uncertainty",
        )
    return stated.value


def figure_of(text: str) -> tuple[str, str]:
    """Return the figure of a stated quantity and the unit that it is written in.

    Examples
    --------
    >>> figure_of("120 ± 20 N"), figure_of("0.05 m^2"), figure_of("0.86 exactly")
    (('120', 'N'), ('0.05', 'm^2'), ('0.86', ''))
    """
    figure = clean_number(_parted(text).figure)
    match = NUMBER.match(figure)
    return (match.group(), _unit(figure)) if match else ("", "")


def split_conditions(text: str) -> tuple[str, str | None]:
    """Split a load from the conditions it holds at; an uncertainty behind the conditions goes to the load.

    Examples
    --------
    >>> split_conditions("120 N at 160 km/h ± 20 N")
    ('120 N ± 20 N', '160 km/h')
    >>> split_conditions("120(20) N at 160 km/h")
    ('120(20) N', '160 km/h')
    """
    load, *conditions = " ".join(text.split()).split(" at ", 1)
    if not conditions:
        return load, None
    behind = conditions[0]
    mark = _MARK.search(behind) or _EXACTLY.search(behind)
    if mark is None:
        return load, behind
    return f"{load} {behind[mark.start() :].strip()}", behind[: mark.start()].strip()


def uncertainty_text(stated: Stated | None, factor: float, unit: str, digits: int = 13) -> str:
    """Write what stands behind a figure to state its uncertainty, as ± or as sd, whichever is shorter.

    Examples
    --------
    >>> uncertainty_text(Stated(value=0.5, std=0.003), 100.0, "%")
    ' sd 0.3 %'
    >>> uncertainty_text(parse_stated("60 ± 20 N", "force"), 1.0, "N")
    ' ± 20 N'
    """
    if stated is None or not stated.explicit:
        return ""
    if stated.std is None:
        return " exactly"
    half, std = (f"{stated.std * factor * times:.{digits}g}" for times in (HALF_95, 1.0))
    return f" ± {with_unit(half, unit)}" if len(half) <= len(std) else f" sd {with_unit(std, unit)}"


def stated_in(stated: Stated, unit: str) -> Stated:
    """Bring a quantity from SI to a unit.

    Examples
    --------
    >>> stated_in(Stated(value=0.065, std=0.0005), "mm")
    Stated(value=65.0, std=0.5, exact=False)
    """
    kind = dimension_of(unit)
    if kind is None:
        return stated
    factor, zero = unit_scale(unit, kind)
    value = float(f"{(stated.value - zero) / factor:.12g}")
    return Stated(
        value=value,
        std=None if stated.std is None else float(f"{stated.std / factor:.12g}"),
        exact=stated.exact,
    )


def explicit(stated: Mapping[str, Stated]) -> dict[str, Stated]:
    """Keep those quantities of whose uncertainty something was stated."""
    return {key: one for key, one in stated.items() if one.explicit}


def _parted(text: str) -> _Parts:
    """Take a text apart into the figure and its uncertainty, each with its unit."""
    plain = " ".join(clean_number(text).split())
    if len(plain) > _LONGEST:
        return _Parts(plain, "", 1.0, exact=False)
    bare = _EXACTLY.sub("", plain)
    exact = bare != plain
    parts = _with_spread(bare)
    if parts.spread and (exact or _EXACTLY.search(parts.figure)):
        raise _twice(plain, "an uncertainty or 'exactly', not both")
    if _MARK.search(parts.spread) or _EXACTLY.search(bare):
        raise _twice(plain, "one uncertainty")
    return parts._replace(exact=exact)


def _with_spread(plain: str) -> _Parts:
    if match := _LAST_DIGITS.fullmatch(plain):
        unit = match["unit"].strip()
        if _MARK.match(match["unit"]) or _MARK.search(unit):
            raise _twice(plain, "one uncertainty")
        power = match["power"] or ""
        last = 0 if "." in match["spread"] else len(match["places"] or match["only"] or "")
        digits = f"{match['spread']}e{int(power[1:] or 0) - last}"
        return _Parts(
            f"{match['figure']}{power} {unit}".strip(), f"{digits} {unit}".strip(), 1.0, exact=False
        )
    if match := _BOTH.fullmatch(plain):
        power = _POWER.match(match["unit"])
        times, unit = (power.group(), match["unit"][power.end() :]) if power else ("", match["unit"])
        figure, spread = (f"{match[name]}{times} {unit.strip()}".strip() for name in ("figure", "spread"))
        return _Parts(figure, spread, 1.0 / HALF_95, exact=False)
    mark = _MARK.search(plain)
    if mark is None:
        return _Parts(plain, "", 1.0, exact=False)
    figure, spread = plain[: mark.start()].strip(), plain[mark.end() :].strip()
    if not figure or not spread:
        raise UnitError(quoted(plain), "a figure and its uncertainty", _MEND)
    if NUMBER.fullmatch(figure) and (unit := _unit(spread)) != "%":
        figure = f"{figure} {unit}".strip()
    return _Parts(figure, spread, 1.0 / HALF_95 if mark["pm"] else 1.0, exact=False)


def _spread(text: str, kind: Kind, value: float) -> float:
    """Read an uncertainty into SI: a difference, so that a temperature's has no zero of its own."""
    unit = _unit(text)
    if unit == "%" and kind not in ("fraction", "temperature"):
        return parse_quantity(text, "fraction") * abs(value)
    if NUMBER.fullmatch(text) and kind != "number":
        raise UnitError(
            f"{quoted(text)} without a unit",
            f"{KINDS[kind].article} with its unit",
            f"write '{text} {KINDS[kind].common[0]}', or one unit for both as in '60 ± 20 N'",
        )
    spread = parse_quantity(text, kind)
    return spread - unit_scale(unit, kind)[1] if unit else spread


def _unit(text: str) -> str:
    plain = clean_number(text)
    match = NUMBER.match(plain)
    return plain[match.end() :].strip() if match else ""


def _twice(text: str, expected: str) -> UnitError:
    return UnitError(quoted(text), expected, "leave out one of the two")
