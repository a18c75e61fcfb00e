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

    Parameters
    ----------
    day : Day
        The reduced session. [1]
    before : str
        Label of a run of the one, or of two runs around the other ("3 and 9"). [1]
    after : str
        Label of a run of the other. [1]
    speed : float, optional
        Speed at which everything is stated; the facility's if absent. [m/s]
    air_density : float, optional
        Density at which everything is stated; the facility's if absent. [kg/m^3]
    correct_drift : bool, optional
        Whether to take the drift out, in blocks where one is resolved. [1]

    Returns
    -------
    tuple of (Parts, int)
        The day's parts, and which of them is the comparison. [1]

    Raises
    ------
    DomainError
        If speed or density is not above 0.
    UnknownName
        If a run is not among those that count.
    InputError
        If both are one run, or they stand in blocks that nothing ties.

    Notes
    -----
    Repeats of either are averaged. The verdicts on both sides are those of the configurations.

    References
    ----------
    `balance.decide.parts.parts.assess_parts`.
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
