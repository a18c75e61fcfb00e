"""The page as a whole: which sections in which order, with the engineer's words under their headings."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from balance.files.formats.report import SECTIONS
from balance.model.glossary import terms
from balance.tell.report.appendix import appendix_section
from balance.tell.report.blocks import Markup, Page
from balance.tell.report.closing_sections import limits_section, scatter_section
from balance.tell.report.files import picture_markup
from balance.tell.report.layout import template
from balance.tell.report.middle_sections import balance_section, parts_section
from balance.tell.report.opening_sections import answer_section, baseline_section, car_section
from balance.tell.report.own_words import from_markdown
from balance.tell.report.place_sections import cost_section, places_section
from balance.tell.report.sheets import in_sheets
from balance.tell.report.what_if_section import what_if_section
from balance.tell.report.wing_section import wing_section
from balance.tell.table import Table

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from balance.tell.report.blocks import Section
    from balance.tell.report.matter import Matter

_MAKE: Mapping[str, Callable[[Matter], Section]] = {
    "answer": answer_section,
    "car": car_section,
    "baseline": baseline_section,
    "parts": parts_section,
    "balance": balance_section,
    "wing": wing_section,
    "places": places_section,
    "cost": cost_section,
    "what_if": what_if_section,
    "scatter": scatter_section,
    "limits": limits_section,
    "appendix": appendix_section,
}


def brief_page(matter: Matter) -> Page:
    """Put a brief together."""
    session, choices = matter.session, matter.choices
    under = [
        f"{session.vehicle.name} · {session.title}",
        session.date.isoformat() if session.date else "date not stated",
    ]
    under += [f"Prepared for {choices.prepared_for}"] if choices.prepared_for else []
    under += [f"Prepared by {choices.prepared_by}"] if choices.prepared_by else []
    return Page(
        title=choices.title or matter.usual_title,
        under=tuple(under),
        sections=tuple(_section(matter, key) for key in choices.sections),
        foot="Estimates from one day's readings. Limits and cautions are part of this page.",
    )


def _section(matter: Matter, key: str) -> Section:
    made = replace(_MAKE[key](matter), heading=SECTIONS[key])
    words = matter.choices.words.get(key)
    own = (Markup(html=from_markdown(words)),) if words else ()
    fitted = (
        part for block in made.blocks for part in (in_sheets(block) if isinstance(block, Table) else (block,))
    )
    return replace(made, blocks=(*own, *fitted))


def page_html(page: Page) -> str:
    """Write a page as one HTML file that needs nothing else."""
    known = terms()
    explained: set[str] = set()
    words: dict[str, list[tuple[str, str]]] = {}
    for section in page.sections:
        fresh = [key for key in section.terms if key not in explained]
        explained.update(fresh)
        words[section.key] = [(known[key].name, known[key].short) for key in fresh]
    return template("page.html.j2").render(page=page, words=words, picture=picture_markup)
