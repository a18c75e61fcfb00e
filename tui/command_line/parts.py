"""`axletrim parts`: what each part did."""

from __future__ import annotations

import click

from tui.command_line import options

RANKS = ("downforce", "drag", "rear", "front", "target", "ratio")


@click.command(
    short_help="Show what each part did, and whether it is significant.",
    epilog='\b\nExample:\n  axletrim parts my_car/spring_day --speed "185 km/h" --rank ratio',
)
@options.session_argument
@click.option("--baseline", metavar="RUN", help="Compare every run with this one, whatever the file states.")
@options.speed_option
@options.density_option
@options.units_option
@options.drift_option
@click.option(
    "--across-blocks",
    is_flag=True,
    help="Let repeats, drift and automatic baselines cross a change of block.",
)
@click.option(
    "--rank",
    type=click.Choice(RANKS),
    help="Order, the most first; --json and --csv then hold each comparison once. Default: downforce.",
)
@options.json_option
@click.option("--csv", "as_csv", is_flag=True, help="Comma-separated, SI, one row a part.")
@options.full_option
@options.width_option
@options.draws_options
def parts(
    *,
    session: str,
    baseline: str | None,
    speed: str | None,
    air_density: str | None,
    units: str | None,
    correct_drift: bool,
    across_blocks: bool,
    rank: str | None,
    as_json: bool,
    as_csv: bool,
    full: bool,
    width: int | None,
    draws: int,
    confidence: float,
) -> None:
    """Show what each part of DAY did: run less baseline, with intervals, price in drag, and balance."""
    from balance.decide.parts.baselines import against
    from balance.decide.parts.parts import assess_parts, rank_parts
    from balance.tell.parts.part_table import RANKS as ORDERS

    options.exclude(json=as_json, csv=as_csv)
    at, density = options.conditions(speed, air_density)
    day = options.read_day(session, draws=draws, confidence=confidence)
    at = options.shown_speed(at, day.session, machine=as_json or as_csv)
    result = assess_parts(
        day if baseline is None else against(day, baseline),
        speed=at,
        air_density=density,
        across_blocks=across_blocks,
        correct_drift=correct_drift,
    )
    if correct_drift and not result.drift_offered:
        click.echo("axletrim: no drift is significant, so none was removed", err=True)
    if as_json or as_csv:
        from balance.tell.export.records_csv import table_csv, to_json
        from balance.tell.parts.parts_json import parts_record

        record = parts_record(result, None if rank is None else rank_parts(result, ORDERS[rank][0]))
        click.echo(to_json(record) if as_json else table_csv(record, "parts"), nl=as_json)
        return
    from tui.printing.parts import print_parts

    text, left_out = print_parts(
        result, rank or "downforce", options.show_in(units, day.session), options.width_or(width), full=full
    )
    click.echo(text)
    options.say_left_out(left_out)
