"""The fields of a run, with what the run before has beside them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual.containers import Vertical

from tui.features.entry.entry_suggester import TextSuggester
from tui.widgets.typed_form import FormField, TypedForm

if TYPE_CHECKING:
    from balance.files.formats.runs_header import ColumnPlan
    from tui.host.typed_run import Typing


class RunForm(Vertical):
    """Shows what was understood of a run, field by field; its fields are made anew where the columns change."""

    def __init__(self) -> None:
        super().__init__()
        self._typing: Typing | None = None
        self._plans: tuple[ColumnPlan, ...] | None = None

    def show(self, typing: Typing) -> None:
        """Bring the fields to a run."""
        self._typing = typing
        if self._plans == typing.sheet.plans:
            self._fill()
        else:
            self._plans = typing.sheet.plans
            self.call_after_refresh(self._make)

    async def _make(self) -> None:
        typing = self._typing
        assert typing is not None  # noqa: S101 - shown before
        units = {plan.name: plan.unit for plan in typing.sheet.plans}
        fields = [
            FormField(
                key=name,
                label=header,
                suggester=None if units.get(name) else TextSuggester(typing.sheet, name),
            )
            for name, header in typing.columns
        ]
        await self.remove_children()
        await self.mount(TypedForm(fields, heads=self._heads(typing)))
        self._fill()

    def _fill(self) -> None:
        typing = self._typing
        if typing is None or not (forms := self.query(TypedForm)):
            return
        form = forms.first()
        cells = typing.entry.cells
        form.set_values({name: cells.get(name, "") for name, _ in typing.columns})
        form.set_heads(self._heads(typing))
        changed = {name for name, _, _ in typing.changes}
        start = typing.edited or typing.base.start
        for name, _ in typing.columns:
            before = typing.before(name)
            text = f"◄ {before or 'off'}" if name in changed else before
            form.set_beside(name, text if start else "", "changed" if name in changed else "")

    @staticmethod
    def _heads(typing: Typing) -> tuple[str, str, str]:
        if typing.edited is not None:
            return "", f"run {typing.edited}", "so far"
        start = typing.base.start
        return "", f"run {typing.label}", f"run {start}" if start else ""
