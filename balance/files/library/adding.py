"""A day is added to a library step by step: as long as a question is open nothing is written, then all of it is."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from balance.files.library.confirming import join_library
from balance.files.library.joining import ChangedMeanwhile, add_day, as_known
from balance.files.library.library import Library
from balance.files.library.parts_file import adds, read_parts_file

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

    from balance.files.library.confirming import Joining
    from balance.files.library.joining import State
    from balance.files.library.library import Study
    from balance.model.libraries import KeptDay


class Step(NamedTuple):
    """What became of a day: the day as the library knows it, what was settled, and its state once nothing is open."""

    day: KeptDay
    joining: Joining
    state: State


def add_step(folder: Path, read: KeptDay, answers: Mapping[str, str], study: Study) -> Step:
    """Add a day to the library in a folder where the answers leave no question open; else state what is open.

    What another program confirmed meanwhile may be asked about by now: the day is looked at again.
    """
    for last in (False, False, True):
        with Library(folder, study) as library:
            day, state = as_known(library, read)
            file = read_parts_file(folder)
            joining = join_library(library, file, day, answers)
            if not joining.questions and (state != "there" or adds(file, [joining.confirmed])):
                try:
                    add_day(library, day, joining.confirmed, file)
                except ChangedMeanwhile:
                    if last:
                        raise
                    continue
        return Step(day, joining, state)
    raise AssertionError  # pragma: no cover - the last round returns or raises
