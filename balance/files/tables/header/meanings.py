"""What a column's header means in this trade: its quantity, its axle, the sign that its words carry, its unit."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import TYPE_CHECKING, Literal, cast

from balance.files.tables.header.header_words import header_words, symbols
from balance.model.columns import columns

if TYPE_CHECKING:
    from collections.abc import Iterable

Sign = Literal["up", "down", "unknown", ""]
Quantity = Literal["front", "rear", "drag", "total", "moment", "density", "text", "condition", "recorded", ""]


@dataclass(frozen=True, slots=True, kw_only=True)
class Meaning:
    """What a header says. ``name`` is our column for texts and conditions; an empty quantity is not understood."""

    quantity: Quantity = ""
    name: str = ""
    sign: Sign = ""
    coefficient: bool = False
    area: bool = False


_PARTS = header_words("parts")
_WHOLE = header_words("whole")
_FRONT, _REAR, _TOTAL = _PARTS["front"], _PARTS["rear"], _PARTS["total"]
_LIFT, _DOWN, _VERTICAL, _DRAG = _PARTS["lift"], _PARTS["downforce"], _PARTS["vertical"], _PARTS["drag"]
_MOMENT, _PITCHING = _PARTS["moment"], _PARTS["pitching"]
_COEFFICIENT, _AREA, _FILLER = _PARTS["coefficient"], _PARTS["area"], _PARTS["filler"]
_AXLES: tuple[tuple[Quantity, frozenset[str]], ...] = (("front", _FRONT), ("rear", _REAR), ("total", _TOTAL))
_SIGN_WORDS: dict[str, Sign] = {
    **dict.fromkeys(_PARTS["up"], "up"),
    **dict.fromkeys(_PARTS["down"], "down"),
}
_SYMBOLS = symbols()
BRACKETS = re.compile(r"\s*(?:\[([^\[\]]*)\]|\(([^()]*)\)|\{([^{}]*)\})\s*$")
_MINUS = re.compile(
    r"^\s*[-\u2212\u2013]\s*(?=\w)|[-\u2212\u2013]\s*(?=[)\]}]|$)|(?<=[(\[{])\s*[-\u2212\u2013](?=\s*\w)"
)
_SIGNS = str.maketrans({"±": " plusminus ", "∆": " δ ", "∑": " sum ", "×": " times ", "√": " root "})
_BARS = re.compile(r"^\s*\|([^|]+)\|")
TAIL = re.compile(r"(?:\s*[,;/]\s*|\s+in\s+|[\s_]+)([^\s,;/_]+(?:/[^\s,;_]+)?)$")
_TAIL_UNITS = frozenset(
    ["n", "kn", "dan", "lbf", "kgf", "lb", "lbs", "kg", "newton", "newtons", "kph", "kmh", "km/h", "mph", "m/s", "kt", "kts", "knots", "deg", "degree", "degrees", "°", "mm", "degc", "degf", "°c", "°f", "c", "f", "k", "hpa", "mbar", "mb", "kpa", "pa", "inhg", "mmhg", "psi", "%", "pct", "percent", "m2", "m^2", "m²", "ft2", "ft^2", "ft²", "kg/m3", "kg/m^3", "kg/m³", "nm", "n·m", "n*m", "counts", "ct"]
)  # fmt: skip


def words_of(header: str) -> str:
    """Bring a header to plain lower-case words; a sign or letter that changes what it means stays one of them.

    Examples
    --------
    >>> words_of("FrontLift_N"), words_of("C_L,F"), words_of("Run #"), words_of("-CLF"), words_of("Δ drag")
    ('front lift n', 'c l f', 'run #', 'minus clf', 'δ drag')
    """
    signed = _MINUS.sub(" minus ", header).translate(_SIGNS)
    signed = _BARS.sub(r" abs \1 ", signed)
    plain = "".join(c for c in unicodedata.normalize("NFKD", signed) if not unicodedata.combining(c))
    parted = re.sub(r"(?<=[a-z]{2})(?=[A-Z])", " ", plain).casefold()
    return " ".join(re.sub(r"[^\w#%]+|_", " ", parted).split())


@lru_cache(maxsize=4096)
def meaning_of(header: str) -> tuple[Meaning, str, str]:
    """State what a header means, and split its unit off.

    Examples
    --------
    >>> meaning_of("Lift F (lbf)")
    (Meaning(quantity='front', name='', sign='up', coefficient=False, area=False), 'Lift F', 'lbf')
    >>> meaning_of("Front ride height [mm]")[0].quantity
    ''
    """
    text = " ".join(header.split())
    match = BRACKETS.search(text)
    if match and match.start() > 0:
        inside = next(group for group in match.groups() if group is not None).strip()
        before = text[: match.start()]
        symbol = _SYMBOLS.get(words_of(inside))
        if symbol and len(inside) > 1:
            form = symbol[2]
            meaning = _meaning(words_of(before))
            return replace(meaning, coefficient=form == "coefficient", area=form == "area"), before, ""
        whole = _meaning(words_of(text))
        if whole.quantity or _says_sign(inside):
            return whole, text, ""
        return _meaning(words_of(before)), before, inside
    whole = _meaning(words_of(text))
    if whole.quantity:
        return whole, text, ""
    tail = TAIL.search(text)
    if tail and tail.start() > 0 and tail[1].casefold() in _TAIL_UNITS:
        shorter = _meaning(words_of(text[: tail.start()]))
        if shorter.quantity or tail[1].casefold() in (
            "deg",
            "degree",
            "degrees",
            "°",
            "mm",
            "mph",
            "lbf",
            "kgf",
            "hpa",
        ):
            return shorter, text[: tail.start()], tail[1]
    return whole, text, ""


def recognised(cells: Iterable[object]) -> int:
    """Count the different things that a row's cells would mean if it were a header.

    Examples
    --------
    >>> recognised(["Run", "Config", "Lift F", "12"])
    3
    """
    found = set()
    for cell in cells:
        if isinstance(cell, str) and 0 < len(cell) <= 60:
            meaning = meaning_of(cell)[0]
            if meaning.quantity:
                found.add((meaning.quantity, meaning.name))
    return len(found)


def _says_sign(text: str) -> bool:
    words = set(words_of(text).split())
    return bool(words & ({*_SIGN_WORDS, *_DOWN, *_LIFT} | (_COEFFICIENT - {"c"})))


def _own() -> dict[str, Meaning]:
    """Return the columns of words, speed and air by all their names."""
    found: dict[str, Meaning] = {}
    for name, words in header_words("columns").items():
        one = columns()[name]
        meaning = Meaning(quantity="condition" if one.kind == "condition" else "text", name=name)
        found |= dict.fromkeys((*words, one.title), meaning)
    return found


_OWN = _own()


@lru_cache(maxsize=4096)
def _meaning(words: str) -> Meaning:
    if words in _OWN:
        return _OWN[words]
    if words in _WHOLE["density"]:
        return Meaning(quantity="density")
    if words in _SYMBOLS:
        quantity, sign, form = _SYMBOLS[words]
        return Meaning(
            quantity=cast("Quantity", quantity),
            sign=cast("Sign", sign),
            coefficient=form == "coefficient",
            area=form == "area",
        )
    if words in _WHOLE["recorded"]:
        return Meaning(quantity="recorded")
    if words.startswith("minus "):
        opposite = _meaning(words.removeprefix("minus "))
        return replace(opposite, sign="unknown") if opposite.sign else Meaning()
    return _composed(words.split())


def _composed(words: list[str]) -> Meaning:
    """Understand a header by its words: all of them, or it is not understood."""
    left = set(words) - _FILLER
    coefficient = bool(left & _COEFFICIENT)
    area = bool(left & _AREA)
    stated = {_SIGN_WORDS[word] for word in left & _SIGN_WORDS.keys()}
    axles: list[Quantity] = [axle for axle, known in _AXLES if left & known]
    kinds = [known for known in (_LIFT, _DOWN, _VERTICAL, _DRAG, _MOMENT) if left & known]
    known_words = _COEFFICIENT | _AREA | _SIGN_WORDS.keys() | _PARTS["sign_filler"] | _FRONT | _REAR | _TOTAL
    rest = left - known_words - (kinds[0] if kinds else frozenset())
    if rest or len(kinds) != 1 or len(axles) > 1:
        return Meaning()
    kind = kinds[0]
    if kind is _DRAG:
        whole = not axles or axles == ["total"]
        return (
            Meaning(quantity="drag", coefficient=coefficient, area=area)
            if whole
            else Meaning(quantity="recorded")
        )
    if kind is _MOMENT:
        return (
            Meaning(quantity="moment", coefficient=coefficient)
            if not axles and left & _PITCHING
            else Meaning()
        )
    if not axles and kind is _VERTICAL:
        return Meaning()
    sign: Sign = "up" if kind is _LIFT else "down" if kind is _DOWN else "unknown"
    if stated:
        agreed = stated.pop() if len(stated) == 1 else "unknown"
        sign = agreed if sign in (agreed, "unknown") else "unknown"
    return Meaning(
        quantity=axles[0] if axles else "total",
        sign=sign,
        coefficient=coefficient,
        area=area,
    )
