"""`axletrim explain`: the glossary."""

from __future__ import annotations

import click

from tui.command_line.options import width_option, width_or


@click.command(
    short_help="Explain a term, or list all.", epilog="\b\nExample:\n  axletrim explain 'grip balance'"
)
@click.argument("term", required=False, nargs=-1)
@width_option
def explain(*, term: tuple[str, ...], width: int | None) -> None:
    """Explain TERM: what it is, its unit, its sign, where it comes from. Without TERM, list all."""
    import textwrap

    from balance.model.glossary import explain as look_up
    from balance.model.glossary import terms
    from balance.tell.glossary_text import entry_text

    room = width_or(width)
    if term:
        for line in entry_text(look_up(" ".join(term))).splitlines():
            click.echo(textwrap.fill(line, room))
        return
    known = terms().values()
    longest = max(len(t.name) for t in known)
    indent = " " * (longest + 2 if longest <= room // 2 else 4)
    for entry in sorted(known, key=lambda t: t.name.casefold()):
        click.echo(
            textwrap.fill(f"{entry.name.ljust(longest)}  {entry.short}", room, subsequent_indent=indent)
        )
