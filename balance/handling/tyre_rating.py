"""What a tyre may carry at a speed, by what is moulded on its side."""

from __future__ import annotations

from typing import TYPE_CHECKING

from balance.handling.axle_loads import STANDARD_GRAVITY
from balance.model.errors import DomainError

if TYPE_CHECKING:
    from balance.model.records import TyreRating

_KILOGRAMS = (  # load index 60, 61, ...
    *(250, 257, 265, 272, 280, 290, 300, 307, 315, 325, 335, 345, 355, 365, 375, 387, 400, 412, 425, 437),
    *(450, 462, 475, 487, 500, 515, 530, 545, 560, 580, 600, 615, 630, 650, 670, 690, 710, 730, 750, 775),
    *(800, 825, 850, 875, 900, 925, 950, 975, 1000, 1030, 1060),
)
_AN_HOUR = 1.0 / 3.6  # a kilometre an hour, in metres a second
_SPEEDS = {  # full load up to, then linear to a share at the symbol's own speed
    "T": (190 * _AN_HOUR, 190 * _AN_HOUR, 1.0),
    "U": (200 * _AN_HOUR, 200 * _AN_HOUR, 1.0),
    "H": (210 * _AN_HOUR, 210 * _AN_HOUR, 1.0),
    "V": (210 * _AN_HOUR, 240 * _AN_HOUR, 0.91),
    "W": (240 * _AN_HOUR, 270 * _AN_HOUR, 0.85),
    "Y": (270 * _AN_HOUR, 300 * _AN_HOUR, 0.85),
}


def tyre_capacity(rating: TyreRating, speed: float) -> float | None:
    """Return what one tyre may carry at a speed.

    Parameters
    ----------
    rating : TyreRating
        Load index and speed symbol. [1]
    speed : float
        Speed of the car, 0 or more. [m/s]

    Returns
    -------
    float or None
        Load; nothing above the speed that the symbol allows. [N]

    Raises
    ------
    DomainError
        If the index is outside 60 to 110, the symbol unknown, or the speed below 0.

    Notes
    -----
    The load of the index times standard gravity; less at high speed: V full to 210 km/h, then linear to 91 % at 240;
    W full to 240, then linear to 85 % at 270; Y full to 270, then linear to 85 % at 300.

    References
    ----------
    ISO 4000-1 and UN Regulation No. 30, tables of load indices and speed symbols; the line of Y from memory.

    Examples
    --------
    >>> from balance.model.records import TyreRating
    >>> round(tyre_capacity(TyreRating(load_index=91, speed_symbol="V"), 240 / 3.6) / 9.80665, 2)
    559.65
    """
    if not 60 <= rating.load_index < 60 + len(_KILOGRAMS):
        raise DomainError(f"load index: found {rating.load_index}, expected 60 to {59 + len(_KILOGRAMS)}")
    if rating.speed_symbol not in _SPEEDS:
        raise DomainError(f"speed symbol: found {rating.speed_symbol}, expected one of {', '.join(_SPEEDS)}")
    if not speed >= 0.0:
        raise DomainError(f"speed: found {speed:g} m/s, expected 0 or more")
    full = _KILOGRAMS[rating.load_index - 60] * STANDARD_GRAVITY
    full_to, limit, share = _SPEEDS[rating.speed_symbol]
    if speed > limit * (1.0 + 1e-12):
        return None
    if speed <= full_to:
        return full
    return full * (1.0 - (1.0 - share) * (speed - full_to) / (limit - full_to))
