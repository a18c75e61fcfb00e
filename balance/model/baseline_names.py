"""Which baselines a run names: one, or two around it, before and after."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Container

AND = " and "
"""What stands between two baselines."""


def named_baselines(text: str, labels: Container[str]) -> tuple[str, ...]:
    """Split what names a baseline into labels of runs.

    A text that is a run's label as it stands names that run, whatever words are in it.

    Common practice, no source.

    Examples
    --------
    >>> named_baselines("3 and 9", {"3", "9"})
    ('3', '9')
    >>> named_baselines("splitter and wing", {"splitter and wing"})
    ('splitter and wing',)
    """
    text = text.strip()
    if not text:
        return ()
    if text in labels:
        return (text,)
    return tuple(part.strip() for part in text.split(AND))
