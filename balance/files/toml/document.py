"""A parsed TOML file that knows its lines and gathers its faults."""

from __future__ import annotations

import re
import tomllib
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from balance.files.text_file import read_text
from balance.files.toml.lines import key_lines
from balance.model.errors import Fault, FileFaults, quoted

if TYPE_CHECKING:
    from pathlib import Path

    from balance.model.records import Stated

_LIMIT = 1_000_000
_EXAMPLE = 'total = "1290 kg"'
_AT_LINE = re.compile(r" \(at line (\d+), column (\d+)\)$")


@dataclass(slots=True, kw_only=True)
class Document:
    """A parsed TOML file, the faults found in it so far, and what it says of the uncertainty of its quantities."""

    file: str
    text: str
    tree: dict[str, Any]
    faults: list[Fault] = field(default_factory=list)
    stated: dict[tuple[str | int, ...], Stated] = field(default_factory=dict)
    _lines: dict[tuple[str | int, ...], int] | None = None

    def line(self, path: tuple[str | int, ...]) -> int | None:
        """Find the line of a key, or of the nearest table around it."""
        if self._lines is None:
            self._lines = key_lines(self.text)
        for end in range(len(path), 0, -1):
            if path[:end] in self._lines:
                return self._lines[path[:end]]
        return None

    @property
    def uncertainties(self) -> dict[str, Stated]:
        """The quantities of whose uncertainty something is said, by their dotted keys."""
        return {".".join(map(str, path)): stated for path, stated in self.stated.items()}

    @property
    def in_order(self) -> list[Fault]:
        """The faults in the order of their lines."""
        return sorted(self.faults, key=lambda fault: fault.line or 0)

    def fault(self, path: tuple[str | int, ...], found: str, expected: str, mend: str = "") -> None:
        """Add a fault at a key."""
        column = ".".join(quoted(part).strip("'") for part in path if isinstance(part, str))
        self.faults.append(
            Fault(
                file=self.file,
                line=self.line(path),
                column=column or None,
                found=found,
                expected=expected,
                mend=mend,
            )
        )


def read_toml(path: Path, *, shown_as: str, what: str, example: str = _EXAMPLE) -> Document:
    """Parse a TOML file."""
    return parsed_toml(
        read_text(path, shown_as=shown_as, limit=_LIMIT, what=what),
        shown_as=shown_as,
        what=what,
        example=example,
    )


def parsed_toml(text: str, *, shown_as: str, what: str, example: str = _EXAMPLE) -> Document:
    """Parse the text of a TOML file; ``example`` is a line as it may stand there."""
    try:
        return Document(file=shown_as, text=text, tree=tomllib.loads(text))
    except RecursionError:
        fault = Fault(file=shown_as, found="values nested without end", expected=what)
    except ValueError as error:  # the parser's own error is one too
        place = _AT_LINE.search(str(error))
        fault = Fault(
            file=shown_as,
            line=int(place[1]) if place else text.count("\n") + 1,
            column=f"column {place[2]}" if place else None,
            found=f"text that is not TOML ({_AT_LINE.sub('', str(error))})",
            expected='lines of the form key = "value"',
            mend=f"text and quantities stand in quotes: {example}",
        )
    raise FileFaults([fault])
