"""What wing and what-if start from, made once for each day: for worker threads."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

from balance.decide.car.prepared_day import prepare_day
from balance.decide.parts.baselines import with_baselines
from balance.tell.parts.part_names import part_name

if TYPE_CHECKING:
    from balance.decide.car.prepared_day import PreparedDay
    from balance.decide.day.day import Day

Chosen = tuple[tuple[str, str], ...]
"""Pairs of run and baseline that were chosen by hand."""


@lru_cache(maxsize=2)
def prepared_with(day: Day, baselines: Chosen) -> PreparedDay:
    """Make a day ready for changes to the car, with the baselines that were chosen by hand."""
    return prepare_day(with_baselines(day, dict(baselines)))


def measured_parts(prepared: PreparedDay) -> list[tuple[str, str, str]]:
    """List the parts that were measured: each run that is compared with another."""
    increments, labels = prepared.increments, prepared.day.readings.labels
    return [
        (
            labels[pair.run],
            f"run {labels[pair.run]}: {part_name(increments, row)}",
            f"against run {labels[pair.baseline]}",
        )
        for row, pair in enumerate(increments.pairs)
        if pair.shows_part
    ]
