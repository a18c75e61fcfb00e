"""A key or a table taken out of a TOML text, and every other byte of the text left as it is."""

from __future__ import annotations

import re
import tomllib
from copy import deepcopy
from typing import TYPE_CHECKING, Any

from balance.files.toml.lines import layout
from balance.files.toml.splice import tidiest

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from balance.files.toml.lines import Layout, Path

_BLANK_LINE = re.compile(r"\A[ \t]*\r?\n")
_LAST_BLANK = re.compile(r"(\n)[ \t]*\r?\n\Z")


def cut(text: str, path: Path, *, kept: bool = True) -> str:
    r"""Take out a key or a table: lines become comments, parts of a line and whole elements go.

    Examples
    --------
    >>> print(cut('[size]\nbase = "2 m"\ntrack = "60 in"  # taped\n', ("size", "track")))
    [size]
    base = "2 m"
    # track = "60 in"  # taped
    <BLANKLINE>
    """
    whole = _without_key(tomllib.loads(text), path)
    bare = whole  # a table or list that is empty then may go as well: it says nothing
    for depth in range(len(path) - 1, 0, -1):
        if _at(bare, path[:depth]):
            break
        bare = _without_key(bare, path[:depth])
    return tidiest(_cut(text, layout(text), path, kept=kept), (whole, bare), path)


def _at(tree: Any, path: Path) -> Any:
    for part in path:
        tree = tree[part]
    return tree


def _without_key(tree: dict[str, Any], path: Path) -> dict[str, Any]:
    left = deepcopy(tree)
    del _at(left, path[:-1])[path[-1]]
    return left


def _cut(text: str, at: Layout, path: Path, *, kept: bool = True) -> Iterator[str]:
    if path in at.homes:
        span = (at.keys[path], at.values[path][1])
        yield _shut(text, [span]) if kept else _lines_out(text, [span])
    elif path in at.values:
        yield _out_of_brackets(text, at, path)
        if isinstance(path[-1], int):  # the last one goes with its list
            yield from _cut(text, at, path[:-1])
    elif path in at.heads:
        spans = [
            at.heads[path],
            *((at.keys[k], at.values[k][1]) for k, home in at.homes.items() if home == path),
        ]
        yield _shut(text, spans) if isinstance(path[-1], str) else _without(text, spans)
    else:  # written with dots
        yield _shut(text, [(at.keys[k], at.values[k][1]) for k in at.homes if k[: len(path)] == path])


def _out_of_brackets(text: str, at: Layout, path: Path) -> str:
    parts = at.parts(path[:-1])
    here = parts.index(path)
    spans = [(at.keys.get(one, at.values[one][0]), at.values[one][1]) for one in parts]
    start, end = spans[here]
    if here:
        start = spans[here - 1][1]
    elif len(parts) > 1:
        end = spans[1][0]
    return text[:start] + text[end:]


def _whole_lines(text: str, start: int, end: int) -> tuple[int, int]:
    after = text.find("\n", end)
    return text.rfind("\n", 0, start) + 1, len(text) if after < 0 else after + 1


def _shut(text: str, spans: Sequence[tuple[int, int]]) -> str:
    """Make comments of lines; the words behind a line stay in their column where there is room."""
    for start, end in sorted(spans, reverse=True):
        first, last = _whole_lines(text, start, end)
        behind = text[end:last]
        if re.match(r"[ \t]{4,}#", behind) and "\n" not in text[first:end]:
            behind = behind[2:]
        lines = (text[first:end] + behind).splitlines(keepends=True)
        text = text[:first] + "".join(f"# {line}" for line in lines) + text[last:]
    return text


def _without(text: str, spans: Sequence[tuple[int, int]]) -> str:
    """Take lines out, and a blank line that was below the last of them, or above the first at the end of a file."""
    _, last = _whole_lines(text, *max(spans))
    below = _BLANK_LINE.sub("", text[last:], count=1)
    left = _lines_out(text[:last] + below, spans)
    return left if below else _LAST_BLANK.sub(r"\1", left)


def _lines_out(text: str, spans: Sequence[tuple[int, int]]) -> str:
    for start, end in sorted(spans, reverse=True):
        first, last = _whole_lines(text, start, end)
        text = text[:first] + text[last:]
    return text
