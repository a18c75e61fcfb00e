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
@click.option(
    "--confidence",
    type=click.FloatRange(0.5, 0.999),
    default=0.95,
    show_default=True,
    help="Share of intervals that hold the truth.",
)
@click.option("--across-blocks", is_flag=True, help="Let drift cross a change of block.")
@options.json_option
@options.width_option
def repeatability(
    *, session: str, units: str, confidence: float, across_blocks: bool, as_json: bool, width: int | None
) -> None:
    """Show repeatability and drift of DAY, and how large a part has to be to be detected."""
    from balance.decide.day.day_scatter import scatter_of_day

    result = scatter_of_day(
        options.read_day(session, draws=100, confidence=confidence), across_blocks=across_blocks
    )
    show = options.show_in(units, result.day.session)
    if as_json:
        from balance.tell.export.records_csv import to_json
        from balance.tell.repeatability.scatter_json import day_scatter_record

        click.echo(to_json(day_scatter_record(result, show)))
        return
    from tui.printing.parts import print_scatter

    click.echo(print_scatter(result, show, options.width_or(width)))
