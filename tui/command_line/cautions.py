"""`axletrim cautions`: all that is to be kept in mind before a change is driven."""

from __future__ import annotations

import click

from tui.command_line.options import width_option, width_or


@click.command(short_help="Print all cautions.")
@width_option
def cautions(*, width: int | None) -> None:
    """Print all cautions: they stand above every figure, and local rules and qualified people above them."""
    from balance.tell.words import CAUTIONS
    from tui.printing.lines import listed

    click.echo("\n".join(listed("Cautions", CAUTIONS, width_or(width))))
