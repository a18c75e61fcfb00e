"""`axletrim repeatability`: what the day can show."""

from __future__ import annotations

import click

from tui.command_line import options


@click.command(
    short_help="Show repeatability, drift and the smallest detectable change.",
    epilog="\b\nExample:\n  axletrim repeatability my_car/spring_day",
)
@options.session_argument
@options.units_option
@options.interval_option
@click.option("--across-blocks", is_flag=True, help="Let drift cross a change of block.")
@options.json_option
@options.width_option
@options.gathered
def repeatability(asked: options.Asked, /, *, across_blocks: bool) -> None:
    """Show repeatability and drift of DAY, and how large a part has to be to be detected."""
    from balance.decide.day.day_scatter import scatter_of_day

    result = scatter_of_day(asked.day(draws=100), across_blocks=across_blocks)
    show = asked.show(result.day.session)
    if asked.as_json:
        from balance.tell.repeatability.scatter_json import day_scatter_record

        options.echo_json(day_scatter_record(result, show))
        return
    from tui.printing.parts import print_scatter

    click.echo(print_scatter(result, show, asked.columns))
