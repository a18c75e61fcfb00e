"""What the screens know of the day that is being worked on, as one frozen value."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from balance.files.tables.watch.file_watch import WaitingRows


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkView:
    """Whether runs can be entered, what is not saved, what can be undone, and what waits.

    ``open`` says that runs can be entered, ``looking`` that the day is followed and nothing is written; ``reading`` why they cannot, where there is a reason. ``trouble`` is
    why the last save failed, ``slow`` whether the disk keeps what is being saved waiting. ``undo`` and ``redo`` are what would be undone or done again. ``half_typed`` says
    that a run was begun and left, ``unkept`` why no disk keeps it. ``watched`` names a file that is watched,
    ``waiting`` counts its rows that wait and corrections to decide on, ``half_row`` says that its last row is not
    complete, ``watch_trouble`` why it cannot be taken over. ``waiting_rows`` holds what waits, ``aside`` counts the rows
    set aside as no runs, ``chosen`` says which of its columns were chosen by hand, and what its decimal mark is.
    """

    open: bool = False
    looking: bool = False
    reading: str = ""
    trouble: str = ""
    slow: bool = False
    undo: str = ""
    redo: str = ""
    half_typed: bool = False
    unkept: str = ""
    watched: str = ""
    waiting: int = 0
    half_row: bool = False
    watch_trouble: str = ""
    waiting_rows: WaitingRows | None = None
    aside: int = 0
    chosen: tuple[str, ...] = ()

    @property
    def troubles(self) -> tuple[str, ...]:
        """Why what is done or typed may not be kept."""
        said = []
        if self.trouble:
            clauses = self.trouble.replace("; ", " · ")  # each may fill lines of its own
            said.append(f"× NOT SAVED in runs.csv: {clauses} · mend that, then f5 saves again")
        elif self.unkept:
            said.append(f"× what is half typed is kept in memory only: {self.unkept} · f5 saves again")
        if self.slow:
            said.append("… NOT SAVED YET: the disk takes its time; go on, and do not switch off")
        if self.looking:
            said.append("LOOKING ONLY: this screen follows the day and writes nothing")
        elif self.reading:
            said.append(f"FOR READING ONLY: {self.reading} · r tries again, once the other one is closed")
        return tuple(said)

    @property
    def sayings(self) -> tuple[str, ...]:
        """What has to be said above the runs, the most urgent first."""
        said = list(self.troubles)
        if self.half_typed:
            said.append("a run is half typed: a goes on with it")
        if self.waiting:
            wait = "row waits" if self.waiting == 1 else "rows wait"
            said.append(f"▶ {self.waiting} {wait} in {self.watched}: l looks at them")
        if self.watch_trouble:
            said.append(self.watch_trouble)
        return tuple(said)
