"""What is half typed: of a run, of the customer's page, into the form of a file. Kept in a journal at each pause."""

from __future__ import annotations

import contextlib
from typing import TYPE_CHECKING

from balance.files.day.journal import Journal, replay

if TYPE_CHECKING:
    from collections.abc import Mapping

    from balance.files.day.journal import Replayed


class HalfTyped:
    """Keeps what is typed and not saved.

    ``run`` is a run half typed, its cells by the names of their columns; ``brief`` what was typed of the customer's page and
    is not in its file, by key; ``forms`` the same of the form of a file, by file and then by key.
    """

    def __init__(self, journal: Journal, told: Replayed) -> None:
        self._journal = journal
        self.run, self.brief, self.forms = told.draft, told.brief, told.forms

    def keep_run(self, cells: Mapping[str, str] | None) -> None:
        """Keep what stands in the form of a run by now; nothing where it was given up."""
        self.run = None if cells is None else dict(cells)
        self._journal.add("draft", cells=self.run)

    def end_run(self) -> None:
        """Know that the run was saved: the step that the journal has of it says so there."""
        self.run = None

    def keep_brief(self, typed: Mapping[str, str]) -> None:
        """Keep what is typed of the customer's page and cannot be saved."""
        if typed != self.brief:
            self.brief = dict(typed)
            self._journal.add("brief", typed=self.brief)

    def keep_form(self, file: str, typed: Mapping[str, str]) -> str:
        """Keep what stands in a form and is not saved."""
        if typed != self.forms.get(file, {}):
            self.forms.pop(file, None)
            if typed:
                self.forms[file] = dict(typed)
            self._journal.add("form", file=file, typed=dict(typed))
        return self._journal.problem if typed else ""

    def keep_again(self) -> None:
        """Write what is of no run into a journal that was begun anew."""
        if self.brief:
            self._journal.add("brief", typed=self.brief)
        for file, typed in self.forms.items():
            self._journal.add("form", file=file, typed=typed)


class NewForm:
    """What is typed of files that are not there yet: kept in the user's own data until they are written."""

    def __init__(self, name: str) -> None:
        from platformdirs import user_data_path  # noqa: PLC0415 - not needed before a form is opened

        self._name, self._path = name, user_data_path("axletrim") / "forms" / f"{name}.journal"
        with contextlib.suppress(OSError):  # the journal says it
            self._path.parent.mkdir(parents=True, exist_ok=True)
        journal = Journal((self._path,))
        self._half_typed = HalfTyped(journal, replay(journal.lines))

    @property
    def typed(self) -> Mapping[str, str]:
        """What was typed and not written, by key."""
        return self._half_typed.forms.get(self._name, {})

    def keep(self, typed: Mapping[str, str]) -> str:
        """Keep what is typed by now, as `HalfTyped.keep_form` does; nothing where it is done with."""
        problem = self._half_typed.keep_form(self._name, typed)
        if not typed:
            with contextlib.suppress(OSError):
                self._path.unlink(missing_ok=True)
        return problem
