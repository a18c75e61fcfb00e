"""Every action of the interface, once: its key, its words on the footer, and what help says of it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tui.host.action import Action
from tui.host.day_actions import (
    CHOOSING,
    CONFLICT,
    CORRECT,
    DAY,
    EDIT_FILE,
    ENTRY,
    IMPORT,
    NEW_FILE,
    TRAY,
    UNDOING,
)
from tui.host.decide_actions import DECIDE, PAGES
from tui.host.report_actions import BRIEF, BRIEF_PAGE
from tui.host.speed_actions import PLACE, STEPS, TYPED

if TYPE_CHECKING:
    from collections.abc import Iterable

    from textual.binding import BindingType

APP = (
    Action(id="runs", key="1", label="runs", help="the runs of the day", group="pages"),
    Action(
        id="parts",
        key="2",
        label="parts",
        help="what each part did, and whether it is real",
        group="pages",
    ),
    Action(
        id="scatter",
        key="3",
        label="scatter",
        help="what the day can show: scatter, repeats, drift",
        group="pages",
    ),
    *PAGES,
    BRIEF_PAGE,
    Action(
        id="units", key="u", label="units", help="change the units everywhere: SI, US customary, SI with kgf"
    ),
    Action(
        id="explain",
        key="question_mark",
        label="help",
        help="explain this screen: keys, columns, terms",
        shown_key="?",
    ),
    Action(id="choose", key="o", label="open", help="open another session", on_footer=False),
    Action(
        id="sunlight",
        key="t",
        label="theme",
        help="change between dark and black on white for sunlight",
        on_footer=False,
    ),
    Action(
        id="picture", key="w", label="picture", help="save a picture of this screen (SVG)", on_footer=False
    ),
    *UNDOING,
    Action(id="leave", key="q", label="quit", help="leave", on_footer=False),
)
HOME = (
    *DAY,
    *STEPS,
    TYPED,
    PLACE,
    Action(
        id="fold",
        key="f",
        label="fold",
        help="fold repeats into one row a configuration, or show every run",
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
    Action(
        id="reload", key="r", label="read again", help="read the session's files once more", on_footer=False
    ),
)
CLOSE = (Action(id="close", key="escape", label="back", help="go back", shown_key="esc"),)
ASK_BASELINE = (
    Action(
        id="mark",
        key="space",
        label="first of two",
        help="mark one of two baselines around the run; Enter then chooses the other",
    ),
    *CLOSE,
)
PARTS = (
    *STEPS,
    PLACE,
    Action(id="rank", key="s", label="order", help="put the parts in order of the next quantity"),
    Action(id="baseline", key="b", label="baseline", help="choose what the picked run is compared with"),
    Action(id="drift", key="k", label="drift", help="take the drift out of the changes, or leave it in"),
    Action(
        id="next_picture",
        key="c",
        label="chart",
        help="the map of downforce against drag, or the way from the first baseline part by part",
    ),
    Action(id="detail", key="d", label="detail", help="everything about the picked part; Enter does too"),
    Action(id="copy", key="y", label="copy", help="copy the parts as text", on_footer=False),
    Action(
        id="close", key="escape", label="runs", help="go back to the runs", shown_key="esc", on_footer=False
    ),
)
SCATTER = (
    Action(id="next_quantity", key="c", label="quantity", help="total, front, rear, drag: the next one"),
    Action(id="copy", key="y", label="copy", help="copy the scatter as text", on_footer=False),
    Action(
        id="close", key="escape", label="runs", help="go back to the runs", shown_key="esc", on_footer=False
    ),
)
CHOOSER = (
    Action(
        id="type_path", key="slash", label="type a path", help="type the folder of a session", shown_key="/"
    ),
    *CHOOSING,
    *CLOSE,
)
FAULTS = (
    Action(id="read_again", key="r", label="read again", help="read the files once more, after mending them"),
    *CLOSE,
)


def bindings(actions: Iterable[Action]) -> list[BindingType]:
    """Make the bindings of some actions."""
    return [action.binding() for action in actions]


SCREENS = {
    "home": HOME,
    "chooser": CHOOSER,
    "faults": FAULTS,
    "detail": CLOSE,
    "notes": CLOSE,
    "help": CLOSE,
    "askspeed": CLOSE,
    "parts": PARTS,
    "part": CLOSE,
    "scatter": SCATTER,
    "askbaseline": ASK_BASELINE,
    "entry": ENTRY,
    "correct": CORRECT,
    "pick": CLOSE,
    "asktext": CLOSE,
    "live": TRAY,
    "conflict": CONFLICT,
    "newfile": NEW_FILE,
    "editfile": EDIT_FILE,
    "importing": IMPORT,
    "brief": BRIEF,
    **DECIDE,
}
"""The actions of each screen, by its name in small letters."""
