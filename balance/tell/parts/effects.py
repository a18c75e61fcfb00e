"""What a part did to downforce and drag: its class in a column, and in full."""

from __future__ import annotations

from typing import TYPE_CHECKING

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

EFFECTS = {
    PartClass.GAINS_FOR_A_PRICE: "+DF +drag",
    PartClass.GAINS_AND_SAVES: "+DF −drag",
    PartClass.SHEDS_FOR_A_SAVING: "−DF −drag",
    PartClass.LOSES_AND_COSTS: "−DF +drag",
    PartClass.GAINS_AT_NO_MEASURED_COST: "+DF ~drag",
    PartClass.LOSES_AT_NO_MEASURED_SAVING: "−DF ~drag",
    PartClass.COSTS_FOR_NO_MEASURED_GAIN: "~DF +drag",
    PartClass.SAVES_AT_NO_MEASURED_LOSS: "~DF −drag",
    PartClass.MOVES_LOAD_FORWARD: "load forward",
    PartClass.MOVES_LOAD_REARWARD: "load rearward",
    PartClass.LESS_THAN_SHOWN: "within noise",
    PartClass.SCATTER_UNKNOWN: "noise unknown",
    PartClass.REFIT_ASSUMED: "refit assumed",
    PartClass.REPEAT: "repeat",
}
"""What a part did, in a column of 14 cells."""
EFFECTS_IN_FULL = {
    PartClass.GAINS_FOR_A_PRICE: "more downforce, more drag",
    PartClass.GAINS_AND_SAVES: "more downforce, less drag",
    PartClass.SHEDS_FOR_A_SAVING: "less downforce, less drag",
    PartClass.LOSES_AND_COSTS: "less downforce, more drag",
    PartClass.GAINS_AT_NO_MEASURED_COST: "more downforce, drag within noise",
    PartClass.LOSES_AT_NO_MEASURED_SAVING: "less downforce, drag within noise",
    PartClass.COSTS_FOR_NO_MEASURED_GAIN: "more drag, downforce within noise",
    PartClass.SAVES_AT_NO_MEASURED_LOSS: "less drag, downforce within noise",
    PartClass.MOVES_LOAD_FORWARD: "load forward, total within noise",
    PartClass.MOVES_LOAD_REARWARD: "load rearward, total within noise",
    PartClass.LESS_THAN_SHOWN: "within noise",
    PartClass.SCATTER_UNKNOWN: "noise unknown",
    PartClass.REFIT_ASSUMED: "refitting assumed",
    PartClass.REPEAT: "repeat",
}
"""What a part did, where there is room."""


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
    text = EFFECTS[part_class]
    return text if by_axle in (None, "both") else text.replace("DF", str(by_axle))


def effect_in_full(part_class: PartClass, by_axle: str | None) -> str:
    """State what a part did where there is room; of one axle, where the total is within noise."""
    text = EFFECTS_IN_FULL[part_class]
    if by_axle in (None, "both"):
        return text
    return text.replace("downforce", f"downforce at the {by_axle}, total within noise", 1)
