"""Which run is worth its minutes next, in words and as a table."""

from __future__ import annotations

from typing import TYPE_CHECKING

from balance.decide.day.best_balanced import DRAG_WORTH
from balance.decide.day.day import reduce_day
from balance.decide.plan.change_times import clock_time
from balance.files.formats.plan import clock_text
from balance.model.channels import CHANNELS, DRAG, FRONT, REAR
from balance.model.plans import Know
from balance.tell.figures import capital, decimals_for, number, of_hundred, percent
from balance.tell.plan.expected_words import (
    basis_words,
    expected_cell,
    expected_line,
    facility_pressure,
    range_text,
    share_words,
    sources_of,
    stated_at,
)
from balance.tell.plan.plan_names import hours_words, lone_settings, minutes_text, plan_sources
from balance.tell.runs.doubt_words import reading_doubts, scatter_doubts
from balance.tell.runs.range_words import range_phrase
from balance.tell.table import Cell, Column, Table, table_of

if TYPE_CHECKING:
    from collections.abc import Iterable

    from balance.decide.plan.configuration import Configuration
    from balance.decide.plan.next_run import NextRun, NextRuns
    from balance.decide.plan.planned_day import PlannedDay
    from balance.tell.figures import Show
    from balance.tell.plan.plan_names import Names

_MOST_DECIMALS = 2
_EVEN = 0.5
_KINDS = {
    "baseline": "baseline again",
    "best": "best so far again",
    "off": "one part off",
    "value": "tested value",
    "between": "between tested values",
    "union": "parts not run together yet",
    "wanted": "wanted",
}


def worth_text(found: NextRuns, worth: float, show: Show) -> str:
    """Write a worth without its unit: newtons of merit in the force shown, thousandths of a second, or squares of newtons."""
    shown = show.system.unit("force").from_si(worth) if found.unit == "N" else worth
    if found.unit == "s":
        shown = 1000.0 * worth
    return number(shown, min(decimals_for(abs(shown) / 10.0, fallback=0), _MOST_DECIMALS))


def worth_unit(found: NextRuns, show: Show) -> str:
    """Name the unit of worth."""
    return {"N": show.unit("force"), "s": "ms", "N2": "N²"}[found.unit]


def aim_words(planned: PlannedDay, show: Show) -> str:
    """State what the day is to decide."""
    aim = planned.plan.aim
    if isinstance(aim, Know):
        widths = [
            f"{name} to ± {show.quantity('force', value)}"
            for name in ("front", "rear", "downforce", "drag")
            if (value := getattr(aim, name)) is not None
        ]
        return f"to know each part: {', '.join(widths)}"
    if aim.track is not None:
        return f"to choose the configuration in balance with the least lap time on {aim.track}; merit is time a lap"
    worth = DRAG_WORTH if aim.drag_worth is None else aim.drag_worth
    return (
        f"to choose the configuration in balance with the most downforce less {worth:g} times its drag"
        f"{'' if aim.drag_worth is not None else ' (assumed)'}"
    )


def clock_line(planned: PlannedDay) -> str:
    """State what time it is, which run was done last, and what is left of the hours."""
    runs = planned.session.used
    done = f"run {runs[-1].label} done" if runs else "before the first run"
    left = None if planned.found is None else planned.found.time_left
    clock = f"{clock_text(planned.now)}, " if time_known(planned) else ""
    if planned.plan.hours is None:
        return f"{clock}{done} · no hours stated: [hours] in plan.toml, or F4 on page 8"
    if left is None:
        return f"{clock}{done} · hours until {clock_text(planned.plan.hours.end)}"
    runs_left = 0 if planned.found is None else _runs_left(planned.found)
    count = f" · about {runs_left} more run{'s' * (runs_left != 1)}" if runs_left else ""
    ahead = any(ended > planned.now for _, ended in planned.plan.hours.breaks)
    return (
        f"{clock}{done} · {hours_words(left)} left until {clock_text(planned.plan.hours.end)}"
        f"{', breaks not counted' if ahead else ''}{count}"
    )


def time_known(planned: PlannedDay) -> bool:
    """Return whether the time of day is known: from the clock, from the runs' times, or as the hours begin."""
    begins = planned.plan.hours.start if planned.plan.hours else 0.0
    timed = any(clock_time(run.time) is not None for run in planned.session.used)
    return timed or planned.now != begins or (planned.plan.hours is not None and not planned.session.used)


def _runs_left(found: NextRuns) -> int:
    """Count the runs that the time left holds, each with a change as the best ones need."""
    some = sorted(run.time / (run.fits * run.readings) for run in found.runs)
    usual = some[len(some) // 2] if some else found.times.reading
    return int((found.time_left or 0.0) // max(usual, found.times.reading))


def best_line(planned: PlannedDay, names: Names, show: Show) -> str:
    """State which configuration is the best so far, and how likely it stays so."""
    found = planned.found
    if found is None:
        return planned.why_not
    if found.share is None or not planned.session.used:
        return capital(aim_words(planned, show))
    gained = ""
    if found.best == planned.start:
        gained = ", the start itself"
    elif found.merit is not None and found.start_merit is not None:
        more = found.merit - found.start_merit
        gained = f" · {worth_text(found, more, show)} {worth_unit(found, show)} of merit over the start"
        if found.unit == "s":
            gained += ", what lies outside the limits counted in"
    return (
        f"Most merit so far: {names.fitted(found.best)}{_over_range(planned, show)}{gained} · "
        f"{_share_words(found.share)}"
    )


def _share_words(share: float) -> str:
    """State how likely it is the best of what could be run; where that is less than even, how likely another is."""
    if share < _EVEN:
        return f"another, run or not yet, has more in {of_hundred(1.0 - share)} draws"
    return f"the best of all in {of_hundred(share)} draws"


def _over_range(planned: PlannedDay, show: Show) -> str:
    """State the verdict of the best so far over all speeds, which its merit does not know."""
    one = planned.best_verdict
    return "" if one is None else f" · {range_phrase(one, show)}"


def differs_line(planned: PlannedDay, show: Show) -> str:
    """State why the most merit can be another configuration than the recommendation; nothing where none has merit."""
    found = planned.found
    if found is None or found.share is None or planned.best_verdict is None:
        return ""
    rule = f"balance over all speeds first, then downforce less {DRAG_WORTH:g} times drag"
    merit = "a lap" if found.unit == "s" else f"{show.speed(planned.session.facility.speed)} alone"
    return f"Merit is of {merit}. The recommendation (page 1) asks for {rule}: the two can differ."


def stop_line(planned: PlannedDay, names: Names, show: Show) -> str:
    """State whether it is time to stop, and what to do then."""
    found = planned.found
    if found is None:
        return ""
    enough = f"{worth_text(found, found.enough, show)} {worth_unit(found, show)}"
    if found.unit == "N":
        enough += " of merit"
    if not found.runs:
        return "Stop: no time is left for any run."
    if not found.stop:
        return f"Go on: a run is expected to gain more than {enough}."
    verify = ""
    if found.verify:
        best, start = (names.fitted(one) for one in found.verify)
        verify = f" Verify instead: {best} against {start}, back to back."
    return f"Stop: no run is expected to gain more than {enough}.{verify}"


def danger_words(planned: PlannedDay, one: Configuration, show: Show) -> str:
    """Warn of a run whose configuration is on the dangerous side; nothing where it is not."""
    danger = planned.dangers.get(one)
    if danger is None:
        return ""
    if danger.verdict is not None:
        return f"warning: when run it was {range_phrase(danger.verdict, show)}{_road(planned)}"
    return (
        f"warning: expected past the oversteer limit, front {percent(-danger.surplus, decimals=1)} more grip "
        f"{stated_at(planned.session, show)}{_road(planned)}"
    )


def _road(planned: PlannedDay) -> str:
    """Caution where a car is driven over a straight, not held in a tunnel."""
    driven = planned.session.facility.kind == "straight"
    return "; it is driven here, not held: do not build up speed with it" if driven else ""


def next_table(planned: PlannedDay, names: Names, show: Show, *, most: int | None = None) -> Table:
    """Lay out the runs that could be made next, the best for its time first."""
    found = planned.found
    unit = "" if found is None else worth_unit(found, show)
    force = show.unit("force")
    columns = (
        Column("run", "next run", width=26, flexible=True, term="next_run"),
        Column("change", "change", width=20, priority=7),
        Column("times", "readings", align="right", priority=6),
        Column("minutes", "time", unit="min", align="right"),
        *(
            Column(
                name,
                name,
                unit=force,
                align="right",
                group="expected",
                priority=last,
                term="expected_reading",
            )
            for name, last in (("front", 3), ("rear", 3), ("drag", 4))
        ),
        Column("rate", "worth", unit=f"{unit}/min", align="right", group="worth", term="worth"),
        Column(
            "share",
            "choice",
            unit="% of draws",
            align="right",
            group="worth",
            priority=2,
            term="changes_choice",
        ),
        Column("would", "to", width=18, group="worth", priority=8),
    )
    runs = () if found is None else found.runs[:most]
    return table_of(columns, [_row(planned, one, names, show) for one in runs])


def _row(planned: PlannedDay, one: NextRun, names: Names, show: Show) -> list[Cell]:
    found, pressure = planned.found, facility_pressure(planned.session)
    assert found is not None  # noqa: S101 - a run of it is written
    danger = one.configuration in planned.dangers
    mark = "! " if danger else ""
    wanted = ", wanted" if one.must or one.kind == "wanted" else ""
    would = "" if one.would_become is None else names.fitted(one.would_become)
    if one.would_become == one.configuration:
        would = "this one"
    return [
        Cell(f"{mark}{_short_name(found, one, names)}{wanted}", "danger" if danger else ""),
        Cell(names.needs(one.needs)),
        Cell(times_text(one), "muted"),
        Cell(minutes_text(one.time), value=one.time),
        *(expected_cell(one.expected, k, pressure, show) for k in (FRONT, REAR, DRAG)),
        Cell(worth_text(found, one.worth_rate * 60.0, show), "strong", value=one.worth_rate),
        Cell(share_words(one.changes_choice if found.share is not None else None)),
        Cell(would, "muted"),
    ]


def _short_name(found: NextRuns, one: NextRun, names: Names) -> str:
    """Name a run by what is fitted, or by how it differs from the best so far, whichever is shorter."""
    whole = names.fitted(one.configuration)
    if one.configuration == found.best:
        return "best so far again"
    if not one.configuration.settings:
        return whole
    return min(names.instead(found.best, one.configuration), whole, key=len)


def times_text(one: NextRun) -> str:
    """Write how often a run is to be fitted and read."""
    return f"{one.fits} fits" if one.fits > 1 else str(one.readings)


def next_detail(planned: PlannedDay, one: NextRun, names: Names, show: Show) -> tuple[tuple[str, str], ...]:
    """State everything about one run that could be made next: texts and their roles."""
    found = planned.found
    assert found is not None  # noqa: S101 - a run of it is written
    pressure = facility_pressure(planned.session)
    lines: list[tuple[str, str]] = []
    if warned := danger_words(planned, one.configuration, show):
        lines.append((f"{capital(warned)}.", "danger"))
    often = ""
    if one.fits > 1:
        often = f", fitted {one.fits} times"
    elif one.readings > 1:
        often = f", read {one.readings} times"
    run = (
        f"{capital(names.fitted(one.configuration))}: {_KINDS[one.kind]}{often}; "
        f"{names.needs(one.needs)}, {minutes_text(one.time)} min."
    )
    reads = (
        f"Expected {stated_at(planned.session, show)}: {expected_line(one.expected, pressure, show)}, 95 %; "
        f"{basis_words(one.expected, names)}."
    )
    worth = f"Worth {worth_text(found, one.worth, show)} {worth_unit(found, show)}{_changes(planned, one, names)}."
    lines += [(run, ""), (reads, ""), (worth, "")]
    if takes := takes_words(planned, one, show):
        lines.append((takes, ""))
    return tuple(lines)


def next_brief(planned: PlannedDay, one: NextRun, names: Names, show: Show) -> tuple[tuple[str, str], ...]:
    """State what there is little room for: what is to be fitted, and what it should read."""
    pressure = facility_pressure(planned.session)
    unit = show.unit("force")
    reads = ", ".join(
        f"{name} {range_text(one.expected, k, pressure, show)} {unit}" for k, name in enumerate(CHANNELS)
    )
    warned = danger_words(planned, one.configuration, show)
    return (
        *(((f"{capital(warned)}.", "danger"),) if warned else ()),
        (f"{capital(names.fitted(one.configuration))}.", ""),
        (f"Expected: {reads}, 95 %{sources_of(one.expected, names)}.", ""),
    )


def _changes(planned: PlannedDay, one: NextRun, names: Names) -> str:
    """State what a run could change."""
    found = planned.found
    if found is None or found.share is None:
        return " off what is known too badly"
    if one.would_become is None or one.changes_choice <= 0.0:
        return ", and it is not expected to change the choice"
    would = "it" if one.would_become == one.configuration else names.fitted(one.would_become)
    return f": in {of_hundred(one.changes_choice)} draws {would} is then chosen instead of the best so far"


def takes_words(planned: PlannedDay, one: NextRun, show: Show) -> str:
    """State what the run would have to read for another choice."""
    found, takes = planned.found, one.takes
    if found is None or takes is None or one.changes_choice <= 0.0:
        return ""
    held = found.belief.belief.mean([found.best])[0, takes.channel]
    force = float(held + takes.change) * facility_pressure(planned.session)
    std = float(one.expected.std[takes.channel]) * facility_pressure(planned.session)
    axle = CHANNELS[takes.channel]
    return (
        f"Another choice takes a {axle if takes.channel == DRAG else f'{axle} downforce'} "
        f"{'above' if takes.more else 'below'} {show.quantity('force', force, std=std)}, the rest as expected."
    )


def plan_notes(planned: PlannedDay, names: Names) -> tuple[str, ...]:
    """State what was assumed."""
    found = planned.found
    sources = [*lone_settings(planned.session, planned.plan), *plan_sources(planned.plan, names)]
    if found is None:
        return tuple(sources)
    times = found.times
    said = {
        "scatter": "repeatability unknown: sd of a reading assumed as 0.005 m², of a fit twice that",
        "refit": "sd of refitting assumed as twice that of a reading: no repeat shows the two apart",
        "labels": "labels alone tell the configurations apart: no parts are put together that were not run together",
        "minutes of reading": f"time of a reading assumed: {minutes_text(times.reading)} min",
    }
    notes = sources
    unstated = []
    for code in found.notes:
        if code in said:
            notes.append(said[code])
        elif code.startswith("minutes of "):
            unstated.append(names.part(code.removeprefix("minutes of "), None))
    if unstated:
        notes.append(
            f"times of changes assumed: {', '.join(unstated)}; state them under [minutes], or give runs a time"
        )
    if planned.plan.hours is not None and not time_known(planned):
        notes.append(
            "time of day unknown: no run has a time, so all of the hours count as left; type times, or --now 14:20"
        )
    if times.learnt:
        notes.append("times learnt from those of the day's runs")
    notes.append("expected, never measured: it guides what to run next and is in no result")
    return tuple(notes)


def plan_doubts(planned: PlannedDay, show: Show) -> list[str]:
    """Name the doubted readings that belief and scatter rest on."""
    if not planned.session.used:
        return []
    day = reduce_day(planned.session, draws=100)  # draws tell nothing of a doubt
    return list(dict.fromkeys((*scatter_doubts(day, show), *reading_doubts(day, show))))


def dangers_of(
    planned: PlannedDay, some: Iterable[Configuration], names: Names, show: Show
) -> tuple[str, ...]:
    """Warn of those of some configurations that are on the dangerous side; what is only expected stands in one sentence."""
    every = [one for one in dict.fromkeys(some) if one in planned.dangers]
    run = [one for one in every if planned.dangers[one].verdict is not None]
    said = [f"{names.fitted(one)}: {danger_words(planned, one, show)}" for one in run]
    expected = [names.fitted(one) for one in every if one not in run]
    if expected:
        said.append(
            f"warning: expected past the oversteer limit {stated_at(planned.session, show)}{_road(planned)}: "
            f"{'; '.join(expected)}"
        )
    return tuple(said)
