"""`axletrim track import`: a driver's log into a track."""

from __future__ import annotations

import shlex
from dataclasses import replace
from typing import TYPE_CHECKING, Any, Literal

import click

from tui.command_line import options
from tui.command_line.log_options import ask, log_options, on_terminal, read_asked, refuse

if TYPE_CHECKING:
    from balance.decide.laps.logged_laps import TracedLog
    from balance.model.driven_log import DrivenLog

_EPILOG = """\b
Example:
  axletrim track import laps.csv --car my_car --name "Upper field loop" \\
      --column speed="GPS Speed [km/h]" --unit lateral_acceleration=g --direction clockwise

What the log leaves open is asked, never guessed: the message names the option that answers it."""


@click.command(name="import", short_help="Make a track of a driver's log: CSV, text or XLSX.", epilog=_EPILOG)
@click.argument("file", metavar="LOG")
@click.option("--car", required=True, metavar="CAR", help="The car's folder, or its vehicle.toml.")
@click.option("--name", required=True, metavar="NAME", help="Name of the track.")
@log_options
@click.option(
    "--direction",
    type=click.Choice(["clockwise", "anticlockwise"]),
    help="Which way round the lap is driven.",
)
@click.option(
    "--positive",
    type=click.Choice(["left", "right"]),
    help="The side to which the log counts a turn positive, where a line goes round neither way.",
)
@click.option("--open", "is_open", is_flag=True, help="One way along a road or up a hill: no lap.")
@click.option(
    "--smoothing",
    metavar="LENGTH",
    default="20 m",
    show_default=True,
    help="Length over which curvature is smoothed.",
)
@click.option("--dry-run", is_flag=True, help="Show what would be done, and write nothing.")
@options.width_option
@click.pass_context
def import_log(
    context: click.Context,
    /,
    *,
    file: str,
    car: str,
    name: str,
    direction: Literal["clockwise", "anticlockwise"] | None,
    positive: Literal["left", "right"] | None,
    is_open: bool,
    smoothing: str,
    dry_run: bool,
    width: int | None,
    **given: Any,
) -> None:
    """Trace a track from LOG, a table of samples of some laps, into CAR/tracks/NAME.

    Needed are speed, time or distance, and yaw rate, lateral acceleration or places. Laps through the pits, with a stop
    or of another length are left out, and named.
    """
    from balance.files.formats.new_files import car_file
    from balance.files.formats.track import save_track
    from balance.files.formats.vehicle import read_vehicle
    from balance.files.track_path import track_of
    from balance.model.errors import SaveError, one_line
    from balance.tell.laps.log_text import laps_section, log_sections, side_words, traced_lines
    from tui.printing.lines import print_sections

    if direction is not None and positive is not None:
        raise click.UsageError("--direction and --positive exclude one another")
    vehicle = car_file(car)
    read_vehicle(vehicle)
    folder = track_of(vehicle.parent, name)
    if folder.exists() and not dry_run:
        raise SaveError(
            one_line(
                f"{folder}: found a track there already, expected none; choose another --name; nothing was overwritten"
            )
        )
    length = options.quantity(smoothing, "length", "--smoothing") or 0.0
    read = read_asked(context, file, given)
    assert read.log is not None  # noqa: S101 - nothing is left to ask
    made = _traced(
        context, read.log, name, length, closed=not is_open, direction=direction, positive=positive
    )
    show, columns = options.show_in(None), options.width_or(width)
    read = replace(read, understood=(*read.understood, side_words(made, placed=read.log.placed)))
    sections = [laps_section(made.traced.used, made.traced.left_out, made.traced.doubts), *log_sections(read)]
    click.echo(print_sections(traced_lines(made, show), sections, columns, full=None))
    if dry_run:
        click.echo("axletrim: nothing was written (--dry-run)", err=True)
        return
    save_track(made.traced.track, folder)
    click.echo(
        f"axletrim: wrote {one_line(str(folder))}; next: axletrim track show {shlex.quote(str(folder))}",
        err=True,
    )


def _traced(
    context: click.Context,
    log: DrivenLog,
    name: str,
    smoothing: float,
    *,
    closed: bool,
    direction: Literal["clockwise", "anticlockwise"] | None,
    positive: Literal["left", "right"] | None,
) -> TracedLog:
    """Trace the track, and ask which side is positive where nothing says it."""
    from balance.decide.laps.logged_laps import trace_log
    from balance.tell.laps.log_text import way_question

    made = trace_log(log, name, smoothing=smoothing, closed=closed, direction=direction, positive=positive)
    while not made.side:
        question, option = way_question(made)
        if not on_terminal():
            refuse(context, [f"{question}; answer with {option}"])
        flag, _, choices = option.partition(" ")
        answer = ask(question, tuple(choices.split("|")))
        if answer in choices.split("|"):
            said: dict[str, Any] = {flag.removeprefix("--"): answer}
            made = trace_log(log, name, smoothing=smoothing, closed=closed, **said)
    return made
