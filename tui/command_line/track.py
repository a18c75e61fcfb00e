"""`axletrim track`: what a track is, how one is made of a log, and what a log tells of the car."""

from __future__ import annotations

import click

from tui.command_line import options
from tui.command_line.track_fit import fit_log_command
from tui.command_line.track_import import import_log


@click.group(
    short_help="Show a track, make one of a driver's log, fit a car to one.",
    epilog="\b\nExamples:\n  axletrim track show my_car/tracks/upper_field_loop\n"
    '  axletrim track import laps.csv --car my_car --name "Upper field loop"',
)
def track() -> None:
    """Show a track of a customer, or make one of a driver's log; `axletrim new track` begins one by hand."""


@track.command(
    short_help="Show a track: length, corners, straights, a drawing.",
    epilog="\b\nExample:\n  axletrim track show my_car/tracks/upper_field_loop",
)
@click.argument("folder", metavar="TRACK", type=click.Path(readable=False))
@options.units_option
@options.json_option
@options.width_option
@options.gathered
def show(asked: options.Asked, /, *, folder: str) -> None:
    """Show TRACK, the folder of a track or its track.toml: length, whether its ends meet, corners and straights."""
    from balance.files.formats.track import read_track
    from balance.files.track_path import track_folder
    from balance.tell.laps.track_text import track_record

    read = read_track(track_folder(folder))
    if asked.as_json:
        options.echo_json(track_record(read))
        return
    from tui.printing.streams import draws_curves
    from tui.printing.track import print_track

    click.echo(print_track(read, asked.show(), asked.columns, ascii_only=not draws_curves()))


track.add_command(import_log)
track.add_command(fit_log_command)
