"""Two configurations side by side, in large type: two bars each and one sentence, for a customer's eyes."""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import TYPE_CHECKING

from balance.compare.contrasts import FRONT, REAR
from balance.compare.increments import side_weights
from balance.handling.axle_loads import static_axle_weights
from balance.tell.brief.layout import template
from balance.tell.figures import percent
from balance.tell.part_words import deed_words, verdict_change
from balance.tell.words import CAUTIONS, band_words, verdict_mark, verdict_role, verdict_words

if TYPE_CHECKING:
    from balance.decide.parts import Parts
    from balance.decide.verdict import Verdict
    from balance.tell.figures import Show

_WIDTH = 100.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Bar:
    """One axle's bar: where it begins and how long it is, of 100, and what is written beside it."""

    axle: str
    left: float
    length: float
    text: str
    lift: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Side:
    """One configuration: its name, its bars, and its verdict."""

    name: str
    runs: str
    verdict: str
    role: str
    bars: tuple[Bar, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class TwoSides:
    """Two configurations for a customer's eyes; ``zero`` is where bars begin, of 100."""

    title: str
    car: str
    at: str
    zero: float
    sides: tuple[Side, Side]
    sentence: str
    how: str


def side_by_side(parts: Parts, row: int, show: Show) -> str:
    """Write the page of two configurations.

    Parameters
    ----------
    parts : Parts
        A day's parts.
    row : int
        Which comparison.
    show : Show
        System of units.

    Returns
    -------
    str
        HTML that needs nothing else; the same input gives the same text.
    """
    two = two_sides(parts, row, show)
    shown = {one.name: getattr(two, one.name) for one in fields(two)}
    return template("side_by_side.html.j2").render(**shown, cautions=CAUTIONS)


def two_sides(parts: Parts, row: int, show: Show) -> TwoSides:
    """Put two configurations beside one another.

    Parameters
    ----------
    parts : Parts
        A day's parts.
    row : int
        Which comparison.
    show : Show
        System of units.

    Returns
    -------
    TwoSides
        Baseline first, then the run; bars on one scale.
    """
    increments, vehicle = parts.increments, parts.day.session.vehicle
    pair, runs = increments.pairs[row], increments.readings.runs
    loads = increments.contrast(side_weights(increments.fits, pair)[::-1]).change
    weights = static_axle_weights(vehicle.mass, vehicle.front_share)
    shares = [(float(load[FRONT]) / weights[0], float(load[REAR]) / weights[1]) for load in loads]
    low = min(0.0, *(min(pair_of) for pair_of in shares))
    span = (max(0.0, *(max(pair_of) for pair_of in shares)) - low) or 1.0
    at = show.speed(parts.speed)

    def side(k: int, run: int, averaged: tuple[int, ...], verdict: Verdict) -> Side:
        labels = [runs[r].label for r in averaged]
        forces = (float(loads[k][FRONT]), float(loads[k][REAR]))
        return Side(
            name=runs[run].configuration,
            runs=f"run {labels[0]}" if len(labels) == 1 else f"mean of runs {', '.join(labels)}",
            verdict=f"{verdict_mark(verdict)} {verdict_words(verdict)}",
            role=verdict_role(verdict),
            bars=tuple(
                Bar(
                    axle=axle,
                    left=_WIDTH * (min(share, 0.0) - low) / span,
                    length=_WIDTH * abs(share) / span,
                    text=f"{percent(abs(share))}{' LIFT' if share < 0.0 else ''}, {show.quantity('force', abs(force))}",
                    lift=share < 0.0,
                )
                for axle, share, force in zip(("front", "rear"), shares[k], forces, strict=True)
            ),
        )

    deed = deed_words(increments[row], show)
    return TwoSides(
        title=f"{runs[pair.baseline].configuration} beside {runs[pair.run].configuration}",
        car=vehicle.name,
        at=at,
        zero=_WIDTH * -low / span,
        sides=(
            side(0, pair.baseline, pair.baseline_runs, parts.before[row]),
            side(1, pair.run, pair.runs, parts.after[row]),
        ),
        sentence=f"At {at} the second {deed}; {verdict_change(parts[row])}.",
        how=(
            f"Each bar is what the air adds to an axle at {at}, as a part of the weight that rests on it. Bars of equal "
            f"length mean matched axles; the band around that is {band_words(vehicle.target)} of grip."
        ),
    )
