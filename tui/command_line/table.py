"""`axletrim table`: every configuration, or every reading, at one speed."""

from __future__ import annotations

import click

from tui.command_line import options


@click.command(
    short_help="Show every configuration at one speed.",
    epilog='\b\nExample:\n  axletrim table my_car/spring_day --speed "115 mph" --units us --sort=-drag',
)
@options.session_argument
@options.speed_option
@options.density_option
@options.units_option
@click.option(
    "--sort", metavar="COLUMN", help="Column to sort by; a minus before it (--sort=-drag) turns the order."
)
@click.option(
    "--readings",
    is_flag=True,
    help="One row a reading; without it one row a configuration, the mean of its readings.",
)
@options.json_option
@click.option("--csv", "as_csv", is_flag=True, help="Comma-separated, SI, one row a run.")
@options.full_option
@options.width_option
@options.draws_options
@options.gathered
def table(asked: options.Asked, /, *, sort: str | None, readings: bool) -> None:
    """Show every configuration of DAY: loads and balance at one speed, and how far up it is in balance."""
    from balance.decide.day.assessment import assess

    options.exclude(json=asked.as_json, csv=asked.as_csv)
    day, at, density = asked.day_at()
    shown = day.rows.every if asked.machine else day.rows.singles if readings else day.rows.configurations
    result, show = assess(day, speed=at, air_density=density, rows=shown), asked.show(day.session)
    if asked.machine:
        from balance.tell.export.records_csv import table_csv, to_json
        from balance.tell.export.records_json import table_record

        record = table_record(result)
        if sort is not None:
            from tui.printing.run_table import sorted_rows

            for key, rows in (("runs", day.rows.singles), ("configurations", day.rows.configurations)):
                record[key] = [record[key][row] for row in sorted_rows(result.of(rows), show, sort)]
        click.echo(to_json(record) if asked.as_json else table_csv(record, "runs"), nl=asked.as_json)
        return
    from tui.printing.run_table import print_table

    options.echo_fitted(*print_table(result, show, asked.columns, sort, full=asked.full))
