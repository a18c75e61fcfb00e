"""The actions by which settings, what-ifs and two cars side by side are looked at; `tui.host.actions` has all the others."""

from __future__ import annotations

from dataclasses import replace

from tui.host.action import Action
from tui.host.speed_actions import PLACE, STEPS

PAGES = (
    Action(
        id="wing",
        key="4",
        label="wing",
        help="what a wing or another setting should be put to, after a change or as the car stands",
        group="pages",
    ),
    Action(
        id="what_if",
        key="5",
        label="what-if",
        help="what the car would be like with other parts, loads, weights, air or speed",
        group="pages",
    ),
    Action(
        id="compare",
        key="6",
        label="compare",
        help="any two configurations side by side in large type; it opens on the recommendation against the start",
        group="pages",
    ),
)
_BACK = Action(
    id="close", key="escape", label="back", help="leave the field; else go back to the runs", shown_key="esc"
)
WING = (
    Action(id="ask", key="e", label="ask", help="type the question: run, setting, changes, target"),
    Action(
        id="pick_run", key="r", label="run", help="pick the present configuration among the runs of a sweep"
    ),
    Action(id="pick_setting", key="s", label="setting", help="pick the setting that is to be moved"),
    Action(id="pick_part", key="m", label="part", help="put a measured part on, or leave it off again"),
    Action(
        id="afresh",
        key="x",
        label="afresh",
        help="empty all fields: the picked run as it stands",
        on_footer=False,
    ),
    *STEPS,
    PLACE,
    Action(id="next_chart", key="c", label="chart", help="target quantity, front, rear, drag: the next one"),
    Action(id="copy", key="y", label="copy", help="copy the whole answer as text", on_footer=False),
    _BACK,
)
WHAT_IF = (
    Action(
        id="more", key="plus,equals_sign,right", label="more", help="one step up", shown_key="+", group="step"
    ),
    Action(id="less", key="minus,left", label="less", help="one step down", shown_key="-", group="step"),
    Action(id="type", key="e", label="type", help="type the figure under the cursor; Enter does too"),
    Action(id="add", key="a", label="add", help="add a part, a stated change, a force or a mass"),
    Action(
        id="clear", key="x,delete", label="clear", help="bring back to the start what stands under the cursor"
    ),
    Action(id="undo", key="U,ctrl+z", label="undo", help="take the last step back", shown_key="U"),
    Action(id="redo", key="R,ctrl+y", label="redo", help="do again what was taken back", on_footer=False),
    Action(id="save", key="s", label="save", help="save this what-if under a name, in what_if.toml"),
    Action(id="reopen", key="l", label="open saved", help="open a saved what-if", on_footer=False),
    Action(id="beside", key="k", label="compare", help="set up to four what-ifs side by side"),
    Action(id="next_chart", key="c", label="chart", help="draw the next quantity against speed"),
    Action(id="afresh", key="n", label="afresh", help="start again from the picked run", on_footer=False),
    replace(PLACE, group="", on_footer=False),
    Action(id="copy", key="y", label="copy", help="copy the what-if as text", on_footer=False),
    replace(_BACK, on_footer=False),
)
COMPARED = (
    Action(
        id="choose", key="k", label="choose", help="put a saved what-if beside the others, or take it away"
    ),
    Action(id="close", key="escape", label="back", help="go back to the what-if", shown_key="esc"),
)
COMPARE = (
    Action(
        id="pick_left",
        key="b",
        label="left",
        help="pick the configuration on the left: what is compared with",
    ),
    Action(
        id="pick_right",
        key="enter",
        label="right",
        help="pick the configuration on the right",
        shown_key="Enter",
    ),
    Action(
        id="next_pair",
        key="right,down",
        label="next",
        help="put the day's next configuration on the right",
        shown_key="→",
    ),
    Action(
        id="previous_pair",
        key="left,up",
        label="previous",
        help="put the one before on the right",
        shown_key="←",
        on_footer=False,
    ),
    *STEPS,
    PLACE,
    Action(
        id="close", key="escape", label="runs", help="go back to the runs", shown_key="esc", on_footer=False
    ),
)
DECIDE = {"wing": WING, "whatifs": WHAT_IF, "compared": COMPARED, "compare": COMPARE}
"""The actions of each screen, by its name in small letters."""
