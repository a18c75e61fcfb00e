"""What a day can show, in words: scatter, what it resolves, drift, and what to do about too little of it."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from balance.compare.column_increments import ONLY
from balance.model.channels import DRAG, TOTAL, WITH_TOTAL
from balance.model.kinds import with_unit
from balance.reduce.repeatability import REFIT_FACTOR
from balance.tell.figures import NONE, capital, low_to_high, number
from balance.tell.parts.column_text import compared_words, missing_words, places_for, signed_figure
from balance.tell.repeatability.drift_words import WHAT_TO_DO, drift_lines
from balance.tell.runs.detail import Section
from balance.tell.runs.doubt_words import DOUBT_MARK, scatter_doubts
from balance.tell.table import aligned_lines

if TYPE_CHECKING:
    from collections.abc import Iterator

    from balance.compare.drift import Drift
    from balance.decide.day.day_scatter import ColumnScatter, DayScatter
    from balance.reduce.repeatability import Deviations
    from balance.tell.figures import Show

SIZES = {"SI": (10.0, 20.0, 50.0, 100.0), "US": (2.0, 5.0, 10.0, 20.0), "kgf": (1.0, 2.0, 5.0, 10.0)}
"""Sizes of parts for which repeats are planned, in the force unit shown."""
_FROM = {
    None: "noise unknown",
    "repeats": "the repeats alone",
    "facility": "the facility's figure alone",
    "facility and repeats": "repeats and facility together",
}
_FAR_BEYOND = "as they lie further beyond the facility's figure than 90 % of such days would"


def scatter_summary(day: DayScatter, show: Show) -> tuple[str, ...]:
    """State in a few sentences what the day can show, and what to do where it shows too little."""
    scatter = day.scatter
    wrong = [f"{DOUBT_MARK} {capital(one)}" for one in scatter_doubts(day.day, show)]
    if all(source is None for source in scatter.source):
        return (
            (
                "Noise unknown: no run was repeated and the facility states no figure, so nothing can be called "
                f"significant. Do this: {WHAT_TO_DO}; or state the facility's figure under [repeatability] in session.toml."
            ),
        )
    total, drag = float(day.detectable[TOTAL]), float(day.detectable[DRAG])
    said = [
        *wrong,
        f"Single runs: {_size(total, show)} of total downforce and {_size(drag, show)} of drag are detectable (80 % power).",
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
        ("What else is compared, one value in its own unit", _columns(day, show)),
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
    lines = aligned_lines(("found from", *WITH_TOTAL), rows)
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
        return f"the repeats alone, {_FAR_BEYOND}; repeats over facility", times
    return "repeats and facility together, as they agree; repeats over facility", times


def _resolution(day: DayScatter, show: Show) -> list[tuple[str, str]]:
    lines = aligned_lines(
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
    return aligned_lines(("size of the part", *WITH_TOTAL), rows)


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
    return label, *(_with_degrees(float(s), pooled.degrees_of_freedom, show) for s in pooled.deviation)


def _with_degrees(deviation: float, degrees: float, show: Show) -> str:
    if not math.isfinite(deviation):
        return "unknown"
    return f"{_bare(deviation, show)} df {number(degrees, 0)}"


def _bare(value: float, show: Show) -> str:
    return number(show.system.unit("force").from_si(value), 1) if math.isfinite(value) else NONE


def _size(value: float, show: Show) -> str:
    return show.quantity("force", value) if math.isfinite(value) else "nothing"


def _columns(day: DayScatter, show: Show) -> list[tuple[str, str]]:
    """State of each compared column how far values scatter, what that resolves, and how they drifted."""
    if not day.columns:
        return []
    lines = aligned_lines(
        ("column", "sd", "df", "least significant", "detectable"), [_column_row(one) for one in day.columns]
    )
    for one in day.columns:
        lines += [("", text) for text in _column_sentences(one, day, show)]
    return lines


def _column_row(one: ColumnScatter) -> tuple[str, ...]:
    deviation, degrees = float(one.scatter.deviation[ONLY]), float(one.scatter.degrees_of_freedom[ONLY])

    def figure(value: float) -> str:
        if not math.isfinite(value):
            return NONE
        return with_unit(number(value, places_for(deviation)), one.column.unit)

    return (
        one.column.title,
        figure(deviation) if math.isfinite(deviation) else "unknown",
        number(degrees, 0),
        figure(one.least_significant),
        figure(one.detectable),
    )


def _column_sentences(one: ColumnScatter, day: DayScatter, show: Show) -> Iterator[str]:
    title = capital(one.column.title)
    how = compared_words(one.readings, day.day.session.facility, show)
    assumed = ", refitting assumed: nothing is called significant" if one.scatter.refit_assumed else ""
    yield f"{title}: {how}; {_FROM[one.scatter.source[ONLY]]}{assumed}."
    if one.missing:
        yield f"{capital(missing_words(one.column, one.missing))}."
    yield from (f"{capital(note)}." for note in one.scatter.notes)
    for block in one.drifts.blocks:
        yield f"{title}: {_column_drift(block, one.column.unit)}."


def _column_drift(block: Drift, unit: str) -> str:
    """State how far values moved from a block's first run to its last."""
    name = f"block {block.block}, " if block.block else ""
    std = float(block.std[ONLY]) * block.span
    places = places_for(std)
    moved = with_unit(signed_figure(float(block.slope[ONLY]) * block.span, places), unit)
    if not math.isfinite(std):
        return f"{name}drift {moved} from first to last run, too few repeats for an interval"
    ends = low_to_high(float(block.low[ONLY]) * block.span, float(block.high[ONLY]) * block.span, places)
    word = "significant" if block.resolved[ONLY] else "within noise"
    return f"{name}drift {moved} ({ends}) from first to last run, {word}"
