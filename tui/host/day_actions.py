"""The actions by which a day is entered and corrected; `tui.host.actions` has all the others."""

from __future__ import annotations

from tui.host.action import Action

HELP = Action(
    id="app.explain", key="f1", label="help", help="explain this screen, also while something is typed"
)
UNDOING = (
    Action(
        id="undo",
        key="U,ctrl+z",
        label="undo",
        help="take the last step of the day back, over restarts as well",
        on_footer=False,
    ),
    Action(
        id="redo", key="R,ctrl+y", label="redo", help="do again what was taken back last", on_footer=False
    ),
    Action(
        id="save_again",
        key="f5",
        label="save again",
        help="save once more, after a full or read-only disk was mended",
        on_footer=False,
    ),
)
DAY = (
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
        help="bring a table of runs of somebody else's into a session",
        on_footer=False,
    ),
    Action(
        id="edit_car",
        key="C",
        label="car",
        help="correct the car: weights, size, drive, tyres, band; vehicle.toml keeps its comments",
        on_footer=False,
    ),
    Action(
        id="edit_session",
        key="D",
        label="session",
        help="correct the day: title, facility, stated scatter, places; session.toml keeps its comments",
        on_footer=False,
    ),
)
ENTRY = (
    Action(id="save", key="f10", label="save", help="save the run; Enter does too", shown_key="enter"),
    Action(
        id="changed",
        key="f2",
        label="what changed?",
        help="pick the one thing that was changed, then type its figure",
    ),
    Action(id="repeat", key="f3", label="repeat", help="nothing was changed since the last run"),
    Action(id="new_column", key="f6", label="new setting", help="add a column for a setting not there yet"),
    Action(
        id="new_block",
        key="f7",
        label="new block",
        help="this run begins a new block: repair, re-zero, refit, weighing",
        on_footer=False,
    ),
    Action(id="afresh", key="f8", label="afresh", help="drop what is typed and begin anew", on_footer=False),
    Action(
        id="correct_last",
        key="f4",
        label="last run",
        help="correct the last run of the day",
        on_footer=False,
    ),
    Action(
        id="close",
        key="escape",
        label="runs",
        help="go back to the runs; what is half typed is kept",
        shown_key="esc",
    ),
    HELP,
)
CORRECT = (
    Action(
        id="save", key="f10", label="save", help="save the corrections; Enter does too", shown_key="enter"
    ),
    Action(
        id="close",
        key="escape",
        label="runs",
        help="go back and leave the run as it is; what was typed is asked about",
        shown_key="esc",
    ),
    HELP,
)
TRAY = (
    Action(id="choose", key="enter", label="take", help="make the row a run, or decide on a correction"),
    Action(
        id="finished",
        key="f",
        label="file is finished",
        help="take the last row as complete although its line has no end",
    ),
    Action(
        id="columns",
        key="m",
        label="columns",
        help="say which column of the file is which of the session, its unit and its sign, and the decimal mark",
    ),
    Action(
        id="set_aside",
        key="minus",
        label="set aside",
        help="set the row aside as no run, with a reason: a tare, an average, an aborted run; U takes it back",
        shown_key="-",
    ),
    Action(
        id="bring_back",
        key="plus,equals_sign",
        label="bring back",
        help="look at the rows that are set aside, and let one of them wait again",
        shown_key="+",
        on_footer=False,
    ),
    Action(id="watch_other", key="l", label="other file", help="watch another file"),
    Action(id="stop", key="x", label="stop watching", help="watch the file no longer"),
    Action(id="close", key="escape", label="runs", help="go back to the runs", shown_key="esc"),
)
CONFLICT = (
    Action(
        id="reload",
        key="r",
        label="take theirs",
        help="go on with what is on the disk; undo leads back to what was here",
    ),
    Action(
        id="keep_both",
        key="b",
        label="keep both",
        help="put what is here into a file of its own, and go on with what is on the disk",
    ),
    Action(
        id="close",
        key="escape",
        label="later",
        help="decide later; nothing is saved until then",
        shown_key="esc",
    ),
)
NEW_FILE = (
    Action(id="save", key="f10", label="create", help="write the files, if all is in order"),
    Action(
        id="close",
        key="escape",
        label="back",
        help="go back; nothing is written, and what was typed is asked about",
        shown_key="esc",
    ),
    HELP,
)
EDIT_FILE = (
    Action(id="save", key="f10", label="save", help="save what was changed, if all is in order"),
    Action(
        id="close",
        key="escape",
        label="back",
        help="go back; what was typed and not saved is asked about",
        shown_key="esc",
    ),
    HELP,
)
CHOOSING = (
    Action(id="new_session", key="n", label="new day", help="begin a new session of a car"),
    Action(id="new_car", key="c", label="new car", help="begin a new car, and a first session of it"),
)
IMPORT = (
    Action(id="answer", key="enter", label="answer", help="answer the question under the cursor"),
    Action(
        id="same_as_last",
        key="s",
        label="as last time",
        help="answer as for the last file with these columns",
    ),
    Action(id="write", key="f10", label="import", help="write the session, once nothing is left to ask"),
    Action(
        id="columns", key="m", label="columns", help="say which column of the file is what", on_footer=False
    ),
    Action(
        id="join",
        key="j",
        label="into the day",
        help="add the runs to the open day as one step",
        on_footer=False,
    ),
    Action(
        id="stop", key="x", label="stop", help="stop reading a long file; nothing is written", on_footer=False
    ),
    Action(id="close", key="escape", label="back", help="go back; nothing is written", shown_key="esc"),
)
