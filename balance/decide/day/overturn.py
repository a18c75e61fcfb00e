"""One change that would overturn a verdict."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from balance.decide.day.verdict import VerdictWord
    from balance.model.records import Place

What = Literal[
    "front_downforce", "rear_downforce", "front_weight_share", "exponent_difference", "drag_height"
]


@dataclass(frozen=True, slots=True, kw_only=True)
class Overturn:
    """One change that puts a car in another class, all else as it is.

    ``change`` is of the axle's own downforce where ``relative`` (0.1 makes 1.1 times of it, lift or downforce), else of
    its area [m²]; of the front weight share and of the rear's load exponent of grip [1]; of the height at which drag is
    reacted [m], which becomes ``height``. ``doubt`` is what is usually in doubt, in the same unit. ``to`` is the class beyond. ``place``
    is where it holds; nothing for the range.
    """

    what: What
    change: float
    relative: bool
    doubt: float
    to: VerdictWord
    area_change: float | None = None
    """Of the axle's downforce area, positive down [m²]."""
    height: float | None = None
    place: Place | None = None

    @property
    def doubts(self) -> float:
        """How many usual doubts away it is."""
        return abs(self.change) / self.doubt
