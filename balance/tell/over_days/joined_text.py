"""Days of one car joined, in words and tables: how far they lie apart, and every configuration against one."""

from __future__ import annotations

import math
from string import ascii_uppercase
from typing import TYPE_CHECKING

import numpy as np

from balance.decide.over_days.joined import car_changes, like_others
from balance.model.channels import TOTAL, WITH_TOTAL
from balance.model.errors import one_line, quoted
from balance.reduce.median import median
from balance.tell.figures import NONE, counted, number, percent
from balance.tell.parts.change_text import FORCES, half_cell, signed
from balance.tell.parts.part_names import settings_words
from balance.tell.runs.remarks import OF_FLOOR_PARTS, floor_parts
from balance.tell.runs.run_table import shortened
from balance.tell.table import Cell, Column, Table, table_of

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from balance.compare.contrasts import Changes
    from balance.decide.over_days.joined import JoinedDays, JoinedFigures
    from balance.tell.figures import Show

_SPEEDS_APART = 0.02
_FIGURES = {
    "front_share": "front weight share",
    "frontal_area": "frontal area",
    "cg_height": "height of the centre of gravity",
    "front_track": "front track",
    "rear_track": "rear track",
    "driven": "driven axle",
}


def day_letters(count: int) -> tuple[str, ...]:
    """Return what days are called in a table: a letter each, and numbers beyond the alphabet.

    Examples
    --------
    >>> day_letters(3)
    ('A', 'B', 'C')
    """
    if count <= len(ascii_uppercase):
        return tuple(ascii_uppercase[:count])
    return tuple(f"D{k + 1}" for k in range(count))


def configuration_name(joined: JoinedDays, configuration: int) -> str:
    """Name a configuration; where others have its label, with those settings that tell them apart."""
    run = joined.run_of(configuration)
    others = [joined.run_of(k) for k in range(len(joined.configurations))]
    alike = [one.settings for one in others if one.configuration == run.configuration]
    telling = [
        name
        for name in dict.fromkeys(name for settings in alike for name in settings)
        if len({settings[name].value if name in settings else None for settings in alike}) > 1
    ]
    said = settings_words(
        {shortened(name, telling): run.settings[name] for name in telling if name in run.settings}
    )
    return f"{run.configuration} ({said})" if said else run.configuration


def joined_line(figures: JoinedFigures, show: Show) -> str:
    """Name the car, how many days are joined, and at which speed and density forces stand."""
    joined = figures.joined
    at = f"at {show.speed(figures.speed)}, {show.quantity('density', figures.air_density)}"
    car = one_line(joined.sessions[0].vehicle.name)
    return f"{car} · {len(joined.sessions)} days joined · {at} · downforce positive"


def day_lines(joined: JoinedDays) -> list[str]:
    """Name each day by its letter, with what differs between days."""
    lines = []
    for k, (letter, session) in enumerate(zip(_letters(joined), joined.sessions, strict=True)):
        facility = session.facility
        said = (
            session.title,
            session.date.isoformat() if session.date else "date not stated",
            f"{facility.floor} floor" if facility.floor else "floor not stated",
            facility.name or facility.kind or "",
            counted(int(np.sum(joined.fits.day_of == k)), "run"),
        )
        lines.append(f"{letter}: {one_line(' · '.join(part for part in said if part))}")
    return lines


def tie_sentence(joined: JoinedDays) -> str:
    """Name what was run on several days."""
    said = [f"{one_line(configuration_name(joined, k))} ({runs_of(joined, k)})" for k in joined.shared]
    return f"Tied by {', '.join(said)}."


def apart_heading(joined: JoinedDays) -> str:
    """Head the table of the days' shifts."""
    return f"How far the days lie apart. {tie_sentence(joined)}"


def against_heading(figures: JoinedFigures) -> str:
    """Head the table of configurations."""
    joined, reference = figures.joined, figures.reference
    named = one_line(f"{configuration_name(joined, reference)} ({runs_of(joined, reference)})")
    return f"Every configuration against {named}, the days' shift taken out"


def runs_of(joined: JoinedDays, configuration: int) -> str:
    """Name the runs of a configuration, day by day."""
    letters, readings = _letters(joined), joined.fits.readings
    rows = joined.configurations[configuration]
    parts = []
    for day in joined.days_of(configuration):
        labels = [
            readings.labels[row] + ("*" if readings.runs[row].status == "suspect" else "")
            for row in rows
            if joined.fits.day_of[row] == day
        ]
        parts.append(f"{letters[day]} {', '.join(labels)}")
    return " · ".join(parts)


def first_run_of(joined: JoinedDays, configuration: int, *, bare: bool = False) -> str:
    """Name the first run of a configuration with its day, and how many are averaged; barely as it may be asked for."""
    readings, rows = joined.fits.readings, joined.configurations[configuration]
    if bare:
        return f"{_letters(joined)[joined.fits.day_of[rows[0]]]}:{readings.labels[rows[0]]}"
    mark = "*" if any(readings.runs[row].status == "suspect" for row in rows) else ""
    several = f" ×{len(rows)}" if len(rows) > 1 else ""
    return f"{_letters(joined)[joined.fits.day_of[rows[0]]]} {readings.labels[rows[0]]}{several}{mark}"


def runs_sentences(joined: JoinedDays) -> list[str]:
    """Name all runs of every configuration."""
    return [
        one_line(f"{configuration_name(joined, k)}: {runs_of(joined, k)}")
        for k in range(len(joined.configurations))
    ]


def shift_table(figures: JoinedFigures, show: Show) -> Table:
    """List how far each day, or block of a day, lies from the first."""
    joined = figures.joined
    names = [stratum_name(joined, k) for k in range(len(joined.strata))]
    columns = (Column("day", f"less {names[0]}", term="day_shift"), *_force_columns(figures, show))
    cell = _cells(figures.shifts, show)
    rows = [
        [Cell(names[k + 1]), *(cell(k, column) for _, column in FORCES)] for k in range(len(figures.shifts))
    ]
    return _as_wide_as_needed(table_of(columns, rows, key="joined_shifts"))


def against_table(figures: JoinedFigures, show: Show) -> Table:
    """List every configuration of all days against the one that they are compared with."""
    joined = figures.joined
    columns = (
        Column("run", "run", term="run"),
        Column("configuration", "configuration", width=12, flexible=True, term="configuration"),
        *_force_columns(figures, show),
        Column("how", "how", priority=4, term="joined_days"),
    )
    cell = _cells(figures.against, show)
    rows = [
        [
            Cell(one_line(first_run_of(joined, k))),
            Cell(one_line(configuration_name(joined, k))),
            *(cell(k, column) for _, column in FORCES),
            Cell(compared_words(figures, k)),
        ]
        for k in range(len(joined.configurations))
        if k != figures.reference
    ]
    return _as_wide_as_needed(table_of(columns, rows, key="joined_configurations"))


def compared_words(figures: JoinedFigures, configuration: int) -> str:
    """Say whether a configuration is compared on a day of both or several, over the days' shift, or not at all."""
    if not math.isfinite(float(figures.against.change[configuration, TOTAL])):
        return "not tied"
    if figures.across[configuration]:
        return "over days"
    joined = figures.joined
    common = len({*joined.days_of(configuration)} & {*joined.days_of(figures.reference)})
    if common == 1:
        return "same day"
    return "both days" if len(joined.sessions) == common == 2 else f"{common} days"


def stratum_name(joined: JoinedDays, place: int) -> str:
    """Name a day, with its block where it has several."""
    one = joined.strata[place]
    several = sum(other.day == one.day for other in joined.strata) > 1
    letter = _letters(joined)[one.day]
    return f"{letter}, {one_line(one.block) or 'no block'}" if several else letter


def joined_notes(figures: JoinedFigures, show: Show) -> list[str]:
    """State what has to be known beside the figures of joined days, dangers first."""
    return [
        *_disagreeing(figures, show),
        *_of_floor_parts(figures.joined),
        *_of_days_that_differ(figures.joined, show),
        *_of_repeatability(figures),
        *_of_ties(figures),
    ]


def _of_days_that_differ(joined: JoinedDays, show: Show) -> list[str]:
    """Name floors, facilities, speeds and the car itself where they are not the same on all days."""
    letters, sessions = _letters(joined), joined.sessions
    notes = []
    floors = [session.facility.floor or "not stated" for session in sessions]
    if len(set(floors)) > 1:
        notes.append(
            f"floors differ ({_each(letters, floors)}): warning: a floor changes some parts more than others, splitter and "
            "underbody most; the days' shift takes out only what it does to all alike"
        )
    kinds = [session.facility.name or session.facility.kind or "no name" for session in sessions]
    if len(set(kinds)) > 1:
        notes.append(
            f"facilities differ ({_each(letters, kinds)}): what each does to one part alone is not in the shift"
        )
    if changed := car_changes(sessions):
        words = ", ".join(_FIGURES.get(name, name) for name in changed)
        notes.append(
            f"the car was changed between the days ({words}): areas do not rest on weights, but what the change did to the "
            "air is in the days' shift"
        )
    speeds = [session.facility.speed for session in sessions]
    if max(speeds) > min(speeds) * (1.0 + _SPEEDS_APART):
        notes.append(
            f"days at different speeds ({_each(letters, [show.speed(one) for one in speeds])}): compared as areas, taken not "
            "to change with speed"
        )
    return notes


def _of_floor_parts(joined: JoinedDays) -> list[str]:
    """Name the days on which a part near the ground stood over a fixed floor."""
    letters = _letters(joined)
    days = [
        letters[k]
        for k, session in enumerate(joined.sessions)
        if session.facility.floor == "fixed" and any(map(floor_parts, session.used))
    ]
    if not days:
        return []
    on = "" if len(days) == len(letters) else f" on {' and '.join(days)}"
    return [f"fixed floor{on}: {OF_FLOOR_PARTS}"]


def _of_repeatability(figures: JoinedFigures) -> list[str]:
    """State which days scatter alike, and where nothing can be called significant."""
    joined = figures.joined
    letters, sessions = _letters(joined), joined.sessions
    notes = [
        f"repeatability pooled over {_days(letters, joined.alike, code)}: one facility, "
        f"{quoted(sessions[code].facility.name)}"
        for code in sorted(set(joined.alike))
        if joined.alike.count(code) > 1
    ]
    alone = [letters[k] for k, code in enumerate(joined.alike) if joined.alike.count(code) == 1]
    if alone:
        notes.append(
            f"repeatability of {' and '.join(alone)}: {'its own' if len(alone) == 1 else 'each its own'}; days of one named "
            "facility share theirs ([facility] name in session.toml)"
        )
    if joined.drifting:
        days = " and ".join(letters[k] for k in joined.drifting)
        notes.append(
            f"readings drifted on {days}: a drift within a day is not removed here and widens its repeatability"
        )
    if figures.against.refit_assumed.any():
        notes.append(
            "refitting assumed: on a day nothing was fitted twice, so nothing over it is called significant"
        )
    if np.isnan(figures.shifts.std).all():
        notes.append("noise unknown: nothing is significant; run the baseline again on each day")
    return notes


def _of_ties(figures: JoinedFigures) -> list[str]:
    """State what hangs on one tie, what is compared over days, and which labels may mean one configuration."""
    joined, notes = figures.joined, []
    if len(joined.shared) == 1:
        name = quoted(configuration_name(joined, joined.shared[0]))
        notes.append(
            f"tied by {name} alone: a mistake in it shifts everything compared over days; run two configurations on both"
        )
    elif len(joined.shared) > 1:
        notes.append("ties of all days count, so that figures differ a little from a day's own")
    if across := sum(figures.across):
        notes.append(
            f"{across} of {len(joined.configurations) - 1} compared over days: the uncertainty of the days' shift is in "
            "their intervals"
        )
    notes += [
        f"{quoted(one)} and {quoted(other)} have the same settings and are taken for two configurations: one label for both, "
        "if they are one"
        for one, other in like_others(joined)
    ]
    return notes


def _disagreeing(figures: JoinedFigures, show: Show) -> list[str]:
    """Name each configuration that did not shift as the others did, by its largest departure."""
    joined, departures = figures.joined, figures.departures
    found: dict[int, tuple[float, str]] = {}
    for row, (configuration, place) in enumerate(figures.places):
        for k, channel in enumerate(WITH_TOTAL):
            if departures.resolved[row, k]:
                value, std = float(departures.change[row, k]), float(departures.std[row, k])
                text = f"{channel} {signed(show, value, std)} {show.unit('force')} on {stratum_name(joined, place)}"
                size = abs(value) / std
                found[configuration] = max(found.get(configuration, (0.0, "")), (size, text))
    return [
        f"warning: {quoted(configuration_name(joined, configuration))} did not shift as the others did ({text} beside them): the "
        "days differ by more than a constant, and a part compared over them may be off by as much"
        for configuration, (_, text) in found.items()
    ]


def _force_columns(figures: JoinedFigures, show: Show) -> tuple[Column, ...]:
    unit = f"{show.unit('force')}, ± {percent(figures.confidence, decimals=0)}"
    return tuple(
        Column(
            key,
            key,
            unit=unit,
            align="right",
            priority=3 if key in ("front", "rear") else 1,
            group="changes",
            term="increment",
        )
        for key, _ in FORCES
    )


def _as_wide_as_needed(table: Table) -> Table:
    """Widen each column that gives way to none of its own accord to what stands in it."""
    return table._replace(
        columns=tuple(
            column
            if column.flexible
            else column._replace(
                width=max((len(row[column.key].text) for row in table.rows), default=column.width),
            )
            for column in table.columns
        ),
    )


def _cells(changes: Changes, show: Show) -> Callable[[int, int], Cell]:
    """Return what writes one change: its figure, and half of its interval."""
    usual = [
        float(median(own)) if (own := column[np.isfinite(column) & (column > 0.0)]).size else math.nan
        for column in changes.std.T
    ]
    scale = show.system.unit("force")

    def cell(row: int, column: int) -> Cell:
        value = float(changes.change[row, column])
        if not math.isfinite(value):
            return Cell(NONE, "muted")
        figure = signed(show, value, usual[column])
        half = float(changes.high[row, column] - changes.low[row, column]) / 2.0
        if not math.isfinite(half):
            return Cell(f"{figure} ?", "muted")
        half_text = number(scale.from_si(half), show.decimals("force", usual[column]))
        return half_cell(figure, half_text, known=changes.resolved[row, column])

    return cell


def _letters(joined: JoinedDays) -> tuple[str, ...]:
    return day_letters(len(joined.sessions))


def _each(letters: Sequence[str], texts: Sequence[str]) -> str:
    return ", ".join(f"{letter} {one_line(text)}" for letter, text in zip(letters, texts, strict=True))


def _days(letters: Sequence[str], alike: Sequence[int], code: int) -> str:
    return ", ".join(letters[k] for k, one in enumerate(alike) if one == code)
