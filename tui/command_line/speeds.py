"""`axletrim speeds`: one configuration against speed."""

from __future__ import annotations

import click

from tui.command_line import options


@click.command(
    short_help="Show one configuration against speed.",
    epilog="\b\nExample:\n  axletrim speeds my_car/spring_day 15 --quantity grip_surplus --chart",
)
@options.session_argument
@click.argument("run", metavar="RUN")
@click.option("--quantity", "name", metavar="KEY", help="One quantity, by its key in --json; default: all.")
@click.option("--from", "start", metavar="SPEED", help='First speed, as "60 km/h".')
@click.option(
    "--to", "stop", metavar="SPEED", help="Last speed; default: the car's top speed, or the fastest tested."
)
@click.option("--step", metavar="SPEED", help='Step, as "10 km/h".')
@options.reading_option
@options.density_option
@options.units_option
@options.json_option
@click.option("--chart", "as_chart", is_flag=True, help="Draw the quantity in place of a table.")
@options.full_option
@options.width_option
@options.draws_options
@options.gathered
def speeds(
    asked: options.Asked,
    /,
    *,
    run: str,
    name: str | None,
    start: str | None,
    stop: str | None,
    step: str | None,
    as_chart: bool,
) -> None:
    """Show a quantity of the configuration of RUN, or all of them, against speed."""
    from balance.decide.day.sweeps import speed_range
    from balance.decide.day.sweeps import sweep as sweep_run
    from balance.model.errors import DomainError, InputError
    from balance.tell.export.records_json import pick_quantity, sweep_record

    options.exclude(json=asked.as_json, chart=as_chart)
    typed_step = options.quantity(step, "speed", "--step")
    first, last = options.quantity(start, "speed", "--from"), options.quantity(stop, "speed", "--to")
    _, density = asked.conditions()
    day = asked.day(run)
    row = day.rows.standing[options.row_of(day, run)]
    show = asked.show(day.session)
    usual_step = show.system.unit("speed").to_si(10.0)
    try:
        chosen = speed_range(day, start=first, stop=last, step=typed_step or usual_step)
    except DomainError as fault:
        raise InputError(f"--from, --to, --step: {fault}") from None
    result = sweep_run(day, row, chosen, air_density=density)
    if as_chart:
        from tui.printing.run_table import print_chart

        click.echo(print_chart(result, name or "grip_surplus", show, asked.columns))
        return
    record = pick_quantity(sweep_record(result) | {"run": run}, name)  # as it was asked for
    if asked.as_json:
        options.echo_json(record)
        return
    from tui.printing.speeds import print_sweep

    options.echo_fitted(*print_sweep(result, record, name, show, asked.columns, full=asked.full))
