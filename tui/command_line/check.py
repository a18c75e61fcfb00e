"""`axletrim check`: every fault and every figure worth a second look."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from tui.command_line.options import library_option, session_argument, show_in, units_option

if TYPE_CHECKING:
    from balance.model.errors import Fault
    from balance.model.records import Session
    from balance.tell.figures import Show


@click.command(
    short_help="List faults and doubtful figures.",
    epilog="\b\nExample:\n  axletrim check my_car/spring_day --strict",
)
@session_argument
@library_option
@units_option
@click.option("--strict", is_flag=True, help="Exit with 1 when there are notes.")
@click.pass_context
def check(context: click.Context, *, session: str, place: str | None, units: str, strict: bool) -> None:
    """Read DAY and print every fault, and every figure that is possible but unlikely."""
    from balance.decide.day.day import reduce_day
    from balance.decide.doubts.plausibility import doubts
    from balance.decide.plan.entry_guard import far_readings
    from balance.files.day.day_journal import waiting_journals
    from balance.files.formats.notes import read_otherwise
    from balance.files.formats.plan_edit import look_at_plan
    from balance.files.loader import load_session
    from balance.files.session_path import session_folder
    from balance.model.errors import FileFaults
    from balance.model.plans import DayPlan
    from balance.tell.library.other_cars import plan_with_library
    from balance.tell.plan.expected_words import far_words
    from balance.tell.plan.plan_names import Names, lone_settings, plan_sources
    from balance.tell.runs.doubt_words import doubt_words

    unsaved: list[str] = []
    faulty: tuple[Fault, ...] = ()
    read = None
    try:
        for kept in waiting_journals(session_folder(session)):
            steps = f"{len(kept.steps)} step{'s' if len(kept.steps) != 1 else ''}"
            unsaved.append(
                f"typed and not saved: {steps}, the last '{kept.steps[-1]}', kept in {kept.path}; "
                "open the day to bring them back"
            )
        read = load_session(session)
        faulty = look_at_plan(read, session_folder(session)).faults
    except FileFaults as faults:
        faulty = faults.faults
    if read is None or faulty:
        for fault in faulty:
            click.echo(str(fault))
        for note in unsaved:
            click.echo(f"note: {note}")
        count = len(faulty)
        click.echo(f"axletrim: {count} fault{'s' if count != 1 else ''}; nothing was computed", err=True)
        context.exit(2)
    show = show_in(units, read)
    notes = [*unsaved, *read.notes, *read_otherwise(read)]
    unlikely = doubts(reduce_day(read, draws=100)) if read.used else ()
    told = {doubt.run for doubt in unlikely}
    notes += [doubt_words(doubt, show) for doubt in unlikely]
    plan = plan_with_library(read, look_at_plan(read, session_folder(session)).plan or DayPlan(), place)
    notes += [f"plan.toml: {one}" for one in lone_settings(read, plan)]
    notes += plan_sources(plan, Names.of_plan(read, plan, {}), missing=True)
    notes += [far_words(one, show) for one in far_readings(read, plan) if one.run not in told]
    notes += own_words_notes(read, show)
    notes += track_notes(read, show)
    for note in notes:
        click.echo(f"note: {note}")
    click.echo(
        f"no faults in {len(read.runs)} run{'s' if len(read.runs) != 1 else ''}; {len(notes) or 'no'} note{'s' if len(notes) != 1 else ''}"
    )
    if notes and strict:
        context.exit(1)


def own_words_notes(session: Session, show: Show) -> list[str]:
    """List what is to be checked of the engineer's own words, and what is at fault in their file."""
    from balance.decide.day.day import reduce_day
    from balance.files.formats.report import read_brief
    from balance.model.errors import FileFaults
    from balance.tell.report.own_words import words_notes
    from balance.tell.report.report_data import ReportData

    try:
        choices = read_brief(session, Path(session.folder))
    except FileFaults as faults:
        return [str(fault) for fault in faults.faults]
    return list(words_notes(ReportData(reduce_day(session), choices, show))) if choices.words else []


def track_notes(session: Session, show: Show) -> list[str]:
    """List what makes a track of the car doubtful, and what is at fault in its files."""
    from balance.files.formats.track import read_track
    from balance.files.track_path import tracks_of
    from balance.model.errors import FileFaults
    from balance.tell.laps.track_text import track_doubts

    notes: list[str] = []
    for folder in tracks_of(Path(session.vehicle.source).parent) if session.vehicle.source else ():
        try:
            said = track_doubts(read_track(folder), show)
        except FileFaults as faults:
            said = [str(fault) for fault in faults.faults]
        notes += [one.removeprefix("warning: ") for one in said]
    return notes
