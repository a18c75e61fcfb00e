"""`axletrim explain`: the glossary."""

from __future__ import annotations

import click


@click.command(epilog="\b\nExample:\n  axletrim explain 'grip surplus'")
@click.argument("term", required=False, nargs=-1)
def explain(*, term: tuple[str, ...]) -> None:
    """Explain TERM: what it is, its unit, its sign, where it comes from. Without TERM, list all."""
    from balance.glossary import explain as look_up
    from balance.glossary import terms
    from balance.tell.glossary_text import entry_text

    if term:
        click.echo(entry_text(look_up(" ".join(term))))
        return
    known = terms().values()
    width = max(len(t.name) for t in known)
    for entry in sorted(known, key=lambda t: t.name.casefold()):
        click.echo(f"{entry.name.ljust(width)}  {entry.short}")
