"""Verdicts over the range of means of readings, each worked out once for a day: tables and parts ask here."""

from __future__ import annotations

from typing import TYPE_CHECKING

from balance.decide.day.range_verdict import RANGE_DRAWS, judge_range

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from balance.decide.day.day import Day
    from balance.decide.day.range_verdict import RangeVerdict


def judge_means(
    day: Day,
    weights: NDArray[np.float64],
    areas: NDArray[np.float64],
    draws: NDArray[np.float64] | None,
    air_density: float,
) -> tuple[RangeVerdict, ...]:
    """Judge means of a day's readings over every speed that the car sees.

    Parameters
    ----------
    day : Day
        The reduced session, which keeps the verdicts. [1]
    weights : numpy.ndarray
        (n, readings) weights of each mean. [1]
    areas : numpy.ndarray
        (3, n) their areas of front downforce, rear downforce and drag. [m^2]
    draws : numpy.ndarray or None
        (3, draws, n) of the same; nothing where they are not drawn. [m^2]
    air_density : float
        Density of the air. [kg/m^3]

    Returns
    -------
    tuple of RangeVerdict
        One a mean. [1]

    Notes
    -----
    A verdict over the range hangs on no speed shown, so that it is kept. As of
    `balance.decide.day.range_verdict.judge_range`.
    """
    keys = [(own.tobytes(), air_density, draws is not None) for own in weights]
    missing = [k for k, key in enumerate(keys) if key not in day.judged]
    if missing:
        found = judge_range(
            day.session,
            areas[:, missing],
            None if draws is None else draws[:, :RANGE_DRAWS, missing],
            air_density,
            day.shared,
            confidence=day.confidence,
        )
        day.judged.update(zip([keys[k] for k in missing], found, strict=True))
    return tuple(day.judged[key] for key in keys)
