"""One configuration against another, whichever the files state as its baseline."""

from __future__ import annotations

from typing import TYPE_CHECKING

from balance.decide.parts.baselines import with_baselines
from balance.decide.parts.parts import assess_parts
from balance.model.errors import InputError, quoted

if TYPE_CHECKING:
    from balance.decide.day.day import Day
    from balance.decide.parts.parts import Parts


def compare_two(
    day: Day,
    before: str,
    after: str,
    *,
    speed: float | None = None,
    air_density: float | None = None,
    correct_drift: bool = False,
) -> tuple[Parts, int]:
    """Compute what one configuration changed against another.

    Returns the day's parts, and which of them is the comparison. Before may be two runs around the other ("3
    and 9"). Repeats of either are averaged. The verdicts on both sides are those of the configurations.
    """
    parts = assess_parts(
        with_baselines(day, {after: before}),
        speed=speed,
        air_density=air_density,
        correct_drift=correct_drift,
    )
    run = day.readings.labels.index(after)
    row = next((k for k, pair in enumerate(parts.increments.pairs) if pair.run == run), None)
    if row is None:
        raise InputError(
            f"runs {quoted(before)} and {quoted(after)}: found blocks that are not tied, expected one configuration run "
            "in both; run the baseline in both"
        )
    return parts, row
