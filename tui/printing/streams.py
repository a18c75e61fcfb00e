"""Standard output and error that never fail over a character, and never turn a minus into a question mark."""

from __future__ import annotations

import codecs
import os
import sys

_PLAINER = {
    "−": "-",
    "–": "-",
    "…": "...",
    "·": ".",
    "±": "+/-",
    "×": "x",
    "°": "deg",
    "²": "^2",
    "³": "^3",
    "│": "|",
    "►": ">",
    "●": "o",
    "○": ".",
    "◐": "=",
    "▲": "^",
    "▼": "v",
    "†": "#",
    "‡": "##",
    "Δ": "d",
    "█": "#",
    "▒": "=",
}
_HANDLER = "axletrim-plainer"


def prepare_streams() -> None:
    """Let both streams write a character that their encoding lacks in a plainer way, or as an escape.

    A stream that was closed before the start reads and writes nothing.
    """
    codecs.register_error(_HANDLER, _plainer)
    for name, mode in (("stdin", "r"), ("stdout", "w"), ("stderr", "w")):
        if getattr(sys, name) is None:
            setattr(sys, name, open(os.devnull, mode, encoding="utf-8"))  # noqa: PTH123, SIM115 - as long as the process
    for stream in (sys.stdout, sys.stderr):
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure is not None:
            reconfigure(errors=_HANDLER)


def abandon_output() -> None:
    """Send what is left of standard output nowhere, so that nothing fails over it at the end."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def draws_curves() -> bool:
    """Return whether standard output has the characters that curves are drawn with."""
    try:
        "⠿┤".encode(sys.stdout.encoding or "utf-8")
    except UnicodeEncodeError:
        return False
    return True


def _plainer(fault: UnicodeError) -> tuple[str, int]:
    """Write what cannot be encoded in plain characters."""
    if not isinstance(fault, UnicodeEncodeError):
        raise fault
    missing = fault.object[fault.start : fault.end]
    return "".join(
        _PLAINER.get(c) or c.encode("ascii", "backslashreplace").decode() for c in missing
    ), fault.end
