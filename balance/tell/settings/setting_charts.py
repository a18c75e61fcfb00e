"""Charts of a car over its setting: what is aimed at, or a load, with the useful range and the answer marked."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from balance.decide.settings.response import RangeEnd
from balance.model.channels import CHANNELS
from balance.model.kinds import unit_mark
from balance.tell.chart_parts import Chart, HorizontalBand, HorizontalLine, Series, VerticalMark
from balance.tell.figures import number
from balance.tell.parts.change_text import quantity_of
from balance.tell.settings.setting_words import setting_decimals

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from balance.decide.settings.suggestion import Suggestion
    from balance.tell.figures import Show

SETTING_CHARTS = ("aim", *CHANNELS)
"""What is drawn over the setting, in the order in which a key goes through it."""


def setting_chart(suggestion: Suggestion, kind: str, show: Show) -> Chart:
    """Lay out the chart of a quantity over the setting."""
    whole, curve = suggestion.answers.answer, suggestion.curve
    response = whole.moved.response
    family = response.family
    title, unit, values, low, high, level, bands = _content(suggestion, kind, show)
    useful = curve.useful
    tested = np.isin(curve.values, family.values)
    name = family.setting.replace("_", " ")
    marks = []
    best = suggestion.answer
    if best is not None:
        at = number(best.value, setting_decimals(best.low, best.high))
        word = "answer" if whole.solutions else "nearest"
        marks.append(VerticalMark(best.value, f"{word} {at}", "|"))
    marks.append(VerticalMark(whole.moved.start, f"now {whole.moved.start:g}", "○"))
    if response.ends_because is not RangeEnd.LAST_TESTED:
        marks.append(
            VerticalMark(response.loaded_end, "stalled: not offered" if family.stalls else "not offered", "×")
        )
    x = curve.values
    series = [
        Series(
            x[useful].tolist(),
            values[useful].tolist(),
            "useful range",
            low=None if low is None else low[useful].tolist(),
            high=None if high is None else high[useful].tolist(),
        ),
        Series(x[tested & useful].tolist(), values[tested & useful].tolist(), "tested", mark="dots"),
    ]
    driven = curve.handling.grip_surplus_driven
    if kind == "aim" and unit == "%" and driven is not None and whole.before.vehicle.driven != "front":
        series.insert(1, Series(x[useful].tolist(), (driven.value[useful] * 100.0).tolist(), "under power"))
    if np.any(~useful):
        series.append(Series(x[~useful].tolist(), values[~useful].tolist(), "tested, past it", mark="dots"))
    return Chart(
        title=f"{title} at {show.speed(whole.speed)}",
        x_label=name,
        x_unit=unit_mark(family.unit),
        y_unit=unit,
        series=series,
        lines=level,
        bands=bands,
        marks=marks,
        x_range=(response.tested[0], response.tested[1]),
    )


Content = tuple[
    str,
    str,
    "NDArray[np.float64]",
    "NDArray[np.float64] | None",
    "NDArray[np.float64] | None",
    list[HorizontalLine],
    list[HorizontalBand],
]


def _content(suggestion: Suggestion, kind: str, show: Show) -> Content:
    """Choose values, interval and levels."""
    whole, handling = suggestion.answers.answer, suggestion.curve.handling
    if kind != "aim":
        k = CHANNELS.index(kind)
        n = handling.nominal
        forces = (n.front_downforce, n.rear_downforce, n.drag)[k] / show.system.unit("force").scale
        return quantity_of(k), show.unit("force"), forces, None, None, [], []
    if whole.aim.kind == "balance_offset":
        offset = handling.balance_offset * 100.0
        share = handling.aero_balance
        shift = offset - share.value * 100.0
        low, high = share.low * 100.0 + shift, share.high * 100.0 + shift
        known = bool(np.any(np.isfinite(low)))
        line = HorizontalLine(whole.aim.target * 100.0, "target")
        title = "balance offset, minus is rearward"
        return title, "%-pt", offset, low if known else None, high if known else None, [line], []
    surplus, target = handling.grip_surplus, whole.before.vehicle.target
    known = bool(np.any(np.isfinite(surplus.low)))
    band = HorizontalBand(-target.front_tolerance * 100.0, target.rear_tolerance * 100.0, "limits")
    return (
        "grip balance, rear over front",
        "%",
        surplus.value * 100.0,
        surplus.low * 100.0 if known else None,
        surplus.high * 100.0 if known else None,
        [HorizontalLine(whole.aim.target * 100.0, "target")],
        [band],
    )
