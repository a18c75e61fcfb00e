"""Bytes of a file, or a text at hand in its place, into clean text, with a clear fault for everything that is not text."""

from __future__ import annotations

import codecs
import io
import os
import re
import stat
from pathlib import Path
from typing import TYPE_CHECKING, cast

from balance.model.errors import FileFaults, InputError, quoted

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

MOST_LINES, MOST_COLUMNS = 200_000, 1_000
LONGEST_LINE, LONGEST_CELL = 500_000, 32_767
"""A table of runs is far below them; what goes beyond is refused with a word. A spreadsheet holds no longer cell."""
_CONTROL = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069\ud800-\udfff]")
_UTF_16 = (codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)


def read_text(path: Path, *, shown_as: str, limit: int, what: str) -> str:
    """Read a UTF-8 text file, with or without a byte-order mark."""
    raw = read_bytes(path, shown_as=shown_as, limit=limit, what=what)
    return _decoded(raw.removeprefix(codecs.BOM_UTF8), shown_as, what)


def read_bytes(
    path: Path,
    *,
    shown_as: str,
    limit: int,
    what: str,
    make_plain: str = "",
    make_smaller: str = "is it the file that was meant?",
) -> bytes:
    """Read a file whole, or say why it cannot be; what is no plain file, or too large, may be mended in words."""
    try:
        status = path.stat()
        if stat.S_ISDIR(status.st_mode):
            raise FileFaults.of(shown_as, "a folder", what, "give the file itself")
        if not stat.S_ISREG(status.st_mode):
            raise FileFaults.of(shown_as, "something that is not a plain file", what, make_plain)
        if status.st_size > limit:
            size, most = f"{status.st_size / 1e6:.0f} MB", f"at most {limit / 1e6:.0f} MB"
            raise FileFaults.of(shown_as, size, most, make_smaller)
        with path.open("rb") as opened:
            return opened.read(limit + 1)[:limit]
    except FileNotFoundError:
        raise FileFaults.of(shown_as, "no such file", what, "check its name and place") from None
    except PermissionError:
        mend = "give yourself the right to read it"
        raise FileFaults.of(shown_as, "a file that may not be read", what, mend) from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise FileFaults.of(shown_as, f"a file that cannot be read ({reason})", what) from None


def _decoded(raw: bytes, shown_as: str, what: str) -> str:
    if not raw.strip():
        raise FileFaults.of(shown_as, "an empty file", what, "is it another file that was meant?")
    if raw.startswith(_UTF_16):
        raise FileFaults.of(shown_as, "UTF-16 text", f"{what} in UTF-8", "save it again as UTF-8")
    null = raw.find(b"\0")
    if null >= 0:
        raise FileFaults.of(
            shown_as,
            "a zero byte",
            f"{what} in UTF-8",
            "a spreadsheet's own format or UTF-16? save it as plain text in UTF-8",
            line=raw.count(b"\n", 0, null) + 1,
        )
    try:
        return raw.decode("utf-8")
    except UnicodeDecodeError as error:
        raise FileFaults.of(
            shown_as,
            f"the byte 0x{raw[error.start]:02x}",
            f"{what} in UTF-8",
            "written in Windows-1252 or Latin-1? save it again as UTF-8",
            line=raw.count(b"\n", 0, error.start) + 1,
        ) from None


def refuse_beyond(
    raw: bytes,
    *,
    shown_as: str,
    most: int = MOST_LINES,
    make_smaller: str = "save the runs alone, or in parts",
) -> None:
    """Refuse a table that would unfold beyond any day's runs, before it takes memory."""
    lines = max(raw.count(b"\n"), raw.count(b"\r")) + 1
    if lines > most:
        raise FileFaults.of(shown_as, f"{lines:,} lines", f"at most {most:,}", make_smaller)
    marks = [
        mark for mark in (b"\n", b"\r") if mark in raw
    ]  # one that is nowhere is not looked for line by line
    start, number = 0, 1
    while start <= len(raw):
        found = [end for mark in marks if (end := raw.find(mark, start, start + LONGEST_LINE + 1)) >= 0]
        end = min(found, default=-1)
        if end < 0 and len(raw) - start > LONGEST_LINE:
            raise FileFaults.of(
                shown_as, f"a line of more than {LONGEST_LINE:,} bytes", f"at most {MOST_COLUMNS:,} columns of short cells",
                "is it a table of runs?", line=number,
            )  # fmt: skip
        if end < 0:
            return
        start, number = end + 1, number + 1


def refuse_row(cells: Sequence[object], *, shown_as: str, line: int) -> None:
    """Refuse a row of more columns, or with a longer cell, than a table of runs can have."""
    if len(cells) > MOST_COLUMNS:
        raise FileFaults.of(
            shown_as,
            f"{len(cells):,} columns",
            f"at most {MOST_COLUMNS:,}",
            "save the columns that are needed",
            line=line,
        )
    longest = max((len(cell) for cell in cells if isinstance(cell, str)), default=0)
    if longest > LONGEST_CELL:
        raise FileFaults.of(
            shown_as, f"a cell of {longest:,} characters", f"at most {LONGEST_CELL:,}", "shorten it, or leave its column out",
            line=line,
        )  # fmt: skip


def clean_text(text: str) -> str | None:
    r"""Bring every run of white space, line ends too, to one space.

    Examples
    --------
    >>> clean_text(" two\n lines "), clean_text("\x1b[2J")
    ('two lines', None)
    """
    return None if _CONTROL.search(text) else " ".join(text.split())


def clean_cell(name: str, text: str) -> str:
    """Bring typed text to one line without control characters, or refuse it."""
    clean = clean_text(text.encode(errors="replace").decode())
    if clean is None:
        raise InputError(
            f"{name}: found {quoted(text)}, expected text without control characters; type it again"
        )
    return clean


class _AtHand:
    """What a reader asks of a path: its size and kind, its bytes, and its name."""

    def __init__(self, raw: bytes, name: str) -> None:
        self.raw, self.name = raw, name

    def __str__(self) -> str:
        return self.name

    def stat(self) -> os.stat_result:
        return os.stat_result((stat.S_IFREG | 0o644, 0, 0, 1, 0, 0, len(self.raw), 0, 0, 0))

    def open(self, _mode: str) -> io.BytesIO:
        return io.BytesIO(self.raw)


def text_at_hand(text: str, name: str) -> Path:
    r"""Let a text be read as if it were a file.

    Examples
    --------
    >>> text_at_hand("run\n", "runs.csv").open("rb").read()
    b'run\n'
    """
    return cast("Path", _AtHand(text.encode(errors="replace"), name))


def in_place_of(path: Path, texts: Mapping[Path, str]) -> Path:
    """Return the text that is to be read in place of a file, where there is one."""
    text = texts.get(Path(os.path.realpath(path))) if texts else None
    return path if text is None else text_at_hand(text, str(path))
