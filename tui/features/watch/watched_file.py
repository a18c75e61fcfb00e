"""The watched file: rows that wait until it is said what was changed, and corrections to decide on."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, ClassVar

from balance.model.errors import AxletrimError, InputError, one_line
from balance.tell.table import EMPTY, Cell, Column
from tui.features.watch.decimal_question import ask_decimal
from tui.features.watch.set_aside import bring_back, said, set_aside
from tui.host.actions import Action, closing
from tui.host.expected_lines import run_words, waiting_lines
from tui.host.following import follow
from tui.host.page import Page, blanks
from tui.host.questions import AskText, Choice, Pick
from tui.host.typed_run import TypedRun
from tui.host.workers import Latest
from tui.widgets.key_footer import KeyFooter
from tui.widgets.line_table import LineTable
from tui.widgets.plain import pack

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from balance.files.day.open_day import OpenDay
    from balance.files.day.run_sheet import RunSheet
    from balance.files.tables.reading.numerals import Mark
    from balance.files.tables.watch.file_watch import CorrectedRow, WatchedRow
    from tui.host.expected_lines import Lines
    from tui.host.host import Host
    from tui.host.live_file import LiveFile
    from tui.host.state import State

_COLUMNS = (
    Column(key="row", title="row", width=8),
    Column(key="kind", title="what it is", width=22, priority=2),
    Column(key="cells", title="what it says", width=24, flexible=True),
)

WATCHED = (
    Action("choose", "enter", "take", "make the row a run, or decide on a correction"),
    Action(
        "finished", "f4", "file is finished", "take the last row as complete although its line has no end"
    ),
    Action(
        "columns",
        "f6",
        "columns",
        "say which column of the file is which of the day, its unit and its sign, and the decimal mark",
    ),
    Action(
        "set_aside",
        "delete",
        "set aside",
        "set the row aside as no run, with a reason: a tare, an average, an aborted run; U takes it back",
        shown_key="Del",
    ),
    Action(
        "bring_back",
        "f7",
        "bring back",
        "look at the rows that are set aside, and let one of them wait again",
        shown_key="f7",
        on_footer=False,
    ),
    Action("watch_other", "f2", "other file", "watch another file"),
    Action("stop", "f8", "stop watching", "watch the file no longer"),
    closing("runs", "go back to the runs"),
)


class Live(Page[None]):
    """Lists what waits; Enter takes the row under the cursor."""

    ACTIONS: ClassVar = WATCHED

    def compose(self) -> ComposeResult:
        """Lay out head and list."""
        yield from blanks("head", "banner", "chosen", "reason", "guard")
        yield LineTable(_COLUMNS, id="waiting", empty="nothing waits: rows that are added show up here")
        yield KeyFooter()

    def __init__(self) -> None:
        super().__init__()
        self._looks = Latest(self.app, self._take_look)
        self._guarded: tuple[object, object, Lines] | None = None
        """The row that was looked at, on which state of the day, and what is said of it."""
        self._mapped = ""
        """The file whose columns were looked at, whether some have to be said first."""

    def on_mount(self) -> None:
        """Watch the state."""
        self.set_focus(self.query_one(LineTable))
        follow(self, lambda _, state: self.show_state(state))

    def on_resize(self) -> None:
        """Fold the head anew."""
        self.show_state(self.app.state)

    @property
    def live(self) -> LiveFile | None:
        """The watched file."""
        return self.app.open_day.live

    def show_state(self, state: State) -> None:
        """Fill the list."""
        live = self.live
        if live is None:
            return
        work, width = state.work, self.line_width
        text = (
            f"watching {live.path} · Enter takes a row · a row without all settings waits here until it is said what was changed"
            " · a row that says all becomes a run by itself"
        )
        if work.aside:
            rows = "1 row is" if work.aside == 1 else f"{work.aside} rows are"
            text += f" · {rows} set aside: F7 brings one back"
        self.write_lines("#head", pack(text, width))
        troubles = [work.watch_trouble] if work.watch_trouble else []
        if work.half_row:
            troubles.append("the last row has no line end: it may be half written (F4: the file is finished)")
        self.write_lines("#banner", pack(" · ".join(troubles), width) if troubles else [])
        self._show_chosen(work.chosen, width)
        self.query_one(LineTable).set_source(live.waiting, self._cell)
        self._show_reason()
        if live.header and self._mapped != live.name:
            self._mapped = live.name
            self._map_first()

    def _map_first(self) -> None:
        """Begin with the page of the columns where rows wait for some that the file seems to have."""
        from tui.features.watch.column_questions import ask_columns, columns_to_say  # noqa: PLC0415 - only when asked

        if columns_to_say(self.app):
            ask_columns(self.app)

    def on_line_table_row_moved(self) -> None:
        """Show why the row under the cursor waits, or all that it says."""
        self._show_reason()

    def _show_reason(self) -> None:
        live, index = self.live, self.query_one(LineTable).cursor
        there = live is not None and index < len(live.waiting_rows.rows)
        why = words = ""
        if live is not None and there:
            row = live.waiting_rows.rows[index]
            why = live.why_waits(row)[1]
            words = why or f"{row.name}: {said(row.cells)}"
        self.write_lines("#reason", self.folded(words) if words else [])
        self.query_one("#reason").set_class(bool(why), "warn")
        self._show_guard(live.waiting_rows.rows[index] if live is not None and there else None)

    def _show_guard(self, row: WatchedRow | None) -> None:
        """Show what the row should read, with the settings that are known of it; looked at in a thread."""
        live, day = self.live, self.app.open_day.day
        known = self._guarded
        fits = known is not None and day is not None and known[0] is row and known[1] is day.sheet
        lines = known[2] if known is not None and fits else []
        self.write_lines("#guard", [line for text, _ in lines for line in self.folded(text)])
        self.query_one("#guard").set_class(any(role == "warn" for _, role in lines), "warn")
        if row is None or live is None or day is None or fits or not isinstance(live.mark, str) or row.beyond:
            return
        typing = TypedRun(sheet=day.sheet, row=row, called=live.called, decimal=live.mark)
        show = self.app.state.show
        self._looks.ask(lambda: (row, day.sheet, waiting_lines(typing, day, show)))

    def _take_look(self, found: tuple[WatchedRow, object, Lines]) -> None:
        """Show what came of a look at a row."""
        self._guarded = found
        self._show_reason()

    def _show_chosen(self, words: tuple[str, ...], width: int) -> None:
        """Show which columns of the file were chosen by hand, as far as there is room for it."""
        lines = [line for text in words for line in pack(text, width)]
        room = max(self.size.height // 3, 3)
        if len(lines) > room:
            lines = [*lines[: room - 1], f"… {len(lines) - room + 1} lines more: F6 lists all"]
        self.write_lines("#chosen", lines)

    def _cell(self, index: int, key: str) -> Cell:
        live = self.live
        if live is None or index >= live.waiting:
            return EMPTY
        rows = live.waiting_rows.rows
        if index < len(rows):
            row = rows[index]
            kind = live.why_waits(row)[0] or "new: what was changed?"
            return Cell({"row": row.key, "kind": kind, "cells": said(row.cells)}[key])
        change = live.waiting_rows.corrections[index - len(rows)]
        differs = " · ".join(
            f"{name}: {old or 'nothing'} → {new or 'nothing'}" for name, old, new in change.differs
        )
        return Cell({"row": change.row.key, "kind": "CORRECTED there", "cells": differs}[key], "warn")

    def on_line_table_row_chosen(self) -> None:
        """Take the row under the cursor."""
        self.action_choose()

    def action_choose(self) -> None:
        """Make a row a run, or decide on a correction."""
        live, index = self.live, self.query_one(LineTable).cursor
        if live is None or index >= live.waiting:
            return
        if index < len(live.waiting_rows.rows):
            self._enter(live.waiting_rows.rows[index])
        else:
            self._decide(live.waiting_rows.corrections[index - len(live.waiting_rows.rows)])

    def _enter(self, row: WatchedRow) -> None:
        """Ask what was changed on the car, the figures being known."""
        from balance.files.tables.header.mapping import check_columns  # noqa: PLC0415 - only when asked

        day, live = self.app.open_day.ready(), self.live
        if day is None or live is None:
            return
        try:
            check_columns(day.sheet, row.file, row.cells, live.called)
        except AxletrimError as fault:
            self.notify(
                f"{fault} · F6 says which column is which", severity="error", markup=False, timeout=10
            )
            return
        mark = live.mark
        if not isinstance(mark, str):
            ask_decimal(self.app)
        elif row.beyond:
            why = f"{row.name} has cells beyond the header, and none of its figures can be trusted"
            what = "enter the run by hand on the screen of the runs, then set the row aside with Del"
            self.notify(f"{why}: {what}", severity="error", markup=False, timeout=10)
        elif live.questions:
            why = f"{live.questions[0].text} · F6 says it"
            self.notify(why, severity="error", markup=False, timeout=10)
        else:
            self.app.show_entry(TypedRun(sheet=day.sheet, row=row, called=live.called, decimal=mark))

    def _decide(self, change: CorrectedRow) -> None:
        """Ask whether a correction made on the other computer is taken over."""
        open_day = self.app.open_day
        day, live = open_day.ready(), self.live
        if day is None or live is None:
            return
        mark = live.mark
        if not isinstance(mark, str):
            ask_decimal(self.app)
            return
        label = day.decided.run_of(change.row)
        after, why = self._corrected(day, live, change.row, mark)
        choices = [Choice("l", "leave the run as it is")]
        if after is not None:
            choices.insert(0, Choice("a", f"accept: correct run {label} likewise"))
        lines = [f"{name}: {old or 'nothing'} → {new or 'nothing'}" for name, old, new in change.differs]
        if after is None:
            lines.append(f"It cannot be taken over by itself: {why}")
        else:
            guard = run_words(day.preview(after), label, self.app.state.show)
            lines += [text for text, _ in guard.lines] if guard.doubted else []

        def take(chosen: str | None) -> None:
            if chosen is None:
                return
            if chosen == "a" and after is not None:
                open_day.change(
                    f"run {label} corrected as in {change.row.file}", after, pick=label, taken=change.row
                )
            else:
                open_day.change(
                    f"a correction of row {change.row.key} in {change.row.file} left",
                    day.sheet,
                    taken=change.row,
                )
            if open_day.live is not None:
                open_day.live.decided(change.row)

        self.app.push_screen(
            Pick(f"Row {change.row.key} of {change.row.file} was corrected there", choices, lines=lines), take
        )

    def _corrected(
        self, day: OpenDay, live: LiveFile, row: WatchedRow, mark: Mark
    ) -> tuple[RunSheet | None, str]:
        """Return the day with the run corrected as its row was, or say why that cannot be."""
        from balance.files.day.run_sheet import edit_run  # noqa: PLC0415 - only when asked
        from balance.files.tables.rows.sheet_rows import corrected_cells  # noqa: PLC0415 - only when asked

        label = day.decided.run_of(row)
        if label not in day.sheet.labels:
            return None, "it is not known which run the row has become"
        try:
            return edit_run(day.sheet, label, corrected_cells(day.sheet, row, live.called, mark)), ""
        except AxletrimError as fault:
            return None, str(fault).splitlines()[0]

    def action_finished(self) -> None:
        """Take the last row as complete."""
        if self.live is not None:
            self.live.take_half_row()

    def action_set_aside(self) -> None:
        """Set the row under the cursor aside as no run."""
        live, index = self.live, self.query_one(LineTable).cursor
        if live is None or index >= live.waiting:
            return
        if index < len(live.waiting_rows.rows):
            set_aside(self.app, live, live.waiting_rows.rows[index])
        else:
            self.notify("this is a correction of a run: Enter takes it over, or leaves the run as it is")

    def action_bring_back(self) -> None:
        """Let a row that was set aside wait again."""
        if self.live is not None:
            bring_back(self.app, self.live)

    def action_columns(self) -> None:
        """Ask which columns of the file are those of the session."""
        from tui.features.watch.column_questions import ask_columns  # noqa: PLC0415 - only when asked

        ask_columns(self.app)

    def action_watch_other(self) -> None:
        """Watch another file."""
        ask_file(self.app)

    def action_stop(self) -> None:
        """Watch the file no longer."""
        self.app.open_day.watch_no_more()
        self.dismiss(None)


def ask_file(app: Host) -> None:
    """Ask which file is to be watched, and show its rows."""
    kept = app.open_day.day.watches.current if app.open_day.day is not None else None

    def check(text: str) -> None:
        path = _path(text)
        if not text:
            raise InputError("found nothing, expected the file that is added to")
        if path.is_dir():
            raise InputError(one_line(f"{path}: found a folder, expected the file that is added to"))
        if not path.parent.is_dir():
            raise InputError(one_line(f"{path.parent}: found no such folder, expected the one of the file"))
        if path.name == "runs.csv" and str(path.parent.resolve()) == app.open_day.path:
            raise InputError("found the runs.csv of this very day, expected the file of the other computer")

    def take(text: str | None) -> None:
        if text is not None:
            app.open_day.watch(str(_path(text)))
            if app.open_day.live is not None and not isinstance(app.screen, Live):
                app.push_screen(Live())

    app.push_screen(
        AskText(
            "Watch which file?",
            value=kept.path if app.open_day.live is None and kept is not None else "",
            hint="a table that another computer adds to; where its columns are named otherwise, you say which they are",
            check=check,
        ),
        take,
    )


def _path(text: str) -> Path:
    return Path(text).expanduser()
