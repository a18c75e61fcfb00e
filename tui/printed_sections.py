"""Titled sentences as plain text for stdout, with the cautions under them."""

from __future__ import annotations

import textwrap
from typing import TYPE_CHECKING

from balance.tell.words import CAUTIONS

if TYPE_CHECKING:
    from collections.abc import Sequence


def print_sections(
    heads: Sequence[str], sections: Sequence[tuple[str, Sequence[str]]], width: int, *, cautions: bool = True
) -> str:
    """Write sections one under the other, folded to the width.

    Parameters
    ----------
    heads : sequence of str
        Lines above them all.
    sections : sequence of (str, sequence of str)
        A title, and its sentences.
    width : int
        Characters there are.
    cautions : bool, optional
        Whether a change is suggested, so that the cautions have to follow.

    Returns
    -------
    str
        The text.
    """
    lines = [line for head in heads for line in textwrap.wrap(head, width, subsequent_indent="  ")]
    for title, sentences in (*sections, *([("Cautions", CAUTIONS)] if cautions else [])):
        lines += ["", *textwrap.wrap(title, width, subsequent_indent="  ")]
        for sentence in sentences:
            lines += textwrap.wrap(sentence, width, initial_indent="- ", subsequent_indent="  ")
    return "\n".join(lines)
