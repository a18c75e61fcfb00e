"""`axletrim report`: the customer's report."""

from __future__ import annotations

import click

from tui.command_line.options import library_option, output_path, session_argument


@click.command(
    short_help="Write the customer's report.",
    epilog="\b\nExample:\n  axletrim report my_car/spring_day -o report.html\n\n"
    "report.toml in the day's folder says what the report holds, in which order and in whose words; the invented "
    "hatchback has one with every line explained ('axletrim demo --copy DIR').",
)
@session_argument
@click.option("-o", "--output", metavar="FILE", required=True, help="Where to: a file ending in .html.")
@click.option(
    "--units",
    type=click.Choice(["si", "us", "kgf"]),
    help="Units. Default: those of report.toml, else those that the day is written in.",
)
@click.option(
    "--depth",
    type=click.Choice(["short", "full"]),
    help="short: at most four sheets. full: with method, all runs, glossary and second units. Default: as in report.toml, else short.",
)
@library_option
def report(*, session: str, output: str, units: str | None, depth: str | None, place: str | None) -> None:
    """Explain DAY to its customer: one self-contained file, printed from any browser."""
    from balance.files.day.durable import write_atomically
    from tui.printing.page import page_text

    path = output_path(output, (".html", ".htm"))
    write_atomically(path, page_text(session, units, depth, place).encode())
    click.echo(str(path))
