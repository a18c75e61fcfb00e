"""What a day can show, in words: scatter, what it resolves, drift, and what to do about too little of it."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from balance.model.channels import DRAG, TOTAL, WITH_TOTAL
from balance.reduce.repeatability import REFIT_FACTOR
from balance.tell.aligned import table_lines
from balance.tell.figures import NONE, capital, number
from balance.tell.repeatability.column_scatter_words import column_scatter_lines
from balance.tell.repeatability.drift_words import WHAT_TO_DO, drift_lines
from balance.tell.runs.detail import Section

if TYPE_CHECKING:
    from balance.decide.day.day_scatter import DayScatter
    from balance.reduce.repeatability import Deviations
    from balance.tell.figures import Show

SIZES = {"SI": (10.0, 20.0, 50.0, 100.0), "US": (2.0, 5.0, 10.0, 20.0), "kgf": (1.0, 2.0, 5.0, 10.0)}
"""Sizes of parts for which repeats are planned, in the force unit shown."""
_FAR_BEYOND = "as they lie further beyond the facility's figure than 90 % of such days would"


def scatter_summary(day: DayScatter, show: Show) -> tuple[str, ...]:
    """State in a few sentences what the day can show, and what to do where it shows too little."""
    scatter = day.scatter
    if all(source is None for source in scatter.source):
        return (
            (
                "Noise unknown: no run was repeated and the facility states no figure, so nothing can be called "
                f"significant. Do this: {WHAT_TO_DO}; or state the facility's figure under [repeatability] in session.toml."
            ),
        )
    total, drag = float(day.detectable[3]), float(day.detectable[2])
    said = [
        (
            f"Single runs: {_size(total, show)} of total downforce and {_size(drag, show)} of drag are detectable (80 % power)."
        )
    ]
    if scatter.refit_assumed:
        said.append(
            "Refitting assumed: the car was not changed between repeats, so they show nothing of refitting a part; its sd "
            f"is taken as {number(REFIT_FACTOR, 1)} times as large. No verdict is green and nothing is called significant. "
            f"Do this: {WHAT_TO_DO}."
        )
    elif scatter.repeats is None:
        said.append(f"No run was repeated: the facility's figure stands alone. Do this: {WHAT_TO_DO}.")
    said += [f"{capital(note)}." for note in scatter.notes]
    if day.drifts.offered:
        left = day.drifts.fits.repeatability.deviation
        said.append(
            "The readings drifted, which widens every figure here: with drift removed one reading would have an sd "
            f"of {_bare(float(left[TOTAL]), show)} {show.unit('force')} of total downforce and {_bare(float(left[DRAG]), show)} "
            f"{show.unit('force')} of drag."
        )
    return tuple(said)


def scatter_sections(day: DayScatter, show: Show) -> tuple[Section, ...]:
    """Gather all that is known of a day's scatter and drift."""
    facility = day.day.session.facility
    at = f"at {show.speed(facility.speed)}, {show.quantity('density', facility.air_density)}"
    sections = [
        ("What this day can detect", [("", sentence) for sentence in scatter_summary(day, show)]),
        (f"One reading, standard deviation in {show.unit('force')}, as tested", _sources(day, show)),
        (f"A difference of two runs, {show.unit('force')}", _resolution(day, show)),
        ("Runs on each side that detect a part, 80 % power", _repeats(day, show)),
        ("Repeats made", _sets(day)),
        (f"Drift over the running order, {at}", drift_lines(day.drifts, show)),
        ("What else is compared, one value in its own unit", column_scatter_lines(day, show)),
    ]
    return tuple(Section(heading=heading, lines=tuple(lines)) for heading, lines in sections if lines)


def _sources(day: DayScatter, show: Show) -> list[tuple[str, str]]:
    scatter = day.scatter
    rows = [
        _pooled_row(label, pooled, show)
        for label, pooled in (
            ("repeats, car changed", scatter.repeats),
            ("repeats, car untouched", scatter.within),
            ("facility's figure", scatter.stated),
        )
    ]
    rows.append(
        (
            "used",
            *(
                _with_degrees(float(s), float(d), show)
                for s, d in zip(scatter.deviation, scatter.degrees_of_freedom, strict=True)
            ),
        )
    )
    lines = table_lines(("found from", *WITH_TOTAL), rows)
    lines.append(("", "df: degrees of freedom, how well the figure itself is known."))
    by_words: dict[str, list[str]] = {}
    for k, name in enumerate(WITH_TOTAL):
        word, times = source_words(day, k)
        by_words.setdefault(word, []).append(name if times is None else f"{name} {number(times, 2)}")
    for word, named in by_words.items():
        lines.append(("", f"Used: {word}: {', '.join(named)}."))
    return lines


def source_words(day: DayScatter, column: int) -> tuple[str, float | None]:
    """State which figure is used for a quantity, and whether repeats and facility agree."""
    scatter = day.scatter
    source, repeats, stated = scatter.source[column], scatter.repeats, scatter.stated
    if source is None:
        return "nothing, the noise is unknown", None
    if source == "facility":
        return "the facility's figure alone, with no repeats to check it", None
    if stated is None or repeats is None or not math.isfinite(stated.deviation[column]):
        return "the repeats alone, the facility states no figure", None
    times = float(repeats.deviation[column] / stated.deviation[column])
    if source == "repeats":
        return (
            f"the repeats alone, {_FAR_BEYOND}; repeats over facility",
            times,
        )
    return "repeats and facility together, as they agree; repeats over facility", times


def _resolution(day: DayScatter, show: Show) -> list[tuple[str, str]]:
    lines = table_lines(
        ("one run against one run", *WITH_TOTAL),
        [
            ("least significant difference", *(_bare(float(v), show) for v in day.least_significant)),
            ("smallest detectable change", *(_bare(float(v), show) for v in day.detectable)),
        ],
    )
    lines.append(("", "A difference measured larger than the first is significant."))
    lines.append(("", "A true difference as large as the second is found with 80 % power."))
    return lines


def _repeats(day: DayScatter, show: Show) -> list[tuple[str, str]]:
    unit = show.system.unit("force")
    sizes = SIZES[show.system.name]
    needed = day.repeats_needed([unit.to_si(size) for size in sizes])
    rows = [
        (f"a part of {size:g} {unit.label}", *("·" if n is None else str(n) for n in counts))
        for size, counts in zip(sizes, needed, strict=True)
    ]
    return table_lines(("size of the part", *WITH_TOTAL), rows)


def _sets(day: DayScatter) -> list[tuple[str, str]]:
    runs = day.day.readings.runs
    if not day.sets:
        return [("", "No run was repeated.")]
    return [
        (
            runs[repeats.rows[0]].configuration,
            f"runs {', '.join(runs[row].label for row in repeats.rows)}, "
            + ("car changed in between" if repeats.after_change else "car not touched in between"),
        )
        for repeats in day.sets
    ]


def _pooled_row(label: str, pooled: Deviations | None, show: Show) -> tuple[str, ...]:
    if pooled is None:
        return (label, *("none" for _ in WITH_TOTAL))
    return (
        label,
        *(_with_degrees(float(s), pooled.degrees_of_freedom, show) for s in pooled.deviation),
    )


def _with_degrees(deviation: float, degrees: float, show: Show) -> str:
    if not math.isfinite(deviation):
        return "unknown"
    return f"{_bare(deviation, show)} df {number(degrees, 0)}"


def _bare(value: float, show: Show) -> str:
    return number(show.system.unit("force").from_si(value), 1) if math.isfinite(value) else NONE


def _size(value: float, show: Show) -> str:
    return show.quantity("force", value) if math.isfinite(value) else "nothing"
