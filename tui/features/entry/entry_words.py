"""What is said of a run while it is typed and once it is saved; worked out in threads."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from balance.model.kinds import with_unit
from tui.host.expected_lines import GuardWords, guard_words, run_words

if TYPE_CHECKING:
    from balance.decide.day.day import Day
    from balance.files.day.open_day import OpenDay
    from balance.tell.figures import Show
    from tui.host.typed_run import TypedRun

Lines = list[tuple[str, str]]
_LATER = 4
"""How many empty columns are named before the rest is counted."""


def order_words(typing: TypedRun) -> str:
    """State in which order and units the line is typed."""
    figures = " ".join(plan.header for plan in typing.sheet.force_columns)
    if typing.edited is not None:
        drag = typing.sheet.force_columns[-1].name
        what = f'type what is to be corrected: {drag} 873 wing 4 flap off note "tufts on"'
    elif typing.row_faults and not typing.figures_known:
        what = f"a figure of the row cannot be read: {figures}, then what was changed: wing 4 flap off · or: repeat"
    elif typing.row is not None:
        what = "the figures are known: type what was changed: wing 4 flap off · or: repeat"
    elif not typing.sheet.labels:
        what = f"{figures}, then configuration and its name, settings: configuration base wing 4"
    else:
        what = f"{figures}, then what was changed: wing 4 flap off · or: repeat"
    return f"{what} · Enter saves · Tab: field by field"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Understood:
    """What was understood of a run so far, and what the guard says of it among that."""

    lines: Lines
    guard: GuardWords


def understood(typing: TypedRun, day: OpenDay, show: Show) -> Understood:
    """State what was understood of a run so far, what is missing, and what is unlikely in it."""
    start = typing.base.start
    if typing.edited is not None:
        lines: Lines = [(f"Correcting run {typing.edited}", "heading")]
    else:
        whence = f", from run {start}" if start else ", the first of the day"
        lines = [(f"Run {typing.label}{whence}", "heading")]
        last = next((run.label for run in reversed(typing.sheet.runs) if run.status != "void"), start)
        if start and start != last:
            lines.append((f"starts from run {start}, not from the last one, run {last}", "warn"))
        lines += [(fault, "warn") for fault in typing.row_faults]
    if typing.draft is not None and typing.problem:
        lines.append((f"… {typing.problem}", "warn"))
    changes = typing.changes
    if start or typing.edited:
        lines += [(_change_words(typing, *change), "strong") for change in changes]
        lines += [(text, "warn") for name, _, new in changes if (text := _meant_words(typing, name, new))]
    if start and not changes and typing.draft is not None and not typing.problem:
        lines.append((f"nothing changed against run {start}: a repeat", "strong"))
    guard = guard_words(typing, day, _as_typed(typing, show))
    lines += guard.lines
    if (empty := typing.unfilled) and typing.draft is not None:
        more = f" and {len(empty) - _LATER} more" if len(empty) > _LATER else ""
        listed = ", ".join(empty[:_LATER]) + more
        text = (
            f"empty, though run {start} has them: {listed}; for an empty speed or air the facility's is taken"
        )
        lines.append((text, "muted"))
    return Understood(lines=lines, guard=guard)


def doubt_lines(typing: TypedRun, guard: GuardWords) -> Lines:
    """Ask whether a run that is doubted is to be saved all the same."""
    return [
        (f"Run {typing.edited or typing.label} is not saved yet", "fault"),
        ("Enter again saves it · Esc goes back to the field", "strong"),
        *guard.lines,
    ]


def _change_words(typing: TypedRun, name: str, old: str, new: str) -> str:
    """State what a column had and has; a setting that is empty is off, any other column has nothing."""
    plan = next((plan for plan in typing.sheet.plans if plan.name == name), None)
    unit = plan.unit or "" if plan is not None else ""
    without = "off" if plan is not None and plan.role == "setting" else "nothing"
    before = (old if new else with_unit(old, unit)) if old else without
    return f"{name}: {before} → {with_unit(new, unit) if new else without}"


def _meant_words(typing: TypedRun, name: str, text: str) -> str:
    """Ask whether a new name was meant to be one in use; empty where nothing speaks for it."""
    from balance.files.day.run_entry import name_meant  # noqa: PLC0415 - only when typed
    from tui.features.entry.entry_suggester import texts_in_use  # noqa: PLC0415 - only when typed

    plan = next((plan for plan in typing.sheet.plans if plan.name == name), None)
    if not text or plan is None or plan.unit or (name != "configuration" and plan.role != "setting"):
        return ""
    meant = name_meant(text, texts_in_use(typing.sheet, name))
    return f"! {name} '{text}' is new: was '{meant}' meant, which is in use?" if meant else ""


def _as_typed(typing: TypedRun, show: Show) -> Show:
    """Take the units that figures are typed in, whatever the screens show: a doubt is of what was typed."""
    from balance.tell.figures import Show as Shown  # noqa: PLC0415 - only when typed
    from balance.units.shown import system_of  # noqa: PLC0415 - only when typed

    system = system_of(plan.unit for plan in typing.sheet.force_columns)
    return show if system is None else Shown(system)


def verdict_lines(day: Day, label: str, speed: float, show: Show) -> Lines:
    """State how a run that was saved is balanced, and how well one reading of the day is known."""
    from balance.decide.day.assessment import assess  # noqa: PLC0415 - only when saved
    from balance.tell.head import scatter_words  # noqa: PLC0415 - only when saved
    from balance.tell.runs.card import run_card  # noqa: PLC0415 - only when saved

    table = assess(day, speed=speed, rows=[day.rows.standing[day.readings.index(label)]])
    card = run_card(table, 0, show)
    return [
        (f"Run {label} entered", "heading"),
        (card.headline, card.role),
        (card.why_brief, ""),
        *([(card.caution, "warn")] if card.caution else []),
        ("As expected?", "heading"),
        *run_words(day.session, label, show).lines,
        ("Repeatability", "heading"),
        (scatter_words(table, show), ""),
    ]


def change_lines(day: Day, label: str, start: str | None, speed: float, show: Show) -> Lines:
    """State what a run that was saved changed against its baseline."""
    from balance.decide.parts.parts import assess_parts  # noqa: PLC0415 - only when saved
    from balance.tell.parts.part_words import baseline_words, part_sentence  # noqa: PLC0415 - only when saved

    row = day.readings.index(label)
    parts = assess_parts(day, speed=speed)
    here = next((k for k, pair in enumerate(parts.increments.pairs) if pair.run == row), None)
    said: Lines = []
    if here is None and start in day.readings.labels and start != label:
        parts = assess_parts(day, speed=speed, chosen={label: str(start)})
        here = next((k for k, pair in enumerate(parts.increments.pairs) if pair.run == row), None)
        said = [(f"no baseline stated: compared with run {start}, from which it was typed", "muted")]
    if here is None:
        return [("Against its baseline", "heading"), ("there is no run yet to compare it with", "")]
    versus = baseline_words(parts[here].increment)
    return [(f"Change: {versus}", "heading"), *said, (part_sentence(parts, here, show), "")]
