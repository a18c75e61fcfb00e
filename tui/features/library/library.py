"""The library: what each part did car by car, and what so many cars allow to be said of the next one."""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from textwrap import wrap
from typing import TYPE_CHECKING, ClassVar

from textual.containers import Container
from textual.widgets import Static

from balance.model.errors import one_line
from tui.features.library.adding import Adding
from tui.host.actions import Action, closing
from tui.host.following import follow, stands
from tui.host.library_view import LISTS, library_wanted, part_shown, take_out_of_library, work_out_library
from tui.host.page import blanks
from tui.host.questions import Pick, keyed
from tui.host.speed_actions import PLACE, STEPS, TYPED, AtASpeed
from tui.host.workers import Latest
from tui.widgets.columns import header_lines, lay_out, row_line
from tui.widgets.interval_bars import with_bars
from tui.widgets.key_footer import KeyFooter
from tui.widgets.line_table import LineTable
from tui.widgets.plain import needs_ascii, plain, plain_lines
from tui.widgets.table_lines import fitted_columns

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from textual.app import ComposeResult

    from balance.files.library.library import LibraryDay
    from balance.tell.library.part_picture import PartPicture
    from balance.tell.library.part_rows import PartRows
    from balance.tell.table import Table
    from tui.host.library_view import LibraryFigures, LibraryView, LibraryWanted
    from tui.host.state import State
    from tui.widgets.canvas import Line

_LOOK = 1.0
"""Seconds between looks at the files of the library."""
_LOW = 30
"""Lines below which the parts, or the cars of one, have the page to themselves."""
_HEADER = 2
_SHARE = 0.35
"""Share of a high page that the parts may take."""
_LEAST, _TOGETHER = 3, 2
"""Parts that are always in sight, and lines of what the cars say together."""
_OF_PART = ("#part", "#cars", "#picked_car", "#heads", "#together", "#drag", "#allowed")
_TOLD_ELSEWHERE = "… d tells the rest"
_NOTES = 2
"""Lines of notes on the page; all of them stand on the sheet of the part."""

LIBRARY = (
    Action(
        "cars",
        "f2",
        "cars",
        "go to the cars of the picked part, and back to the parts; Enter on a part does too",
    ),
    Action("channel", "c", "channel", "show the next of front, rear, drag and total downforce"),
    Action("filter", "f", "filter", "keep the days of one kind of body or of one floor alone"),
    Action(
        "sort",
        "s",
        "sort",
        "put the cars in order by the next fact that is stated of them; at the start the highest figure stands first",
    ),
    Action("detail", "d", "detail", "everything about the picked part: each day, all channels, all notes"),
    Action("add", "a", "add day", "add the open day; what is like a car or part that is known is asked"),
    *STEPS,
    TYPED,
    PLACE,
    Action("jump", "j", "open day", "open a day of the picked car; Enter on a car does too", on_footer=False),
    Action("forget", "x", "forget", "take a day of the picked car out; its own files stay", on_footer=False),
    Action("copy", "y", "copy", "copy the picked part as text", on_footer=False),
    closing("back", "from the cars to the parts, from the parts to the runs", on_footer=False),
)
_SAID_FOR = 10.0
"""Seconds for which it stands above the page what became of something."""


class LibraryPage(AtASpeed):
    """The parts of the library, and one of them over its cars."""

    CSS_PATH = "library.tcss"
    ACTIONS: ClassVar = LIBRARY

    def __init__(self) -> None:
        super().__init__()
        self._work = Latest(self.app, self._take)
        self._adding = Adding(self.app, self._read_again, self._tell)
        self._forgets = Latest(self.app, self._take_forgotten, to_the_end=True)
        self._asked: tuple[LibraryWanted, object] | None = None
        self._written: dict[str, int] = {}
        self._said = ""
        self._listed_height = _HEADER

    def compose(self) -> ComposeResult:
        """Lay out head, parts, and the picked part over its cars."""
        yield from blanks("head", "banner", "missing")
        with Container(id="page"):
            yield LineTable(id="listed", empty="no part")
            yield Static("", id="part", markup=False)
            yield LineTable(id="cars", empty="no car")
            yield from blanks("picked_car", "heads", "together", "drag", "allowed", "notes")
        yield KeyFooter()

    def on_mount(self) -> None:
        """Read the library anew, and watch it and the state."""
        self.query_one("#missing").display = False
        self.query_one("#page").display = False
        self.set_focus(self._listed)
        self._read_again()
        self.set_interval(_LOOK, self._look_at_files)
        follow(self, self.show_state)

    def on_resize(self) -> None:
        """Lay everything out anew, once it has its new size."""
        self.call_after_refresh(self._show_again)

    def _show_again(self) -> None:
        self.show_state(self.app.state, self.app.state)

    @property
    def _listed(self) -> LineTable:
        return self.query_one("#listed", LineTable)

    @property
    def _cars(self) -> LineTable:
        return self.query_one("#cars", LineTable)

    @property
    def _low(self) -> bool:
        return self.size.height < _LOW

    def _look(self, view: LibraryView) -> None:
        if view is not self.app.state.library:
            self.app.state = replace(self.app.state, library=view)

    def _ask(self, *, again: bool = False) -> None:
        """Have the figures worked out that the view hangs on."""
        view, wanted = self.app.state.library, library_wanted()
        if not again and self._asked == (wanted, view.only):
            return
        self._asked = (wanted, view.only)
        read = None if again or view.figures is None else view.figures.read
        self._work.ask(lambda: work_out_library(wanted, view.only, read))

    def _read_again(self) -> None:
        self._ask(again=True)

    def _tell(self, text: str) -> None:
        """Say above the page, where it covers no figure, what is being done, and for a while what became of it."""
        if not stands(self):
            if text:
                self.app.notify(text, markup=False)
            return
        self._said = text
        if text:
            self.set_timer(_SAID_FOR, lambda: self._hush(text))
        self._show(self.app.state)

    def _hush(self, text: str) -> None:
        if self._said == text and stands(self):
            self._tell("")

    def _look_at_files(self) -> None:
        self._ask()

    def _take(self, figures: LibraryFigures) -> None:
        self._look(self.app.state.library.with_figures(figures))

    def show_state(self, before: State, state: State) -> None:
        """Bring the screen to a state; what is not worked out for it yet is asked for."""
        if not self.size:
            return
        if before.library.only != state.library.only:
            self._ask()
        same = before.library is state.library and before.units == state.units and before.path == state.path
        if before is state or not same or before.conditions != state.conditions:
            self._show(state)

    def _show(self, state: State) -> None:
        """Show everything, or why there is nothing to show."""
        view, figures = state.library, state.library.figures
        said = self._said if figures is not None else "reading the library …"
        self.write_lines("#banner", self._wrapped(said) if said else [])
        there = figures is not None and not figures.read.missing
        self.query_one("#page").display = there
        missing = self.query_one("#missing", Static)
        missing.display = figures is not None and not there
        if figures is None:
            self.write_lines("#head", ["Library"])
            return
        if not there:
            self.write_lines("#head", ["Library"])
            missing.update("\n\n".join(map(plain_lines, figures.read.missing)))
            return
        self.write_lines("#head", self.folded(self._head(state, figures)))
        self._show_notes(figures)
        part = state.library_part
        for widget in _OF_PART:
            self.query_one(widget).display = part is not None
        if part is not None:
            self._show_words(state, part)
        self._show_parts(state, figures)
        if part is not None:
            self._show_cars(state, part)
        self._give_focus(view)

    def _head(self, state: State, figures: LibraryFigures) -> str:
        from balance.tell.library.library_text import only_words  # noqa: PLC0415 - after the first paint

        clauses = [figures.read.head]
        if figures.only:
            clauses.append(only_words(list(figures.parts), figures.only))
        if state.path:
            inside = state.path in figures.read.folders
            clauses.append("this day is in it" if inside else "this day is not in it: a adds it")
        return " · ".join(clauses)

    def _show_parts(self, state: State, figures: LibraryFigures) -> None:
        from balance.tell.library.library_text import parts_table  # noqa: PLC0415 - after the first paint

        view, table = state.library, self._listed
        rows = parts_table([part_shown(one, "", state.conditions) for one in figures.parts], state.show)
        table.empty = (
            "no part was measured so: f filters" if figures.only else "no part yet: a adds the open day"
        )
        table.set_columns(fitted_columns(rows, self.size.width - 1))
        table.set_source(len(rows.rows), rows.cell, cursor=view.cursor)
        wanted, share = _HEADER + max(len(rows.rows), 1), int(self.size.height * _SHARE)
        most = self._left if self._low else share
        table.display = not self._low or view.listed == LISTS[0]
        self._listed_height = min(wanted, max(most, _HEADER + _LEAST)) if table.display else 0
        table.styles.height = self._listed_height

    def _show_words(self, state: State, part: PartRows) -> None:
        """Name the picked part, what it costs, and what so many cars allow to be said."""
        from balance.tell.library.column_rows import column_lines  # noqa: PLC0415 - after the first paint
        from balance.tell.library.library_text import part_line, standing_words  # noqa: PLC0415 - as above
        from balance.tell.library.part_picture import car_words, drag_line  # noqa: PLC0415 - as above

        view, picture = state.library, self._picture(state.library, part)
        order = f"by {view.by.replace('_', ' ')}" if view.by else "highest first"
        self.write_lines("#part", self.folded(f"{part_line(part, state.show)} · {order}"))
        car = picture.cars[min(view.car, len(picture.cars) - 1)]
        self.write_lines("#picked_car", self.folded(car_words(car)) if view.listed == LISTS[1] else [])
        *others, allowed = standing_words(part)
        costs = [line for line in self.folded(drag_line(picture, state.show)) if line]
        more = [line for one in (*others, *column_lines(part, state.show)) for line in self._wrapped(one)]
        self._written |= {"#drag": len(costs), "#allowed": len(self._wrapped(allowed))}
        room = max(self._left - _LEAST - (0 if self._low and view.listed == LISTS[1] else _HEADER), 0)
        if len(more) > room:
            more = [*more[: max(room - 1, 0)], _TOLD_ELSEWHERE]
        self.write_lines("#drag", costs)
        self.write_lines("#allowed", [*more, *self._wrapped(allowed)])
        if self._cars_hidden(view, len(picture.cars)):
            self.write_lines("#picked_car", [f"f2 lists its {len(picture.cars)} cars"])

    def _show_cars(self, state: State, part: PartRows) -> None:
        """Show a row a car, where they have room, and always what they say together."""
        view, picture = state.library, self._picture(state.library, part)
        table, width, count = self._barred(picture, state), self.size.width - 1, len(picture.cars)
        layout = lay_out(fitted_columns(table, width), width)  # the cell left is for a bar to scroll by
        room = self._left - self._listed_height
        shown = not self._low or view.listed == LISTS[1] or room >= count
        self._cars.display = shown
        self._cars.set_columns(
            [one.column._replace(width=one.width, flexible=False) for one in layout.places]
        )
        self._cars.set_source(count, table.cell, cursor=min(view.car, count - 1))
        by = view.by or "figure"
        self._cars.sort = (by, not view.by) if by in layout.room else None
        self._cars.styles.height = _HEADER + count if room >= count else "1fr"
        heads = [] if shown else [_text(line) for line in header_lines(layout, None)]
        self.write_lines("#heads", heads)
        together = [row_line(layout, row.__getitem__, cursor=False) for row in table.rows[count:]]
        self.write_lines("#together", [_text(line) for line in together])

    def _cars_hidden(self, view: LibraryView, count: int) -> bool:
        """Whether the list of parts leaves no room for a row a car."""
        if not self._low or view.listed == LISTS[1] or view.figures is None:
            return False
        return self._left - min(_HEADER + max(len(view.figures.parts), 1), self._left) < count

    @property
    def _left(self) -> int:
        """Lines that parts and cars may take: what all else leaves, with the heads of the cars, their sum, a line, the footer."""
        others = ("#head", "#banner", "#part", "#picked_car", "#drag", "#allowed", "#notes")
        return self.size.height - sum(self._written.get(one, 0) for one in others) - _HEADER - _TOGETHER - 2

    def _wrapped(self, text: str) -> list[str]:
        return wrap(plain(text), self.line_width)

    def write_lines(self, part: str, lines: Sequence[str]) -> None:
        """Write lines into a part of the page, and keep how many."""
        self._written[part] = len(lines)
        super().write_lines(part, lines)

    def _picture(self, view: LibraryView, part: PartRows) -> PartPicture:
        from balance.tell.library.part_picture import part_picture  # noqa: PLC0415 - after the first paint

        return part_picture(part, view.channel or None, by_effect=not view.by)

    def _barred(self, picture: PartPicture, state: State) -> Table:
        from balance.tell.library.part_picture import picture_spans, picture_table  # noqa: PLC0415 - as above

        return with_bars(
            picture_table(picture, state.show, width=self.size.width),
            picture_spans(picture),
            picture.scale,
            width=self.size.width,
            unit=state.show.system.unit("force").scale,
            ascii_only=needs_ascii(),
        )

    def _show_notes(self, figures: LibraryFigures) -> None:
        lines = [line for note in figures.read.notes for line in self._wrapped(f"! {note}")]
        if len(lines) > _NOTES and figures.parts:
            lines = [
                *lines[: _NOTES - 1],
                f"! and {len(lines) - _NOTES + 1} more lines of notes: d shows all",
            ]
        self.write_lines("#notes", lines)

    def _give_focus(self, view: LibraryView) -> None:
        table = self._cars if view.listed == LISTS[1] and view.picked is not None else self._listed
        if self.focused is not table:
            self.set_focus(table)

    def on_descendant_focus(self) -> None:
        """Follow a focus that the mouse or Tab moved."""
        listed = LISTS[1] if self.focused is self._cars else LISTS[0]
        if self.focused in (self._cars, self._listed) and listed != self.app.state.library.listed:
            self._look(replace(self.app.state.library, listed=listed))

    def on_line_table_row_moved(self, message: LineTable.RowMoved) -> None:
        """Look at the part, or the car, under the cursor."""
        view = self.app.state.library
        if message.table is self._listed and view.parts:
            self._look(view.with_part(view.parts[min(message.table.cursor, len(view.parts) - 1)].name))
        elif message.table is self._cars and message.table.cursor != view.car:
            self._look(replace(view, car=message.table.cursor))

    def on_line_table_row_chosen(self, message: LineTable.RowChosen) -> None:
        """Go to the cars of a part, or open a day of a car."""
        if message.table is self._listed:
            self._look(replace(self.app.state.library, listed=LISTS[1]))
        else:
            self.action_jump()

    def on_line_table_header_clicked(self, message: LineTable.HeaderClicked) -> None:
        """Put the cars in order by a column."""
        from balance.tell.library.car_facts import SORTS  # noqa: PLC0415 - after the first paint

        if message.table is self._cars and (message.key in SORTS or message.key in ("figure", "bars")):
            by = message.key if message.key in SORTS else ""
            self._look(replace(self.app.state.library, by=by, car=0))

    def _picked_part(self) -> PartRows | None:
        """Return the picked part; where there is none, say why a key does nothing."""
        part = self.app.state.library.picked
        if part is None and self.app.state.library.figures is not None:
            self._tell(self._listed.empty)
        return part

    def action_cars(self) -> None:
        """Go to the cars of the picked part, or back to the parts."""
        view = self.app.state.library
        listed = LISTS[0] if view.listed == LISTS[1] else LISTS[1]
        if self._picked_part() is not None:
            self._look(replace(view, listed=listed))

    def action_channel(self) -> None:
        """Show the next channel."""
        from balance.model.channels import WITH_TOTAL  # noqa: PLC0415 - after the first paint
        from balance.tell.library.part_picture import largest_channel  # noqa: PLC0415 - as above

        view = self.app.state.library
        if (part := self._picked_part()) is not None:
            self._look(view.with_next_channel(view.channel or WITH_TOTAL[largest_channel(part)]))

    def action_sort(self) -> None:
        """Put the cars in the next order."""
        if self._picked_part() is not None:
            self._look(replace(self.app.state.library.with_next_order(), car=0))

    def action_filter(self) -> None:
        """Let it be chosen which days are asked for."""
        from balance.tell.library.car_facts import ANY, Only  # noqa: PLC0415 - after the first paint
        from balance.tell.library.part_picture import floor_words  # noqa: PLC0415 - as above

        figures = self.app.state.library.figures
        if figures is None or figures.read.missing:
            return
        read, asked = figures.read, figures.only
        offers = [("any body, any floor", "", ANY)]
        offers += [(f"only {body}", "kind of body", replace(asked, body=body)) for body in read.bodies]
        offers += [
            (f"only {floor_words(floor)}", "floor", replace(asked, floor=floor)) for floor in read.floors
        ]
        if len(offers) == 1:
            self._tell("no day of the library states its floor or the kind of its car's body")
            return

        def take(chosen: str | None) -> None:
            if chosen is not None:
                only: Only = offers[int(chosen)][2]
                self._look(replace(self.app.state.library, only=only, car=0))

        things = [(str(k), words, more) for k, (words, more, _) in enumerate(offers)]
        now = next((str(k) for k, (_, _, only) in enumerate(offers) if only == asked), "")
        self.app.push_screen(Pick("Which days are asked for?", keyed(things), start=now), take)

    def action_detail(self) -> None:
        """Tell everything about the picked part."""
        from tui.features.library.part_sheet import PartSheet  # noqa: PLC0415 - only when asked

        if self._picked_part() is not None:
            self.app.push_screen(PartSheet())

    async def action_add(self) -> None:
        """Add the open day, once all of it is on the disk."""
        await self.app.open_day.saving.settle()
        self._adding.begin()

    def action_jump(self) -> None:
        """Open a day of the picked car."""

        def take(day: LibraryDay) -> None:
            if day.gone:
                text = f"gone from {day.head.folder}: it is shown as it was read last"
                self._tell(text)
            else:
                self.app.turn_to_day(day.head.folder)

        self._pick_day("Open which day?", take)

    def action_forget(self) -> None:
        """Take a day of the picked car out of the library."""

        def take(day: LibraryDay) -> None:
            if self.app.state.work.looking:
                self._tell("looking only: nothing is written")
                return
            folder = library_wanted().folder
            self._forgets.ask(partial(take_out_of_library, folder, day.head.id))

        self._pick_day("Take which day out of the library? Its own files stay as they are.", take)

    def _pick_day(self, title: str, take: Callable[[LibraryDay], None]) -> None:
        """Let one of the days of the picked car be picked."""
        view, part = self.app.state.library, self.app.state.library_part
        if self._picked_part() is None or part is None:
            return
        if view.listed != LISTS[1]:
            self._tell("pick a car first: f2 goes to the cars")
            return
        picture = self._picture(view, part)
        days = picture.cars[min(view.car, len(picture.cars) - 1)].days
        choices = keyed([(day.head.id, *_day_words(day)) for day in days])

        def chosen(name: str | None) -> None:
            if name is not None:
                take(next(day for day in days if day.head.id == name))

        self.app.push_screen(Pick(title, choices, lines=(one_line(days[0].car_name),)), chosen)

    def _take_forgotten(self, found: tuple[str, str]) -> None:
        folder, fault = found
        if fault:
            self._tell(f"× {fault}")
            return
        self._read_again()
        self._tell(f"forgotten: {one_line(folder)}")

    def action_copy(self) -> None:
        """Copy the picked part as text."""
        from tui.printing.library import part_text  # noqa: PLC0415 - only when asked

        view, figures = self.app.state.library, self.app.state.library.figures
        part = self.app.state.library_part
        if figures is not None and part is not None:
            picture = self._picture(view, part)
            self.app.copy_text(
                "part", part_text(figures.read.line, figures.read.notes, picture, self.app.state.show, 100)
            )

    def action_close(self) -> None:
        """Go back to the parts, from there to the runs."""
        view = self.app.state.library
        if view.listed == LISTS[1] and view.picked is not None:
            self._look(replace(view, listed=LISTS[0]))
        else:
            self.app.action_runs()


def _day_words(day: LibraryDay) -> tuple[str, str]:
    """Name a day, and what stands behind its name."""
    from balance.tell.library.part_picture import floor_words  # noqa: PLC0415 - only when asked

    head = day.head
    said = [
        head.date,
        head.floor and floor_words(head.floor),
        f"{head.runs} runs",
        "gone" if day.gone else "",
    ]
    return one_line(head.title), " · ".join(filter(None, said))


def _text(line: Line) -> str:
    return "".join(text for text, _ in line)
