"""`axletrim report`: the customer's page."""

from __future__ import annotations

import click

from tui.command_line.options import output_path, session_argument


@click.command(
    short_help="Write the customer's report.",
    epilog="\b\nExample:\n  axletrim report my_car/spring_day -o report.html\n\n"
    "brief.toml in the session's folder says what the page holds, in which order and in whose words; the invented "
    "hatchback has one with every line explained ('axletrim demo --copy DIR').",
)
@session_argument
@click.option("-o", "--output", metavar="FILE", required=True, help="Where to: a file ending in .html.")
@click.option(
    "--units",
    type=click.Choice(["si", "us", "kgf"]),
    help="Units that lead; both are shown. Default: those of brief.toml, else si.",
)
def report(*, session: str, output: str, units: str | None) -> None:
    """Explain SESSION to its customer: one self-contained page, printed from any browser."""
    from balance.files.day.durable import write_atomically
    from tui.printing.page import page_text

    path = output_path(output, (".html", ".htm"))
    write_atomically(path, page_text(session, units).encode())
    click.echo(str(path))
