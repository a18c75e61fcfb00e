"""`axletrim chart`: one picture as a file."""

from __future__ import annotations

import click

from tui.command_line import options


@click.command(
    short_help="Write one picture as SVG, PNG or PDF.",
    epilog="\b\nExample:\n  axletrim chart my_car/spring_day loads -o loads.svg --run 15\n\n"
    "\b\nKINDS\n"
    "  loads    load on each axle against speed, with the weights at rest\n"
    "  share    wheel-load share, front, against speed, with the limits\n"
    "  surplus  grip balance against speed\n"
    "  shift    neutral-steer shift against speed\n"
    "  drag     drag against speed\n"
    "  added    added load of both axles, run by run\n"
    "  parts    downforce against drag of each part\n"
    "  way      total downforce from baseline to recommendation, part by part\n"
    "  wing     loads and drag against a setting\n"
    "  repeats  equal runs over the day",
)
@options.session_argument
@click.argument("kind", metavar="KIND")
@click.option("-o", "--output", metavar="FILE", required=True, help="A file ending in .svg, .png or .pdf.")
@click.option(
    "--run", metavar="RUN", help="The run that it is of; default: the recommendation of the report."
)
@options.reading_option
@click.option(
    "--speed",
    metavar="SPEED",
    help='Speed at which loads are shown, as "185 km/h"; default: that of the report.',
)
@click.option(
    "--units",
    type=click.Choice(["si", "us", "kgf"]),
    help="Units shown. Default: those of the report, else those that the day is written in.",
)
@options.gathered
def chart(asked: options.Asked, /, *, kind: str, output: str, run: str | None) -> None:
    """Draw a picture of DAY as the report has it."""
    from balance.tell.report.pictures.kinds import draw_kind
    from tui.printing.page import matter_of

    path = options.output_path(output, options.PICTURES)
    at, _ = asked.conditions()
    matter = matter_of(asked.day(run), asked.units, run=run, speed=at)
    options.write_picture(draw_kind(matter, kind), path, f"chart {kind}")
