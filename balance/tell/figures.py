"""Numbers as text: the unit, the sign word, and no more digits than the uncertainty supports."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, NamedTuple

from balance.units.shown import SI, SYSTEMS, UnitSystem, system_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from balance.model.records import Session

NONE = "·"
"""Shown where there is nothing to show."""
_DECIMALS = {  # where no uncertainty says better
    "force": 0,
    "speed": 0,
    "mass": 0,
    "length": 0,
    "distance": 2,
    "area": 3,
    "density": 3,
    "power": 0,
    "pressure": 1,
    "temperature": 1,
    "dynamic_pressure": 0,
}
_OTHER_DECIMALS = {
    "US": {"length": 1, "density": 4, "pressure": 2, "dynamic_pressure": 1, "area": 2},
    "kgf": {"force": 1},
}


def decimals_for(std: float, *, fallback: int, most: int = 4) -> int:
    """Choose how many decimals an uncertainty supports.

    Examples
    --------
    >>> decimals_for(0.4, fallback=0), decimals_for(6.0, fallback=0), decimals_for(float("nan"), fallback=1)
    (1, 0, 1)
    """
    if not math.isfinite(std) or std <= 0.0:
        return fallback
    return min(max(-math.floor(math.log10(std)), 0), most)


def number(value: float, decimals: int) -> str:
    """Write a number with a true minus, never a negative zero.

    Examples
    --------
    >>> number(-286.4, 0), number(-0.04, 1), number(float("nan"), 1)
    ('−286', '0.0', '·')
    """
    if not math.isfinite(value):
        return NONE
    text = f"{abs(value):.{decimals}f}"
    return f"−{text}" if value < 0 and text.strip("0.") else text


class Show(NamedTuple):
    """Turn SI figures into text in one system of units."""

    system: UnitSystem = SI

    def unit(self, kind: str) -> str:
        """Name the unit that a kind of quantity is shown in."""
        return self.system.unit(kind).label

    def decimals(self, kind: str, std: float = math.nan, *, usual: int = 0) -> int:
        """Choose the decimals of a kind of quantity, from its standard uncertainty in SI where known."""
        fallback = _OTHER_DECIMALS.get(self.system.name, _DECIMALS).get(kind, _DECIMALS.get(kind, usual))
        return decimals_for(std / self.system.unit(kind).scale, fallback=fallback)

    def bare(self, kind: str, value: float, *, std: float = math.nan, decimals: int | None = None) -> str:
        """Write a figure without its unit, for a column whose head has it."""
        places = self.decimals(kind, std) if decimals is None else decimals
        return number(self.system.unit(kind).from_si(value), places)

    def quantity(self, kind: str, value: float, *, std: float = math.nan, decimals: int | None = None) -> str:
        """Write a figure with its unit."""
        return f"{self.bare(kind, value, std=std, decimals=decimals)} {self.unit(kind)}"

    def low_to_high(
        self, kind: str, low: float, high: float, *, std: float = math.nan, decimals: int | None = None
    ) -> str:
        """Write the ends of an interval without their unit."""
        return " to ".join(self.bare(kind, end, std=std, decimals=decimals) for end in (low, high))

    def uncertain(self, kind: str, value: float, std: float) -> str:
        """Write a figure with its unit and standard uncertainty, where known."""
        sd = self._sd(kind, std)
        return f"{self.quantity(kind, value, std=std)}{sd and f', {sd}'}"

    def speed(self, value: float) -> str:
        """Write a speed with its unit."""
        return self.quantity("speed", value)

    def axle_load(self, downforce: float, std: float = math.nan) -> str:
        """Write an axle's load with its direction as a word: downforce, or LIFT."""
        direction = "downforce" if downforce >= 0 else "LIFT"
        return f"{self.quantity('force', abs(downforce), std=std)} {direction}"

    def uncertain_load(self, downforce: float, std: float) -> str:
        """Write an axle's load with its direction as a word, which is of the load alone, and its standard uncertainty."""
        sd = self._sd("force", std)
        return f"{self.axle_load(downforce, std)}{sd and f', {sd}'}"

    def _sd(self, kind: str, std: float) -> str:
        """Write a standard uncertainty with its unit, where known."""
        if not math.isfinite(std):
            return ""
        size = std / self.system.unit(kind).scale
        places = decimals_for(size, fallback=0)
        return f"sd {number(size, max(places, 1 if std else 0))} {self.unit(kind)}"


def show_of(session: Session | None, units: str | None = None) -> Show:
    """Return the units that are asked for, else those that a day states, else those it was written down in, else SI."""
    if units:
        return Show(SYSTEMS[units])
    if session is None:
        return Show()
    written = [column.unit for column in session.columns.values()]
    return Show(system_of([session.shown_force] if session.shown_force else written) or SI)


def with_sign(text: str, value: float) -> str:
    """Put a plus before a written figure that is above zero and does not read as zero.

    Examples
    --------
    >>> with_sign("12", 12.0), with_sign("0.0", 0.01), with_sign("−3", -3.0)
    ('+12', '0.0', '−3')
    """
    return f"+{text}" if value > 0.0 and text.strip("0.") else text


def low_to_high(low: float, high: float, decimals: int) -> str:
    """Write the ends of an interval without a unit."""
    return f"{number(low, decimals)} to {number(high, decimals)}"


def counted(count: int, word: str) -> str:
    """Count what a word names.

    Examples
    --------
    >>> counted(1, "day"), counted(3, "day")
    ('1 day', '3 days')
    """
    return f"{count} {word}{'s' * (count != 1)}"


def runs_named(labels: Sequence[str]) -> str:
    """Name some runs by their labels behind the word."""
    return f"run{'s' * (len(labels) > 1)} {', '.join(labels)}"


def percent(value: float, std: float = math.nan, *, decimals: int | None = None) -> str:
    """Write a fraction as a percentage.

    Examples
    --------
    >>> percent(0.377, 0.004), percent(-0.0152)
    ('37.7 %', '−1.5 %')
    """
    places = decimals_for(std * 100.0, fallback=1, most=2) if decimals is None else decimals
    return f"{number(value * 100.0, places)} %"


def of_hundred(share: float) -> str:
    """Write a share of draws as a percentage, to stand before the word; however many agree, none of them is certainty.

    Examples
    --------
    >>> of_hundred(0.97), of_hundred(0.9964), of_hundred(1.0), of_hundred(0.0031)
    ('97 % of', 'more than 99 % of', 'more than 99 % of', 'less than 1 % of')
    """
    text = number(share * 100.0, 0)
    if text == "100":
        return "more than 99 % of"
    if text == "0":
        return "less than 1 % of"
    return f"{text} % of"


def interval(low: float, high: float, std: float = math.nan) -> str:
    """Write the ends of an interval of fractions as percentages.

    Examples
    --------
    >>> interval(0.042, 0.05, 0.002)
    '4.2 to 5.0 %'
    """
    if math.isnan(low) or math.isnan(high):
        return ""
    places = decimals_for(std * 100.0, fallback=1, most=2)
    ends = [("beyond" if math.isinf(end) else number(end * 100.0, places)) for end in (low, high)]
    return f"{ends[0]} to {ends[1]} %"


def points(offset: float, std: float = math.nan) -> str:
    """Write how far a percentage moved in words: how many points, and which way.

    Examples
    --------
    >>> points(-0.165, 0.004), points(0.02)
    ('16.5 points rearward', '2.0 points forward')
    """
    text = _size(offset, std)
    way = f" {'rearward' if offset < 0 else 'forward'}" if text.strip("0.") else ""
    return f"{text} points{way}" if math.isfinite(offset) else NONE


def behind_weight(offset: float, std: float = math.nan) -> str:
    """Write how far aero balance lies behind or ahead of the weight.

    Examples
    --------
    >>> behind_weight(-0.091, 0.004), behind_weight(0.02), behind_weight(0.0)
    ('9.1 points behind weight', '2.0 points ahead of weight', '0.0 points from weight')
    """
    text = _size(offset, std)
    way = "from" if not text.strip("0.") else "behind" if offset < 0 else "ahead of"
    return f"{text} points {way} weight" if math.isfinite(offset) else NONE


def _size(offset: float, std: float) -> str:
    """Write how far a percentage moved, whichever way, in points."""
    return number(abs(offset) * 100.0, decimals_for(std * 100.0, fallback=1, most=1))


def toward(shift: float, std: float = math.nan) -> str:
    """Write a neutral-steer shift in words: how much of the wheelbase, and which way.

    Examples
    --------
    >>> toward(0.012, 0.002), toward(-0.004)
    ('1.2 % towards understeer', '0.4 % towards oversteer')
    """
    if not math.isfinite(shift):
        return NONE
    text = percent(abs(shift), std)
    return text if not text.strip("0. %") else f"{text} towards {'understeer' if shift > 0 else 'oversteer'}"


def age_words(seconds: float) -> str:
    """State how long ago something was.

    Examples
    --------
    >>> age_words(20), age_words(3 * 3600), age_words(26 * 3600)
    ('just now', '3 hours ago', '1 day ago')
    """
    for unit, length in (("day", 86400), ("hour", 3600), ("minute", 60)):
        count = int(seconds // length)
        if count >= 1:
            return f"{counted(count, unit)} ago"
    return "just now"


def capital(text: str) -> str:
    """Begin a sentence with a capital letter.

    Examples
    --------
    >>> capital("wing 5°"), capital("")
    ('Wing 5°', '')
    """
    return f"{text[:1].upper()}{text[1:]}"
