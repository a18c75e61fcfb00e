"""The car and what was done, where the car started, and the table of the configurations."""

from __future__ import annotations

from typing import TYPE_CHECKING

from balance.decide.day.range_seen import BEYOND_TESTS, highest_tested
from balance.handling.axle_loads import static_axle_weights
from balance.model.channels import DRAG
from balance.tell.figures import counted, percent
from balance.tell.report.blocks import Block, Lines, Pictures, Section, Words
from balance.tell.report.cells import LOAD_HEADS, both, forces_at, load_cells
from balance.tell.report.pictures.added_load import added_text
from balance.tell.report.pictures.against_speed import against_speed, loads_range
from balance.tell.report.pictures.curves import place_letters
from balance.tell.report.plain_text import cut
from balance.tell.runs.range_words import (
    balance_to,
    beyond_words,
    range_mark,
    range_role,
    range_sentence,
    range_then,
)
from balance.tell.table import Cell, Table, figures_columns, table_of, words_columns
from balance.tell.words import explanation

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from balance.decide.day.range_verdict import RangeVerdict
    from balance.tell.figures import Show
    from balance.tell.report.report_data import ReportData

_LONG_PLACE = 60
"""Characters of a place's name under a picture."""


def car_section(report: ReportData) -> Section:
    """State what car it is, how it was measured, and what was done."""
    session, vehicle = report.session, report.session.vehicle
    front, rear = static_axle_weights(vehicle.mass, vehicle.front_share)
    facts = [
        ("Car", vehicle.name),
        ("About it", vehicle.note),
        ("Mass as it runs", both(report, "mass", vehicle.mass)),
        (
            "Static front axle weight",
            f"{both(report, 'force', front)}, {percent(vehicle.front_share)}",
        ),
        ("Static rear axle weight", both(report, "force", rear)),
        ("Wheelbase", both(report, "length", vehicle.wheelbase)),
        ("Driven axle", vehicle.driven or "not stated"),
        ("Power", both(report, "power", vehicle.power) if vehicle.power else "not stated"),
        ("Top speed", both(report, "speed", vehicle.top_speed) if vehicle.top_speed else "not stated"),
        ("Day", session.title),
        ("Date", session.date.isoformat() if session.date else "not stated"),
        (
            "Where",
            f"{session.facility.kind or 'kind not stated'}, floor {session.facility.floor or 'not stated'}",
        ),
        ("Tested at", both(report, "speed", session.facility.speed)),
    ]
    return Section(
        (
            Lines(lines=tuple(fact for fact in facts if fact[1]), short=True),
            Words(text=_done(report)),
        ),
    )


def _done(report: ReportData) -> str:
    runs = report.session.runs
    void, suspect = (sum(run.status == word for run in runs) for word in ("void", "suspect"))
    said = (
        f"{counted(len(runs), 'run')}, {counted(len(report.day.configurations), 'different configuration')}"
    )
    if void:
        said += f"; {void} void and left out"
    if suspect:
        said += f"; {suspect} marked suspect"
    names = dict.fromkeys(run.configuration for run in report.runs)
    listed = ", ".join(list(names)[:12]) + (f" and {len(names) - 12} more" if len(names) > 12 else "")
    return f"{said}. Tested: {listed}."


def baseline_section(report: ReportData) -> Section:
    """State where the car started, in loads and in words."""
    table, row, show = report.table, report.baseline, report.show
    verdict, n = table.handling.verdicts[row], table.handling.nominal
    target, over = report.session.vehicle.target, table.ranges[row]
    rows = report.ends
    blocks: tuple[Block, ...] = (
        Words(
            text=f"{range_mark(over)} {range_sentence(over, report.session.vehicle, show, day=table.day, customer=True)}.",
            role=range_role(over),
        ),
        Words(text=explanation(verdict, report.speed, target, show)),
        table_of(
            key="baseline",
            heading=f"{report.name(row)}: what the air does at {show.speed(report.speed)}",
            columns=(*words_columns("quantity"), *LOAD_HEADS[:3]),
            rows=(
                (Cell(text="load"), *_load_cells(report, row)[:3]),
                (
                    Cell(text="share of the axle's static weight"),
                    Cell(text=added_text(float(n.front_added_load[row]))),
                    Cell(text=added_text(float(n.rear_added_load[row]))),
                    Cell(text=added_text(_whole_share(report, row))),
                ),
            ),
        ),
        Words(
            text=(
                f"Drag {both(report, 'force', float(n.drag[row]), float(table.stds[DRAG, row]))}. "
                "Downforce presses an axle onto the road, LIFT takes load off it."
            )
        ),
        Pictures(
            pictures=tuple(
                against_speed(report, r, "axle_loads", y_range=loads_range(report, rows)) for r in rows
            )
        ),
        letters_words(report),
    )
    return Section(blocks)


def _whole_share(report: ReportData, row: int) -> float:
    front, rear = static_axle_weights(report.session.vehicle.mass, report.session.vehicle.front_share)
    return float(report.table.handling.nominal.downforce[row]) / (front + rear)


def letters_words(report: ReportData) -> Words:
    """State which letter in the pictures stands for which place."""
    places = report.session.places
    if not places:
        return Words(text="No speeds are named, so that none is marked in the pictures.", role="soft")
    named = "; ".join(
        f"{letter} {cut(place.name, _LONG_PLACE)}, {report.show.speed(place.speed)}"
        for letter, place in zip(place_letters(len(places)), places, strict=True)
    )
    return Words(text=f"Letters in the picture: {named}.", role="soft")


def _load_cells(report: ReportData, row: int) -> tuple[Cell, ...]:
    """Return the cells of front, rear, total and drag of a run."""
    return load_cells(report, forces_at(report.table.handling.nominal, row), report.table.stds[:, row])


def runs_table(report: ReportData, rows: Sequence[int]) -> Table:
    """Return the table of the runs shown: loads, drag, surplus and verdict."""
    ranges, show = report.table.ranges, report.show
    return table_of(
        key="runs",
        heading=f"Configurations, means of their readings, at {show.speed(report.speed)}",
        columns=(
            *words_columns("configuration"),
            *LOAD_HEADS,
            *figures_columns("in balance to", "then"),
        ),
        rows=tuple(
            (
                Cell(text=report.fitted_words(row), other=report.runs_words(row)),
                *_load_cells(report, row),
                Cell(text=_to(ranges[row], show), role=range_role(ranges[row])),
                Cell(text=range_then(ranges[row]), role=range_role(ranges[row])),
            )
            for row in rows
        ),
        note=" ".join(_under_the_table(report, rows)),
    )


def _to(one: RangeVerdict, show: Show) -> str:
    """Write how far a car is in balance, with its unit."""
    return balance_to(one, show) if one.stays else f"{balance_to(one, show)} {show.unit('speed')}"


def _under_the_table(report: ReportData, rows: Sequence[int]) -> Iterator[str]:
    tested = BEYOND_TESTS * highest_tested(report.session)
    for words in beyond_words([report.table.ranges[row] for row in rows], tested, report.show):
        yield f"{words}."
    if any(not report.table.ranges[row].stays for row in rows):
        yield "In balance to: so far the whole 95 % interval is inside the limits, short of where the car itself passes one."
    if report.some_left_out:
        more = counted(report.some_left_out, "more configuration")
        hidden = [row for row in report.day.rows.configurations if row not in report.shown]
        why = ", marked suspect," if all(report.run(row).status == "suspect" for row in hidden) else ""
        yield f"{more}{why} not shown here."
