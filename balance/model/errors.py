"""Errors, each of which says what is wrong, where, and how to mend it.

::

    AxletrimError
    ├── InputError        what the user gave cannot be used; exit code 2
    │   ├── FileFaults    one or more faults of one or more files, all reported together
    │   ├── SaveError     what was typed is not on the disk; it is kept
    │   │   └── OutsideChange  somebody else changed the file meanwhile; holds both versions
    │   ├── AlreadyOpen   another copy of the tool holds the session
    │   ├── UnitError     a quantity that cannot be read: no unit, unknown unit, wrong dimension
    │   └── UnknownName   a run, term, setting or quantity that is not there, with near names
    └── DomainError       a number outside what a formula holds for
"""

from __future__ import annotations

from dataclasses import dataclass
from difflib import get_close_matches
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable


class AxletrimError(Exception):
    """Anything this product raises on purpose."""


class InputError(AxletrimError):
    """What the user gave cannot be used."""


class DomainError(AxletrimError, ValueError):
    """A number lies outside what a formula holds for."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """One thing wrong in one place of a file."""

    file: str
    line: int | None = None
    column: str | None = None
    found: str
    expected: str
    mend: str = ""

    def __str__(self) -> str:
        place = self.file if self.line is None else f"{self.file}:{self.line}"
        column = f" {self.column}:" if self.column else ""
        mend = f"; {self.mend}" if self.mend else ""
        return one_line(f"{place}:{column} found {self.found}, expected {self.expected}{mend}")


class FileFaults(InputError):  # noqa: N818 - plural: it carries every fault of the files read
    """All faults of the files read, in the order of their lines."""

    def __init__(self, faults: Iterable[Fault]) -> None:
        self.faults = tuple(faults)
        super().__init__("\n".join(map(str, self.faults)))

    @classmethod
    def of(
        cls,
        file: str,
        found: str,
        expected: str,
        mend: str = "",
        *,
        line: int | None = None,
        column: str | None = None,
    ) -> FileFaults:
        """Make the error of one fault."""
        return cls([Fault(file=file, line=line, column=column, found=found, expected=expected, mend=mend)])


class SaveError(InputError):
    """What was typed could not be put on the disk; it is kept in memory and, where possible, in the journal."""


class OutsideChange(SaveError):  # noqa: N818 - it is a finding to decide on, holding what there is to decide
    """A file was changed by somebody else meanwhile: ``mine`` is our text, ``theirs`` what stands on the disk."""

    def __init__(self, file: str, *, mine: str, theirs: str) -> None:
        self.file, self.mine, self.theirs = file, mine, theirs
        super().__init__(
            one_line(
                f"{file}: found a change made outside axletrim, expected the file as it was last read; "
                "reload it, or keep both: nothing was overwritten"
            )
        )


class AlreadyOpen(InputError):  # noqa: N818 - reads as the sentence it prints
    """Another copy of the tool holds the session: ``pid`` on ``host`` since ``since``."""

    def __init__(self, folder: str, *, pid: int, host: str, since: str) -> None:
        self.pid, self.host, self.since = pid, host, since
        super().__init__(
            one_line(
                f"{folder}: found it open in another axletrim (process {pid} on {host or 'an unknown computer'}, "
                f"since {since or 'an unknown time'}), expected to be the only one; close the other one first"
            )
        )


class UnitError(InputError):
    """A quantity cannot be read; carries what was found, expected and how to mend it."""

    def __init__(self, found: str, expected: str, mend: str = "") -> None:
        self.found, self.expected, self.mend = found, expected, mend
        super().__init__(one_line(f"found {found}, expected {expected}" + (f"; {mend}" if mend else "")))


class UnknownName(InputError):  # noqa: N818 - reads as the sentence it prints
    """A name is not among those known; says which are near it."""

    def __init__(self, kind: str, name: str, known: Iterable[str]) -> None:
        self.kind, self.name, self.known = kind, name, tuple(known)
        near = did_you_mean(name, self.known)
        hint = f"; {near}" if near else ""
        listed = ", ".join(self.known[:12]) + (" …" if len(self.known) > 12 else "")
        super().__init__(one_line(f"{kind}: found {quoted(name)}, expected one of: {listed}{hint}"))


_LEAST_OF_A_NAME, _MOST_NEAR = 4, 3
"""Letters of a name that stands within others, for it to mean one of them; how many of these are named."""


def did_you_mean(name: str, known: Iterable[str]) -> str:
    """Suggest the nearest known name, or say nothing.

    Examples
    --------
    >>> did_you_mean("front_lft", ["front_lift", "drag"])
    "did you mean 'front_lift'?"
    >>> did_you_mean("gurney", ["splitter 50 mm", "Gurney 10 mm on the wing", "Gurney 20 mm on the wing"])
    "did you mean 'Gurney 10 mm on the wing' or 'Gurney 20 mm on the wing'?"
    """
    folded = {k.casefold(): k for k in known}
    near = get_close_matches(name.casefold(), folded, n=1, cutoff=0.6)
    if not near and len(name) >= _LEAST_OF_A_NAME:
        near = [key for key in folded if name.casefold() in key][:_MOST_NEAR]
    return f"did you mean {' or '.join(quoted(folded[key]) for key in near)}?" if near else ""


def one_line(text: str) -> str:
    r"""Write control and invisible characters as escapes, so that a message is one line and safe to print.

    Examples
    --------
    >>> one_line("a\x1b[2Jb")
    'a\\x1b[2Jb'
    """
    if text.isprintable():
        return text
    return "".join(c if c.isprintable() else c.encode("unicode_escape").decode() for c in text)


def quoted(text: str) -> str:
    """Put what was found between quotation marks, printable and not too long for a message.

    Examples
    --------
    >>> quoted("12,5")
    "'12,5'"
    """
    short = text if len(text) <= 60 else f"{text[:59]}…"
    return f"'{one_line(short)}'"
