"""What can be done on the screen of the runs."""

from __future__ import annotations

from tui.host.actions import Action
from tui.host.speed_actions import PLACE, STEPS, TYPED

HOME = (
    Action(id="add_run", key="a", label="add", help="enter a run: in one line, or field by field"),
    Action(
        id="this_run",
        key="e",
        label="edit",
        help="correct, copy or mark the picked run, start a block at it, move its baseline",
    ),
    Action(
        id="correct",
        key="E",
        label="correct",
        help="correct the figures and settings of the picked run",
        on_footer=False,
    ),
    Action(
        id="copy_run",
        key="x",
        label="run it again",
        help="enter a run that starts from the picked one",
        on_footer=False,
    ),
    Action(
        id="mark",
        key="m",
        label="mark",
        help="mark runs suspect or void, with a reason, or good again",
        on_footer=False,
    ),
    Action(
        id="block",
        key="k",
        label="block",
        help="start a new block at the picked run: repair, re-zero, refit, weighing",
        on_footer=False,
    ),
    Action(
        id="baseline",
        key="b",
        label="baseline",
        help="choose the run that the picked one is compared with; runs.csv keeps it",
        on_footer=False,
    ),
    Action(
        id="live",
        key="l",
        label="live file",
        help="watch a file that another computer adds to, and look at its rows",
        on_footer=False,
    ),
    Action(
        id="import_file",
        key="i",
        label="import",
        help="bring in a table of runs that somebody else made",
        on_footer=False,
    ),
    Action(
        id="edit_car",
        key="C",
        label="car",
        help="correct the car: weights, size, drive, tyres, limits; vehicle.toml keeps its comments",
        on_footer=False,
    ),
    Action(
        id="edit_session",
        key="D",
        label="day",
        help="correct the day: title, facility, stated repeatability, named speeds; session.toml keeps its comments",
        on_footer=False,
    ),
    *STEPS,
    TYPED,
    PLACE,
    Action(
        id="fold",
        key="f",
        label="fold",
        help="one row a configuration, or every reading",
        on_footer=False,
    ),
    Action(id="next_chart", key="c", label="chart", help="draw the next quantity against speed"),
    Action(
        id="filter",
        key="slash",
        label="filter",
        help="show only rows with these words",
        shown_key="/",
        on_footer=False,
    ),
    Action(
        id="sort",
        key="s",
        label="sort",
        help="sort by the next column; a click on a head does too",
        on_footer=False,
    ),
    Action(id="turn_sort", key="S", label="turn sort", help="turn the order round", on_footer=False),
    Action(id="detail", key="d", label="detail", help="everything about the picked run; Enter does too"),
    Action(id="notes", key="n", label="notes", help="what was assumed, what is unlikely, cautions"),
    Action(id="copy", key="y", label="copy", help="copy the table as text", on_footer=False),
    Action(id="reload", key="r", label="read again", help="read the day's files once more", on_footer=False),
)
