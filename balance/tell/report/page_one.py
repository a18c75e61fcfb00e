"""Page one: what was found, what to do in which order, what it costs, what is dangerous, and how sure all of it is."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from balance.decide.day.best_balanced import DRAG_WORTH, lead
from balance.decide.day.largest_gains import largest_gains
from balance.decide.day.overturned import overturned
from balance.decide.day.range_seen import BEYOND_TESTS, highest_tested
from balance.decide.day.verdict import VerdictWord
from balance.handling.axle_loads import drag_power
from balance.handling.top_speed import top_speed
from balance.model.channels import DRAG, FRONT, REAR, TOTAL
from balance.reduce.air import dynamic_pressure
from balance.tell.figures import capital, number, of_hundred, percent
from balance.tell.parts.change_text import amount_words
from balance.tell.parts.part_names import setting_words
from balance.tell.report.blocks import Beside, Block, Lines, Section, Words
from balance.tell.report.cells import WITHIN_NOISE
from balance.tell.report.choice_words import chosen_words, why_none, why_not_nearest
from balance.tell.report.pictures.added_load import recommended_picture
from balance.tell.runs.overturn_words import ON_A_CARD, beyond_repeats, overturn_clause
from balance.tell.runs.range_words import (
    customer_sentence,
    range_and_beyond,
    range_brief,
    range_mark,
    range_role,
    range_sentence,
)
from balance.tell.runs.run_table import shortened
from balance.tell.words import CLASSES, MUCH_AS_AT_REST, REFIT_ASSUMED, surplus_range, surplus_std
from balance.units.shown import SI

if TYPE_CHECKING:
    from collections.abc import Iterator

    from balance.decide.day.best_balanced import Lead
    from balance.decide.day.verdict import Verdict
    from balance.decide.recommendation.way_there import SettingStep, Step
    from balance.tell.report.report_data import ReportData

_NAMED = 4
"""Named speeds that are listed one by one."""
_ROUND = 10.0
"""Newtons to which the load of a mount is rounded: what is estimated so is not known better."""
_SUREST = 0.999
"""A share of draws above this is never called all of them: a verdict rests on more than scatter."""
_AFTER_EACH = "After each: straight line, then rising speed, closed course."


def page_one(report: ReportData) -> Section:
    """Put page one together; where nothing tested is fit to be recommended it says so and recommends nothing."""
    over, steps = report.table.ranges[report.answer], _steps(report)
    power = "; power left out" if report.session.vehicle.driven is None else ""
    blocks: tuple[Block, ...] = (
        Words(text=_opening(report), role="lead"),
        Words(text=_whose(report), role="soft"),
        Words(text=f"{range_mark(over)} {_verdict(report)}{power}.", role=range_role(over)),
        Beside(
            picture=recommended_picture(report),
            lines=(
                ("Found", " ".join(_found(report))),
                ("Danger", " ".join(_danger(report))),
                ("Do, one change at a time" if steps else "Do", _do(report)),
            ),
            steps=steps,
        ),
        Lines(
            lines=(
                ("You will feel", " ".join(_felt(report))),
                ("Costs", " ".join(_costs(report))),
                (
                    f"Mounts at {report.show.speed(report.top_speed)}",
                    " ".join(_mounts(report)),
                ),
                ("How sure", " ".join(_sure(report))),
                ("Why not the next", " ".join(_next_best(report))),
            )
        ),
    )
    return Section(blocks, alone=True)


def _opening(report: ReportData) -> str:
    """Name what is recommended; or state that nothing is, and what is nearest."""
    name = report.fitted_words(report.answer)
    if report.recommends:
        return f"Recommended: {name}"
    if report.choices.answer:
        return f"Not recommended: {name}"
    return f"No recommendation: {why_none(report)}. Nearest: {name}"


def _whose(report: ReportData) -> str:
    """State which runs stand behind what is recommended or nearest, and who chose it."""
    runs = capital(report.runs_words(report.answer))
    if not report.recommends:
        if report.choices.answer:
            return f"{runs}. Named by the engineer, but dangerous."
        return f"{runs}. {why_not_nearest(report)}".rstrip()
    same = ", the car as it started" if report.same else ""
    chose = "Engineer's choice." if report.choices.answer else chosen_words()
    return f"{runs}{same}. {chose} {_net_lift(report)}".rstrip()


def _net_lift(report: ReportData) -> str:
    """State plainly that the air still lifts an axle or the whole car; nothing where it does not."""
    n, row = report.table.handling.nominal, report.answer
    loads = {"front": float(n.front_downforce[row]), "rear": float(n.rear_downforce[row])}
    lifted = [axle for axle, load in loads.items() if load < 0.0]
    if not lifted:
        return ""
    total = float(n.downforce[row])
    axles = "both axles" if len(lifted) > 1 else f"the {lifted[0]} axle"
    whole = f": {report.show.quantity('force', -total)} of LIFT in all" if total < 0.0 else ""
    return f"The air still lifts {axles}{whole}."


def _verdict(report: ReportData) -> str:
    """State the verdict over the range; where it is in balance at every named speed, these are named."""
    over, show = report.table.ranges[report.answer], report.show
    judged = _verdicts_at_places(report)
    named = ""
    if report.session.places and all(one.word is VerdictWord.IN_BALANCE for one in judged):
        speeds = [show.bare("speed", speed) for speed in report.place_speeds]
        several = f"{', '.join(speeds[:-1])} and {speeds[-1]}" if len(speeds) > 1 else speeds[0]
        named = f"{several} {show.unit('speed')}" if len(speeds) <= _NAMED else "every named speed"
    tested = BEYOND_TESTS * highest_tested(report.session)
    return range_sentence(
        over, report.session.vehicle, show, named=named, tested=tested, day=report.table.day, customer=True
    )


def _found(report: ReportData) -> Iterator[str]:
    """Return the loads of start and recommendation, the start's verdict, and the grip balance with its limits."""
    if not report.same:
        start = range_brief(report.table.ranges[report.baseline], report.show, between=True)
        yield f"{_start_name(report)}: {_loads(report, report.baseline)}; {start}."
    yield f"{'Recommended' if report.recommends else 'Nearest'}: {_loads(report, report.answer)}."
    yield from _grip(report)


def _loads(report: ReportData, row: int) -> str:
    """Return both axles' loads, the word for their direction before both where it is one, else behind each."""
    n, stds = report.table.handling.nominal, report.table.stds
    front, rear = (
        report.show.axle_load(float(load[row]), float(stds[axle, row]))
        for axle, load in ((FRONT, n.front_downforce), (REAR, n.rear_downforce))
    )
    word = front.rpartition(" ")[2]
    if rear.endswith(f" {word}"):
        return f"{word} {front.removesuffix(f' {word}')} front, {rear.removesuffix(f' {word}')} rear"
    return f"{front} front, {rear} rear"


def _grip(report: ReportData) -> Iterator[str]:
    verdict, target = report.table.handling.verdicts[report.answer], report.session.vehicle.target
    surplus = verdict.surplus
    if not abs(surplus) < 1.0:
        return
    more, less = ("rear", "front") if surplus >= 0.0 else ("front", "rear")
    ends = surplus_range(verdict, mirrored=surplus < 0.0).removesuffix(" %")
    between = f" ({ends})" if ends else ""
    sides = (target.rear_tolerance, target.front_tolerance)
    own, other = sides if surplus >= 0.0 else sides[::-1]
    drive = " under power" if verdict.with_drive else ""
    yield (
        f"Compared with slow corners, the {more}{drive} has {percent(abs(surplus), surplus_std(verdict))} more grip than the {less}{between}."
    )
    yield f"Allowed: {_limit(own)} that way, {_limit(other)} the other."


def _limit(value: float) -> str:
    return f"{number(value * 100.0, 1).removesuffix('.0')} %"


def _felt(report: ReportData) -> Iterator[str]:
    """State what the driver feels: the verdict in the customer's form, and under power."""
    over, vehicle = report.table.ranges[report.answer], report.session.vehicle
    yield f"{customer_sentence(over, vehicle, report.show)}."
    if abs(report.table.handling.verdicts[report.answer].surplus) < MUCH_AS_AT_REST and not over.light:
        yield f"At {report.show.speed(report.speed)} it behaves much as in slow corners."
    if over.power_understeer is not None:
        tyres = "front tyres also drive" if vehicle.driven == "front" else "tyres also drive"
        yield f"Under power, more understeer from {report.show.speed(over.power_understeer)}: the {tyres}."
    if vehicle.driven is None:
        yield "Power is left out: the driven axle was not stated, and has less grip under power."


def _start_name(report: ReportData) -> str:
    """Name the car as it started, as the beginning of a sentence."""
    return capital(report.fitted_words(report.baseline))


def _danger(report: ReportData) -> Iterator[str]:
    """State what is dangerous: the recommendation itself, the step between, the start, else the worst that was tested."""
    ranges, middle = report.table.ranges, report.middle
    answer = ranges[report.answer]
    said = False
    if answer.dangerous or (
        answer.word is VerdictWord.AT_THE_EDGE and answer.edge is VerdictWord.FRONT_OVERPOWERS
    ):
        yield f"{capital(report.fitted_words(report.answer))}: {_dangerous_verdict(report, report.answer)}."
        said = True
    if middle is not None:
        made, lacking = (
            " and ".join(_about(report, step) for step in steps) for steps in (middle.made, middle.lacking)
        )
        yield f"Never run {made} without {lacking}: {_dangerous_verdict(report, middle.row)}."
        said = True
    elif not report.same and ranges[report.baseline].dangerous:
        yield f"The car as it started: {_dangerous_verdict(report, report.baseline)}."
        said = True
    if not said:
        yield _worst(report)


def _worst(report: ReportData) -> str:
    ranges = report.table.ranges
    found = [row for row in report.day.rows.configurations if ranges[row].dangerous]
    if not found:
        return "By these figures no configuration tested has more oversteer than in slow corners."
    worst = min(found, key=lambda row: ranges[row].in_balance_to)
    return f"Never run {report.fitted_words(worst)}: {_dangerous_verdict(report, worst)}."


def _steps(report: ReportData) -> tuple[str, ...]:
    """List the steps from the start where there are several, what loads the rear first, with what each alone does where it was run alone."""
    steps = report.steps if report.recommends and len(report.steps) > 1 else ()
    return tuple(f"{_step(report, step, last=step is steps[-1])}." for step in steps)


def _do(report: ReportData) -> str:
    """State what stands in place of steps where there are none, and how each is checked."""
    if not report.recommends:
        return "Change nothing on the strength of this page. Test again, rear first, before any fast driving."
    if len(report.steps) == 1:
        return f"{_step(report, report.steps[0], last=True)}. {_AFTER_EACH.replace('After each', 'Then')}"
    if report.steps:
        return _AFTER_EACH
    if report.same:
        return f"Nothing to change. {_AFTER_EACH.replace('After each', 'Check')}"
    ends = (report.fitted_words(row) for row in (report.baseline, report.answer))
    return f"Go from {' to '.join(ends)}. {_AFTER_EACH}"


def _step(report: ReportData, step: Step, *, last: bool) -> str:
    """State one step, and the verdict of the car with this step alone where it matters and was run."""
    said = capital(" and ".join(_change(report, one) for one in step.changes))
    together = len(step.changes) > 1
    if together:
        said += ", together only: never run apart"
    if len(report.steps) < 2 or last or (step.alone is None and not step.unknown_car):
        return said
    if step.alone is None:
        return f"{said}{';' if together else ':'} the car so far was not run and its balance is unknown"
    behind = "; these" if together else ":"
    return f"{said}{behind} alone, {range_and_beyond(report.table.ranges[step.alone], report.show)}"


def _change(report: ReportData, change: SettingStep) -> str:
    """State what is done to one setting."""
    name = _short_name(report, change.name)
    if change.after is None or change.after.off:
        return f"{name} off"
    if change.before is None or change.before.off or not change.after.numeric:
        return setting_words(name, change.after)
    return f"{name} from {_value(change.before)} to {_value(change.after)}"


def _value(setting: object) -> str:
    return setting_words("", setting).strip()  # type: ignore[arg-type]


def _about(report: ReportData, step: SettingStep) -> str:
    """Name what a change is about by the setting alone, with its value where only that changes."""
    name = _short_name(report, step.name)
    if step.before is None or step.before.off:
        return f"the {name}"
    return f"{name} off" if step.after is None or step.after.off else f"the {setting_words(name, step.after)}"


def _dangerous_verdict(report: ReportData, row: int) -> str:
    return range_brief(report.table.ranges[row], report.show, between=True, whole=True)


def _costs(report: ReportData) -> Iterator[str]:
    """Return drag and power against the start, at the speed shown and at top speed, and what is lost of the top speed."""
    way, show = report.way, report.show
    if way is None:
        drag = float(report.table.handling.nominal.drag[report.answer])
        power = show.quantity("power", float(drag_power(drag, report.speed)))
        std = float(report.table.stds[DRAG, report.answer])
        yield f"Nothing beyond the car as it started: {show.quantity('force', drag, std=std)} of drag, {power} at {show.speed(report.speed)}."
        return
    change = way.whole.of(0, DRAG)
    more = "more" if change.change > 0.0 else "less"
    top, factor = report.top_speed, (report.top_speed / report.speed) ** 2
    amount, _, between = amount_words(change, show).partition(" (")
    between = between and f" ({between}"
    if not math.isfinite(change.std):
        yield f"{amount} {more} drag at {show.speed(report.speed)}, noise unknown."
        return
    if not change.resolved:
        yield f"Drag within noise: {WITHIN_NOISE}{amount} {more}{between} at {show.speed(report.speed)}."
        return
    here = abs(float(drag_power(change.change, report.speed)))
    there = abs(float(drag_power(change.change * factor, top)))
    yield (
        f"{amount} {more} drag{between}, {show.quantity('power', here, decimals=1)}; at {show.speed(top)} "
        f"{show.quantity('power', there, decimals=1)}{_top_speed_words(report)}."
    )


def _top_speed_words(report: ReportData) -> str:
    """State how much of the speed that power holds against drag is gained or lost, where the power is stated."""
    vehicle = report.session.vehicle
    if vehicle.power is None:
        return ""
    areas = report.day.areas([report.baseline, report.answer])[DRAG]
    held = top_speed(areas, power=vehicle.power, mass=vehicle.mass, air_density=report.table.air_density)
    change = float(held[1] - held[0])
    amount = report.show.speed(abs(change))
    if amount.startswith("0 "):
        return ", with no loss of top speed"
    return f", about {amount} {'of top speed' if change < 0.0 else 'more top speed'}"


def _mounts(report: ReportData) -> Iterator[str]:
    """Return what each fitted part pulls at its mounts at the top speed, in newtons whatever the units."""
    measured = [one for one in report.mounts if one.force is not None]
    unknown = [one for one in report.mounts if one.force is None]
    if not report.mounts:
        yield "No part is named as fitted, so no load of a mount is known."
    if measured:
        said = ", ".join(
            f"{'about ' if k == 0 else ''}{_newtons(report, one.force or 0.0)} on the {_short_name(report, one.name)}"
            for k, one in enumerate(sorted(measured, key=lambda one: -(one.force or 0.0)))
        )
        yield f"{capital(said)}, plus bumps and gusts."
    if unknown:
        *first, last = (_short_name(report, one.name) for one in unknown)
        names = f"{', '.join(first)} and {last}" if first else last
        verb = "were" if len(unknown) > 1 else "was"
        load = float(report.table.handling.nominal.downforce[report.answer])
        whole = load * (report.top_speed / report.speed) ** 2
        known = f"; the whole car's downforce there is about {_newtons(report, whole)}" if whole > 0.0 else ""
        yield f"The {names} {verb} never run on and off alone, so that load is not known{known}."
    yield f"Have {'each' if len(report.mounts) > 1 else 'it' if report.mounts else 'every mount'} sized by somebody qualified."


def _short_name(report: ReportData, setting: str) -> str:
    return shortened(setting, report.session.setting_names)


def _newtons(report: ReportData, exact: float) -> str:
    """Write a load of a mount rounded, in newtons too where others lead."""
    force = _ROUND * round(exact / _ROUND)
    newtons = f"{force:,.0f} N"
    if report.show.system.name == SI.name:
        return newtons
    return f"{report.show.quantity('force', force)} ({newtons})"


def _sure(report: ReportData) -> Iterator[str]:
    """Return the share of draws in balance, what would overturn the verdict, and what no repeat shows."""
    yield from _shares(report)
    if report.recommends:  # of another it would be a way to talk it into balance
        yield from _overturned(report)
    beyond = beyond_repeats(report.table, report.answer, report.show).partition(";")[0].removesuffix(".")
    if beyond:
        yield f"{beyond.replace(':', '')}."  # the first alone, the largest; a draw varies what else is assumed


def _verdicts_at_places(report: ReportData) -> tuple[Verdict, ...]:
    """Judge the recommendation at every named place; at the speed shown where none is named."""
    places = report.session.places
    if not places:
        return (report.table.handling.verdicts[report.answer],)
    speeds = tuple(dict.fromkeys(place.speed for place in places))
    return tuple(report.at(report.answer, speeds).handling.verdicts)


def _shares(report: ReportData) -> Iterator[str]:
    verdicts = _verdicts_at_places(report)
    shares = [one.shares[VerdictWord.IN_BALANCE] for one in verdicts if one.shares is not None]
    if len(shares) < len(verdicts):
        yield "Not known: no run was repeated and no repeatability is stated."
        return
    at = "at every named speed" if len(verdicts) > 1 else f"at {report.show.speed(report.speed)}"
    share = of_hundred(min(*shares, _SUREST)).removesuffix(" of").replace("more than", "over")
    alone = (
        "On air loads alone, in" if report.table.ranges[report.answer].power_understeer is not None else "In"
    )
    yield f"{alone} balance {at} in {share} of draws{_or_more(share, len(verdicts))}."
    if report.table.ranges[report.answer].refit_assumed:
        yield f"{capital(REFIT_ASSUMED)}."


def _or_more(share: str, speeds: int) -> str:
    """State that the share is that of the worst of several speeds."""
    return " or more" if speeds > 1 and not share.startswith(("over", "less")) else ""


def _overturned(report: ReportData) -> Iterator[str]:
    """Name the two changes nearest to their usual doubt, and the nearest towards the dangerous side."""
    table, row = report.table, report.answer
    found = overturned(table, [row])[0]
    if not found:
        return
    gains = largest_gains(report.day, table.rows[row])
    pressure = float(dynamic_pressure(table.speed, table.air_density))

    def clause(k: int) -> str:
        return overturn_clause(found[k], gains, pressure, table.speed, report.show)

    place, first = found[0].place, found[0].to
    nearest = [k for k, one in enumerate(found) if one.to is first][:ON_A_CARD]
    said = f"{CLASSES[first].turns} if {', or '.join(clause(k) for k in nearest)}"
    yield f"At {report.show.speed(place.speed)}, {said}." if place else f"{capital(said)}."
    loose = next((k for k, one in enumerate(found) if one.to is VerdictWord.FRONT_OVERPOWERS), None)
    if loose is not None and loose not in nearest:
        yield f"{capital(CLASSES[VerdictWord.FRONT_OVERPOWERS].turns)} if {clause(loose).removesuffix(' than measured')}."


def _next_best(report: ReportData) -> Iterator[str]:
    """Return the next best, a safer one, and the one with most downforce: load against that arrived at, and verdict."""
    safer = report.safer
    rows = [row for row in (report.next_best, safer, _most_load(report)) if row is not None]
    if not rows:
        yield "Nothing else was tested."
    for count, row in enumerate(dict.fromkeys(rows)):
        said = _beside(report, row, compared=count == 0)
        yield f"Safer, {said}" if row == safer else capital(said)


def _most_load(report: ReportData) -> int | None:
    """Find the configuration with most downforce besides that arrived at, where it has more."""
    load = report.table.handling.nominal.downforce
    rows = [row for row in report.day.rows.configurations if report.run(row).status != "suspect"]
    best = max(rows, key=lambda row: load[row], default=None)
    return None if best in (None, report.answer, report.baseline) else best


def _beside(report: ReportData, row: int, *, compared: bool) -> str:
    """State what another configuration has, beside that arrived at where wanted, and what its verdict is."""
    show, load = report.show, report.table.handling.nominal.downforce
    name = report.differing_words(row, report.answer)
    other, own = show.axle_load(float(load[row])), show.quantity("force", abs(float(load[report.answer])))
    own += " LIFT" if load[report.answer] < 0.0 else ""
    verdict = range_and_beyond(report.table.ranges[row], show).removesuffix("?")
    beside = f", not {own}" if compared else ""
    other = other if compared else other.removesuffix(" downforce")
    return f"{name}: {other}{beside}; {verdict}{_reason(report, row)}."


def _reason(report: ReportData, row: int) -> str:
    """State by which step of the rule of choice a configuration stands back, where its verdict is no reason."""
    if report.table.ranges[row].word is not VerdictWord.IN_BALANCE:
        return ""
    if report.run(row).status == "suspect":
        return ", but its reading is suspect"
    found, show = lead(report.day, report.answer, row), report.show
    if found.by_share:
        where = "the worst named speed" if report.session.places else "the tested speed"
        own, other = (of_hundred(min(share, _SUREST)) for share in found.shares)
        return f", but in {other.removesuffix(' of')} of draws at {where}, not {own.removesuffix(' of')}"
    if found.worth < 0.0 and not report.choices.answer:
        return ", but it gains no downforce over the start, or loses some at an axle"
    pressure = float(dynamic_pressure(report.speed, report.table.air_density))
    drag, worth = (show.quantity("force", abs(area) * pressure) for area in (found.drag, found.worth))
    loaded = _load_between(report, row, found)
    dragging = f"{drag} {'more' if found.drag < 0.0 else 'less'} drag"
    joined, behind = (", but", "behind") if found.worth >= 0.0 else (", with", "ahead")
    return f"{joined} {loaded} and {dragging}: {worth} {behind}, drag counting {DRAG_WORTH:g} times"


def _load_between(report: ReportData, row: int, found: Lead) -> str:
    """State how much less or more downforce another configuration has, with its interval, marked where it is within noise."""
    show, rows = report.show, report.day.rows
    deed = f"{'less' if found.downforce > 0.0 else 'more'} downforce"
    weights = rows.weighted([report.answer]) - rows.weighted([row])
    change = report.parts.increments.contrast(weights).of(0, TOTAL)
    if not math.isfinite(change.std):
        pressure = float(dynamic_pressure(report.speed, report.table.air_density))
        return f"{show.quantity('force', abs(found.downforce) * pressure)} {deed}"
    amount, _, between = amount_words(change, show).partition(" (")
    return f"{'' if change.resolved else '~'}{amount} {deed} ({between}"
