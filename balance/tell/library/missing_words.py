"""Why there is no library to look at, and what to do."""

from __future__ import annotations

import shlex
from typing import TYPE_CHECKING

from balance.model.errors import one_line

if TYPE_CHECKING:
    from pathlib import Path


_PURPOSE = (
    "It keeps what your days measured of their parts side by side, car by car, so that the next customer hears what a "
    "part did on other cars before, and how far the next car may differ. The days stay where they are."
)


def no_library_words(folder: Path, invented: Path | None = None) -> tuple[str, ...]:
    """State that there is no library yet, what it is for, how one is begun, and where that of the invented cars stands."""
    to_look_at = (
        (
            f"To look at that of the invented cars: AXLETRIM_LIBRARY={shlex.quote(str(invented))} axletrim demo",
        )
        if invented
        else ()
    )
    return (
        "No library yet.",
        _PURPOSE,
        f"a adds this day and begins a library in {one_line(str(folder))}.",
        "axletrim library add DAY… adds others. AXLETRIM_LIBRARY names another folder.",
        *map(one_line, to_look_at),
    )


def broken_words(folder: Path, fault: Exception) -> tuple[str, ...]:
    """State what is wrong with the files of a library."""
    return (
        f"The library in {one_line(str(folder))} cannot be read.",
        "\n".join(f"× {line}" for line in str(fault).splitlines()),
        "Its days are untouched. It is read again as soon as its files change.",
    )
