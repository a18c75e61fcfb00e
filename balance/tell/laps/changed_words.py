"""Seconds of a changed car in words: a setting a step more or less, a what-if against its start."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from balance.tell.laps.worth_words import NOT_A_LAP, ends_of, faster_words, lap_words

if TYPE_CHECKING:
    from collections.abc import Iterable

    from balance.decide.day.estimate import Estimate
    from balance.decide.laps.changed_laps import ChangedLap, SettingSteps
    from balance.model.tracks import Track


def step_words(steps: SettingSteps) -> str:
    """State what a setting a step more or less is worth a lap, as it was measured."""
    unit = "°" if steps.unit == "deg" else f" {steps.unit}".rstrip()
    size = f"{steps.step:g}{unit}"
    name = steps.setting.replace("_", " ")
    return f"{name} at {steps.about:g}{unit}: {_side(steps.more, f'{size} more')}; {_side(steps.less, f'{size} less')}."


def _side(one: Estimate, name: str) -> str:
    value, low, high = ends_of(one)
    return f"{name}: not tested" if math.isnan(value) else f"{name}: {faster_words(value, low, high)}"


def changed_lines(track: Track, lap: ChangedLap) -> Iterable[str]:
    """Write what a change is worth on a track, and what a simulated lap is not."""
    yield f"On {track.name}: {faster_words(*ends_of(lap.seconds))}."
    unknown = math.nan
    laps = [lap_words(float(time), unknown, unknown) for time in (lap.before, lap.after)]
    yield f"Laps simulated: {laps[0]} before, {laps[1]} after; intervals from laps run for each draw."
    yield NOT_A_LAP
