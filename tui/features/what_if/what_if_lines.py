"""What stands below start and result of a what-if: what it rests on, what has to be looked after, cautions."""

from __future__ import annotations

from typing import TYPE_CHECKING

from balance.tell.what_if.assumption_text import assumption_lines
from balance.tell.what_if.what_if_text import hardware_lines
from balance.tell.words import CAUTIONS

if TYPE_CHECKING:
    from balance.decide.car.prepared_day import PreparedDay
    from balance.decide.what_if.what_if import WhatIfResult
    from balance.tell.figures import Show


def rest_lines(basis: PreparedDay, result: WhatIfResult, show: Show, *, drawn: bool) -> list[tuple[str, str]]:
    """List assumptions, mounts and tyres, cautions."""
    rests = assumption_lines(result.assumptions, show) or ["none beyond the session's own"]
    lines = [("Assumptions", "heading"), *((f"· {text}", "") for text in rests)]
    hardware = hardware_lines(basis, result, show) if drawn else []
    if hardware:
        lines += [("Mounts and tyres", "heading"), *((f"· {text}", "") for text in hardware)]
    return [*lines, ("Cautions", "heading"), *((f"· {text}", "") for text in CAUTIONS)]
