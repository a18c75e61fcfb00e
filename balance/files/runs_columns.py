"""The columns that runs.csv knows by name: what they hold, and what is credible in them."""

from __future__ import annotations

from types import MappingProxyType
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Mapping

    from balance.kinds import Kind
    from balance.records import Channel, Form

TEXTS = (
    "run",
    "configuration",
    "baseline",
    "repeat_of",
    "block",
    "time",
    "operator",
    "loading",
    "note",
    "status",
    "reason",
)
CONDITIONS: Mapping[str, tuple[Kind, float, float, str, str]] = MappingProxyType(
    {  # kind, credible range in SI, and in words; common practice, no source
        "speed": ("speed", 1.0, 200.0, "km/h", "a speed from 3.6 to 720 km/h"),
        "temperature": ("temperature", 150.0, 400.0, "degC", "a temperature from -123 to 127 °C"),
        "pressure": ("pressure", 30e3, 130e3, "hPa", "an absolute pressure from 300 to 1300 hPa"),
        "humidity": ("fraction", 0.0, 1.0, "%", "a relative humidity from 0 to 100 %"),
    }
)
LIMITS: Mapping[Form, tuple[float, str]] = MappingProxyType(
    {
        "force": (1e5, "a force within 100 kN"),
        "area": (100.0, "an area within 100 m²"),
        "coefficient": (100.0, "a coefficient within 100"),
    }
)


class KnownReading(NamedTuple):
    """What the name of a column of readings says: channel, whether a coefficient, and the sign."""

    channel: Channel
    coefficient: bool
    positive_up: bool


def _readings() -> dict[str, KnownReading]:
    known = {}
    for suffix in ("", "_coefficient"):
        for axle in ("front", "rear"):
            channel: Channel = "front" if axle == "front" else "rear"
            for sign in ("lift", "downforce"):
                known[f"{axle}_{sign}{suffix}"] = KnownReading(channel, bool(suffix), sign == "lift")
        known[f"drag{suffix}"] = KnownReading("drag", bool(suffix), positive_up=False)
    return known


READINGS: Mapping[str, KnownReading] = MappingProxyType(_readings())
KNOWN = (*TEXTS, *CONDITIONS, *READINGS)
WANTED_READINGS: Mapping[Channel, str] = MappingProxyType(
    {
        "front": "front_lift [N] or front_downforce [N]",
        "rear": "rear_lift [N] or rear_downforce [N]",
        "drag": "drag [N]",
    }
)
