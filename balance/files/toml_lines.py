"""On which line of a TOML text each key stands: the parser keeps no lines, and a fault needs one."""

from __future__ import annotations

import re
import tomllib
from bisect import bisect_right

Path = tuple[str | int, ...]

_BLANK = re.compile(r"(?:[ \t\r\n]|#[^\n]*)*")
_KEY = re.compile(r"""[A-Za-z0-9_-]+|"(?:[^"\\\n]|\\.)*"|'[^'\n]*'""")
_DOT = re.compile(r"[ \t]*\.[ \t]*")
_TEXT = re.compile(
    r'''"""(?:[^\\]|\\.)*?"{3,5}(?!")|\'\'\'.*?'{3,5}(?!')|"(?:[^"\\\n]|\\.)*"|'[^'\n]*\'''', re.DOTALL
)
_PLAIN = re.compile(r"[^,\]}#\n]*")


def key_lines(text: str) -> dict[Path, int]:
    r"""Find the line of every table and key of a TOML text.

    Parameters
    ----------
    text : str
        A text that the parser has accepted.

    Returns
    -------
    dict
        From the path of a key (names, and positions from 0 in arrays) to its line, from 1.

    Examples
    --------
    >>> key_lines('[mass]\n# heavy\ntotal = "1290 kg"\n')
    {('mass',): 1, ('mass', 'total'): 3}
    """
    return _Scanner(text).scan()


class _Scanner:
    def __init__(self, text: str) -> None:
        self.text, self.at = text, 0
        self.starts = [0, *(match.end() for match in re.finditer("\n", text))]
        self.lines: dict[Path, int] = {}
        self.counts: dict[Path, int] = {}  # tables seen in each array of tables

    def scan(self) -> dict[Path, int]:
        table: Path = ()
        self.take(_BLANK)
        while self.at < len(self.text):
            if self.text[self.at] == "[":
                table = self.header()
            else:
                self.pair(table)
            self.take(_BLANK)
        return self.lines

    def take(self, pattern: re.Pattern[str]) -> str:
        match = pattern.match(self.text, self.at)
        if match is None:  # nothing that a parser accepts comes here: step on rather than stand still
            self.at += 1
            return ""
        self.at = match.end()
        return match.group()

    def header(self) -> Path:
        line = bisect_right(self.starts, self.at)
        many = self.text.startswith("[[", self.at)
        self.at += 2 if many else 1
        names = self.names()
        table: Path = ()
        for name in names[:-1]:
            table = self.inside((*table, name))
        table = (*table, names[-1])
        if many:
            self.counts[table] = self.counts.get(table, 0) + 1
        table = self.inside(table)
        self.lines.setdefault(table, line)
        self.take(_BLANK)
        self.at += 2 if many else 1
        return table

    def inside(self, table: Path) -> Path:
        return (*table, self.counts[table] - 1) if table in self.counts else table

    def names(self) -> tuple[str, ...]:
        found = []
        while True:
            self.take(_BLANK)
            name = self.take(_KEY)
            found.append(next(iter(tomllib.loads(f"{name} = 0"))) if name[:1] in "\"'" and name else name)
            dot = _DOT.match(self.text, self.at)
            if dot is None:
                return tuple(found)
            self.at = dot.end()

    def pair(self, table: Path) -> None:
        line = bisect_right(self.starts, self.at)
        path = table
        for name in self.names():
            path = (*path, name)
            self.lines.setdefault(path, line)
        self.take(_BLANK)
        self.at += 1  # the sign of equality
        self.value(path)

    def value(self, path: Path) -> None:
        self.take(_BLANK)
        first = self.text[self.at : self.at + 1]
        if first in ("[", "{"):
            self.at += 1
            self.several(path, first)
        else:
            self.take(_TEXT if first in ('"', "'") and first else _PLAIN)

    def several(self, path: Path, opened: str) -> None:
        position = 0
        while self.at < len(self.text):
            self.take(_BLANK)
            here = self.text[self.at : self.at + 1]
            if here in ("]", "}", ","):
                self.at += 1
                if here != ",":
                    return
            elif opened == "{":
                self.pair(path)
            else:
                self.value((*path, position))
                position += 1
