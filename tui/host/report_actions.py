"""The actions by which the customer's page is put together; `tui.host.actions` has all the others."""

from __future__ import annotations

from tui.host.action import Action
from tui.host.day_actions import HELP

BRIEF_PAGE = Action(
    id="brief",
    key="B",
    label="brief",
    help="the customer's page: what it holds, your own words, and writing it",
    on_footer=False,
)
BRIEF = (
    Action(
        id="write",
        key="w",
        label="write the page",
        help="write brief.html into the session's folder, over the last one",
    ),
    Action(
        id="turn",
        key="space",
        label="in or out",
        help="put the section or the what-if under the cursor in, or leave it out",
    ),
    Action(
        id="raise",
        key="left_square_bracket",
        label="up",
        help="move the section under the cursor up",
        shown_key="[",
        group="move",
    ),
    Action(
        id="lower",
        key="right_square_bracket",
        label="down",
        help="move the section under the cursor down",
        shown_key="]",
        group="move",
    ),
    Action(id="edit", key="e", label="fields", help="type title, runs, parts, units and speed"),
    Action(
        id="words",
        key="m",
        label="own words",
        help="type your own words under the section in Markdown; Enter does too",
    ),
    Action(
        id="close",
        key="escape",
        label="back",
        help="leave the field; else go back to the runs. What was typed is kept",
        shown_key="esc",
    ),
    HELP,
)
