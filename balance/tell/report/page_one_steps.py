"""Page one: what is dangerous and from which speed, and the steps in the order that the cautions ask for."""

from __future__ import annotations

from typing import TYPE_CHECKING

from balance.decide.day.verdict import VerdictWord
from balance.tell.parts.part_names import setting_words
from balance.tell.runs.range_words import range_and_beyond, range_brief
from balance.tell.runs.run_table import shortened

if TYPE_CHECKING:
    from collections.abc import Iterator

    from balance.decide.recommendation.way_there import SettingStep, Step
    from balance.tell.report.report_data import ReportData

_LEAST_STEPS = 2
AFTER_EACH = "After each: straight line, then rising speed, closed course."


def start_name(report: ReportData) -> str:
    """Name the car as it started, as the beginning of a sentence."""
    name = report.fitted_words(report.baseline)
    return f"{name[:1].upper()}{name[1:]}"


def danger_sentences(report: ReportData) -> Iterator[str]:
    """State what is dangerous: the recommendation itself, the step between, the start, else the worst that was tested."""
    ranges, middle = report.table.ranges, report.middle
    answer = ranges[report.answer]
    said = False
    if answer.dangerous or (
        answer.word is VerdictWord.AT_THE_EDGE and answer.edge is VerdictWord.FRONT_OVERPOWERS
    ):
        yield f"{_upper(report.fitted_words(report.answer))}: {_verdict(report, report.answer)}."
        said = True
    if middle is not None:
        made, lacking = (
            " and ".join(_short(report, step) for step in steps) for steps in (middle.made, middle.lacking)
        )
        yield f"Never run {made} without {lacking}: {_verdict(report, middle.row)}."
        said = True
    elif not report.same and ranges[report.baseline].dangerous:
        yield f"The car as it started: {_verdict(report, report.baseline)}."
        said = True
    if not said:
        yield _worst(report)


def _worst(report: ReportData) -> str:
    ranges = report.table.ranges
    found = [row for row in report.day.rows.configurations if ranges[row].dangerous]
    if not found:
        return "By these figures no configuration tested has more oversteer than in slow corners."
    worst = min(found, key=lambda row: ranges[row].in_balance_to)
    return f"Never run {report.fitted_words(worst)}: {_verdict(report, worst)}."


def steps_to_do(report: ReportData) -> tuple[str, ...]:
    """List the steps from the start where there are several, what loads the rear first, with what each alone does where it was run alone."""
    steps = report.steps if report.recommends and len(report.steps) > 1 else ()
    return tuple(f"{_step(report, step, last=step is steps[-1])}." for step in steps)


def do_sentence(report: ReportData) -> str:
    """State what stands in place of steps where there are none, and how each is checked."""
    if not report.recommends:
        return "Change nothing on the strength of this page. Test again, rear first, before any fast driving."
    if len(report.steps) == 1:
        return f"{_step(report, report.steps[0], last=True)}. {AFTER_EACH.replace('After each', 'Then')}"
    if report.steps:
        return AFTER_EACH
    if report.same:
        return f"Nothing to change. {AFTER_EACH.replace('After each', 'Check')}"
    ends = (report.fitted_words(row) for row in (report.baseline, report.answer))
    return f"Go from {' to '.join(ends)}. {AFTER_EACH}"


def _step(report: ReportData, step: Step, *, last: bool) -> str:
    """State one step, and the verdict of the car with this step alone where it matters and was run."""
    said = _upper(" and ".join(_change(report, one) for one in step.changes))
    together = len(step.changes) > 1
    if together:
        said += ", together only: never run apart"
    several = len(report.steps) >= _LEAST_STEPS
    if not several or last or (step.alone is None and not step.unknown_car):
        return said
    if step.alone is None:
        return f"{said}{';' if together else ':'} the car so far was not run and its balance is unknown"
    behind = "; these" if together else ":"
    return f"{said}{behind} alone, {range_and_beyond(report.table.ranges[step.alone], report.show)}"


def _change(report: ReportData, change: SettingStep) -> str:
    """State what is done to one setting."""
    name = shortened(change.name, report.session.setting_names)
    if change.after is None or change.after.off:
        return f"{name} off"
    if change.before is None or change.before.off or not change.after.numeric:
        return setting_words(name, change.after)
    return f"{name} from {_value(change.before)} to {_value(change.after)}"


def _value(setting: object) -> str:
    return setting_words("", setting).strip()  # type: ignore[arg-type]


def _short(report: ReportData, step: SettingStep) -> str:
    """Name what a change is about by the setting alone, with its value where only that changes."""
    name = shortened(step.name, report.session.setting_names)
    if step.before is None or step.before.off:
        return f"the {name}"
    return f"{name} off" if step.after is None or step.after.off else f"the {setting_words(name, step.after)}"


def _verdict(report: ReportData, row: int) -> str:
    return range_brief(report.table.ranges[row], report.show, between=True, whole=True)


def _upper(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}"
