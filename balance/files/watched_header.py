"""Where the header of a watched file stands, what its columns are called, and which of them names the runs."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from balance.columns import READINGS
from balance.errors import one_line
from balance.files.foreign.facts import Facts, sign_words
from balance.files.foreign.meanings import meaning_of, recognised
from balance.files.foreign.unit_words import counts, spelled, unit_like
from balance.units import known_unit

if TYPE_CHECKING:
    from collections.abc import Sequence

_SEARCHED = 50  # rows in which the header is looked for
_MARKS = ",;\t"
_FEWEST = 3  # cells of a header, for there are three readings


@dataclass(frozen=True, slots=True, kw_only=True)
class Heads:
    """What stands over the rows of a watched file.

    ``header`` names its columns, units of a row of their own behind the names; ``above`` are the lines before it,
    each as one text; ``lines`` the cells of the header as they stand there, and of the units; ``rows_from`` is
    the place of the first row, ``key_at`` that of the column that names the runs.
    """

    header: tuple[str, ...] = ()
    above: tuple[str, ...] = ()
    lines: tuple[list[str], ...] = ()
    rows_from: int = 0
    key_at: int | None = None

    @property
    def facts(self) -> Facts:
        """What is stated about the sign of lift."""
        said = [sign_words(text) for text in (*self.above, *self.header)]
        return Facts(up=any(up for up, _ in said), down=any(down for _, down in said))


def find_heads(table: Sequence[list[str]]) -> Heads | None:
    """Find the header of a table.

    Parameters
    ----------
    table : sequence of list of str
        Its rows that are not blank.

    Returns
    -------
    Heads or None
        None while no row looks like one.
    """
    place = _header_at(table[:_SEARCHED])
    if place is None:
        return None
    lines = [clean(cells) for cells in table[place : place + 2]]
    names = lines[0]
    if len(lines) > 1 and _units_only(lines[1]):
        header = _with_units(*lines)
    else:
        header, lines = names, lines[:1]
    return Heads(
        header=_apart(header),
        above=tuple(" ".join(clean(cells)) for cells in table[:place]),
        lines=tuple(lines),
        rows_from=place + len(lines),
        key_at=_key_at(names),
    )


def clean(cells: Sequence[str]) -> list[str]:
    """Bring cells to one line each, without characters that a terminal would obey."""
    return [one_line(" ".join(cell.split())) for cell in cells]


def delimiter(lines: Sequence[str]) -> str:
    """Take the mark that the header's line has most of: comma, semicolon or tab."""
    sample = next((line for line in lines[:_SEARCHED] if any(name in line for name in READINGS)), "")
    sample = sample or max(lines[:_SEARCHED], key=_likeness, default="")
    return max(_MARKS, key=sample.count)


def _likeness(line: str) -> tuple[int, bool]:
    """Say how much of a line reads as a header, however it is parted, and whether it has enough cells for one."""
    parted = [line.split(mark) for mark in _MARKS]
    return max(map(recognised, parted)), max(map(len, parted)) >= _FEWEST


def _header_at(searched: Sequence[list[str]]) -> int | None:
    """Find the header: the row that names a reading as we do, else the one understood best, else one of cells enough."""
    for place, cells in enumerate(searched):
        if any(cell.split("[")[0].strip() in READINGS for cell in cells):
            return place
    understood = [recognised(cells) for cells in searched]
    if understood and max(understood) >= _FEWEST:
        return understood.index(max(understood))
    return next((place for place, cells in enumerate(searched) if len(cells) >= _FEWEST), None)


def _units_only(texts: list[str]) -> bool:
    """Tell whether the row under a header holds its units."""
    there = [text for text in texts if text]
    return len(there) > 1 and all(map(unit_like, there)) and any(text.strip("[](){} -") for text in there)


def _with_units(header: list[str], units: list[str]) -> list[str]:
    """Write the units of a row of their own behind the names of figures that have none."""
    return [
        f"{name} [{unit}]" if _wants_unit(name) and (known_unit(spelled(unit)) or counts(unit)) else name
        for name, unit in zip(header, [text.strip("[](){} ") for text in units], strict=False)
    ] + header[len(units) :]


def _wants_unit(name: str) -> bool:
    meaning, _, unit = meaning_of(name)
    return bool(name) and not unit and meaning.quantity != "text"


def _apart(header: Sequence[str]) -> tuple[str, ...]:
    """Put a number behind a header that stands there twice, so that no column hides another."""
    counts_of: dict[str, int] = {}
    apart = []
    for name in header:
        counts_of[name] = counts_of.get(name, 0) + 1
        apart.append(f"{name} #{counts_of[name]}" if counts_of[name] > 1 and name else name)
    return tuple(apart)


def _key_at(header: list[str]) -> int | None:
    """Find the column that names the runs, as we call it or as others do."""
    names = [name.casefold() for name in header]
    if "run" in names:
        return names.index("run")
    return next((place for place, name in enumerate(header) if meaning_of(name)[0].name == "run"), None)
