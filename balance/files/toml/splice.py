"""One key of a TOML text put in, changed or taken out, and every other byte of the text left as it is."""

from __future__ import annotations

import re
import tomllib
from copy import deepcopy
from itertools import pairwise
from typing import TYPE_CHECKING, Any

from balance.files.toml.lines import layout
from balance.files.toml.tree import key_of
from balance.model.errors import InputError

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from balance.files.toml.lines import Layout, Path

_SHUT_HEAD = re.compile(r"^[ \t]*#[ \t]*\[", re.MULTILINE)
"""A table that stands as a comment: from there on, comments are no longer of the table above."""


def put(text: str, path: Path, literal: str, order: Sequence[str] | None = ()) -> str:
    r"""Give a key its value: in place, else where it stands as a comment, else after the keys that come before it.

    Examples
    --------
    >>> print(put('[size]\n# track = "1.5 m"  # known?\nbase = "2 m"\n', ("size", "track"), '"60 in"'))
    [size]
    track = "60 in"    # known?
    base = "2 m"
    <BLANKLINE>
    """
    wanted = tomllib.loads(text)
    _set(wanted, path, tomllib.loads(f"x = {literal}")["x"])
    literal = literal.replace("\n", _line_end(text))
    return tidiest(_put(text, layout(text), path, literal, order), (wanted,), path)


def tidiest(candidates: Iterator[str], wanted: Sequence[dict[str, Any]], path: Path) -> str:
    """Take the first of some texts that says exactly what is wanted."""
    for candidate in candidates:
        try:
            if tomllib.loads(candidate) in wanted:
                return candidate
        except tomllib.TOMLDecodeError:
            continue
    raise InputError(
        f"{'.'.join(map(str, path))}: found a file laid out in a way that cannot be changed here, "
        "expected one table under one head; change it in an editor"
    )


def _set(tree: Any, path: Path, value: Any) -> None:
    for part, following in pairwise(path):
        if isinstance(part, int):
            if part == len(tree):
                tree.append({})
            tree = tree[part]
        else:
            tree = tree.setdefault(part, [] if isinstance(following, int) else {})
    last: Any = path[-1]
    if isinstance(tree, list) and last == len(tree):
        tree.append(value)
    else:
        tree[last] = value


def _put(text: str, at: Layout, path: Path, literal: str, order: Sequence[str] | None) -> Iterator[str]:
    parent, name = path[:-1], path[-1]
    line = f"{key_of(str(name))} = {literal}"
    if path in at.values:
        start, end = at.values[path]
        yield text[:start] + literal + text[end:]
    elif parent in at.values:
        yield _into_brackets(text, at, parent, literal if isinstance(name, int) else line)
    elif isinstance(name, int):
        yield from _new_element(text, at, path, literal)
    elif (not parent or parent in at.heads) and order is None:
        yield _last_in_table(text, at, parent, line)
    elif not parent or parent in at.heads:
        yield from _into_table(text, at, path, line, order or ())
    else:
        deep = len(parent)
        beside = [one for one, home in at.homes.items() if one[:deep] == parent and len(home) < deep]
        if beside:  # written with dots
            home = at.homes[beside[-1]]
            dotted = _dotted(path[len(home) :])
            yield _line_after(text, at.values[beside[-1]][1], f"{dotted} = {literal}")
        head = f"[{_dotted(parent)}]"
        yield from _opened(text, head, path, literal, order)
        yield _at_end(text, [head, line])


def _into_brackets(text: str, at: Layout, parent: Path, added: str) -> str:
    inside = [at.values[one][1] for one in at.parts(parent)]
    if inside:
        return f"{text[: max(inside)]}, {added}{text[max(inside) :]}"
    start, end = at.values[parent]
    return f"{text[: start + 1]} {added} {text[end - 1 :]}"


def _into_table(text: str, at: Layout, path: Path, line: str, order: Sequence[str]) -> Iterator[str]:
    parent, name = path[:-1], str(path[-1])
    start = at.heads[parent][1] if parent else 0
    end = min((head for head, _ in at.heads.values() if head >= start), default=len(text))
    shut = _SHUT_HEAD.search(text, start, end)
    yield from _uncommented(text, start, shut.start() if shut else end, name, line)
    before = order[: order.index(name)] if name in order else order
    above = [at.values[(*parent, key)][1] for key in before if at.homes.get((*parent, key)) == parent]
    if above:
        yield _line_after(text, max(above), line)
    elif parent:
        yield _line_after(text, start, line)
    first = min((at.keys[one] for one, home in at.homes.items() if home == parent), default=end)
    apart = _line_end(text) if first and text[first - 1] != "\n" else ""
    yield f"{text[:first]}{apart}{line}{_line_end(text)}{text[first:]}"


def _last_in_table(text: str, at: Layout, parent: Path, line: str) -> str:
    """Put a line below all else of a table, above the comment that belongs to the next one and its blank line."""
    head = at.heads[parent][1] if parent else 0
    last = max([head, *(at.values[one][1] for one, home in at.homes.items() if home == parent)])
    following = min((start for start, _ in at.heads.values() if start >= last), default=None)
    below = text.find("\n", last) + 1 or len(text) if last else 0
    lines = re.findall(r".*\n|.+", text[below:following])
    while following is not None and lines and lines[-1].startswith("#"):
        lines.pop()
    while lines and not lines[-1].strip():
        lines.pop()
    here, new = below + len("".join(lines)), _line_end(text)
    above = "" if here == 0 or text[here - 1] == "\n" else new
    apart = new if here == 0 and following is not None else ""
    return f"{text[:here]}{above}{line}{new}{apart}{text[here:]}"


def _uncommented(text: str, start: int, end: int, name: str, line: str) -> Iterator[str]:
    """Take a key in that stands as a comment; the words behind it stay in their column."""
    for match in re.finditer(
        rf"^#[ \t]*(?={re.escape(key_of(name))}[ \t]*=)(.*?)(?=\r?$)", text[start:end], re.MULTILINE
    ):
        shown = match[1]
        try:
            value = layout(shown).values[name,] if name in tomllib.loads(shown) else (0, 0)
        except (tomllib.TOMLDecodeError, KeyError):
            continue
        behind = shown[value[1] :].lstrip()
        column = len(match[0]) - len(behind)
        full = f"{line.ljust(column - 2)}  {behind}" if behind else line
        yield text[: start + match.start()] + full + text[start + match.end() :]


def _opened(text: str, head: str, path: Path, literal: str, order: Sequence[str] | None) -> Iterator[str]:
    """Take in a table whose head stands as a comment, and the key in it."""
    for match in re.finditer(rf"^#[ \t]*{re.escape(head)}", text, re.MULTILINE):
        rest = text[match.end() :]
        behind = rest[: len(rest) - len(rest.lstrip(" \t"))]
        pad = " " * (len(match[0]) - len(head)) if behind and rest[len(behind) :].startswith("#") else ""
        opened = text[: match.start()] + head + pad + rest
        try:
            at = layout(opened) if isinstance(tomllib.loads(opened), dict) else None
        except tomllib.TOMLDecodeError:
            continue
        if at is not None:
            yield from _put(opened, at, path, literal, order)


def _new_element(text: str, at: Layout, path: Path, literal: str) -> Iterator[str]:
    """Add one of several tables, after the others or where one stands as a comment."""
    parent, number = path[:-1], path[-1]
    head = f"[[{_dotted(parent)}]]"
    pairs = [f"{key_of(key)} = {text}" for key, text in _pairs(literal)]
    if number:
        last = (*parent, int(number) - 1)
        ends = [at.values[one][1] for one, home in at.homes.items() if home == last]
        yield _line_after(text, max([at.heads[last][1], *ends]), _line_end(text).join(["", head, *pairs]))
        return
    keys = [key for key, _ in _pairs(literal)]
    for opened in _open_heads(text, head):
        whole = opened
        for key, value in _pairs(literal):
            whole = next(_put(whole, layout(whole), (*path, key), value, keys))
        yield whole
    yield _at_end(text, [head, *pairs])


def _open_heads(text: str, head: str) -> Iterator[str]:
    for match in re.finditer(rf"^#[ \t]*(?={re.escape(head)})", text, re.MULTILINE):
        opened = text[: match.start()] + text[match.end() :]
        try:
            tomllib.loads(opened)
        except tomllib.TOMLDecodeError:
            continue
        yield opened


def _dotted(path: Path) -> str:
    """Write a path, each part in quotation marks where it needs them."""
    return ".".join(key_of(str(part)) for part in path)


def _pairs(literal: str) -> list[tuple[str, str]]:
    """Take a table in one line apart."""
    shown = f"x = {literal}"
    at = layout(shown)
    return [(str(one[1]), shown[slice(*at.values[one])]) for one in at.parts(("x",))]


def _line_end(text: str) -> str:
    return "\r\n" if "\r\n" in text else "\n"


def _line_after(text: str, place: int, line: str) -> str:
    """Put a line below the one that a place is in."""
    end = text.find("\n", place)
    if end < 0:
        return f"{text}{_line_end(text)}{line}{_line_end(text)}"
    return f"{text[: end + 1]}{line}{_line_end(text)}{text[end + 1 :]}"


def _at_end(text: str, lines: Sequence[str]) -> str:
    new = _line_end(text)
    ended = text if not text or text.endswith("\n") else text + new
    apart = "" if not text or ended.endswith(new * 2) else new
    return ended + apart + new.join(lines) + new


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
