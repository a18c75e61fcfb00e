"""Settings in words: a figure with its unit, its interval, the range it can be used in, and what eyes saw there.

What was seen are the recorded texts of a setting's runs, shown beside the curve and part of no decision.
"""

from __future__ import annotations

import math
from types import MappingProxyType
from typing import TYPE_CHECKING

from balance.decide.settings.response import RangeEnd, Stall
from balance.model.channels import front_rear_drag
from balance.model.kinds import with_unit
from balance.tell.figures import decimals_for, number, of_hundred, percent, runs_named

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from balance.decide.settings.families import Family
    from balance.decide.settings.response import Response, Step
    from balance.decide.settings.trim import TrimAnswer
    from balance.model.records import Run, Setting
    from balance.tell.figures import Show

_ENDS = {
    RangeEnd.LAST_TESTED: "the last setting tested",
    RangeEnd.NO_RISE: "beyond it the {axle} axle's downforce does not rise{stalled}",
    RangeEnd.COSTS_MORE: "beyond it the step gains less downforce than {times}its drag{stalled}",
}


_MEASURES = frozenset({"angle", "length", "height", "width", "gap"})
"""Last words of a setting's name that are no part of what is fitted: not the angle stalls but the wing."""


def setting_decimals(low: float, high: float) -> int:
    """Choose the decimals of a setting from its interval.

    Examples
    --------
    >>> setting_decimals(4.9, 6.3), setting_decimals(math.nan, math.nan)
    (1, 1)
    """
    width = high - low
    return decimals_for(width / 4.0 if math.isfinite(width) else math.nan, fallback=1, most=3)


def setting_words(value: float, low: float, high: float, unit: str, confidence: float) -> str:
    """Write a setting with its interval.

    Examples
    --------
    >>> setting_words(5.61, 4.94, math.inf, "deg", 0.95)
    '5.6° (4.9 to beyond the useful range, 95 % of draws)'
    """
    places = setting_decimals(low, high)
    text = with_unit(number(value, places), unit)
    if math.isnan(low) or math.isnan(high):
        return f"{text} (noise unknown, cannot tell how sure)"
    if math.isinf(low) and low == high:
        return f"{text} (all draws lie beyond the useful range)"
    ends = ["beyond the useful range" if math.isinf(end) else number(end, places) for end in (low, high)]
    return f"{text} ({ends[0]} to {ends[1]}, {percent(confidence, decimals=0)} of draws)"


STALL_WORDS: Mapping[Stall, str] = MappingProxyType(
    {
        Stall.POSSIBLY: "is possibly stalled: 5 to 50 % of draws say so",
        Stall.LEVELS_OFF: "levels off: the axle gains much less there than before",
        Stall.NEXT: "is next to the stall: leave one step in hand",
    }
)
"""What is said of a setting near a stall, behind the setting."""


def family_settings(answer: TrimAnswer) -> dict[str, Setting | None]:
    """Return the settings in which the family of an answer differs, as its first run has them."""
    family, readings = answer.moved.response.family, answer.moved.prepared.day.readings
    first = readings.runs[readings.index(family.labels[0])]
    return {name: first.settings.get(name) for name in family.differs}


def range_words(response: Response) -> str:
    """State what was tested, how far it can be used, and why it ends there."""
    unit = response.family.unit
    tested, useful = response.tested, response.useful
    times = "" if response.limit == 1.0 else f"{response.limit:g} times "
    why = _ENDS[response.ends_because].format(
        axle=response.own_axle, times=times, stalled=": stalled" if response.family.stalls else ""
    )
    return (
        f"tested {tested[0]:g} to {with_unit(f'{tested[1]:g}', unit)}, useful {useful[0]:g} to {with_unit(f'{useful[1]:g}', unit)}; "
        f"{with_unit(f'{response.loaded_end:g}', unit)}: {why}"
    )


def stall_sentence(response: Response, pressure: float, show: Show) -> str:
    """State in a sentence where a setting stalls, and what the step beyond does; empty where it does not."""
    if response.ends_because is RangeEnd.LAST_TESTED:
        return ""
    step = next(one for one in response.steps if one.stalled)
    unit, words = response.family.unit, response.family.setting.split("_")
    name = " ".join(words[:-1] if words[1:] and words[-1] in _MEASURES else words)
    own, total, drag = (float(one) * pressure for one in (step.own, step.downforce, step.drag))
    if response.ends_because is RangeEnd.NO_RISE:
        what = f"the {response.own_axle} axle {'gains' if own > 0.0 else 'loses'} {show.quantity('force', abs(own))}"
    else:
        what = (
            f"the car {'gains' if total > 0.0 else 'loses'} {show.quantity('force', abs(total))} of downforce"
        )
    more = f"{show.quantity('force', abs(drag))} {'more' if drag > 0.0 else 'less'} drag"
    end = with_unit(f"{step.end:g}", unit)
    deed = "is stalled" if response.family.stalls else "is beyond its useful range"
    return f"Beyond {with_unit(f'{step.start:g}', unit)} the {name} {deed}: at {end} {what}, with {more}."


def curve_lines(
    response: Response, runs: Sequence[Run], *, speed: float, dynamic_pressure: float, show: Show
) -> list[str]:
    """Write one family's response, and what was seen at each setting."""
    family = response.family
    differs = f", which differ in {', '.join(family.differs)} too" if family.differs else ""
    lines = [f"{family.setting} of runs {', '.join(family.labels)}{differs}; loads at {show.speed(speed)}"]
    for k, value in enumerate(family.values.tolist()):
        front, rear, drag = (
            float(v) * dynamic_pressure for v in front_rear_drag(response.curve.values[:, k])
        )
        lines.append(
            f"{with_unit(f'{value:g}', family.unit)} ({runs_named(family.runs[k])}): front "
            f"{show.axle_load(front)}, rear {show.axle_load(rear)}, drag {show.quantity('force', drag)}"
            f"{seen_at(runs, family, k)}"
        )
    lines += [_step(step, response, dynamic_pressure, show) for step in response.steps]
    lines.append(range_words(response))
    return lines


def _step(step: Step, response: Response, pressure: float, show: Show) -> str:
    unit = response.family.unit
    down, drag = (show.quantity("force", v * pressure) for v in (step.downforce, step.drag))
    text = f"{step.start:g} to {with_unit(f'{step.end:g}', unit)}: {down} total downforce for {drag} drag"
    if step.downforce > 0.0 and step.drag > 0.0 and not step.stalled:
        text += f", {number(step.downforce / step.drag, 1)} gained for each of drag"
    if step.stalled:
        text += ": stalled" if response.family.stalls else ": beyond the useful range"
    elif step.possibly_stalled:
        text += f": possibly stalled ({of_hundred(step.stalled_share)} draws)"
    elif step.levels_off:
        text += ": levels off"
    return text


def seen(runs: Sequence[Run], family: Family) -> dict[str, tuple[str, ...]]:
    """Return of each recorded text its words at every tested setting, those of several readings joined where they differ.

    A text that no run of the family has is left out, and one that is figures alone: no eye saw a dynamic pressure.
    """
    by_label = {run.label: run for run in runs}
    names = dict.fromkeys(
        name for label in family.labels for name, held in by_label[label].recorded.items() if not held.numeric
    )
    found = {name: tuple(_joined(name, by_label, labels) for labels in family.runs) for name in names}
    return {name: words for name, words in found.items() if any(words) and not all(map(_figures, words))}


def _figures(words: str) -> bool:
    return all(
        one.strip().replace(".", "", 1).lstrip("+-−").isdigit() for one in words.split(";") if one.strip()
    )


def _joined(name: str, runs: dict[str, Run], labels: Iterable[str]) -> str:
    held = (runs[label].recorded.get(name) for label in labels)
    return "; ".join(dict.fromkeys(str(one.value) for one in held if one is not None and one.value))


def seen_at(runs: Sequence[Run], family: Family, place: int) -> str:
    """Write what was seen at one tested setting, to stand behind its loads; empty where nothing was."""
    said = [
        f"{name.replace('_', ' ')}: {words[place]}"
        for name, words in seen(runs, family).items()
        if words[place]
    ]
    return "".join(f" · {one}" for one in said)


def seen_lines(runs: Sequence[Run], family: Family) -> list[str]:
    """Write what was seen over a setting, a sentence each text: neighbours that agree are told together."""
    return [
        f"{name.replace('_', ' ')}, seen and in no decision: {_over_settings(words, family)}"
        for name, words in seen(runs, family).items()
    ]


def seen_brief(runs: Sequence[Run], family: Family) -> str:
    """Write what was seen over a setting in one line; empty where nothing was."""
    return ", ".join(
        f"{name.replace('_', ' ')} {_over_settings(words, family)}"
        for name, words in seen(runs, family).items()
    )


def _over_settings(words: Sequence[str], family: Family) -> str:
    stretches: list[tuple[str, float, float]] = []
    for value, word in zip(family.values.tolist(), words, strict=True):
        if word and stretches and stretches[-1][0] == word:
            stretches[-1] = (word, stretches[-1][1], value)
        elif word or (stretches and stretches[-1][0]):
            stretches.append((word, value, value))
    return ", ".join(
        f"{word} at {'' if low == high else f'{low:g} to '}{with_unit(f'{high:g}', family.unit)}"
        for word, low, high in stretches
        if word
    )
