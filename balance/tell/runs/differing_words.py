"""What to do first where the repeats of a day differ too much: the run that is off, by its name."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from balance.decide.day.verdict import LIGHT_LOAD
from balance.decide.doubts.standing_out import differing_most
from balance.handling.axle_loads import static_axle_weights
from balance.model.channels import AXLES, MEASURED

if TYPE_CHECKING:
    from collections.abc import Iterator

    from balance.decide.day.day import Day

RUN_AGAIN = "run the baseline again"


_FEW = 2.0
"""Degrees of freedom up to which the width of an interval comes from few repeats rather than from how far they differ: Student's
quantile is more than twice the normal's there (4.30 against 1.96; Student's table of any textbook, from memory)."""


def cause_words(day: Day | None) -> str:
    """State why nobody can tell: repeats differ too much, or agree as far as they go and are too few."""
    few = day is not None and _too_few(day) and not differing_most(day).stand_out
    return "too few repeats" if few else "repeats differ too much"


def _too_few(day: Day) -> bool:
    """Return whether repeats are few, and agree at both axles to within what counts as a small load."""
    car, scatter = day.session.vehicle, day.repeatability
    small = LIGHT_LOAD * np.array(static_axle_weights(car.mass, car.front_share))
    agree = scatter.deviation[AXLES] < small
    return bool(np.min(scatter.degrees_of_freedom[MEASURED]) <= _FEW and np.all(agree))


def mend_words(day: Day) -> str:
    """State what to do first where nobody can tell: correct the run that is off, else run the baseline again."""
    found = differing_most(day)
    labels = [day.readings.labels[row] for row in found.readings]
    if not labels or (_too_few(day) and not found.stand_out):
        return RUN_AGAIN
    if found.stand_out:
        return _correct(labels, one_of=found.one_of)
    most = (
        f"{_named(labels)} differ most" if found.one_of else f"{_named(labels)} differs most from its repeats"
    )
    return f"{most}: if {'one' if found.one_of else 'it'} is off, correct it or mark it suspect, else {RUN_AGAIN}"


def off_first(day: Day) -> Iterator[str]:
    """Name the readings that stand out from their repeats: what is wrong in them is in every interval of the day."""
    found = differing_most(day)
    if found.stand_out:
        labels = [day.readings.labels[row] for row in found.readings]
        stand = (
            "differ"
            if found.one_of
            else f"stand{'' if labels[1:] else 's'} out from {'their' if labels[1:] else 'its'} repeats"
        )
        what = _correct(labels, one_of=found.one_of)
        yield f"warning: {_named(labels)} {stand}, so that no interval of the day can be trusted: {what}, first"


def _correct(labels: list[str], *, one_of: bool) -> str:
    if one_of:
        return f"correct the one of {_named(labels)} that is off, or mark it suspect"
    return f"correct {_named(labels)}, or mark {'them' if labels[1:] else 'it'} suspect"


def _named(labels: list[str]) -> str:
    *others, last = labels
    return f"runs {', '.join(others)} and {last}" if others else f"run {last}"
