"""`axletrim join`: one car over several days."""

from __future__ import annotations

import click

from tui.command_line import options


@click.command(
    short_help="Join days of one car, and compare parts across them.",
    epilog="\b\nExamples:\n  axletrim join my_car/monday my_car/thursday\n"
    '  axletrim join my_car/monday my_car/thursday --against "B:12" --json',
)
@click.argument("days", metavar="DAY DAY...", nargs=-1, required=True, type=click.Path(readable=False))
@click.option(
    "--against",
    metavar="CONFIGURATION|LETTER:RUN",
    help="What everything is compared with, by its name or by a run, as B:12; default: the one run on most days.",
)
@options.speed_option
@options.density_option
@options.units_option
@options.json_option
@click.option("--csv", "as_csv", is_flag=True, help="Comma-separated, SI, one row a configuration.")
@options.full_option
@options.width_option
@options.interval_option
@options.gathered
def join(asked: options.Asked, /, *, days: tuple[str, ...], against: str | None) -> None:
    """Join each DAY of one car: how far they lie apart, and every configuration of all of them against one.

    The days are tied by what was run on several, at best two configurations. A part of one day is then compared with one of
    another; how uncertain the shift between the days is stands in its interval. The first DAY is A, the second B.
    """
    from balance.decide.over_days.joined import join_days, joined_figures
    from balance.files.several_days import load_days
    from balance.tell.over_days.joined_text import day_letters

    options.exclude(json=asked.as_json, csv=asked.as_csv)
    _, density = asked.conditions()
    joined = join_days(load_days(days))
    at = asked.speed_at(joined.sessions[0])
    reference = None if against is None else joined.named(against, day_letters(len(days)))
    figures = joined_figures(joined, reference, speed=at, air_density=density, confidence=asked.confidence)
    if asked.machine:
        from balance.tell.export.records_csv import table_csv, to_json
        from balance.tell.over_days.joined_record import as_rows, joined_record

        record = joined_record(figures)
        text = to_json(record) if asked.as_json else table_csv(as_rows(record), "parts")
        click.echo(text, nl=asked.as_json)
        return
    from tui.printing.joined import print_joined

    show = asked.show(joined.sessions[0])
    options.echo_fitted(*print_joined(figures, show, asked.columns, full=asked.full))
