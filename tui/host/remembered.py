"""What is remembered between starts: sessions opened lately, units, theme, the speed of each session."""

from __future__ import annotations

import json
import os
import time
from contextlib import suppress
from dataclasses import asdict, dataclass, field, fields
from typing import TYPE_CHECKING, Any

from balance.units.shown import SYSTEMS

if TYPE_CHECKING:
    from pathlib import Path

_MOST = 20
_FAR = 1e11  # seconds since 1970, some thousand years


@dataclass(slots=True, kw_only=True)
class Recent:
    """A session opened lately."""

    path: str
    title: str = ""
    car: str = ""
    opened: float = 0.0
    speed: float = 0.0


@dataclass(slots=True, kw_only=True)
class Remembered:
    """What is remembered; anything unreadable is forgotten without a word, for nothing hangs on it."""

    units: str = ""
    """The system that somebody has chosen; empty while each session shows its own."""
    theme: str = "axletrim-dark"
    recent: list[Recent] = field(default_factory=list)

    def note_opened(self, path: str, title: str, car: str, speed: float) -> None:
        """Put a session at the head of those opened lately."""
        rest = [recent for recent in self.recent if recent.path != path]
        entry = Recent(path=path, title=title, car=car, opened=time.time(), speed=speed)
        self.recent = [entry, *rest][:_MOST]

    def speed_of(self, path: str) -> float | None:
        """Return the speed shown a session was left at."""
        return next(
            (recent.speed for recent in self.recent if recent.path == path and recent.speed > 0), None
        )


def _file() -> Path:
    from platformdirs import user_state_path  # noqa: PLC0415 - only when something is remembered

    return user_state_path("axletrim") / "remembered.json"


def recall() -> Remembered:
    """Read what is remembered."""
    try:
        return _from_record(json.loads(_file().read_text(encoding="utf-8")))
    except (OSError, ValueError, TypeError, AttributeError):
        return Remembered()


def _from_record(record: dict[str, Any]) -> Remembered:
    known = {f.name for f in fields(Recent)}
    recent = [
        Recent(**{k: v for k, v in entry.items() if k in known})
        for entry in record.get("recent", [])
        if isinstance(entry, dict) and isinstance(entry.get("path"), str)
    ]
    units = record.get("units")
    theme = record.get("theme")
    return Remembered(
        units=units if isinstance(units, str) and units in SYSTEMS else "",
        theme=theme if isinstance(theme, str) else "axletrim-dark",
        recent=[entry for entry in recent if _is_sound(entry)],
    )


def _is_sound(entry: Recent) -> bool:
    """Return whether an entry holds what it should, for the file may have been edited."""
    numbers, words = (entry.opened, entry.speed), (entry.title, entry.car)
    return all(isinstance(n, int | float) and 0 <= n < _FAR for n in numbers) and all(
        isinstance(word, str) for word in words
    )


def remember(remembered: Remembered) -> None:
    """Write what is remembered; a place that cannot be written is no reason to stop."""
    with suppress(OSError):
        path = _file()
        path.parent.mkdir(parents=True, exist_ok=True)
        partial = path.with_suffix(f".{os.getpid()}.part")
        partial.write_text(json.dumps(asdict(remembered), indent=1), encoding="utf-8")
        partial.replace(path)
