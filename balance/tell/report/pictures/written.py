"""Pictures as text for a page, and as files: equal input gives equal bytes."""

from __future__ import annotations

import io
import re
from html import escape
from typing import TYPE_CHECKING, Any

from balance.tell.report.pictures.canvas import ROLES, drawing
from balance.tell.report.plain_text import undirected

if TYPE_CHECKING:
    from balance.tell.report.pictures.canvas import Picture

_ID = re.compile(r'(\bid="|url\(#|href="#)')
_STYLE = re.compile(r"<defs>\s*<style.*?</style>\s*</defs>", re.DOTALL)
_METADATA = re.compile(r"<metadata>.*?</metadata>", re.DOTALL)
_TITLE = re.compile(r"<title>.*?</title>", re.DOTALL)
_COMMENT = re.compile(r"<!--.*?-->", re.DOTALL)
_COLOUR = re.compile("|".join(ROLES))


def picture_bytes(picture: Picture, form: str) -> bytes:
    """Write a picture as the bytes of a file."""
    if form == "svg":
        return _drawn(picture, "svg").replace(b"<svg ", b'<svg role="img" ', 1)
    return _drawn(picture, form)


def _drawn(picture: Picture, form: str) -> bytes:
    about: dict[str, Any] = {
        "svg": {"Date": None, "Creator": None, "Title": picture.title, "Description": picture.alternative},
        "pdf": {"CreationDate": None, "Creator": None, "Producer": None, "Title": picture.title},
        "png": {"Software": None, "Title": picture.title, "Description": picture.alternative},
    }[form]
    opened = io.BytesIO()
    with drawing():
        picture.figure.savefig(opened, format=form, dpi=200, metadata=about)
    return opened.getvalue()


def picture_markup(picture: Picture) -> str:
    """Write a picture as markup to stand in a page: names of its own, colours by role, a sentence in place of it."""
    drawn = _drawn(picture, "svg").decode("utf-8")
    body = drawn[drawn.index("<svg") :]
    for needless in (_METADATA, _COMMENT, _STYLE, _TITLE):
        body = needless.sub("", body)
    head, _, rest = body.partition(">")
    box = re.search(r'viewBox="[^"]*"', head)
    rest = _ID.sub(rf"\g<1>{picture.key}-", rest.replace("xlink:href", "href"))
    rest = _COLOUR.sub(lambda found: f"var(--{ROLES[found.group()]})", rest)
    name = f"{picture.key}-says"
    return (
        f'<svg class="picture" {box.group() if box else ""} role="img" aria-labelledby="{name}">'
        f'<title id="{name}">{escape(undirected(picture.alternative))}</title>{_shorter(rest)}'
    )


def _shorter(markup: str) -> str:
    """Take out line ends between elements."""
    return re.sub(r">\s+<", "><", markup).strip()
