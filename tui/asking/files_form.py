"""A form for a new file: each field is checked as it is typed, and what is wrong is said with its reason."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from textual.screen import Screen
from textual.suggester import SuggestFromList
from textual.widgets import Footer, Static

from balance.errors import AxletrimError, FileFaults, InputError
from tui.widgets.plain import pack
from tui.widgets.sheet import Sheet
from tui.widgets.typed_form import FormField, TypedForm

if TYPE_CHECKING:
    from collections.abc import Sequence

    from textual.app import ComposeResult

    from balance.errors import Fault
    from tui.app import AxletrimApp


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """One field of such a form: key, label, an example, the words it may be, and whether it is needed."""

    key: str
    label: str
    example: str = ""
    choices: tuple[str, ...] = ()
    needed: bool = False
    value: str = ""
    heading: str = ""

    def as_field(self) -> FormField:
        """Give it the form that is drawn."""
        return FormField(
            key=self.key,
            label=self.label + (" *" if self.needed else ""),
            value=self.value,
            example=" | ".join(self.choices)
            if self.choices
            else f"as {self.example}"
            if self.example
            else "",
            heading=self.heading,
            suggester=SuggestFromList(self.choices, case_sensitive=False) if self.choices else None,
        )


class FilesForm(Screen[str | None]):
    """Fields above, what is wrong below; gives the folder written, or nothing where left."""

    app: AxletrimApp
    heading = ""
    about = ""

    def __init__(self, asked: Sequence[Asked]) -> None:
        super().__init__()
        self._asked = {one.key: one for one in asked}
        self._by_hand: set[str] = set()

    def compose(self) -> ComposeResult:
        """Lay out heading, fields and reasons."""
        yield Static(self.heading, id="car", markup=False)
        yield Static("", id="order", markup=False)
        yield TypedForm([one.as_field() for one in self._asked.values()])
        yield Sheet(id="reasons")
        yield Footer(show_command_palette=False)

    def on_mount(self) -> None:
        """Begin with the first field."""
        self.query_one(Sheet).can_focus = False
        form = self.query_one(TypedForm)
        form.go_to(next(key for key, one in self._asked.items() if not one.value))
        self._say([])

    def on_resize(self) -> None:
        """Fold the words anew."""
        self.query_one(Footer).compact = self.size.width < 110
        text = f"{self.about} · * needed · Enter: next field · F10: create"
        self.query_one("#order", Static).update("\n".join(pack(text, max(self.size.width - 2, 20))))

    @property
    def typed(self) -> dict[str, str]:
        """What stands in the fields that are not empty."""
        return {key: text for key, text in self.query_one(TypedForm).values.items() if text}

    def on_typed_form_typed(self, message: TypedForm.Typed) -> None:
        """Check what is typed at once."""
        self._by_hand.add(message.key)
        self.follow(message.key, message.text)
        self._say(self._wrong_in(message.key, message.text.strip()))

    def on_typed_form_left(self, message: TypedForm.Left) -> None:
        """Go on to the next field; behind the last one, create."""
        if not self.query_one(TypedForm).go_on(message.key):
            self.action_save()

    def _wrong_in(self, key: str, text: str) -> list[str]:
        """Check one field, and mark it."""
        form, label = self.query_one(TypedForm), self._asked[key].label
        if not text:
            form.set_beside(key, "")
            return []
        try:
            self.check(key, text)
        except AxletrimError as fault:
            form.set_beside(key, "✖", "danger")
            return [f"{label}: {fault}"]
        form.set_beside(key, "✔", "good")
        return []

    def _say(self, wrong: Sequence[str]) -> None:
        """Say what is wrong; where nothing is, say what is still needed and what will be written."""
        if wrong:
            lines = [(f"✖ {text}", "danger") for text in wrong]
        else:
            typed = self.typed
            open_ones = [one.label for one in self._asked.values() if one.needed and one.key not in typed]
            lines = [(f"still needed: {', '.join(open_ones)}", "muted")] if open_ones else []
            lines.append((self.outcome(typed), "muted"))
        self.query_one(Sheet).show(lines)

    def action_save(self) -> None:
        """Write the files, or say everything that stands in the way."""
        form, typed = self.query_one(TypedForm), self.typed
        wrong = [said for key, text in typed.items() for said in self._wrong_in(key, text)]
        missing = [one for one in self._asked.values() if one.needed and one.key not in typed]
        for one in missing:
            form.set_beside(one.key, "✖ needed", "danger")
            wrong.append(
                f"{one.label}: found nothing, expected it" + (f", as {one.example}" if one.example else "")
            )
        if not wrong:
            try:
                self.dismiss(self.create(typed))
            except FileFaults as faults:
                wrong = [self._fault_words(fault) for fault in faults.faults]
            except InputError as fault:
                wrong = [str(fault)]
            else:
                return
        self.query_one(Sheet).show([(f"✖ {text}", "danger") for text in wrong])
        first = next((one.key for one in missing), None)
        if first is not None:
            form.go_to(first)

    def _fault_words(self, fault: Fault) -> str:
        """Call a fault by the label of its field."""
        key = next((key for key in (fault.file, fault.column) if key in self._asked), None)
        if key is None:
            return str(fault)
        self.query_one(TypedForm).set_beside(key, "✖", "danger")
        mend = f"; {fault.mend}" if fault.mend else ""
        return f"{self._asked[key].label}: found {fault.found}, expected {fault.expected}{mend}"

    def propose(self, key: str, text: str) -> None:
        """Fill a field, unless something was typed into it."""
        if key not in self._by_hand:
            self.query_one(TypedForm).set_values({key: text})

    def follow(self, key: str, text: str) -> None:
        """Let other fields follow what was typed into one."""

    def check(self, key: str, text: str) -> None:
        """Refuse what a field cannot be, with the reason."""
        raise NotImplementedError

    def outcome(self, typed: dict[str, str]) -> str:
        """Say what would be written."""
        raise NotImplementedError

    def create(self, typed: dict[str, str]) -> str:
        """Write the files and give the folder."""
        raise NotImplementedError

    def action_close(self) -> None:
        """Go back; nothing is written."""
        self.dismiss(None)


def folder_name(text: str) -> str:
    """Make a folder's name of a title.

    Parameters
    ----------
    text : str
        Any text.

    Returns
    -------
    str
        Letters and digits in lower case, a line between words; may be empty.

    Examples
    --------
    >>> folder_name("Spring tunnel day (invented)")
    'spring_tunnel_day_invented'
    """
    kept = "".join(character if character.isalnum() else " " for character in text.casefold())
    return "_".join(kept.split())[:60]
