"""The card of the picked run: verdict first, then why, then from which speed."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from balance.tell.figures import percent
from balance.tell.runs.doubt_words import DOUBT_MARK, reading_doubts
from balance.tell.runs.range_words import range_line, range_mark, range_role, range_sentence
from balance.tell.runs.row_names import row_title
from balance.tell.words import explanation, grip_words, margin_caution

if TYPE_CHECKING:
    from balance.decide.day.assessment import Assessment
    from balance.tell.figures import Show


class AddedLoad(NamedTuple):
    """One axle's bar: share of its weight at rest that the air adds, with what is written beside it."""

    axle: str
    share: float
    text: str
    lift: bool


class Card(NamedTuple):
    """What the card of a run says."""

    title: str
    headline: str
    role: str
    bars: tuple[AddedLoad, AddedLoad]
    why: str
    why_brief: str
    onset: str
    caution: str = ""
    """What has to be said of the car itself, whatever the air does; empty where nothing has."""
    doubted: tuple[str, ...] = ()
    """Doubts of the readings that the figures rest on."""


def run_card(table: Assessment, row: int, show: Show) -> Card:
    """Make the card of a run."""
    run, verdict, over = table.runs[row], table.handling.verdicts[row], table.ranges[row]
    n = table.handling.nominal
    labels = [table.day.readings.labels[one] for one in table.day.rows.members[table.rows[row]]]
    fitted = ", ".join(
        f"{name.replace('_', ' ') if setting.numeric else name} {setting.text}"
        for name, setting in run.settings.items()
    )
    bars = [
        AddedLoad(
            axle=axle,
            share=float(share),
            text=f"{percent(float(share))}{' LIFT' if share < 0 else ''} ({show.quantity('force', abs(float(force)))})",
            lift=bool(share < 0),
        )
        for axle, share, force in (
            ("front", n.front_added_load[row], n.front_downforce[row]),
            ("rear", n.rear_added_load[row], n.rear_downforce[row]),
        )
    ]
    return Card(
        title=f"{row_title(table, row)}" + (f": {fitted}" if fitted else ""),
        headline=f"{range_mark(over)} {range_sentence(over, table.day.session.vehicle, show, day=table.day)}",
        role=range_role(over),
        bars=(bars[0], bars[1]),
        why_brief=grip_words(verdict, table.day.session.vehicle.target, show.speed(table.speed)),
        why=explanation(verdict, table.speed, table.day.session.vehicle.target, show),
        onset=f"{range_line(over, show)}.",
        caution=margin_caution(table.day.session.vehicle.static_margin),
        doubted=tuple(f"{DOUBT_MARK} {one}" for one in reading_doubts(table.day, show, of=labels)),
    )
