"""Sentences that the screens share, in the report's words."""

from __future__ import annotations

import re

_WORDS = (
    (r"\bbe looser at the rear\b", "have more oversteer"),
    (r"\bpush more\b", "have more understeer"),
    (r"\bgrip surplus of the rear\b", "grip balance"),
    (r"\b([Gg])rip surplus\b", r"\1rip balance"),
    (r"\bfront share of downforce\b", "aero balance"),
    (r"\bnot resolved\b", "within noise"),
    (r"\bunresolved\b", "within noise"),
    (r"\bresolved\b", "significant"),
    (r"\btoward\b", "towards"),
    (r" pt\b", " points"),
    (r"moves ([0-9.]+) %", r"moves \1 points"),
    (r"\(loose at speed\)", "(more oversteer at speed)"),
    (r"\blooser at speed\b", "more oversteer at speed"),
    (r"\blooser than\b", "more oversteer than"),
    (r"\btolerance\b", "limits"),
    (r"outside the band", "past a limit"),
    (r"\bband around balance\b", "limits"),
    (r"(?<=[0-9]) deg\b", "°"),
)


def reworded(text: str) -> str:
    """Put a shared sentence in the report's words.

    Examples
    --------
    >>> reworded("grip surplus moves 1.6 % (1.2 to 2.2) toward the rear, not resolved")
    'grip balance moves 1.6 points (1.2 to 2.2) towards the rear, within noise'
    """
    for pattern, words in _WORDS:
        text = re.sub(pattern, words, text)
    return text
