"""Bytes of a file into clean text, with a clear fault for everything that is not text."""

from __future__ import annotations

import codecs
import re
import stat
from typing import TYPE_CHECKING

from balance.model.errors import Fault, FileFaults

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

MOST_LINES, MOST_COLUMNS = 200_000, 1_000
LONGEST_LINE, LONGEST_CELL = 500_000, 32_767
"""A table of runs is far below them; what goes beyond is refused with a word. A spreadsheet holds no longer cell."""
_CONTROL = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069\ud800-\udfff]")
_UTF_16 = (codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)


def read_text(path: Path, *, shown_as: str, limit: int, what: str) -> str:
    """Read a UTF-8 text file, with or without a byte-order mark."""
    try:
        status = path.stat()
        if stat.S_ISDIR(status.st_mode):
            raise _fault(shown_as, "a folder", what, "give the file itself")
        if not stat.S_ISREG(status.st_mode):
            raise _fault(shown_as, "something that is not a plain file", what)
        if status.st_size > limit:
            raise _fault(
                shown_as,
                f"{status.st_size / 1e6:.0f} MB",
                f"at most {limit / 1e6:.0f} MB",
                "is it the file that was meant?",
            )
        with path.open("rb") as opened:
            raw = opened.read(limit + 1)[:limit]
    except FileNotFoundError:
        raise _fault(shown_as, "no such file", what, "check its name and place") from None
    except PermissionError:
        raise _fault(
            shown_as, "a file that may not be read", what, "give yourself the right to read it"
        ) from None
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        raise _fault(shown_as, f"a file that cannot be read ({reason})", what) from None
    return _decoded(raw.removeprefix(codecs.BOM_UTF8), shown_as, what)


def _decoded(raw: bytes, shown_as: str, what: str) -> str:
    if not raw.strip():
        raise _fault(shown_as, "an empty file", what, "is it another file that was meant?")
    if raw.startswith(_UTF_16):
        raise _fault(shown_as, "UTF-16 text", f"{what} in UTF-8", "save it again as UTF-8")
    null = raw.find(b"\0")
    if null >= 0:
        raise FileFaults(
            [
                Fault(
                    file=shown_as,
                    line=raw.count(b"\n", 0, null) + 1,
                    found="a zero byte",
                    expected=f"{what} in UTF-8",
                    mend="a spreadsheet's own format or UTF-16? save it as plain text in UTF-8",
                )
            ]
        )
    try:
        return raw.decode("utf-8")
    except UnicodeDecodeError as error:
        raise FileFaults(
            [
                Fault(
                    file=shown_as,
                    line=raw.count(b"\n", 0, error.start) + 1,
                    found=f"the byte 0x{raw[error.start]:02x}",
                    expected=f"{what} in UTF-8",
                    mend="written in Windows-1252 or Latin-1? save it again as UTF-8",
                )
            ]
        ) from None


def _fault(shown_as: str, found: str, what: str, mend: str = "") -> FileFaults:
    return FileFaults([Fault(file=shown_as, found=found, expected=what, mend=mend)])


def refuse_beyond(raw: bytes, *, shown_as: str) -> None:
    """Refuse a table that would unfold beyond any day's runs, before it takes memory."""
    lines = max(raw.count(b"\n"), raw.count(b"\r")) + 1
    if lines > MOST_LINES:
        raise beyond(
            shown_as, f"{lines:,} lines", f"at most {MOST_LINES:,}", "save the runs alone, or in parts"
        )
    start, number = 0, 1
    while start <= len(raw):
        found = [
            end for mark in (b"\n", b"\r") if (end := raw.find(mark, start, start + LONGEST_LINE + 1)) >= 0
        ]
        end = min(found, default=-1)
        if end < 0 and len(raw) - start > LONGEST_LINE:
            raise beyond(
                shown_as, f"a line of more than {LONGEST_LINE:,} bytes", f"at most {MOST_COLUMNS:,} columns of short cells",
                "is it a table of runs?", line=number,
            )  # fmt: skip
        if end < 0:
            return
        start, number = end + 1, number + 1


def refuse_row(cells: Sequence[object], *, shown_as: str, line: int) -> None:
    """Refuse a row of more columns, or with a longer cell, than a table of runs can have."""
    if len(cells) > MOST_COLUMNS:
        raise beyond(
            shown_as,
            f"{len(cells):,} columns",
            f"at most {MOST_COLUMNS:,}",
            "save the columns that are needed",
            line=line,
        )
    longest = max((len(cell) for cell in cells if isinstance(cell, str)), default=0)
    if longest > LONGEST_CELL:
        raise beyond(
            shown_as, f"a cell of {longest:,} characters", f"at most {LONGEST_CELL:,}", "shorten it, or leave its column out",
            line=line,
        )  # fmt: skip


def beyond(shown_as: str, found: str, expected: str, mend: str, *, line: int | None = None) -> FileFaults:
    """Make the fault of a file that goes beyond a limit."""
    return FileFaults([Fault(file=shown_as, line=line, found=found, expected=expected, mend=mend)])


def clean_text(text: str) -> str | None:
    r"""Bring every run of white space, line ends too, to one space.

    Examples
    --------
    >>> clean_text(" two\n lines "), clean_text("\x1b[2J")
    ('two lines', None)
    """
    return None if _CONTROL.search(text) else " ".join(text.split())
