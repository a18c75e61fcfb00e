"""The first sections of a brief: the answer, the car and what was done, where the car started."""

from __future__ import annotations

from typing import TYPE_CHECKING

from balance.decide.day.best_balanced import DRAG_WORTH
from balance.decide.day.range_seen import BEYOND_TESTS, highest_tested
from balance.handling.axle_loads import drag_power, static_axle_weights
from balance.model.channels import DRAG, FRONT, REAR, TOTAL
from balance.tell.figures import percent
from balance.tell.parts.change_text import change_words
from balance.tell.repeatability.scatter_words import scatter_summary
from balance.tell.report.blocks import Block, Lines, Pictures, Section, Words
from balance.tell.report.cells import both, both_loads, load_cell, quantity_cell
from balance.tell.report.pictures import added_text, against_speed, loads_range, row_name
from balance.tell.runs.card import doubt_sentences, run_card
from balance.tell.runs.range_words import (
    balance_to,
    beyond_words,
    range_mark,
    range_role,
    range_sentence,
    range_short,
)
from balance.tell.table import Cell, Table, figures_columns, table_of, words_columns
from balance.tell.words import explanation, grip_words

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from balance.tell.report.report_data import ReportData

LOAD_HEADS = (*figures_columns("front axle", "rear axle", "both together", "drag"),)


def answer_section(report: ReportData) -> Section:
    """Return the answer line by line: balance, how far it holds, load, drag, how well the day could tell, the largest doubt."""
    table, row, show = report.table, report.answer, report.show
    verdict, target = table.handling.verdicts[row], report.session.vehicle.target
    card = run_card(table, row, show)
    blocks: list[Block] = [
        Words(card.title, role="strong"),
        Words(f"{card.headline}.", role=card.role),
        *([Words(card.caution, role="danger")] if card.caution else []),
        Lines(
            (
                ("Balance", grip_words(verdict, target, show.speed(report.speed))),
                ("How far", f"{card.onset} {_start_words(report)}"),
                ("Load", _load_words(report)),
                ("Drag", _drag_words(report)),
                ("The day", scatter_summary(report.scatter, show)[0]),
                *_doubt_line(report),
            ),
            numbered=True,
        ),
        Words(_why_this(report), role="soft"),
    ]
    return Section(
        tuple(blocks),
        (
            "verdict",
            "overturned_by",
            "grip_surplus",
            "tolerance",
            "interval",
            "onset_speed",
            "downforce",
            "drag",
            "front_added_load",
        ),
    )


def _doubt_line(report: ReportData) -> Iterator[tuple[str, str]]:
    said = doubt_sentences(report.table, report.answer, report.show)
    if said:
        yield "How sure", " ".join(said)


def _start_words(report: ReportData) -> str:
    if report.same:
        return "That is the car as it came."
    start = range_sentence(report.table.ranges[report.baseline], report.session.vehicle, report.show)
    return f"The car started from: {start}."


def _load_words(report: ReportData) -> str:
    n, stds, row = report.table.handling.nominal, report.table.stds, report.answer
    loads = (
        f"Front {both_loads(report, float(n.front_downforce[row]), float(stds[FRONT, row]))}, "
        f"rear {both_loads(report, float(n.rear_downforce[row]), float(stds[REAR, row]))}, "
        f"at {report.show.speed(report.speed)}"
    )
    if report.way is None:
        return f"{loads}."
    change = report.way.whole.of(0, TOTAL)
    word = "" if change.resolved else ", not resolved"
    return f"{loads}; both together {change_words(change, report.show)} against the start{word}."


def _drag_words(report: ReportData) -> str:
    n, row, show = report.table.handling.nominal, report.answer, report.show
    drag = float(n.drag[row])
    said = f"{both(report, 'force', drag, float(report.table.stds[DRAG, row]))} at {show.speed(report.speed)}"
    if report.way is None:
        return f"{said}, which takes {both(report, 'power', float(drag_power(drag, report.speed)))} to drive against."
    change = report.way.whole.of(0, DRAG)
    word = "" if change.resolved else ", not resolved"
    power = both(report, "power", float(drag_power(abs(change.change), report.speed)), decimals=1)
    more = "more" if change.change > 0.0 else "less"
    return (
        f"{said}, {change_words(change, show)} against the start{word}: {power} {more} to drive against it."
    )


def _why_this(report: ReportData) -> str:
    if report.choices.answer:
        chosen = "The engineer chose this configuration as the answer."
    else:
        of = ["gain downforce at both axles, or lift at neither"] if report.chosen.loaded else []
        of += ["have no speed at which the front overpowers the rear"] if report.chosen.safe else []
        which = f"of the configurations that {' and '.join(of)}, " if of else ""
        chosen = (
            f"Nobody named an answer: {which}this one is most surely in balance at the named places, and of those alike "
            f"has most downforce less {DRAG_WORTH:g} times drag."
        )
        if not report.chosen.safe:
            chosen += (
                " No configuration of this day is free of danger: do not drive this one fast as it stands."
            )
    return f"{chosen} All loads are stated at {both(report, 'speed', report.speed)}, {report.speed_why}."


def car_section(report: ReportData) -> Section:
    """State what car it is, how it was measured, and what was done."""
    session, vehicle = report.session, report.session.vehicle
    front, rear = static_axle_weights(vehicle.mass, vehicle.front_share)
    facts = [
        ("Car", vehicle.name),
        ("About it", vehicle.note),
        ("Mass as it runs", both(report, "mass", vehicle.mass)),
        (
            "Weight on the front axle at rest",
            f"{both(report, 'force', front)}, {percent(vehicle.front_share)}",
        ),
        ("Weight on the rear axle at rest", both(report, "force", rear)),
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
            Lines(tuple(fact for fact in facts if fact[1]), short=True),
            Words(_done(report)),
        ),
        ("front_weight_share", "configuration", "run", "void", "suspect"),
    )


def _done(report: ReportData) -> str:
    runs = report.session.runs
    void, suspect = (sum(run.status == word for run in runs) for word in ("void", "suspect"))
    said = f"{len(runs)} run{'s' if len(runs) != 1 else ''}, {len(report.day.configurations)} different configuration"
    said += "s" if len(report.day.configurations) != 1 else ""
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
            f"{range_mark(over)} {range_sentence(over, report.session.vehicle, show)}.", role=range_role(over)
        ),
        Words(explanation(verdict, report.speed, target, show)),
        table_of(
            key="baseline",
            heading=f"{report.name(row)}: what the air does at {show.speed(report.speed)}",
            columns=(*words_columns("quantity"), *LOAD_HEADS[:3]),
            rows=(
                (
                    Cell("load"),
                    *load_cells(report, row)[:3],
                ),
                (
                    Cell("share of the axle's weight at rest"),
                    Cell(added_text(float(n.front_added_load[row]))),
                    Cell(added_text(float(n.rear_added_load[row]))),
                    Cell(added_text(_whole_share(report, row))),
                ),
            ),
        ),
        Words(
            f"Drag {both(report, 'force', float(n.drag[row]), float(table.stds[DRAG, row]))}. "
            "Downforce presses an axle onto the road, LIFT takes load off it."
        ),
        Pictures(
            tuple(against_speed(report, r, "axle_loads", y_range=loads_range(report, rows)) for r in rows)
        ),
        letters_words(report),
    )
    return Section(blocks, ("baseline", "lift", "downforce", "front_added_load", "place"))


def _whole_share(report: ReportData, row: int) -> float:
    front, rear = static_axle_weights(report.session.vehicle.mass, report.session.vehicle.front_share)
    return float(report.table.handling.nominal.downforce[row]) / (front + rear)


def letters_words(report: ReportData) -> Words:
    """State which letter in the pictures stands for which place."""
    from balance.tell.report.curves_picture import place_letters  # noqa: PLC0415 - keeps this file's head short

    places = report.session.places
    if not places:
        return Words(
            "No places are named in session.toml, so that none is marked in the pictures.", role="soft"
        )
    named = "; ".join(
        f"{letter} {place.name}, {report.show.speed(place.speed)}"
        for letter, place in zip(place_letters(len(places)), places, strict=True)
    )
    return Words(f"Letters in pictures against speed: {named}.", role="soft")


def load_cells(report: ReportData, row: int) -> tuple[Cell, ...]:
    """Return the cells of front, rear, total and drag of a run."""
    n, stds = report.table.handling.nominal, report.table.stds
    return (
        load_cell(report, float(n.front_downforce[row]), float(stds[FRONT, row])),
        load_cell(report, float(n.rear_downforce[row]), float(stds[REAR, row])),
        load_cell(report, float(n.downforce[row]), float(stds[TOTAL, row])),
        quantity_cell(report, "force", float(n.drag[row]), float(stds[DRAG, row])),
    )


def runs_table(report: ReportData, rows: Sequence[int]) -> Table:
    """Return the table of the runs shown: loads, drag, surplus and verdict."""
    ranges, show = report.table.ranges, report.show
    unit = f" [{show.unit('speed')}]"
    return table_of(
        key="runs",
        heading=f"The configurations shown, means of their readings, at {show.speed(report.speed)}",
        columns=(
            *words_columns("run"),
            *LOAD_HEADS,
            *figures_columns(f"in balance to{unit}", "then"),
        ),
        rows=tuple(
            (
                Cell(row_name(report, row)),
                *load_cells(report, row),
                Cell(balance_to(ranges[row], show), range_role(ranges[row])),
                Cell(range_short(ranges[row]), range_role(ranges[row])),
            )
            for row in rows
        ),
        note=" ".join(_under_the_table(report, rows)),
    )


def _under_the_table(report: ReportData, rows: Sequence[int]) -> Iterator[str]:
    yield "“In balance to” and “then” hold for every speed the car sees, not for one."
    tested = BEYOND_TESTS * highest_tested(report.session)
    for words in beyond_words([report.table.ranges[row] for row in rows], tested, report.show):
        yield f"{words}."
    if report.some_left_out:
        more = f"{report.some_left_out} more configuration{'s' if report.some_left_out != 1 else ''}"
        yield f"{more} in the run sheet at the end."
