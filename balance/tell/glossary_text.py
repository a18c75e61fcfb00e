"""A glossary entry as text for a screen or a terminal."""

from __future__ import annotations

from typing import TYPE_CHECKING

from balance.model.glossary import terms

if TYPE_CHECKING:
    from balance.model.glossary import Term


def entry_text(term: Term) -> str:
    """Write a term with all that is known of it."""
    head = f"{term.name} ({term.symbol})" if term.symbol else term.name
    facts = [
        f"{label}: {value}"
        for label, value in (("unit", term.unit), ("sign", term.sign), ("source", term.source))
        if value and value != "none"
    ]
    see = ", ".join(terms()[key].name for key in term.see)
    return "\n".join(
        [head, term.short, *([term.long] if term.long else []), *facts, *([f"see: {see}"] if see else [])]
    )
