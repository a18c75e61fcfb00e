"""The page on which the columns of a file are said by hand: what seems likely is offered, and nothing is taken unasked."""

from __future__ import annotations

from abc import ABC, abstractmethod
from typing import TYPE_CHECKING

from tui.host.questions import Choice, Pick, keyed

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from tui.host.host import Host

NONE, ALL = "\tnone", "\tall"
"""Answers that no header and no name of a column can be, for they hold a tab."""


class FileColumns(ABC):
    """The columns of a file, and what may be said of them; an import and a watched file each have theirs."""

    @property
    @abstractmethod
    def title(self) -> str:
        """Return what stands above the list."""

    @property
    @abstractmethod
    def lines(self) -> tuple[str, ...]:
        """Return what is to be known."""

    @abstractmethod
    def wanted(self) -> Sequence[tuple[str, str, str]]:
        """Return name, words and state of each column that can be said."""

    @abstractmethod
    def suggested(self) -> Sequence[tuple[str, str]]:
        """Return name and likely header of each column of which nothing is said yet."""

    def more(self) -> Sequence[Choice]:
        """Return what else can be said of the file."""
        return ()

    @abstractmethod
    def question(self, name: str) -> str:
        """Return the question which header a column has."""

    @abstractmethod
    def headers(self, name: str) -> Sequence[tuple[str, str]]:
        """Return the headers that can be picked, the likely ones first, each with what is known of it."""

    @abstractmethod
    def chosen(self, name: str) -> str:
        """Return the header that was said; empty where none was."""

    @abstractmethod
    def settle(self, name: str, header: str, then: Callable[[], None] | None = None) -> None:
        """Take a header for a column, ask what it leaves open, and go on."""

    @abstractmethod
    def leave_out(self, name: str) -> None:
        """Take it that no column of the file is this one, and go on."""

    def say(self, value: str) -> None:  # noqa: B027 - where there is nothing else to say
        """Ask for what else can be said."""

    def left(self) -> None:  # noqa: B027 - where nothing waits for it
        """Know that the page was left."""


class MappingPage:
    """Lists the columns that can be said, and asks about the one that is picked."""

    def __init__(self, app: Host, columns: FileColumns) -> None:
        self._app, self._columns = app, columns

    def show(self, cursor: str = "") -> None:
        """List the columns, the cursor on one."""
        columns = self._columns
        suggested, wanted = columns.suggested(), columns.wanted()
        every = Choice("=", "take all suggestions", more=f"{len(suggested)} of them", value=ALL)
        names = {name for name, _, _ in wanted}

        def take(value: str | None) -> None:
            if value is None:
                columns.left()
            elif value == ALL:
                self._take_all(list(suggested))
            elif value in names:
                self.ask(value)
            else:
                columns.say(value)

        choices = (*keyed(wanted), *([every] if suggested else []), *columns.more())
        self._app.push_screen(Pick(columns.title, choices, lines=columns.lines, start=cursor), take)

    def ask(self, name: str) -> None:
        """Ask which column of the file it is."""
        columns = self._columns
        listed = keyed([(header, header, known) for header, known in columns.headers(name)], taken="n")
        none = Choice("n", "none of them", value=NONE)

        def take(header: str | None) -> None:
            if header is None:
                self.show(name)
            elif header == NONE:
                columns.leave_out(name)
            else:
                columns.settle(name, header)

        self._app.push_screen(Pick(columns.question(name), (*listed, none), start=columns.chosen(name)), take)

    def _take_all(self, suggested: Sequence[tuple[str, str]]) -> None:
        """Take what was suggested, and ask what is open about one after another."""
        used: set[str] = set()
        rest = []
        for name, header in suggested:  # no column of the file is two of ours
            if header not in used:
                used.add(header)
                rest.append((name, header))

        def go_on() -> None:
            if rest:
                self._columns.settle(*rest.pop(0), go_on)
            else:
                self.show()

        go_on()
