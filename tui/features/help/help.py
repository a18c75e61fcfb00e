"""Help on the present screen: its keys, its columns, the terms on it, all from the one vocabulary."""

from __future__ import annotations

from textwrap import wrap
from typing import TYPE_CHECKING, Any

from balance.model.glossary import terms
from balance.tell.glossary_text import entry_text
from tui.host.actions import actions_of
from tui.host.state_sheet import StateSheet
from tui.widgets.sheet import Sheet

if TYPE_CHECKING:
    from collections.abc import Iterable

    from textual.screen import Screen

    from balance.tell.table import Column
    from tui.host.state import State

_TERMS = (
    "aero_balance",
    "balance_offset",
    "front_added_load",
    "grip_surplus",
    "neutral_steer_shift",
    "tolerance",
    "onset_speed",
)
_PART_TERMS = (
    "part_class",
    "cost_ratio",
    "downforce_to_drag",
    "resolved",
    "smallest_detectable_difference",
    "proposed_baseline",
    "untouched_repeats",
    "suspect",
    "increments_map",
    "interaction",
    "waterfall",
    "drift",
)
_WING_TERMS = (
    "trim",
    "target_surplus",
    "balance_offset",
    "useful_range",
    "stall",
    "sweep",
    "grip_surplus",
    "tolerance",
    "interval",
    "downforce",
)
_WHAT_IF_TERMS = (
    "increment",
    "front_added_load",
    "grip_surplus",
    "neutral_steer_shift",
    "onset_speed",
    "stiffness_load_exponent",
    "grip_load_exponent",
    "interval",
)
_DAY_TERMS = (
    "run",
    "configuration",
    "setting",
    "expected_reading",
    "as_expected",
    "repeat",
    "baseline",
    "block",
    "suspect",
    "void",
)
_FILE_TERMS = (
    "front_weight_share",
    "tolerance",
    "target_surplus",
    "stiffness_load_exponent",
    "grip_load_exponent",
    "static_margin",
    "repeatability",
    "degrees_of_freedom",
)
_PLAN_TERMS = (
    "plan_of_the_day",
    "next_run",
    "expected_reading",
    "as_expected",
    "worth",
    "merit",
    "changes_choice",
    "wanted_run",
    "drift",
    "smallest_detectable_difference",
    "run_sheet",
)
_TRACK_TERMS = (
    "lap_time",
    "seconds_a_lap",
    "limited_by",
    "slowest_speed",
    "without_air",
    "fastest_speed",
    "corner",
    "straight",
    "exchange_rate",
    "tyre_friction",
    "range_verdict",
    "resolved",
)
_LIBRARY_TERMS = (
    "library",
    "mean_of_cars",
    "next_car",
    "between_cars",
    "fact_of_car",
    "cost_ratio",
    "interval",
    "resolved",
    "suspect",
)
_SCREEN_TERMS = {
    "newfile": _FILE_TERMS,
    "editfile": _FILE_TERMS,
    "entry": _DAY_TERMS,
    "correct": _DAY_TERMS,
    "live": _DAY_TERMS,
    "conflict": _DAY_TERMS,
    "importing": _DAY_TERMS,
    "wing": _WING_TERMS,
    "whatifs": _WHAT_IF_TERMS,
    "compared": _WHAT_IF_TERMS,
    "plan": _PLAN_TERMS,
    "track": _TRACK_TERMS,
    "lapsheet": _TRACK_TERMS,
    "librarypage": _LIBRARY_TERMS,
    "partsheet": _LIBRARY_TERMS,
    "brief": ("baseline", "configuration", "cost_ratio", "aero_balance", "grip_surplus", "sweep", "interval"),
    "compare": ("front_added_load", "rear_added_load", "grip_surplus", "range_verdict"),
    "parts": _PART_TERMS,
    "part": _PART_TERMS,
    "askbaseline": ("baseline", "proposed_baseline", "package"),
    "scatter": (
        "repeatability",
        "repeat",
        "untouched_repeats",
        "degrees_of_freedom",
        "least_significant_difference",
        "smallest_detectable_difference",
        "drift",
        "block",
    ),
}
"""Terms of screens that have their own; the others have those above."""

_LINE = (
    "figures first, in the order and the units of the columns named below the line, with the sign that they name",
    "then pairs: the beginning of a column's name and its figure or text, wing 4; off takes a setting off",
    'text of several words stands in double quotation marks: note "tufts on"',
    "repeat in place of the pairs says that nothing was changed",
    "→ takes the completion offered; Tab goes to the fields, where the same run can be typed field by field",
    "! is a doubt: it warns, and refuses nothing",
)
_FIGURES = (
    "figures with their unit, in any unit of the right kind: 1290 kg or 2844 lb; a wrong one is said at once",
    "weights: total and front weight share, or four corner weights, from which both follow",
    "tyres of two kinds: an exponent of each axle as { front = 0.7, rear = 0.8 }",
    "named speeds: any number of them in one line, with commas between: fast left 185 km/h, crest 115 mph",
)
_CAR_AND_DAY = (
    *_FIGURES,
    "forces as read are at each run's own speed and air; restated: the facility corrected them to its speed and density",
    "floor: fixed, moving or road; it is stated beside the figures, which are taken as they stand",
    "lift or downforce: what the facility's figures count positive; it stands in the heads of runs.csv",
    "set on the car: what you change, wing_angle [deg], vents; measured: what comes of it, which tells no runs apart",
)
_FILE = (
    *_FIGURES,
    "an emptied field is not stated any more: its line stays in the file as a comment; a named speed emptied goes",
    "before anything is written the whole day is read as it would be, and faults are listed then",
    "comments, order and everything else in the file stay as they are; U takes a save back like any other step",
)
_MARGIN = 12
"""Cells of frame, bar and gap beside the words on a key."""
_HOW = {"entry": _LINE, "correct": _LINE[1:3], "newfile": _CAR_AND_DAY, "editfile": _FILE}
"""What is typed on a screen, line by line."""


class Help(StateSheet):
    """Explains the screen it was called from."""

    def __init__(self, screen: Screen[Any]) -> None:
        super().__init__()
        self._screen, self._actions = type(screen).__name__.lower(), actions_of(screen)

    def show_state(self, state: State) -> None:
        """Fill the sheet: keys, columns, terms."""
        lines = []
        for heading, keys in self._keys():
            lines += [(heading, "heading"), *((text, "") for text in keys)]
        tables = {
            "home": state.table,
            "parts": state.parts.table(state.units, wide=state.wide),
        }
        table = tables.get(self._screen)
        if table is not None:
            lines += [("Columns", "heading"), *((text, "") for text in _columns(table.columns))]
        if self._screen in _HOW:
            lines += [("How it is typed", "heading"), *((text, "") for text in _HOW[self._screen])]
        known = terms()
        terms_of = _SCREEN_TERMS.get(self._screen, _TERMS)
        lines.append(("Terms", "heading"))
        for key in terms_of:
            name, _, rest = entry_text(known[key]).partition("\n")
            lines += [(name, "strong"), (f"{rest}\n", "")]
        lines.append(("'axletrim explain TERM' explains any other.", ""))
        self.query_one(Sheet).show(lines)

    def _keys(self) -> list[tuple[str, list[str]]]:
        """List the keys of this page, and those that mean the same on every page."""
        typed = self._screen in _HOW  # where a letter is a letter
        own = [(action.shown_key or action.key, action.help) for action in self._actions]
        every = (
            [] if typed else [(action.shown_key or action.key, action.help) for action in self.app.ACTIONS]
        )
        every += [("ctrl+p", "every action by name"), ("ctrl+q", "leave, from anywhere")]
        width = max(len(key) for key, _ in (*own, *every))
        room, indent = max(self.app.size.width - _MARGIN - width, 20), " " * (width + 2)
        return [
            (
                heading,
                [
                    f"{key.ljust(width)}  {f'{chr(10)}{indent}'.join(wrap(words, room))}"
                    for key, words in keys
                ],
            )
            for heading, keys in (("Keys on this page", own), ("Keys on every page", every))
        ]


def _columns(columns: Iterable[Column]) -> list[str]:
    """State what each column holds, with unit and sign; columns of one term are explained once."""
    known = terms()
    titles: dict[tuple[str, str], list[str]] = {}
    for column in columns:
        if column.term in known:
            unit = f" [{column.unit}]" if column.unit and column.term != "setting" else ""
            titles.setdefault((column.term, unit), []).append(column.title)
    said = []
    for (key, unit), named in titles.items():
        term = known[key]
        title = "settings" if key == "setting" else ", ".join(named)
        sign = "" if term.sign in ("", "none") else f" Sign: {term.sign}."
        said.append(f"{title}{unit}: {term.short}{sign}")
    return said
