"""Start and what-if against speed, as two series of one chart."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from balance.model.errors import UnknownName
from balance.tell.runs.curves import CHARTS, against_speed, drawn, place_marks

if TYPE_CHECKING:
    from balance.decide.day.estimate import HandlingEstimates
    from balance.decide.what_if.what_if import WhatIfCurve, WhatIfResult
    from balance.model.records import Place
    from balance.tell.chart_parts import Chart, Series
    from balance.tell.figures import Show

_START = "start"


def what_if_chart(
    result: WhatIfResult, curve: WhatIfCurve, kind: str, places: tuple[Place, ...], show: Show
) -> Chart:
    """Lay out the chart of a quantity against speed."""
    if kind not in CHARTS:
        raise UnknownName("chart", kind, CHARTS)
    series: list[Series] = []
    for name, state, handling in (
        (_START, result.start, curve.start),
        ("what if", result.result, curve.result),
    ):
        made, lines, bands, y_unit = drawn(
            kind, _Held(handling), state.vehicle, curve.speeds, show, name=name, banded=name != _START
        )
        series += made
    return against_speed(kind, (series, lines, bands, y_unit), curve.speeds, place_marks(places, show), show)


@dataclass(frozen=True, slots=True, eq=False)
class _Held:
    handling: HandlingEstimates
