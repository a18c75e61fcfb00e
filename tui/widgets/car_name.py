"""The name of the car, large, wherever something is typed that belongs to it."""

from __future__ import annotations

from textual.widgets import Static

from tui.widgets.plain import cells, cut, plain


class CarName(Static):
    """One name over the whole width, its letters apart where there is room."""

    def __init__(self, car: str, *, id: str = "car") -> None:  # noqa: A002 - Textual's own word
        super().__init__("", id=id, markup=False)
        self._car = plain(car)

    def on_resize(self) -> None:
        """Fill the width there is."""
        room = self.size.width - 2
        wide = " ".join(self._car.upper())
        self.update(wide if cells(wide) <= room else cut(self._car.upper(), room))
