"""`axletrim plan`: what to run next, in which order, and whether a run reads as expected."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from tui.command_line import options

if TYPE_CHECKING:
    from balance.decide.day.day import Day
    from balance.model.plans import DayPlan
    from balance.model.records import Session
    from balance.tell.figures import Show
    from balance.tell.plan.plan_names import Names

_DRAWS = 10_000
"""Draws behind the verdicts: as many as behind the table, so that a configuration has one verdict everywhere."""


@click.command(
    short_help="Show which run to make next, and what it should read.",
    epilog="\b\nExamples:\n  axletrim plan my_car/spring_day\n"
    '  axletrim plan my_car/spring_day --expect "flap_height=10 mm, wing_angle=8 deg"\n'
    "  axletrim plan my_car/spring_day --judge 15\n"
    "  axletrim plan my_car/spring_day --sheet runs_to_make.html",
)
@options.session_argument
@click.option(
    "--expect",
    metavar="SETTINGS",
    help='What a configuration should read, as "wing_angle=8 deg"; "" is the baseline.',
)
@click.option("--judge", metavar="RUN", help="Whether a run reads as the runs before it expect.")
@click.option("--sheet", metavar="FILE.html", help="Write the plan as a run sheet to print and fill in.")
@click.option(
    "--now", metavar="CLOCK", help='Time of day, as "14:20"; default: after the last run that has a time.'
)
@options.library_option
@options.units_option
@options.json_option
@options.full_option
@options.width_option
@options.gathered
def plan(
    asked: options.Asked, /, *, expect: str | None, judge: str | None, sheet: str | None, now: str | None
) -> None:
    """Show the plan of DAY: the runs that are worth their minutes, the remaining order, and what the day can detect.

    The plan stands in plan.toml beside session.toml; `axletrim new plan DAY` begins one.
    """
    from balance.decide.plan.planned_day import plan_day
    from balance.files.formats.track import track_of_plan
    from balance.tell.plan.plan_json import plan_record
    from balance.tell.plan.plan_names import Names
    from tui.printing.plan import print_plan

    if sum(one is not None for one in (expect, judge, sheet)) > 1:
        raise click.UsageError("--expect, --judge and --sheet exclude one another")
    clock = _clock(now)
    read, day, stated = _read(asked.session, asked.place)
    show = asked.show(read)
    if judge is not None:
        _judge(read, day, stated, judge, show, asked)
        return
    if expect is not None:
        _expect(read, day, stated, expect, show, asked)
        return
    planned = plan_day(read, day, stated, now=clock, track=track_of_plan(read, stated))
    names = Names.of(planned)
    if sheet is not None:
        from balance.files.day.durable import write_atomically
        from balance.tell.plan.sheet import sheet_html

        path = options.output_path(sheet, (".html", ".htm"))
        write_atomically(path, sheet_html(planned, names, show).encode())
        click.echo(str(path))
        return
    if asked.as_json:
        options.echo_json(plan_record(planned, names, show))
        return
    click.echo(print_plan(planned, names, show, asked.columns, full=asked.full))


def _clock(text: str | None) -> float | None:
    from balance.decide.plan.change_times import clock_time
    from balance.model.errors import InputError, quoted

    if text is None:
        return None
    found = clock_time(text)
    if found is None:
        raise InputError(f"--now: found {quoted(text)}, expected a time of day, as in 14:20")
    return found


def _read(session: str, library: str | None) -> tuple[Session, Day | None, DayPlan]:
    """Read a day, its plan, and what its runs say where any counts."""
    from balance.decide.day.day import reduce_day
    from balance.files.formats.plan import read_plan
    from balance.files.loader import stated_session
    from balance.files.session_path import session_folder
    from balance.tell.library.other_cars import plan_with_library

    folder = session_folder(session)
    read = stated_session(folder)
    stated = plan_with_library(read, read_plan(read, folder), library)
    return read, reduce_day(read, draws=_DRAWS) if read.used else None, stated


def _names(session: Session, day: Day | None, plan: DayPlan) -> Names:
    """Return the names of a day for which no whole plan is worked out."""
    from balance.decide.plan.planned_day import names_of_day
    from balance.tell.plan.plan_names import Names

    return Names.of_plan(session, plan, names_of_day(day) if day is not None else {})


def _expect(
    session: Session, day: Day | None, plan: DayPlan, text: str, show: Show, asked: options.Asked
) -> None:
    """Print what a configuration should read."""
    from balance.decide.plan.configuration import configuration
    from balance.decide.plan.day_belief import belief_before, belief_of_day
    from balance.decide.plan.expected_reading import expected_readings
    from balance.files.formats.plan_options import settings_of_text
    from balance.model.errors import InputError

    try:
        one = configuration(settings_of_text(session, plan, text))
    except InputError as fault:
        raise InputError(f"--expect: {fault}") from None
    stand = (
        belief_before(session, plan, others=[one]) if day is None else belief_of_day(day, plan, others=[one])
    )
    (expected,) = expected_readings(stand, [one])
    names = _names(session, day, plan)
    if asked.as_json:
        from balance.tell.plan.plan_json import expected_record

        options.echo_json(expected_record(expected, one, session, names))
        return
    from tui.printing.plan import print_expected

    click.echo(print_expected(expected, one, session, names, show, asked.columns))


def _judge(
    session: Session, day: Day | None, plan: DayPlan, run: str, show: Show, asked: options.Asked
) -> None:
    """Print whether a run reads as the runs before it expect."""
    from balance.decide.plan.judged_reading import judge_run
    from balance.model.errors import InputError

    if day is None:
        raise InputError(f"--judge {run}: found no run that counts, expected one")
    judged = judge_run(session, plan, run)
    if asked.as_json:
        from balance.tell.plan.plan_json import judged_record

        options.echo_json(judged_record(judged, session))
        return
    from tui.printing.plan import print_judged

    click.echo(print_judged(judged, session, _names(session, day, plan), show, asked.columns))
