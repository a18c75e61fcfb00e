"""`axletrim track fit`: friction, power and grip exponent of a car from a driver's log."""

from __future__ import annotations

import shlex
from typing import TYPE_CHECKING, Any

import click

from tui.command_line import options
from tui.command_line.log_options import log_options, read_asked

if TYPE_CHECKING:
    from collections.abc import Mapping

_EPILOG = """\b
Example:
  axletrim track fit laps.csv my_car/spring_day --track upper_field_loop --configuration 15

The log must have been driven with that configuration, for its downforce and drag are taken as measured."""
_DRAWS = 1_000


@click.command(name="fit", short_help="Find friction and power of the car from a log.", epilog=_EPILOG)
@click.argument("file", metavar="LOG")
@options.session_argument
@click.option("--track", "name", metavar="NAME", help="The car's track; default: the only one it has.")
@click.option(
    "--configuration",
    required=True,
    metavar="NAME",
    help="What was fitted when the log was driven: a configuration of DAY by its name, or by one of its runs.",
)
@log_options
@click.option(
    "--air-density",
    metavar="DENSITY",
    help="When the log was driven, as \"1.18 kg/m^3\"; default: the track's, else the facility's.",
)
@click.option("--write", is_flag=True, help="Write the lines that are offered into the car's vehicle.toml.")
@options.full_option
@options.width_option
@click.pass_context
@options.gathered
def fit_log_command(
    context: click.Context,
    asked: options.Asked,
    /,
    *,
    file: str,
    name: str | None,
    configuration: str,
    write: bool,
    **given: Any,
) -> None:
    """Find what friction and power make a simulated lap as fast as LOG, driven on a track of DAY's car.

    Lines for vehicle.toml are offered, each with its interval; --write puts them in, and changes no other byte.
    """
    from balance.decide.laps.logged_laps import car_to_fit, fit_laps, laps_of_log, laps_of_track
    from balance.files.formats.track import read_track
    from balance.files.track_path import track_of_session
    from balance.model.errors import InputError, one_line
    from balance.tell.laps.fit_text import changes_of, offered_lines
    from balance.tell.laps.log_text import usual_reason
    from tui.printing.track_fit import print_fit

    _, density = asked.conditions()
    day = asked.day(draws=_DRAWS)
    rows = sorted(options.rows_named(day, [configuration]))
    if len(rows) > 1:
        runs = ", ".join(day.readings.labels[day.rows.members[row][0]] for row in rows)
        raise InputError(
            f"--configuration: found {len(rows)} of that name, expected one; name it by one of its runs: {runs}"
        )
    track = read_track(track_of_session(day.session, name))
    read = read_asked(context, file, given)
    assert read.log is not None  # noqa: S101 - nothing is left to ask
    used, left_out, _ = laps_of_track(track, laps_of_log(read.log))
    if not used:
        raise InputError(
            one_line(
                f"{file}: found no lap of {track.name} that can be used, expected one or more; {usual_reason(left_out)}"
            )
        )
    air = density or track.density(day.session.facility.air_density)
    vehicle = day.session.vehicle
    fit = fit_laps(track, car_to_fit(vehicle), used, day.areas(rows)[:, 0], air_density=air)
    offered = offered_lines(fit, vehicle)
    click.echo(
        print_fit(
            fit, track, read, asked.show(day.session), asked.columns,
            vehicle=vehicle, driven=day.name_of(rows[0]), used=[one.name for one in used], left_out=left_out,
            air_density=air, full=asked.full,
        )
    )  # fmt: skip
    if not offered:
        click.echo("axletrim: nothing is offered to vehicle.toml: this log cannot tell", err=True)
        return
    if write:
        _write(asked.session, changes_of(offered))
        return
    click.echo("axletrim: nothing was written; --write puts these lines into vehicle.toml", err=True)


def _write(session: str, changes: Mapping[str, str]) -> None:
    """Put lines into the car's file, as one step of the day."""
    import os.path

    from balance.files.day.opening import open_day
    from balance.files.day.stated_disk import look_at_stated

    with open_day(session) as day:
        seen = look_at_stated(day.car_file).stamp
        day.edit("figures of a log", day.car_file, dict(changes), seen=seen)
        written = os.path.normpath(day.car_file)
    click.echo(
        f"axletrim: wrote {', '.join(changes)} into {written}; next: axletrim lap {shlex.quote(session)}",
        err=True,
    )
