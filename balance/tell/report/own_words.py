"""The engineer's own words, from Markdown to markup that can do no harm."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from markdown_it import MarkdownIt

_FIRST_HEADING = 3
"""Headings of the engineer's stand under those of the page."""


def from_markdown(text: str) -> str:
    r"""Turn Markdown into markup: no raw HTML, no pictures from elsewhere, headings under the page's own.

    Examples
    --------
    >>> from_markdown("Keep the *splitter* <b>on</b>.")
    '<p>Keep the <em>splitter</em> &lt;b&gt;on&lt;/b&gt;.</p>\n'
    """
    parser = _parser()
    tokens = parser.parse(text)
    for token in tokens:
        if token.type in ("heading_open", "heading_close"):
            token.tag = f"h{min(6, int(token.tag[1]) + _FIRST_HEADING - 1)}"
    return str(parser.renderer.render(tokens, parser.options, {}))


@cache
def _parser() -> MarkdownIt:
    from markdown_it import MarkdownIt  # noqa: PLC0415 - only where there are such words

    return (
        MarkdownIt("commonmark", {"html": False})
        .enable("table")
        .disable(["image", "html_block", "html_inline"])
    )
