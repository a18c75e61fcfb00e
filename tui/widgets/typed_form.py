"""A form: a label, a field, and what stands beside it, a line each; the arrows lead up and down."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from textual.binding import Binding
from textual.containers import Horizontal, VerticalScroll
from textual.message import Message
from textual.widgets import Input, Static

from tui.widgets.plain import cells, cut, plain

if TYPE_CHECKING:
    from collections.abc import Collection, Mapping, Sequence

    from textual.app import ComposeResult
    from textual.binding import BindingType
    from textual.suggester import Suggester


BETWEEN = " · "
"""Between the clauses of a hint, what counts most first."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FormField:
    """One field: its key, its label, what stands in it and beside it; a heading stands before it where given."""

    key: str
    label: str
    value: str = ""
    beside: str = ""
    example: str = ""
    blank: str = ""
    """What a field left blank stands for."""
    heading: str = ""
    suggester: Suggester | None = None

    @property
    def hint(self) -> str:
        """What stands in the empty field: it begins so that it cannot be taken for a value in force."""
        return hint_words(self.example, self.blank)


def hint_words(example: str, blank: str) -> str:
    """State what a blank field stands for, and give an example of what may be typed.

    Examples
    --------
    >>> hint_words("1290 kg", ""), hint_words("", "run 4"), hint_words("5 N", "none")
    ('e.g. 1290 kg', 'blank: run 4', 'blank: none · e.g. 5 N')
    """
    said = (f"blank: {blank}" if blank else "", f"e.g. {example}" if example else "")
    return plain(BETWEEN.join(text for text in said if text))


def hint_in(hint: str, width: int) -> str:
    """Fit a hint: its last clauses are left out whole before the first one is cut; without a width yet it is whole.

    Examples
    --------
    >>> hint_in("blank: none · e.g. 5 N", 16), hint_in("e.g. 120 N at 160 km/h", 16)
    ('blank: none', 'e.g. 120 N at 1…')
    """
    while width and cells(hint) > width and BETWEEN in hint:
        hint = hint.rpartition(BETWEEN)[0]
    return cut(hint, width) if width else hint


class FormRow(Horizontal):
    """Label, field and words beside it."""

    def __init__(self, field: FormField) -> None:
        super().__init__()
        self.field = field
        self.hint = field.hint
        """What stands in the empty field; as much of it as has room is drawn."""

    def show_blank(self, blank: str) -> None:
        """Show what the field left blank stands for."""
        self.hint = hint_words(self.field.example, blank)
        self.on_resize()

    def on_resize(self) -> None:
        """Draw as much of a hint as has room."""
        field = self.query_one(Input)
        field.placeholder = hint_in(self.hint, field.content_size.width)

    def compose(self) -> ComposeResult:
        """Lay out the row."""
        yield Static(plain(self.field.label), classes="label", markup=False)
        yield Input(
            plain(self.field.value),
            placeholder=self.field.hint,
            compact=True,
            select_on_focus=True,
            suggester=self.field.suggester,
        )
        yield Static(plain(self.field.beside), classes="beside", markup=False)


class TypedForm(VerticalScroll, can_focus=False):
    """Rows of fields; tells of what is typed by hand, not of what is set."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("up", "field(-1)", "Field above", show=False),
        Binding("down", "field(1)", "Field below", show=False),
    ]

    class Typed(Message):
        """Something was typed into a field."""

        def __init__(self, form: TypedForm, key: str, text: str) -> None:
            super().__init__()
            self.form, self.key, self.text = form, key, text

    class Left(Message):
        """Enter was pressed in a field."""

        def __init__(self, form: TypedForm, key: str) -> None:
            super().__init__()
            self.form, self.key = form, key

    def __init__(
        self,
        fields: Sequence[FormField] = (),
        *,
        heads: tuple[str, str, str] | None = None,
        id: str = "form",  # noqa: A002 - Textual's own word
    ) -> None:
        super().__init__(id=id)
        self._heads = heads
        self._rows = {field.key: FormRow(field) for field in fields}

    def compose(self) -> ComposeResult:
        """Lay out the rows."""
        if self._heads is not None:
            with Horizontal(classes="heads"):
                for text, part in zip(self._heads, ("label", "middle", "beside"), strict=True):
                    yield Static(plain(text), classes=f"{part} heading", markup=False)
        for row in self._rows.values():
            if row.field.heading:
                yield Static(plain(row.field.heading), classes="heading", markup=False)
            yield row

    @property
    def keys(self) -> tuple[str, ...]:
        """Keys of the fields, from the top."""
        return tuple(self._rows)

    @property
    def values(self) -> dict[str, str]:
        """What stands in the fields."""
        return {key: self._input(row).value.strip() for key, row in self._rows.items()}

    def set_values(self, values: Mapping[str, str]) -> None:
        """Put texts into fields; the one that is being typed in is left alone."""
        for key, text in values.items():
            row = self._rows.get(key)
            if row is None or not row.is_mounted:
                continue
            field = self._input(row)
            if not field.has_focus and field.value != plain(text):
                with field.prevent(Input.Changed):
                    field.value = plain(text)
                    field.cursor_position = len(field.value)

    def write(self, key: str, text: str) -> None:
        """Put a text into a field, also the one that is being typed in, without telling of it."""
        field = self._input(self._rows[key])
        with field.prevent(Input.Changed):
            field.value = plain(text)

    def set_heads(self, heads: tuple[str, str, str]) -> None:
        """Write over label, field and what stands beside it."""
        for part, text in zip(self.query(".heads Static").results(Static), heads, strict=False):
            part.update(plain(text))

    def set_beside(self, key: str, text: str, role: str = "") -> None:
        """Write beside a field."""
        row = self._rows.get(key)
        if row is not None and row.is_mounted:
            beside = row.query_one(".beside", Static)
            beside.update(plain(text))
            beside.set_classes(f"beside {role}")

    @property
    def here(self) -> str:
        """The field that the cursor is in; empty where it is in none."""
        return next((key for key, row in self._rows.items() if self._input(row).has_focus), "")

    def hide(self, keys: Collection[str]) -> None:
        """Leave fields out that need not be asked, and show the others."""
        for key, row in self._rows.items():
            row.display = key not in keys

    def action_field(self, step: int) -> None:
        """Go to the field above or below."""
        keys = self._shown
        at = keys.index(self.here) if self.here else 0
        self.go_to(keys[min(max(at + step, 0), len(keys) - 1)])

    def go_to(self, key: str) -> None:
        """Put the cursor into a field."""
        self.screen.set_focus(self._input(self._rows[key]))

    def go_on(self, key: str) -> bool:
        """Put the cursor into the field below one; tells whether there is one."""
        shown = self._shown
        after = shown.index(key) + 1
        if after == len(shown):
            return False
        self.go_to(shown[after])
        return True

    @property
    def _shown(self) -> list[str]:
        return [key for key, row in self._rows.items() if row.display]

    def on_input_changed(self, message: Input.Changed) -> None:
        """Tell of what was typed."""
        message.stop()
        if isinstance(row := message.input.parent, FormRow) and message.input.has_focus:
            self.post_message(self.Typed(self, row.field.key, message.value))

    def on_input_submitted(self, message: Input.Submitted) -> None:
        """Tell of Enter."""
        message.stop()
        if isinstance(row := message.input.parent, FormRow):
            self.post_message(self.Left(self, row.field.key))

    @staticmethod
    def _input(row: FormRow) -> Input:
        return row.query_one(Input)
