"""What a part did to downforce and drag: its class in a column, and in full."""

from __future__ import annotations

from balance.compare.classes import PartClass

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
