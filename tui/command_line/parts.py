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
@options.gathered
def parts(
    asked: options.Asked,
    /,
    *,
    baseline: str | None,
    correct_drift: bool,
    across_blocks: bool,
    rank: str | None,
) -> None:
    """Show what each part of DAY did: run less baseline, with intervals, price in drag, and balance."""
    from balance.decide.parts.baselines import against
    from balance.decide.parts.parts import assess_parts, rank_parts
    from balance.tell.parts.part_table import RANKS as ORDERS

    options.exclude(json=asked.as_json, csv=asked.as_csv)
    day, at, density = asked.day_at()
    result = assess_parts(
        day if baseline is None else against(day, baseline),
        speed=at,
        air_density=density,
        across_blocks=across_blocks,
        correct_drift=correct_drift,
    )
    if correct_drift and not result.drift_offered:
        click.echo("axletrim: no drift is significant, so none was removed", err=True)
    if asked.machine:
        from balance.tell.export.records_csv import table_csv, to_json
        from balance.tell.parts.parts_json import parts_record

        record = parts_record(result, None if rank is None else rank_parts(result, ORDERS[rank][0]))
        click.echo(to_json(record) if asked.as_json else table_csv(record, "parts"), nl=asked.as_json)
        return
    from tui.printing.parts import print_parts

    show = asked.show(day.session)
    options.echo_fitted(*print_parts(result, rank or "downforce", show, asked.columns, full=asked.full))
