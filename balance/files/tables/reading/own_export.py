"""Our own export as CSV: its first lines are the day's facts, written behind number signs."""

from __future__ import annotations

import tomllib
from dataclasses import replace
from typing import TYPE_CHECKING

from balance.files.formats.versions import KEY, format_of
from balance.files.toml.document import Document
from balance.files.toml.splice import cut, put
from balance.files.toml.tree import literal_of
from balance.model.errors import FileFaults, InputError

if TYPE_CHECKING:
    from balance.files.tables.importing.plan import ImportOptions
    from balance.files.tables.reading.grid import Grid
    from balance.files.toml.lines import Path

MARK = "# axletrim export 1"
_FACTS = ("kind", "floor", "speed", "air_density", "forces", "reference_area")


def own_facts(text: str) -> str | None:
    r"""Return the facts that stand at the head of an export of ours, as TOML.

    Examples
    --------
    >>> own_facts("# axletrim export 1,,\n# title = 'x',,\nrun\n")
    "title = 'x'"
    >>> own_facts("run,drag [N]\n") is None
    True
    """
    lines = text.splitlines()
    if not lines or not _bare(lines[0]).startswith(MARK):
        return None
    facts = []
    for line in lines[1:]:
        bare = _bare(line)
        if not bare.startswith("#"):
            break
        facts.append(bare.removeprefix("#").removeprefix(" "))
    return "\n".join(facts)


def _bare(line: str) -> str:
    """Undo what a spreadsheet does to a line of text when it saves it: empty cells, and quotation marks."""
    bare = line.rstrip(",;\t\r ")
    if bare.startswith('"') and bare.endswith('"') and len(bare) > 1:
        bare = bare[1:-1].replace('""', '"')
    return bare


def without_facts(grid: Grid) -> Grid:
    """Leave out the lines that hold the facts."""
    rows = grid.rows
    first = next((i for i, row in enumerate(rows) if not row.text(0).startswith("#")), len(rows))
    return replace(grid, rows=rows[first:])


def own_text(facts: str, options: ImportOptions) -> tuple[str, tuple[str, ...], int]:
    """Write session.toml, but for the line that names the car, from the facts of an export and the answers."""
    try:
        tree = tomllib.loads(facts)
        file_format = format_of(Document(file="the first lines of the export", text=facts, tree=tree))
        recorded = tuple(str(name) for name in tree.get("columns", {}).get("recorded", []))
        for key in ("vehicle", KEY):
            if key in tree:
                facts = cut(facts, (key,), kept=False)
        tree["facility"].keys()  # a table, or it raises
        given: dict[Path, str | None] = {("facility", key): getattr(options, key) for key in _FACTS}
        for path, text in {("title",): options.title, **given}.items():
            if text:
                facts = put(facts, path, literal_of(text), None)
    except FileFaults:
        raise
    except (ValueError, TypeError, KeyError, AttributeError, InputError) as error:
        raise InputError(f"the first lines of the export are damaged ({error}); export it again") from None
    return facts, recorded, file_format
