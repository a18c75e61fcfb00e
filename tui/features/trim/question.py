"""A question for a setting: read from what is typed, and answered."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from balance.model.channels import CHANNELS
from balance.model.errors import AxletrimError, InputError, UnitError, UnknownName

if TYPE_CHECKING:
    from balance.decide.day.day import Day
    from balance.decide.settings.suggestion import Suggestion
    from balance.decide.settings.trim_question import TrimQuestion
    from balance.model.what_ifs import StatedChange
    from tui.host.trim_view import WingView, WingWanted


def asked_run(view: WingView, day: Day, picked: str) -> str:
    """Return the run that is asked about: as typed; else the picked one, or the nearest to it with a setting to move."""
    from balance.decide.settings.families import nearest_movable  # noqa: PLC0415 - after the first paint

    typed = view.text("run")
    if typed or picked not in day.readings.labels:
        return typed or picked
    setting = view.text("setting").replace(" ", "_")
    return nearest_movable(day, picked, setting) or nearest_movable(day, picked) or picked


def default_setting(day: Day, run: str) -> str:
    """Choose the setting of a run that can be moved and has most values; nothing where it has none as a number."""
    from balance.decide.settings.families import movable_settings  # noqa: PLC0415 - after the first paint

    if movable := movable_settings(day).get(run):
        return movable[0]
    runs = day.readings.runs
    own = runs[day.readings.labels.index(run)].settings
    values = {
        name: len({str(other.settings[name].value) for other in runs if name in other.settings})
        for name, held in own.items()
        if held.numeric
    }
    return max(values, key=lambda name: values[name], default="")


def read_question(view: WingView, day: Day, picked: str) -> tuple[TrimQuestion | None, dict[str, str]]:
    """Read what is typed; a run left blank is the picked one, or the nearest to it that has a setting to move."""
    from balance.decide.settings.trim_question import TrimQuestion  # noqa: PLC0415 - after the first paint

    faults: dict[str, str] = {}
    labels = day.readings.labels
    run = asked_run(view, day, picked)
    if run not in labels:
        faults["run"] = str(UnknownName("run", run, labels))
        return None, faults
    setting = view.text("setting").replace(" ", "_") or default_setting(day, run)
    if not setting:
        faults["run"] = f"run {run} has no setting to move: F3 chooses one that has"
    stated = [_stated(view, axle, day, faults) for axle in CHANNELS]
    on = tuple(part.strip() for part in view.text("on").split(",") if part.strip())
    for label in on:
        if label not in labels:
            faults["on"] = str(UnknownName("run", label, labels))
    offset, surplus = _target(view, faults)
    if faults:
        return None, faults
    changes = tuple(change for change in stated if change is not None)
    return TrimQuestion(run=run, setting=setting, stated=changes, on=on, offset=offset, surplus=surplus), {}


def _stated(view: WingView, axle: str, day: Day, faults: dict[str, str]) -> StatedChange | None:
    from balance.files.formats.stated_text import read_stated  # noqa: PLC0415 - units are read only when typed

    text = view.text(axle)
    if not text:
        return None
    try:
        return read_stated({axle: text}, air_density=day.session.facility.air_density)
    except UnitError as fault:
        faults[axle] = str(fault)
        return None


def _target(view: WingView, faults: dict[str, str]) -> tuple[float | None, float | None]:
    """Read a balance offset in points, or a grip surplus in per cent."""
    from balance.files.formats.stated_text import read_offset  # noqa: PLC0415 - as above
    from balance.units.stated import parse_chosen  # noqa: PLC0415 - as above

    text = view.text("target")
    if not text:
        return None, None
    try:
        if any(word in text.casefold() for word in ("pt", "point", "rear", "forw")):
            return read_offset(text), None
        if text.rstrip().endswith("%"):
            return None, parse_chosen(text, "fraction")
    except UnitError as fault:
        faults["target"] = str(fault)
        return None, None
    faults["target"] = (
        f"found '{text}', expected a grip balance as in '1 %', or an aero balance as in '3 points rearward'"
    )
    return None, None


class WingAnswer(NamedTuple):
    """What came of a question: figures, or the field that is wrong and why."""

    wanted: WingWanted
    figures: Suggestion | None
    fault: tuple[str, str] | None


def answer_question(wanted: WingWanted) -> WingAnswer:
    """Answer a question: for a worker thread."""
    from balance.decide.settings.suggestion import suggest_setting  # noqa: PLC0415 - after the first paint
    from tui.host.prepared_days import prepared_with  # noqa: PLC0415 - as above

    try:
        prepared = prepared_with(wanted.day, wanted.baselines)
        figures = suggest_setting(prepared, wanted.question, speed=wanted.speed)
    except AxletrimError as fault:
        return WingAnswer(wanted, None, (_field_of(fault), _words_of(fault)))
    return WingAnswer(wanted, figures, None)


def _field_of(fault: AxletrimError) -> str:
    """Find the field that a refusal belongs to, by the first word of what it says."""
    first = str(fault).split(maxsplit=1)[0].rstrip(":")
    return {"target": "target", "part": "on", "run": "run", "setting": "setting"}.get(first, "setting")


def _words_of(fault: AxletrimError) -> str:
    """Leave out the options of the command line."""
    text = str(fault).partition("; or name the runs of the curve with --family")[0]
    return text if isinstance(fault, InputError) and text else str(fault)
