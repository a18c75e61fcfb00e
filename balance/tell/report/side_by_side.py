"""Two configurations side by side, in large type: two bars each and one sentence, for a customer's eyes."""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import TYPE_CHECKING

from balance.compare.fitted import NOT_FITTED
from balance.compare.increments import side_weights
from balance.handling.axle_loads import static_axle_weights
from balance.model.channels import AXLES, CHANNELS, FRONT, REAR
from balance.tell.figures import percent
from balance.tell.head import session_line
from balance.tell.parts.part_names import runs_words, setting_words
from balance.tell.parts.part_words import part_deed
from balance.tell.report.layout import template
from balance.tell.runs.range_words import range_mark, range_role, range_sentence
from balance.tell.runs.run_table import shortened
from balance.tell.words import CAUTIONS, band_words

if TYPE_CHECKING:
    from balance.compare.fitted import Fitted
    from balance.decide.day.range_verdict import RangeVerdict
    from balance.decide.parts.parts import Parts
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
    """One configuration: what it has that the other has not, its name and runs, its bars, and its verdict."""

    name: str
    runs: str
    verdict: str
    role: str
    bars: tuple[Bar, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class TwoSides:
    """Two configurations for a customer's eyes; ``zero`` is where bars begin, of 100.

    ``title`` says what differs, ``day`` whose car it is, when and over which floor, ``alike`` which settings both have.
    """

    title: str
    day: str
    at: str
    alike: str
    zero: float
    sides: tuple[Side, Side]
    sentence: str
    how: str


def side_by_side(parts: Parts, row: int, show: Show) -> str:
    """Write the page of two configurations."""
    two = two_sides(parts, row, show)
    shown = {one.name: getattr(two, one.name) for one in fields(two)}
    return template("side_by_side.html.j2").render(**shown, cautions=CAUTIONS)


def two_sides(parts: Parts, row: int, show: Show) -> TwoSides:
    """Put two configurations beside one another."""
    increments, vehicle = parts.increments, parts.day.session.vehicle
    pair, runs = increments.pairs[row], increments.readings.runs
    names = titles(parts, row)
    between = (
        ""
        if pair.second is None
        else f"between runs {runs[pair.baseline].label} and {runs[pair.second].label}"
    )
    loads = increments.contrast(side_weights(increments.fits, pair)[::-1]).change
    weights = static_axle_weights(vehicle.mass, vehicle.front_share)
    shares = [(float(load[FRONT]) / weights[FRONT], float(load[REAR]) / weights[REAR]) for load in loads]
    low = min(0.0, *(min(pair_of) for pair_of in shares))
    span = (max(0.0, *(max(pair_of) for pair_of in shares)) - low) or 1.0
    at = show.speed(parts.speed)

    def side(k: int, run: int, averaged: tuple[int, ...], over: RangeVerdict) -> Side:
        labels = tuple(runs[r].label for r in averaged)
        forces = (float(loads[k][FRONT]), float(loads[k][REAR]))
        return Side(
            name=names[k],
            runs=f"{runs[run].configuration}, {between if between and k == 0 else runs_words(labels)}",
            verdict=f"{range_mark(over)} {range_sentence(over, vehicle, show)}",
            role=range_role(over),
            bars=tuple(
                Bar(
                    axle=axle,
                    left=_WIDTH * (min(share, 0.0) - low) / span,
                    length=_WIDTH * abs(share) / span,
                    text=f"{percent(abs(share))}{' LIFT' if share < 0.0 else ''}, {show.quantity('force', abs(force))}",
                    lift=share < 0.0,
                )
                for axle, share, force in zip(CHANNELS[AXLES], shares[k], forces, strict=True)
            ),
        )

    deed = part_deed(parts, row, show)
    return TwoSides(
        title=" | ".join(names),
        day=session_line(parts.day.session),
        at=at,
        alike=_alike(parts, row),
        zero=_WIDTH * -low / span,
        sides=(
            side(0, pair.baseline, pair.baseline_runs, parts.ranges_before[row]),
            side(1, pair.run, pair.runs, parts.ranges_after[row]),
        ),
        sentence=f"At {at} the second {deed}.",
        how=(
            f"Each bar is what the air adds to an axle at {at}, as a part of the weight that rests on it. Bars of equal "
            f"length mean matched axles; the limits around that are {band_words(vehicle.target)} of grip."
        ),
    )


def titles(parts: Parts, row: int) -> tuple[str, str]:
    """State what each of two configurations has that the other has not."""
    increments = parts.increments
    pair, fitted, runs = increments.pairs[row], increments.fitted, increments.readings.runs
    names = [name for name in pair.differs if name in fitted.names]
    if not names:
        return runs[pair.baseline].configuration, runs[pair.run].configuration
    first, second = (
        ", ".join(_setting(fitted, run, name) for name in names) for run in (pair.baseline, pair.run)
    )
    return first, second


def _alike(parts: Parts, row: int) -> str:
    """Name the settings that are fitted on both sides alike."""
    pair, fitted = parts.increments.pairs[row], parts.increments.fitted
    same = [
        _setting(fitted, pair.run, name)
        for name, code in zip(fitted.names, fitted.codes[pair.run], strict=True)
        if name not in pair.differs and code != NOT_FITTED and name != "configuration"
    ]
    return f"On both: {', '.join(same)}." if same else ""


def _setting(fitted: Fitted, run: int, name: str) -> str:
    """Write a setting of a run with its unit."""
    column = fitted.names.index(name)
    value = fitted.values[column][fitted.codes[run, column]]
    called = shortened(name, fitted.names)
    return f"{called} none" if value is None else setting_words(called, value)
