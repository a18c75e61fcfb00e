"""Where in a TOML text each key and value stands: the parser keeps no places, and a fault or an edit needs one."""

from __future__ import annotations

import re
import tomllib
from bisect import bisect_right
from dataclasses import dataclass, field

Path = tuple[str | int, ...]

_BLANK = re.compile(r"(?:[ \t\r\n]|#[^\n]*)*")
_KEY = re.compile(r"""[A-Za-z0-9_-]+|"(?:[^"\\\n]|\\.)*"|'[^'\n]*'""")
_DOT = re.compile(r"[ \t]*\.[ \t]*")
_TEXT = re.compile(
    r'''"""(?:[^\\]|\\.)*?"{3,5}(?!")|\'\'\'.*?'{3,5}(?!')|"(?:[^"\\\n]|\\.)*"|'[^'\n]*\'''', re.DOTALL
)
_PLAIN = re.compile(r"[^,\]}#\n]*")


@dataclass(frozen=True, slots=True)
class Layout:
    """Where everything of a TOML text stands, by path: names, and positions from 0 in arrays.

    ``lines`` has the line of every table and key, from 1. The others hold offsets: ``keys`` where a key begins,
    ``values`` where a value, element of a list among them, begins and ends, ``heads`` where the head of a table
    does. ``homes`` has, of every key that begins a line, the table under whose head it stands.
    """

    lines: dict[Path, int] = field(default_factory=dict)
    keys: dict[Path, int] = field(default_factory=dict)
    values: dict[Path, tuple[int, int]] = field(default_factory=dict)
    heads: dict[Path, tuple[int, int]] = field(default_factory=dict)
    homes: dict[Path, Path] = field(default_factory=dict)

    def parts(self, parent: Path) -> list[Path]:
        """Name what stands in brackets or braces, one by one; a key with dots is one of them."""
        depth = len(parent)
        inside = [one for one in self.keys if len(one) > depth and one[:depth] == parent]
        if not inside or isinstance(inside[0][depth], int):
            return [one for one in self.values if len(one) == depth + 1 and one[:depth] == parent]
        return [one for one in inside if not any(one != by and one[: len(by)] == by for by in inside)]


def layout(text: str) -> Layout:
    r"""Find where everything of a TOML text stands.

    Examples
    --------
    >>> layout('[mass]\ntotal = "1290 kg" # heavy\n').values
    {('mass', 'total'): (15, 24)}
    """
    return _Scanner(text).scan()


def key_lines(text: str) -> dict[Path, int]:
    r"""Find the line of every table and key of a TOML text.

    Examples
    --------
    >>> key_lines('[mass]\n# heavy\ntotal = "1290 kg"\n')
    {('mass',): 1, ('mass', 'total'): 3}
    """
    return layout(text).lines


class _Scanner:
    def __init__(self, text: str) -> None:
        self.text, self.at = text, 0
        self.starts = [0, *(match.end() for match in re.finditer("\n", text))]
        self.found = Layout()
        self.counts: dict[Path, int] = {}  # tables seen in each array of tables

    def scan(self) -> Layout:
        table: Path = ()
        self.take(_BLANK)
        while self.at < len(self.text):
            if self.text[self.at] == "[":
                table = self.header()
            else:
                self.found.homes[self.pair(table)] = table
            self.take(_BLANK)
        return self.found

    def take(self, pattern: re.Pattern[str]) -> str:
        match = pattern.match(self.text, self.at)
        if match is None:  # nothing that a parser accepts comes here: step on rather than stand still
            self.at += 1
            return ""
        self.at = match.end()
        return match.group()

    def header(self) -> Path:
        line, start = bisect_right(self.starts, self.at), self.at
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
        self.found.lines.setdefault(table, line)
        self.take(_BLANK)
        self.at += 2 if many else 1
        self.found.heads[table] = (start, self.at)
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

    def pair(self, table: Path) -> Path:
        line, start = bisect_right(self.starts, self.at), self.at
        path = table
        for name in self.names():
            path = (*path, name)
            self.found.lines.setdefault(path, line)
        self.found.keys[path] = start
        self.take(_BLANK)
        self.at += 1  # the sign of equality
        self.value(path)
        return path

    def value(self, path: Path) -> None:
        self.take(_BLANK)
        start = self.at
        first = self.text[self.at : self.at + 1]
        if first in ("[", "{"):
            self.at += 1
            self.several(path, first)
        else:
            self.take(_TEXT if first in ('"', "'") and first else _PLAIN)
        self.found.values[path] = (start, start + len(self.text[start : self.at].rstrip()))

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
