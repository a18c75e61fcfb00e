"""`axletrim sweep`: one configuration against speed."""

from __future__ import annotations

import click

from tui.command_line.options import (
    density_option,
    draws_options,
    quantity,
    read_day,
    reading_option,
    row_of,
    say_left_out,
    session_argument,
    show_in,
    units_option,
    width_option,
    width_or,
)


@click.command(
    short_help="Show one configuration against speed.",
    epilog="\b\nExample:\n  axletrim sweep my_car/spring_day 15 --quantity grip_surplus --chart",
)
@session_argument
@click.argument("run", metavar="RUN")
@click.option("--quantity", "name", metavar="KEY", help="One quantity, by its key in --json; default: all.")
@click.option("--from", "start", metavar="SPEED", help='First speed, as "60 km/h".')
@click.option(
    "--to", "stop", metavar="SPEED", help="Last speed; default: the car's top speed, or the fastest tested."
)
@click.option("--step", metavar="SPEED", help='Step, as "10 km/h".')
@reading_option
@density_option
@units_option
@click.option("--json", "as_json", is_flag=True, help="One JSON object, SI.")
@click.option("--chart", "as_chart", is_flag=True, help="Draw the quantity in place of a table.")
@width_option
@draws_options
def sweep(
    *,
    session: str,
    run: str,
    name: str | None,
    start: str | None,
    stop: str | None,
    step: str | None,
    reading: bool,
    air_density: str | None,
    units: str | None,
    as_json: bool,
    as_chart: bool,
    width: int | None,
    draws: int,
    confidence: float,
) -> None:
    """Show a quantity of the configuration of RUN, or all of them, against speed."""
    from balance.decide.day.sweeps import speed_range
    from balance.decide.day.sweeps import sweep as sweep_run
    from balance.model.errors import DomainError, InputError
    from balance.tell.export.records_json import pick_quantity, sweep_record

    if as_json and as_chart:
        raise click.UsageError("--json and --chart exclude one another")
    typed_step = quantity(step, "speed", "--step")
    first, last = quantity(start, "speed", "--from"), quantity(stop, "speed", "--to")
    density = quantity(air_density, "density", "--air-density")
    day = read_day(session, draws=draws, confidence=confidence, alone=[run] if reading else ())
    row = day.rows.standing[row_of(day, run)]
    show = show_in(units, day.session)
    usual_step = show.system.unit("speed").to_si(10.0)
    try:
        speeds = speed_range(day, start=first, stop=last, step=typed_step or usual_step)
    except DomainError as fault:
        raise InputError(f"--from, --to, --step: {fault}") from None
    result = sweep_run(day, row, speeds, air_density=density)
    if as_chart:
        from tui.printing.run_table import print_chart

        click.echo(print_chart(result, name or "grip_surplus", show, width_or(width)))
        return
    record = pick_quantity(sweep_record(result) | {"run": run}, name)  # as it was asked for
    if as_json:
        from balance.tell.export.records_csv import to_json

        click.echo(to_json(record))
        return
    from tui.printing.speeds import print_sweep

    text, left_out = print_sweep(result, record, name, show, width_or(width))
    click.echo(text)
    say_left_out(left_out)
