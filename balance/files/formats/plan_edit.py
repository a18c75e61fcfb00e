"""plan.toml changed key by key, run by run: its comments, its order and whatever else stands in it stay."""

from __future__ import annotations

import re
import tomllib
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, NamedTuple

from balance.files.day.durable import write_atomically
from balance.files.formats.plan import (
    FROM_LIBRARY,
    LIBRARY_KEY,
    PLAN_FILE,
    WHAT,
    Units,
    plan_from,
)
from balance.files.text_file import text_at_hand
from balance.files.toml.document import Document, read_toml
from balance.files.toml.fields import Field
from balance.files.toml.splice import cut, put
from balance.files.toml.tree import key_of, literal_of
from balance.model.errors import FileFaults, InputError, OutsideChange
from balance.model.plans import LABEL

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from pathlib import Path

    from balance.model.errors import Fault
    from balance.model.plans import DayPlan, Value, WantedRun
    from balance.model.records import Session

Key = tuple[str | int, ...]
"""Where something stands in the file, as ``("aim", "choose", "drag_worth")`` or ``("wanted", 0, "must")``."""
_HEAD = """\
# What this day is to decide, and with which runs. Everything is optional; what is absent is assumed, and said.
# Each [[wanted]] is a run that is to be made, in no order. [minutes] holds a reading, a setting from value to value, and
# by the first word of a setting's name what fitting it or taking it off takes.
"""
_ORDERS: Mapping[Key, tuple[str, ...]] = {
    (): ("hours", "minutes", "order", "aim", "wanted", "expected"),
    ("hours",): ("start", "end", "breaks"),
    ("order",): ("baseline_every",),
    ("aim",): ("choose", "know", "enough"),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanOnDisk:
    """A plan.toml as it stands: its text, and what it says or every fault of it. ``plan`` is None where there is any."""

    text: str
    plan: DayPlan | None
    faults: tuple[Fault, ...]


class KnownLine(NamedTuple):
    """A setting at a value, as a plan writes it, that a library knows; and what it says of it."""

    setting: str
    value: str
    words: str


def look_at_plan(session: Session, folder: Path) -> PlanOnDisk:
    """Read a plan for editing, faults and all; a new one where there is no file."""
    text = ""
    try:
        document, text = _read(folder)
        plan = plan_from(document, session)
    except FileFaults as found:
        return PlanOnDisk(text=text, plan=None, faults=found.faults)
    faults = tuple(document.in_order)
    return PlanOnDisk(text=text, plan=None if faults else plan, faults=faults)


def edited_plan(text: str, changes: Mapping[Key, Any]) -> str:
    r"""Change, add or take out keys of a plan; None takes one out.

    Examples
    --------
    >>> print(edited_plan('[hours]\nstart = "09:00"  # sharp\nend = "17:00"\n', {("hours", "start"): "08:30"}))
    [hours]
    start = "08:30"  # sharp
    end = "17:00"
    <BLANKLINE>
    """
    mark, plain = text[: text.startswith("\ufeff")], text.removeprefix("\ufeff")
    for key, value in changes.items():
        if value is not None:
            plain = put(plain, key, literal_of(value), _ORDERS.get(key[:-1], ()))
    for key in sorted((key for key, value in changes.items() if value is None), key=str, reverse=True):
        if _stands(plain, key):
            plain = cut(plain, key, kept=not isinstance(key[-1], int))
    return mark + plain


def with_wanted(text: str, number: int, wanted: WantedRun, units: Mapping[str, str]) -> str:
    """Add a wanted run behind the others."""
    mark, plain = text[: text.startswith("\ufeff")], text.removeprefix("\ufeff")
    table = wanted_table(wanted, units)
    pairs = ", ".join(f"{key_of(key)} = {literal_of(value)}" for key, value in table.items())
    return mark + put(plain, ("wanted", number), f"{{ {pairs} }}", list(table))


def wanted_table(wanted: WantedRun, units: Mapping[str, str]) -> dict[str, Any]:
    """Write a wanted run as the values of its table."""
    settings = {
        name: value if isinstance(value, str) else f"{value:.12g} {units.get(name, '')}".strip()
        for name, value in wanted.settings.items()
        if name != LABEL
    }
    label = {"configuration": wanted.configuration} if wanted.configuration else {}
    return {**label, **settings, **({"must": True} if wanted.must else {})}


def library_change(
    session: Session, plan: DayPlan, text: str, setting: str, value: Value, part: str | None
) -> dict[Key, Any]:
    """Let a library say what is expected of a setting at a value, in place of what is stated; None: nothing any more."""
    unit = plan.units.get(setting, "")
    key = value if isinstance(value, str) else f"{value:.12g} {unit}".strip()
    stated = tomllib.loads(text.removeprefix("\ufeff")).get("expected", {}).get(setting, {})
    units = Units(session)
    units.units |= plan.units
    same = [one for one in stated if units.read(Field(setting, "text", "60 mm"), one) == value]
    return {("expected", setting, same[0] if same else key): None if part is None else {LIBRARY_KEY: part}}


def checked_plan(session: Session, folder: Path, text: str, *, seen: str) -> tuple[str, str]:
    """Return what plan.toml holds, and the changed text once it was read without a fault.

    ``seen`` is the text that the changes were made on; a file that says otherwise by now is somebody else's change.
    """
    now = _read(folder)[1]
    if now != seen:
        raise OutsideChange(PLAN_FILE, mine=text, theirs=now)
    document = read_toml(text_at_hand(text.removeprefix("\ufeff"), PLAN_FILE), shown_as=PLAN_FILE, what=WHAT)
    plan_from(document, session)
    if document.faults:
        raise FileFaults(document.in_order)
    return now if (folder / PLAN_FILE).exists() else "", text


def _read(folder: Path) -> tuple[Document, str]:
    """Read a plan, and its text with the byte-order mark that readers leave out."""
    path = folder / PLAN_FILE
    if not path.exists():
        return Document(file=PLAN_FILE, text=_HEAD, tree={}), _HEAD
    document = read_toml(path, shown_as=PLAN_FILE, what=WHAT)
    return document, path.read_bytes().decode()


def _stands(text: str, key: Sequence[str | int]) -> bool:
    here: Any = tomllib.loads(text)
    for part in key:
        try:
            here = here[part]
        except (KeyError, IndexError, TypeError):
            return False
    return True


def create_plan(
    session: Session,
    folder: Path,
    *,
    start: str,
    end: str,
    breaks: Sequence[str],
    drag_worth: float,
    known: Sequence[KnownLine] = (),
    why_none: str = "",
) -> Path:
    """Write a plan for a day that has none, with what may be stated later as comments; never in place of one.

    ``known`` is what a library knows of the day's settings; it is proposed as comments, or ``why_none`` as one.
    """
    path = folder / PLAN_FILE
    if path.exists():
        raise InputError(f"{path}: found a plan, expected none; change it on page 8 or in an editor")
    text = new_plan(session, start=start, end=end, breaks=breaks, drag_worth=drag_worth)
    text += _from_library(known)
    if why_none:
        text += f"\n# nothing is expected from the library: {why_none}\n"
    document = read_toml(text_at_hand(text, PLAN_FILE), shown_as=PLAN_FILE, what=WHAT)
    plan_from(document, session)
    if document.faults:
        raise FileFaults(document.in_order)
    write_atomically(path, text.encode(), new=True)
    return path


def new_plan(session: Session, *, start: str, end: str, breaks: Sequence[str], drag_worth: float) -> str:
    """Write the text of a plan of which only the hours and the aim are known."""
    pairs = [[part.strip() for part in re.split("[-\u2013]", one)] for one in breaks]
    changes = [
        f"{_commented(name, minutes):<40}# {words}"
        for name, minutes, words in _changes_to_state(session.setting_names)
    ]
    return "\n".join(
        [
            _HEAD,
            "[hours]",
            f"start = {literal_of(start)}",
            f"end = {literal_of(end)}",
            f"breaks = {literal_of(pairs)}",
            "",
            "[minutes]                               # learnt from the times in runs.csv once there are some",
            '# reading = "5 min"',
            *changes,
            "",
            "[order]",
            "baseline_every = 6                      # runs; also first, after a break, and last",
            "",
            "[aim]",
            f"{f'choose = {{ drag_worth = {drag_worth:.6g} }}':<40}# in balance, the most downforce less so many times its drag",
            '# know = { downforce = "15 N", drag = "6 N" }    # or: each part to this half-width',
            '# enough = "40 N"                       # a run that is expected to gain less is not worth its minutes',
            "",
        ]
    )


def _from_library(known: Sequence[KnownLine]) -> str:
    """Propose as comments what may be expected from a library."""
    lines: list[str] = []
    for setting in dict.fromkeys(one.setting for one in known):
        lines += ["", f"# [expected.{key_of(setting)}]"]
        lines += [
            f"{f'# {literal_of(one.value)} = {literal_of(FROM_LIBRARY)}':<40}# {one.words}"
            for one in known
            if one.setting == setting
        ]
    return "".join(f"{line}\n" for line in lines)


def _commented(name: str, minutes: int) -> str:
    return f'# {name} = "{minutes} min"'


def _changes_to_state(names: Sequence[str]) -> list[tuple[str, int, str]]:
    """Return the changes whose minutes can be stated: fitting a part, and moving a setting."""
    stems = dict.fromkeys(name.partition("_")[0] for name in names)
    fits = [(stem, 10, "fit or take off") for stem in stems]
    moves = [(name, 5, "value to value") for name in names if name not in stems]
    return fits + moves
