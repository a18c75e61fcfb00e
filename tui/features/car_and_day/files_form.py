"""A form for a file: each field is checked as it is typed, and what is wrong is said with its reason."""

from __future__ import annotations

from abc import ABC, abstractmethod
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, ClassVar

from textual.suggester import SuggestFromList
from textual.widgets import Static

from balance.files.day.half_typed import NewForm
from balance.files.toml.fields import asked_fields
from balance.model.errors import AxletrimError, FileFaults, InputError
from tui.host.actions import HELP, Action, bindings, closing
from tui.host.page import Page
from tui.host.questions import ask_to_drop
from tui.widgets.key_footer import KeyFooter
from tui.widgets.plain import plain
from tui.widgets.sheet import Sheet
from tui.widgets.typed_form import FormField, TypedForm

if TYPE_CHECKING:
    from collections.abc import Collection, Mapping, Sequence

    from textual.app import ComposeResult
    from textual.binding import BindingType
    from textual.timer import Timer

    from balance.files.toml.fields import Field
    from balance.model.errors import Fault


_KEEP = 0.4
"""Seconds of a pause in typing after which what is typed is put on the disk."""

NEW_FILE = (
    Action("save", "f10", "create", "write the files, if all is in order"),
    closing("back", "go back; nothing is written, and what was typed is asked about"),
    HELP,
)
EDIT_FILE = (
    Action("save", "f10", "save", "save what was changed, if all is in order"),
    closing("back", "go back; what was typed and not saved is asked about"),
    HELP,
)


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

    def meant(self, text: str) -> str:
        """Return the word that a text is the beginning of, where there is one such word; else the text.

        Examples
        --------
        >>> forces = Asked(key="facility.forces", label="forces are", choices=("as read", "restated"))
        >>> forces.meant("R"), forces.meant("x"), forces.meant("as read")
        ('restated', 'x', 'as read')
        """
        fitting = [one for one in self.choices if text and one.casefold().startswith(text.casefold())]
        return fitting[0] if len(fitting) == 1 else text

    def as_field(self) -> FormField:
        """Make the field that is drawn."""
        return FormField(
            key=self.key,
            label=self.label + (" *" if self.needed else ""),
            value=self.value,
            example=" or ".join(self.choices) if self.choices else self.example or "",
            heading=self.heading,
            suggester=SuggestFromList(self.choices, case_sensitive=False) if self.choices else None,
        )


class Subject(ABC):
    """What such a form is about: its words, its fields in their order, and what is made of them."""

    heading: str
    about: str
    asked: Sequence[Asked]

    def follow(self, key: str, typed: Mapping[str, str]) -> Mapping[str, str]:  # noqa: ARG002 - proposes nothing
        """Propose what other fields hold, after something was typed into one."""
        return {}

    @abstractmethod
    def check(self, key: str, text: str) -> None:
        """Refuse what a field cannot be, with the reason."""

    def not_asked(self, typed: Mapping[str, str]) -> Collection[str]:  # noqa: ARG002 - every field is asked for
        """Name the fields that need not be asked, as others say the same."""
        return ()

    @abstractmethod
    def outcome(self, typed: Mapping[str, str]) -> Sequence[str]:
        """State what would be written."""

    @abstractmethod
    def write(self, typed: Mapping[str, str]) -> str:
        """Write the files and give what the form gives; done in a thread, so it touches no screen."""

    def written(self, typed: Mapping[str, str]) -> None:  # noqa: B027 - what the form gives is opened
        """Show what came of it."""

    @property
    @abstractmethod
    def typed_before(self) -> Mapping[str, str]:
        """What was typed before, and neither written nor dropped."""

    @abstractmethod
    def keep(self, typed: Mapping[str, str]) -> str:
        """Keep what is typed and not written; give why it is on no disk, nothing where it is."""


def asked_of(
    schema: tuple[Field, ...],
    labels: Mapping[str, str],
    headings: Mapping[str, str],
    stated: Mapping[str, str],
    needed: Collection[str],
) -> list[Asked]:
    """Make the fields of a form for those of a file that have a label."""
    known = {one.key: one for one in asked_fields(schema)}
    return [
        Asked(
            key=key,
            label=label,
            example=known[key].example,
            choices=known[key].choices,
            needed=key in needed,
            value=stated.get(key, ""),
            heading=headings.get(key, ""),
        )
        for key, label in labels.items()
    ]


class NewSubject(Subject):
    """A file that is to be new: what is typed of it is kept until it is written."""

    def __init__(self, name: str) -> None:
        self._memory = NewForm(name)

    @property
    def typed_before(self) -> Mapping[str, str]:
        """What was typed before, and neither written nor dropped."""
        return self._memory.typed

    def keep(self, typed: Mapping[str, str]) -> str:
        """Keep what is typed and not written."""
        return self._memory.keep(typed)


class MeanwhileChanged(InputError):  # noqa: N818 - it is a finding to decide on, as OutsideChange is
    """A file was changed while its form was open: ``values`` are what its fields say by now."""

    def __init__(self, words: Sequence[str], values: Mapping[str, str]) -> None:
        self.words, self.values = tuple(words), values
        super().__init__("; ".join(words))


class FilesForm(Page[str | None]):
    """Fields above, what is wrong below; gives what was written, or nothing where left."""

    doing = ""

    def __init__(self, subject: Subject) -> None:
        super().__init__()
        self._subject = subject
        self._asked = {one.key: one for one in subject.asked}
        self._stated = {one.key: plain(one.value) for one in subject.asked}
        self._back = {key: text for key, text in subject.typed_before.items() if key in self._asked}
        self._by_hand = set(self._back)
        self._due: Timer | None = None
        self.unkept = ""
        """Why what is typed is on no disk; empty where it is."""
        self._wrong: dict[str, str] = {}
        """What is wrong with a field, in the order in which it was found."""
        self._brought_back: tuple[str, ...] = ()
        """Labels of fields that hold what was typed before, until something else is typed."""

    def compose(self) -> ComposeResult:
        """Lay out heading, fields and reasons."""
        yield Static(plain(self._subject.heading), id="car", markup=False)
        yield Static("", id="order", markup=False)
        yield TypedForm(
            [
                replace(one.as_field(), value=self._back.get(key, one.value))
                for key, one in self._asked.items()
            ]
        )
        yield Sheet(id="reasons")
        yield KeyFooter()

    def on_mount(self) -> None:
        """Begin with the first field that is empty and needed, else with the first one."""
        self.query_one(Sheet).can_focus = False
        form = self.query_one(TypedForm)
        empty = (key for key, text in form.values.items() if self._asked[key].needed and not text)
        form.go_to(next(empty, next(iter(self._asked))))
        for key, text in self._back.items():
            self._check(key, text.strip())
            self._follow(key)
        form.hide(self._subject.not_asked(self.typed))
        self._brought_back = self.changed
        self._say()

    def on_resize(self) -> None:
        """Fold the words anew."""
        text = (
            f"{plain(self._subject.about)} · * needed · Enter: next field · →: completes · F10: {self.doing}"
        )
        self.write_lines("#order", self.folded(text))

    @property
    def typed(self) -> dict[str, str]:
        """What stands in the fields that are not empty; the beginning of a word that a field may be is that word."""
        values = self.query_one(TypedForm).values
        return {key: self._asked[key].meant(text) for key, text in values.items() if text}

    @property
    def _changes(self) -> dict[str, str]:
        """What was typed by hand and is something else than at first, by key."""
        values = self.query_one(TypedForm).values
        return {
            key: values[key]
            for key in self._asked
            if key in self._by_hand and values[key] != self._stated[key].strip()
        }

    @property
    def changed(self) -> tuple[str, ...]:
        """Labels of the fields that hold something else than at first, by hand."""
        return tuple(self._asked[key].label for key in self._changes)

    def keep(self) -> None:
        """Keep what is typed and not written, by the writer; `unkept` says afterwards whether it is on a disk."""
        self._keep(self._changes)

    def _keep(self, typed: Mapping[str, str]) -> None:
        def put() -> None:
            self.unkept = self._subject.keep(typed)

        self.app.open_day.saving.writer(put)

    def on_typed_form_typed(self, message: TypedForm.Typed) -> None:
        """Check what is typed at once."""
        self._by_hand.add(message.key)
        self._brought_back = ()
        self._follow(message.key)
        message.form.hide(self._subject.not_asked(self.typed))
        self._check(message.key, message.text.strip())
        self._say()
        if self._due is not None:
            self._due.stop()
        self._due = self.set_timer(_KEEP, self.keep)

    def _follow(self, typed_in: str) -> None:
        """Propose what was not typed by hand."""
        for key, text in self._subject.follow(typed_in, self.typed).items():
            if key not in self._by_hand:
                self.query_one(TypedForm).set_values({key: text})

    def on_descendant_focus(self) -> None:
        """Show first what is wrong with the field that was gone to."""
        if self._wrong:
            self._say()

    async def on_typed_form_left(self, message: TypedForm.Left) -> None:
        """Go on to the next field; behind the last one, write."""
        message.form.write(message.key, self.typed.get(message.key, ""))
        if not self.query_one(TypedForm).go_on(message.key):
            await self.action_save()

    def _check(self, key: str, text: str) -> None:
        """Check one field, and mark it."""
        form = self.query_one(TypedForm)
        self._wrong.pop(key, None)
        if not text or text == self._stated[key]:
            form.set_beside(key, "")
            return
        meant = self._asked[key].meant(text)
        try:
            self._subject.check(key, meant)
        except AxletrimError as fault:
            form.set_beside(key, "×", "danger")
            self._wrong[key] = f"{self._asked[key].label}: {fault}"
        else:
            form.set_beside(key, "✔" if meant == text else f"✔ {meant}", "good")

    def _say(self) -> None:
        """Show what is wrong, of the field at hand first; where nothing is, what is needed and what will be written."""
        here = self.query_one(TypedForm).here
        lines = []
        if self._brought_back:
            lines.append(
                (f"brought back, typed before and not written: {', '.join(self._brought_back)}", "warn")
            )
        lines += [
            (f"× {self._wrong[key]}", "danger") for key in sorted(self._wrong, key=lambda key: key != here)
        ]
        if not self._wrong:
            typed = self.typed
            open_ones = [one.label for one in self._asked.values() if one.needed and one.key not in typed]
            lines += [(f"still needed: {', '.join(open_ones)}", "muted")] if open_ones else []
            lines += [(text, "muted") for text in self._subject.outcome(typed)]
        self.query_one(Sheet).show(lines)

    async def action_save(self) -> None:
        """Write the files, or say everything that stands in the way."""
        form, typed = self.query_one(TypedForm), self.typed
        self._wrong.clear()
        for key, one in self._asked.items():
            if key in typed:
                self._check(key, typed[key])
            elif one.needed:
                form.set_beside(key, "× needed", "danger")
                example = f", as {one.example}" if one.example else ""
                self._wrong[key] = f"{one.label}: found nothing, expected it{example}"
        wrong = list(self._wrong.values())
        if not wrong:
            try:
                written = await self.app.open_day.saving.write(lambda: self._subject.write(typed))
            except MeanwhileChanged as other:
                self._renew(other.values)
                wrong = list(other.words)
            except FileFaults as faults:
                wrong = [self._fault_words(fault) for fault in faults.faults]
            except InputError as fault:
                wrong = [str(fault)]
            else:
                self._subject.written(typed)
                self._leave(written)
                return
        self.query_one(Sheet).show([(f"× {text}", "danger") for text in wrong])
        if self._wrong:
            form.go_to(next(iter(self._wrong)))

    def _renew(self, values: Mapping[str, str]) -> None:
        """Bring to the fields what the file says by now, but for those that hold something typed."""
        form = self.query_one(TypedForm)
        for key, text in form.values.items():
            fresh = plain(values.get(key, ""))
            if text == self._stated[key].strip():
                form.write(key, fresh)
                form.set_beside(key, "")
            self._stated[key] = fresh

    def _fault_words(self, fault: Fault) -> str:
        """Call a fault by the label of its field."""
        mine = (fault.file, fault.column) if not fault.file.endswith(".csv") else ()
        key = next((key for key in mine if key in self._asked), None)
        if key is None:
            return str(fault)
        self.query_one(TypedForm).set_beside(key, "×", "danger")
        mend = f"; {fault.mend}" if fault.mend else ""
        return f"{self._asked[key].label}: found {fault.found}, expected {fault.expected}{mend}"

    def action_close(self) -> None:
        """Go back; what was typed is dropped only after a question."""
        changed = self.changed
        if not changed:
            self._leave(None)
            return
        ask_to_drop(self.app, ", ".join(changed), lambda: self._leave(None))

    def _leave(self, written: str | None) -> None:
        """Go back, with nothing left to be kept."""
        if self._due is not None:
            self._due.stop()
        self._keep({})
        self.dismiss(written)


class NewFile(FilesForm):
    """Asks for what is to stand in new files."""

    ACTIONS: ClassVar = NEW_FILE
    BINDINGS: ClassVar[list[BindingType]] = bindings(ACTIONS)
    doing = "create"


class EditFile(FilesForm):
    """Shows what a file says, and lets it be corrected."""

    ACTIONS: ClassVar = EDIT_FILE
    BINDINGS: ClassVar[list[BindingType]] = bindings(ACTIONS)
    doing = "save"
