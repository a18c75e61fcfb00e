"""What can be done on the screen of the runs."""

from __future__ import annotations

from tui.host.actions import Action
from tui.host.speed_actions import PLACE, STEPS, TYPED

HOME = (
    Action("add_run", "a", "add", "enter a run: in one line, or field by field"),
    Action(
        "this_run",
        "e",
        "edit",
        "correct, copy or mark the picked run, start a block at it, move its baseline",
    ),
    Action("correct", "E", "correct", "correct the figures and settings of the picked run", on_footer=False),
    Action("copy_run", "x", "run it again", "enter a run that starts from the picked one", on_footer=False),
    Action("mark", "m", "mark", "mark runs suspect or void, with a reason, or good again", on_footer=False),
    Action(
        "block",
        "k",
        "block",
        "start a new block at the picked run: repair, re-zero, refit, weighing",
        on_footer=False,
    ),
    Action(
        "baseline",
        "b",
        "baseline",
        "choose the run that the picked one is compared with; runs.csv keeps it",
        on_footer=False,
    ),
    Action(
        "live",
        "l",
        "live file",
        "watch a file that another computer adds to, and look at its rows",
        on_footer=False,
    ),
    Action("import_file", "i", "import", "bring in a table of runs that somebody else made", on_footer=False),
    Action(
        "edit_car",
        "C",
        "car",
        "correct the car: weights, size, drive, tyres, limits; vehicle.toml keeps its comments",
        on_footer=False,
    ),
    Action(
        "edit_session",
        "D",
        "day",
        "correct the day: title, facility, stated repeatability, named speeds; session.toml keeps its comments",
        on_footer=False,
    ),
    *STEPS,
    TYPED,
    PLACE,
    Action("fold", "f", "fold", "one row a configuration, or every reading", on_footer=False),
    Action("next_chart", "c", "chart", "draw the next quantity against speed"),
    Action("filter", "slash", "filter", "show only rows with these words", shown_key="/", on_footer=False),
    Action("sort", "s", "sort", "sort by the next column; a click on a head does too", on_footer=False),
    Action("turn_sort", "S", "turn sort", "turn the order round", on_footer=False),
    Action("detail", "d", "detail", "everything about the picked run; Enter does too"),
    Action("notes", "n", "notes", "what was assumed, what is unlikely, cautions"),
    Action("copy", "y", "copy", "copy the table as text", on_footer=False),
    Action("reload", "r", "read again", "read the day's files once more", on_footer=False),
)
