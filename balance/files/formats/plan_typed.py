"""What of a plan is typed in one field each: its words, how it stands in the file, and what a text changes there."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any, NamedTuple

from balance.files.formats.plan import clock_text, span_text
from balance.model.errors import InputError, quoted
from balance.model.kinds import NUMBER, clean_number
from balance.model.plans import Choose, Know

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from balance.files.formats.plan_edit import Key
    from balance.model.plans import DayPlan

_SPAN = re.compile(r"\s*(\S+?)\s*(?:-|\u2013|\bto\b)\s*(\S+)\s*")


class PlanField(NamedTuple):
    """One thing that a plan may state: its key, what it is called, what it says now, an example."""

    key: str
    label: str
    value: str
    example: str


def plan_fields_typed(plan: DayPlan, settings: Sequence[str]) -> tuple[PlanField, ...]:
    """List what can be typed of a plan."""
    hours, aim = plan.hours, plan.aim
    stems = list(dict.fromkeys(name.partition("_")[0] for name in settings))
    alone = [name for name in settings if name not in stems]
    choose = aim if isinstance(aim, Choose) else Choose()
    know = aim if isinstance(aim, Know) else Know()

    def span(name: str) -> str:
        held = plan.reading if name == "reading" else plan.changes.get(name)
        return "" if held is None else span_text(held)

    def force(value: float | None) -> str:
        return "" if value is None else f"{value:.6g} N"

    return (
        PlanField(
            "hours",
            "hired hours",
            f"{clock_text(hours.start)} to {clock_text(hours.end)}" if hours else "",
            "09:00 to 17:00",
        ),
        PlanField(
            "breaks",
            "breaks",
            ", ".join(f"{clock_text(a)} to {clock_text(b)}" for a, b in hours.breaks) if hours else "",
            "12:30 to 13:15",
        ),
        PlanField("minutes.reading", "time of a reading", span("reading"), "5 min"),
        *(PlanField(f"minutes.{name}", f"{name}: on or off", span(name), "10 min") for name in stems),
        *(
            PlanField(f"minutes.{name}", f"{name.replace('_', ' ')}: value to value", span(name), "5 min")
            for name in alone
        ),
        PlanField(
            "baseline_every",
            "runs from baseline to baseline",
            "" if plan.baseline_every is None else str(plan.baseline_every),
            "6",
        ),
        PlanField(
            "drag_worth",
            "choose: downforce that one newton of drag is worth, in newtons",
            "" if choose.drag_worth is None else f"{choose.drag_worth:.6g}",
            "5",
        ),
        PlanField(
            "enough",
            "choose: gain below which nothing counts",
            "" if plan.enough is None else f"{plan.enough:.6g} {'s' if choose.track else 'N'}",
            "40 N",
        ),
        PlanField("know.downforce", "know each part: downforce to ±", force(know.downforce), "15 N"),
        PlanField("know.drag", "know each part: drag to ±", force(know.drag), "6 N"),
    )


def typed_changes(key: str, text: str) -> Mapping[Key, Any]:
    """Turn what was typed into changes of the file; an empty text takes the key out."""
    text = text.strip()
    head, _, name = key.partition(".")
    changes: dict[Key, Any]
    match head:
        case "hours":
            start, end = _pair(text, "09:00 to 17:00") if text else (None, None)
            changes = {("hours", "start"): start, ("hours", "end"): end} if text else {("hours",): None}
        case "breaks":
            pairs = [list(_pair(part, "12:30 to 13:15")) for part in text.split(",") if part.strip()]
            changes = {("hours", "breaks"): pairs or None}
        case "minutes":
            bare = NUMBER.fullmatch(clean_number(text)) is not None
            changes = {("minutes", name): (f"{text} min" if bare else text) or None}
        case "baseline_every":
            changes = {("order", "baseline_every"): _number(text, whole=True)}
        case "drag_worth":
            changes = {("aim", "know"): None, ("aim", "choose", "drag_worth"): _number(text)}
            changes = changes if text else {("aim", "choose"): None}
        case "enough":
            changes = {("aim", "enough"): text or None}
        case _:
            changes = {("aim", "choose"): None, ("aim", "enough"): None, ("aim", "know", name): text}
            changes = changes if text else {("aim", "know", name): None}
    return changes


def _pair(text: str, example: str) -> tuple[str, str]:
    match = _SPAN.fullmatch(text)
    if match is None:
        raise InputError(f"found {quoted(text)}, expected two times of day, as in {example}")
    return match[1], match[2]


def _number(text: str, *, whole: bool = False) -> float | int | None:
    if not text:
        return None
    plain = clean_number(text)
    if NUMBER.fullmatch(plain) is None:
        raise InputError(f"found {quoted(text)}, expected a {'whole ' if whole else ''}number")
    value = float(plain)
    return int(value) if value == int(value) else value
