"""What a part did to downforce and drag, by its class: in a column, in full, and as the deed of a sentence."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from balance.compare.classes import PartClass
from balance.model.kinds import with_unit
from balance.tell.parts.column_text import (
    only_columns,
    places_for,
    resolved_columns,
    resolved_words,
    signed_figure,
)

if TYPE_CHECKING:
    from balance.decide.parts.parts import Parts


class Deed(NamedTuple):
    """What a part of one class did: in a column of 14 cells, where there is room, and as the deed of a sentence."""

    column: str
    in_full: str
    deed: str


NOTHING = "stays within noise"
_MOVES = "moves load {way}: front {{front}}, rear {{rear}}; {{no_load}}; drag {{drag}}"
_READS = "reads {total} of downforce and {drag} of drag, but "
DEEDS = {
    PartClass.GAINS_FOR_A_PRICE: Deed("+DF +drag", "more downforce, more drag", "adds {load} and {cost}"),
    PartClass.GAINS_AND_SAVES: Deed(
        "+DF −drag", "more downforce, less drag", "adds {load} and takes off {cost}"
    ),
    PartClass.SHEDS_FOR_A_SAVING: Deed(
        "−DF −drag", "less downforce, less drag", "takes off {load} and {cost}"
    ),
    PartClass.LOSES_AND_COSTS: Deed(
        "−DF +drag", "less downforce, more drag", "takes off {load} and adds {cost}"
    ),
    PartClass.GAINS_AT_NO_MEASURED_COST: Deed(
        "+DF ~drag", "more downforce, drag within noise", "adds {load}; {no_cost}"
    ),
    PartClass.LOSES_AT_NO_MEASURED_SAVING: Deed(
        "−DF ~drag", "less downforce, drag within noise", "takes off {load}; {no_cost}"
    ),
    PartClass.COSTS_FOR_NO_MEASURED_GAIN: Deed(
        "~DF +drag", "more drag, downforce within noise", "adds {cost}; {no_load}"
    ),
    PartClass.SAVES_AT_NO_MEASURED_LOSS: Deed(
        "~DF −drag", "less drag, downforce within noise", "takes off {cost}; {no_load}"
    ),
    PartClass.MOVES_LOAD_FORWARD: Deed(
        "load forward", "load forward, total within noise", _MOVES.format(way="forward")
    ),
    PartClass.MOVES_LOAD_REARWARD: Deed(
        "load rearward", "load rearward, total within noise", _MOVES.format(way="rearward")
    ),
    PartClass.LESS_THAN_SHOWN: Deed("within noise", "within noise", f"{NOTHING}: {{no_load}}; {{no_cost}}"),
    PartClass.SCATTER_UNKNOWN: Deed(
        "noise unknown",
        "noise unknown",
        f"{_READS}noise is unknown and nothing is significant: run the baseline again",
    ),
    PartClass.REFIT_ASSUMED: Deed(
        "refit assumed", "refitting assumed", f"{_READS}nothing was fitted twice: refit the baseline"
    ),
    PartClass.REPEAT: Deed(
        "repeat", "repeat", "differs by repeatability and drift alone: downforce {total}, drag {drag}"
    ),
}
"""What a part of each class did, in words; the deeds wait for the figures of the part."""


def part_effect(parts: Parts, row: int) -> str:
    """State what a part of a day did in few characters.

    Where loads and drag are within noise and a compared column is not, that column's change stands with them: a
    part bought for its cooling would look like nothing else.
    """
    part_class, by_axle = parts.increments.classes[row]
    if only_columns(parts, row):
        first, *more = resolved_columns(parts, row)
        one, change = parts.columns[first].column, parts.columns[first].of(row)
        figure = with_unit(signed_figure(change.change, places_for(change.std)), one.unit)
        return f"~loads, {figure}{' …' if more else ''}"
    return effect(part_class, by_axle)


def part_effect_in_full(parts: Parts, row: int) -> str:
    """State what a part of a day did where there is room; compared columns too, where it did nothing else."""
    if only_columns(parts, row):
        return "; ".join(("loads within noise", *resolved_words(parts, row, interval=False)))
    return effect_in_full(*parts.increments.classes[row])


def effect(part_class: PartClass, by_axle: str | None) -> str:
    """State what a part did in few characters; of one axle, where the total is within noise."""
    text = DEEDS[part_class].column
    return text if by_axle in (None, "both") else text.replace("DF", str(by_axle))


def effect_in_full(part_class: PartClass, by_axle: str | None) -> str:
    """State what a part did where there is room; of one axle, where the total is within noise."""
    text = DEEDS[part_class].in_full
    if by_axle in (None, "both"):
        return text
    return text.replace("downforce", f"downforce at the {by_axle}, total within noise", 1)
