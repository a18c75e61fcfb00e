"""The apostrophe that keeps a spreadsheet from taking a text for a formula: put on, and taken off again."""

from __future__ import annotations

import re

_FORMULA = re.compile(r"'*[=+\-@\t\r]")
_MARKED = re.compile(r"''*[=+\-@\t\r]")


def marked(text: str) -> str:
    """Put an apostrophe before a text that a spreadsheet would take for a formula.

    Examples
    --------
    >>> marked("=1+1"), marked("'=1"), marked("wing")
    ("'=1+1", "''=1", 'wing')
    """
    return f"'{text}" if _FORMULA.match(text) else text


def unmarked(cell: str | float) -> str | float:
    """Take that apostrophe off again.

    Examples
    --------
    >>> unmarked("'=1+1"), unmarked("'tis")
    ('=1+1', "'tis")
    """
    return cell[1:] if isinstance(cell, str) and _MARKED.match(cell) else cell
