"""`axletrim lap`: what a day's configurations and parts are worth on the customer's track."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from tui.command_line import options

if TYPE_CHECKING:
    from balance.decide.laps.buying import ForSale
    from balance.decide.laps.day_laps import DayLaps
    from balance.decide.laps.packages import Packages


@click.command(
    short_help="Show what configurations and parts are worth a lap.",
    epilog="\b\nExamples:\n  axletrim lap my_car/spring_day --track upper_field_loop\n"
    '  axletrim lap my_car/spring_day "splitter and wing" --start 1',
)
@options.session_argument
@click.argument("named", metavar="[CONFIGURATION]...", nargs=-1)
@click.option("--track", "name", metavar="NAME", help="The car's track; default: the only one it has.")
@click.option(
    "--start",
    metavar="RUN",
    help="A run of the configuration that the others are held against; default: the first.",
)
@click.option(
    "--at",
    metavar="RUN",
    help="A run of the configuration at which drag is priced; default: the one named, else the fastest in balance.",
)
@click.option("--prices", is_flag=True, help="List the packages of priced parts that are worth their price.")
@options.density_option
@options.units_option
@options.json_option
@options.full_option
@options.width_option
@options.gathered
def lap(
    asked: options.Asked,
    /,
    *,
    named: tuple[str, ...],
    name: str | None,
    start: str | None,
    at: str | None,
    prices: bool,
) -> None:
    """Simulate laps of the configurations of DAY, all of them unless some are named, by name or by one of their runs.

    Tracks stand in the folder tracks of the car; `axletrim new track` and `axletrim track import` make them. The car needs
    friction and power in vehicle.toml; `axletrim track fit` finds both from a log.
    """
    from balance.decide.car.prepared_day import prepare_day
    from balance.decide.day.assessment import assess
    from balance.decide.laps.changed_laps import lap_settings
    from balance.decide.laps.day_laps import fastest_in_balance, lap_day
    from balance.decide.parts.parts import assess_parts
    from balance.files.formats.track import read_track
    from balance.files.track_path import track_of_session
    from balance.tell.laps.lap_record import lap_record

    _, density = asked.conditions()
    day = asked.day()
    track = read_track(track_of_session(day.session, name))
    begun = None if start is None else day.rows.standing[options.row_of(day, start)]
    chosen = options.rows_named(day, named)
    laps = lap_day(day, track, start=begun, increments=assess_parts(day).increments, air_density=density)
    positions = [k for k, row in enumerate(laps.rows) if not named or row in chosen]
    ranges = dict(zip(laps.rows, assess(day, rows=laps.rows).ranges, strict=True))
    best = fastest_in_balance(laps, ranges)
    priced = laps.start if best is None else best
    if at is not None:
        priced = laps.rows.index(day.rows.standing[options.row_of(day, at)])
    elif len(positions) == 1:
        priced = positions[0]
    rate = laps.rate(priced)
    steps = lap_settings(prepare_day(day), track, laps.run(priced).label)
    sold = _sold(laps) if prices else None
    if asked.as_json:
        options.echo_json(lap_record(laps, positions, ranges, at=priced, rate=rate, steps=steps, sold=sold))
        return
    from tui.printing.laps import print_laps

    show, columns, full = asked.show(day.session), asked.columns, asked.full
    click.echo(
        print_laps(
            laps, positions, ranges, show, columns, at=priced, rate=rate, steps=steps, sold=sold, full=full
        )
    )


def _sold(laps: DayLaps) -> tuple[ForSale, Packages | None]:
    """Find which packages of priced parts are worth their price."""
    from pathlib import Path

    from balance.decide.laps.buying import buying_of_day
    from balance.decide.laps.packages import price_packages
    from balance.files.formats.plan import read_plan
    from balance.tell.library.other_cars import plan_with_library

    session = laps.day.session
    plan = plan_with_library(session, read_plan(session, Path(session.folder)))
    sale = buying_of_day(laps.day, plan, laps.track)
    if sale.buying is None:
        return sale, None
    return sale, price_packages(sale.buying, confidence=laps.day.confidence)
