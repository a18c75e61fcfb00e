"""The response to a setting as a table of text: what was tested, what each step gained, and where it ends."""

from __future__ import annotations

from typing import TYPE_CHECKING

from balance.tell.figures import number, of_hundred
from balance.tell.settings.setting_words import range_words

if TYPE_CHECKING:
    from balance.decide.settings.response import Response, Step
    from balance.tell.figures import Show


def curve_lines(response: Response, *, speed: float, dynamic_pressure: float, show: Show) -> list[str]:
    """Write one family's response."""
    family = response.family
    differs = f", which differ in {', '.join(family.differs)} too" if family.differs else ""
    lines = [f"{family.setting} of runs {', '.join(family.labels)}{differs}; loads at {show.speed(speed)}"]
    for k, value in enumerate(family.values.tolist()):
        front, rear, drag = (float(v) * dynamic_pressure for v in response.curve.values[:, k])
        lines.append(
            f"{value:g} {family.unit} (run{'s' if len(family.runs[k]) > 1 else ''} {', '.join(family.runs[k])}): front "
            f"{show.axle_load(front)}, rear {show.axle_load(rear)}, drag {show.quantity('force', drag)}"
        )
    lines += [_step(step, response, dynamic_pressure, show) for step in response.steps]
    lines.append(range_words(response))
    return lines


def _step(step: Step, response: Response, pressure: float, show: Show) -> str:
    unit = response.family.unit
    down, drag = (show.quantity("force", v * pressure) for v in (step.downforce, step.drag))
    text = f"{step.start:g} to {step.end:g} {unit}: {down} total downforce for {drag} drag"
    if step.downforce > 0.0 and step.drag > 0.0 and not step.stalled:
        text += f", {number(step.downforce / step.drag, 1)} gained for each of drag"
    if step.stalled:
        text += ": stalled"
    elif step.possibly_stalled:
        text += f": possibly stalled ({of_hundred(step.stalled_share)} draws)"
    elif step.levels_off:
        text += ": levels off"
    return text
