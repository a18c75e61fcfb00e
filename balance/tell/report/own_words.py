"""The engineer's own words: from Markdown to markup that can do no harm, and whether they still fit what they were written for."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING

from balance.files.formats.report import WrittenFor
from balance.tell.report.blocks import Markup
from balance.tell.report.outline import own_words_under
from balance.tell.runs.range_words import range_class

if TYPE_CHECKING:
    from collections.abc import Iterator

    from markdown_it import MarkdownIt

    from balance.tell.report.report_data import ReportData

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


def written_now(report: ReportData) -> WrittenFor:
    """Return what words written now are written for: the recommendation as it is, and its verdict."""
    return WrittenFor(
        recommendation=report.run(report.answer).label,
        verdict=range_class(report.table.ranges[report.answer]),
    )


def stale_words(report: ReportData, section: str) -> str:
    """State what has changed since some own words were written; nothing where they fit."""
    was, now = report.choices.written_for.get(section), written_now(report)
    if was is None:
        return ""
    readings = report.day.readings.labels
    same_row = was.recommendation in [readings[one] for one in report.day.rows.members[report.answer]]
    if same_row and was.verdict == now.verdict:
        return ""
    return (
        f"written for run {was.recommendation}, {was.verdict}; the recommendation is now run {now.recommendation}, {now.verdict}: "
        "read these words again"
    )


def own_markup(report: ReportData, section: str) -> Markup:
    """Set own words off as such, with what they were written for and whether that has changed."""
    was, stale = report.choices.written_for.get(section), stale_words(report, section)
    written = "Written by the engineer" + (f" for run {was.recommendation}" if was else "")
    return Markup(
        html=from_markdown(report.choices.words[section]),
        head=f"{written}.",
        stale=f"! Out of date: {stale}." if stale else "",
    )


def words_notes(report: ReportData) -> Iterator[str]:
    """State what is to be checked of the own words: what they were written for has changed, or nobody knows what that was."""
    for section, text in report.choices.words.items():
        under = own_words_under(section)
        stale = stale_words(report, section)
        if stale:
            yield f"{under}: {stale}"
        elif section not in report.choices.written_for:
            yield f"{under}: not known for which recommendation they were written; save them again on the screen"
        if report.is_long(text):
            yield f"{under}: {len(text.strip())} characters, which stand at the end of the report"
