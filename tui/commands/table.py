"""`axletrim table`: every run at one speed."""

from __future__ import annotations

import click

from tui.commands.options import (
    density_option,
    draws_options,
    quantity,
    read_day,
    say_left_out,
    session_argument,
    show_in,
    units_option,
    width_option,
    width_or,
)


@click.command(
    short_help="Show every run at one speed.",
    epilog='\b\nExample:\n  axletrim table my_car/spring_day --speed "115 mph" --units us --sort=-drag',
)
@session_argument
@click.option(
    "--speed",
    metavar="SPEED",
    help='Speed at which forces are stated, as "185 km/h"; default: the facility\'s.',
)
@density_option
@units_option
@click.option(
    "--sort", metavar="COLUMN", help="Column to sort by; a minus before it (--sort=-drag) turns the order."
)
@click.option("--json", "as_json", is_flag=True, help="One JSON object, SI.")
@click.option("--csv", "as_csv", is_flag=True, help="Comma-separated, SI, one row a run.")
@width_option
@draws_options
def table(
    *,
    session: str,
    speed: str | None,
    air_density: str | None,
    units: str | None,
    sort: str | None,
    as_json: bool,
    as_csv: bool,
    width: int | None,
    draws: int,
    confidence: float,
) -> None:
    """Show every run of SESSION at one speed: loads, balance, shift, verdict."""
    from balance.decide.assessment import assess

    if as_json and as_csv:
        raise click.UsageError("--json and --csv exclude one another")
    at, density = quantity(speed, "speed", "--speed"), quantity(air_density, "density", "--air-density")
    result = assess(read_day(session, draws=draws, confidence=confidence), speed=at, air_density=density)
    if as_json or as_csv:
        from balance.tell.records_csv import table_csv, to_json
        from balance.tell.records_json import table_record

        record = table_record(result)
        if sort is not None:
            from tui.printed import sorted_rows

            record["runs"] = [
                record["runs"][row] for row in sorted_rows(result, show_in(units, result.day.session), sort)
            ]
        click.echo(to_json(record) if as_json else table_csv(record), nl=as_json)
        return
    from tui.printed import print_table

    text, left_out = print_table(result, show_in(units, result.day.session), width_or(width), sort)
    click.echo(text)
    say_left_out(left_out)
