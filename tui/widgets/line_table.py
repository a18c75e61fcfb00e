"""A table that formats no more than the rows in sight."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar, Protocol

from textual.binding import Binding, BindingType
from textual.geometry import Region, Size
from textual.message import Message
from textual.reactive import reactive
from textual.scroll_view import ScrollView

from balance.tell.table import EMPTY, Cell, Column
from tui.widgets.columns import ASCII, UNICODE, header_lines, lay_out, row_line
from tui.widgets.drawn import component_classes, strip_of, styles_of
from tui.widgets.plain import cut, needs_ascii, plain

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from rich.style import Style
    from textual import events
    from textual.strip import Strip

    from balance.tell.table import Table

__all__ = ["Cell", "Column", "LineTable"]

HEADER = 2


class FittedTable(Protocol):
    """A table whose cells hang on which rows stand together and how much room each column has."""

    def apart(self, rows: Sequence[int], room: Mapping[str, int]) -> Callable[[int, str], Cell]:
        """Return the cells of some rows."""


class LineTable(ScrollView, can_focus=True, inherit_bindings=False):
    """Rows and columns of ready text under a pinned header; nothing scrolls sideways: → and ← are left to the page."""

    ALLOW_SELECT: ClassVar[bool] = False
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("up", "move(-1)", "Row up", show=False),
        Binding("down", "move(1)", "Row down", show=False),
        Binding("pageup", "page(-1)", "Page up", show=False),
        Binding("pagedown", "page(1)", "Page down", show=False),
        Binding("home", "first", "First row", show=False),
        Binding("end", "last", "Last row", show=False),
        Binding("enter", "choose", "Choose row", show=False),
    ]
    COMPONENT_CLASSES: ClassVar[set[str]] = component_classes(
        "line-table",
        "header",
        "unit",
        "rule",
        "cursor",
        "cursor-mark",
        "muted",
        "good",
        "warn",
        "danger",
        "strong",
    )
    DEFAULT_CSS = """
    LineTable {
        width: 1fr;
        height: 1fr;
        color: $foreground;
        overflow-x: hidden;
        overflow-y: auto;
        scrollbar-size-vertical: 1;
        & > .line-table--header { color: $foreground; background: $panel; text-style: bold; }
        & > .line-table--unit { color: $text-muted; background: $panel; }
        & > .line-table--rule { color: $text-muted; }
        & > .line-table--muted { color: $text-muted; }
        & > .line-table--good { color: $text-success; }
        & > .line-table--warn { color: $text-warning; }
        & > .line-table--danger { color: $text-error; text-style: bold; }
        & > .line-table--strong { text-style: bold; }
        & > .line-table--cursor {
            color: $block-cursor-blurred-foreground;
            background: $block-cursor-blurred-background;
        }
        &:focus {
            & > .line-table--cursor {
                color: $block-cursor-foreground;
                background: $block-cursor-background;
                text-style: $block-cursor-text-style;
            }
        }
    }
    """

    cursor: reactive[int] = reactive(0, repaint=False, init=False)
    """Index of the row that the cursor stands on; 0 when there are no rows."""
    sort: reactive[tuple[str, bool] | None] = reactive(None, init=False)
    """Key of the column with a sort mark, and whether it falls."""
    ascii_only: reactive[bool] = reactive(False, init=False)
    """Draw marks and rules with ASCII characters alone."""

    class Said(Message):
        """What a table says, with the table that says it."""

        def __init__(self, table: LineTable) -> None:
            super().__init__()
            self.table = table

        @property
        def control(self) -> LineTable:
            """The table that sent it."""
            return self.table

    class OfRow(Said):
        """What is said of a row."""

        def __init__(self, table: LineTable, index: int) -> None:
            super().__init__(table)
            self.index = index

    class RowMoved(OfRow):
        """The cursor came to stand on another row."""

    class RowChosen(OfRow):
        """A row was chosen by Enter or a double click."""

    class HeaderClicked(Said):
        """The header of a column was clicked."""

        def __init__(self, table: LineTable, key: str) -> None:
            super().__init__(table)
            self.key = key

    class ColumnsDropped(Said):
        """Other columns than before have no room; empty when all have."""

        def __init__(self, table: LineTable, dropped: tuple[str, ...]) -> None:
            super().__init__(table)
            self.dropped = dropped

    def __init__(
        self,
        columns: Sequence[Column] = (),
        *,
        empty: str = "no rows",
        ascii_only: bool | None = None,
        id: str | None = None,  # noqa: A002 - Textual's own word
    ) -> None:
        super().__init__(id=id)
        self.empty = empty
        self.set_reactive(LineTable.ascii_only, needs_ascii() if ascii_only is None else ascii_only)
        self._columns = tuple(columns)
        self._lay_for(0)
        self._told: tuple[str, ...] = ()
        self._count = 0
        self._cell: Callable[[int, str], Cell] = lambda _index, _key: EMPTY
        self._styles: dict[str, Style] = {}

    @property
    def columns(self) -> tuple[Column, ...]:
        """All columns, with room or without."""
        return self._columns

    @property
    def dropped(self) -> tuple[str, ...]:
        """Keys of the columns that have no room, least important first."""
        self._fit()
        return self._layout.dropped

    @property
    def room(self) -> Mapping[str, int]:
        """Width of each column that has room, by its key."""
        self._fit()
        return self._room

    @property
    def row_count(self) -> int:
        """Number of rows."""
        return self._count

    def set_columns(self, columns: Sequence[Column]) -> None:
        """Show other columns."""
        self._columns = tuple(columns)
        self._lay_for(self.size.width)
        self._tell_dropped()
        self.refresh()

    def set_source(self, count: int, cell: Callable[[int, str], Cell], *, cursor: int | None = None) -> None:
        """Show other rows, asking for no cell before it comes in sight."""
        self._count = count
        self._cell = cell
        self.virtual_size = Size(self.size.width, count + HEADER)
        self.cursor = self.cursor if cursor is None else cursor
        self._show_cursor()
        self.refresh()

    def show_table(self, table: Table, *, widest: int, cursor: int | None = None) -> None:
        """Show a table, each column as wide as what stands in it, the flexible one as what is left; the cursor stays."""

        def width(column: Column) -> int:
            texts = (len(row[column.key].text) for row in table.rows)
            return column.width if column.flexible else min(widest, max([column.width, *texts]))

        self.set_columns([column._replace(width=width(column)) for column in table.columns])
        at = self.cursor if cursor is None else cursor
        self.set_source(len(table.rows), table.cell, cursor=min(at, max(0, len(table.rows) - 1)))

    def refresh_row(self, index: int) -> None:
        """Draw one row anew."""
        y = HEADER + index - self.scroll_offset.y
        if HEADER <= y < self.size.height:
            self.refresh(Region(0, y, self.size.width, 1))

    def validate_cursor(self, cursor: int) -> int:
        """Keep the cursor on a row."""
        return max(0, min(cursor, self._count - 1))

    def watch_cursor(self, old: int, new: int) -> None:
        """Draw the two rows that change, and tell."""
        self._show_cursor()
        self.refresh_row(old)
        self.refresh_row(new)
        self.post_message(self.RowMoved(self, new))

    def on_resize(self) -> None:
        """Tell of the columns that have no room now, and keep the cursor in sight; it is drawn anew all the same."""
        self._tell_dropped()
        self._show_cursor()

    def on_click(self, event: events.Click) -> None:
        """Move to a row, choose it by a double click, or tell of a header."""
        offset = event.get_content_offset(self)
        if offset is None:
            return
        index = offset.y - HEADER + self.scroll_offset.y
        if offset.y < HEADER:
            key = self._key_at(offset.x)
            if key is not None:
                self.post_message(self.HeaderClicked(self, key))
        elif index < self._count:
            self.cursor = index
            if event.chain == 2:
                self.post_message(self.RowChosen(self, index))

    def action_move(self, rows: int) -> None:
        """Move the cursor by rows."""
        self.cursor += rows

    def action_page(self, pages: int) -> None:
        """Move the cursor by pages."""
        self.cursor += pages * max(1, self.size.height - HEADER - 1)

    def action_first(self) -> None:
        """Move the cursor to the first row."""
        self.cursor = 0

    def action_last(self) -> None:
        """Move the cursor to the last row."""
        self.cursor = self._count - 1

    def action_choose(self) -> None:
        """Choose the row of the cursor."""
        if self._count:
            self.post_message(self.RowChosen(self, self.cursor))

    def _lay_for(self, width: int) -> None:
        self._layout = lay_out(self._columns, width)
        self._room = self._layout.room

    def _fit(self) -> None:
        """Lay the columns out where the table has another width by now: it is drawn in it before it is told so."""
        if self._layout.width != self.size.width:
            self._lay_for(self.size.width)

    def _tell_dropped(self) -> None:
        self.virtual_size = Size(self.size.width, self._count + HEADER)
        if self.dropped != self._told:
            self._told = self.dropped
            self.post_message(self.ColumnsDropped(self, self._told))

    def _key_at(self, x: int) -> str | None:
        """Find the column of a cell; the gap after a column, where its sort mark stands, belongs to it."""
        return next(
            (place.column.key for place in self._layout.places if place.x <= x <= place.x + place.width), None
        )

    def _show_cursor(self) -> None:
        room = self.size.height - HEADER
        top = self.scroll_offset.y
        if self._count and room > 0 and not top <= self.cursor < top + room:
            wanted = self.cursor if self.cursor < top else self.cursor - room + 1
            self.scroll_to(y=wanted, animate=False, force=True)

    def notify_style_update(self) -> None:
        """Draw in other colours."""
        super().notify_style_update()
        self._styles = {}

    def render_line(self, y: int) -> Strip:
        """Return one line: a header, or the row scrolled to."""
        self._fit()
        width = self.size.width
        self._styles = self._styles or styles_of(self)
        styles = self._styles
        marks = ASCII if self.ascii_only else UNICODE
        if y < HEADER:
            role = ("header", "unit")[y]
            line = header_lines(self._layout, self.sort, marks)[y]
            return strip_of(line, {**styles, "": styles[role], "rule": styles[role]}, width)
        index = y - HEADER + self.scroll_offset.y
        if index >= self._count:
            words = cut(plain(self.empty), width - 2, marks.more) if y == HEADER and not self._count else ""
            return strip_of([("  ", ""), (words, "muted")], styles, width)
        on_cursor = index == self.cursor
        line = row_line(self._layout, lambda key: self._cell(index, key), cursor=on_cursor, marks=marks)
        if on_cursor:
            line = [(text, "cursor") for text, _ in line]
            styles = {**styles, "": styles["cursor"]}
        return strip_of(line, styles, width)


def cells_apart(table: FittedTable, rows: Sequence[int], widget: LineTable) -> Callable[[int, str], Cell]:
    """Return the cells of some rows by their position, laid out anew whenever other columns have room."""
    laid: list[tuple[Mapping[str, int], Callable[[int, str], Cell]]] = []

    def cell(position: int, key: str) -> Cell:
        if not laid or laid[-1][0] is not widget.room:
            laid[:] = [(widget.room, table.apart(rows, widget.room))]
        return laid[-1][1](rows[position], key)

    return cell
