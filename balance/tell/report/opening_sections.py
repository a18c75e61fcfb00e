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
from balance.tell.report.pictures import added_picture, added_text, against_speed, loads_range, row_name
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

    from balance.tell.report.matter import Matter

LOAD_HEADS = (*figures_columns("front axle", "rear axle", "both together", "drag"),)


def answer_section(matter: Matter) -> Section:
    """Return the answer line by line: balance, how far it holds, load, drag, how well the day could tell, the largest doubt."""
    table, row, show = matter.table, matter.answer, matter.show
    verdict, target = table.handling.verdicts[row], matter.session.vehicle.target
    card = run_card(table, row, show)
    blocks: list[Block] = [
        Words(card.title, role="strong"),
        Words(f"{card.headline}.", role=card.role),
        *([Words(card.caution, role="danger")] if card.caution else []),
        Lines(
            (
                ("Balance", grip_words(verdict, target, show.speed(matter.speed))),
                ("How far", f"{card.onset} {_start_words(matter)}"),
                ("Load", _load_words(matter)),
                ("Drag", _drag_words(matter)),
                ("The day", scatter_summary(matter.scatter, show)[0]),
                *_doubt_line(matter),
            ),
            numbered=True,
        ),
        Words(_why_this(matter), role="soft"),
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


def _doubt_line(matter: Matter) -> Iterator[tuple[str, str]]:
    said = doubt_sentences(matter.table, matter.answer, matter.show)
    if said:
        yield "How sure", " ".join(said)


def _start_words(matter: Matter) -> str:
    if matter.same:
        return "That is the car as it came."
    start = range_sentence(matter.table.ranges[matter.baseline], matter.session.vehicle, matter.show)
    return f"The car started from: {start}."


def _load_words(matter: Matter) -> str:
    n, stds, row = matter.table.handling.nominal, matter.table.stds, matter.answer
    loads = (
        f"Front {both_loads(matter, float(n.front_downforce[row]), float(stds[FRONT, row]))}, "
        f"rear {both_loads(matter, float(n.rear_downforce[row]), float(stds[REAR, row]))}, "
        f"at {matter.show.speed(matter.speed)}"
    )
    if matter.way is None:
        return f"{loads}."
    change = matter.way.whole.of(0, TOTAL)
    word = "" if change.resolved else ", not resolved"
    return f"{loads}; both together {change_words(change, matter.show)} against the start{word}."


def _drag_words(matter: Matter) -> str:
    n, row, show = matter.table.handling.nominal, matter.answer, matter.show
    drag = float(n.drag[row])
    said = f"{both(matter, 'force', drag, float(matter.table.stds[DRAG, row]))} at {show.speed(matter.speed)}"
    if matter.way is None:
        return f"{said}, which takes {both(matter, 'power', float(drag_power(drag, matter.speed)))} to drive against."
    change = matter.way.whole.of(0, DRAG)
    word = "" if change.resolved else ", not resolved"
    power = both(matter, "power", float(drag_power(abs(change.change), matter.speed)), decimals=1)
    more = "more" if change.change > 0.0 else "less"
    return (
        f"{said}, {change_words(change, show)} against the start{word}: {power} {more} to drive against it."
    )


def _why_this(matter: Matter) -> str:
    if matter.choices.answer:
        chosen = "The engineer chose this configuration as the answer."
    else:
        of = ["gain downforce at both axles, or lift at neither"] if matter.chosen.loaded else []
        of += ["have no speed at which the front overpowers the rear"] if matter.chosen.safe else []
        which = f"of the configurations that {' and '.join(of)}, " if of else ""
        chosen = (
            f"Nobody named an answer: {which}this one is most surely in balance at the named places, and of those alike "
            f"has most downforce less {DRAG_WORTH:g} times drag."
        )
        if not matter.chosen.safe:
            chosen += (
                " No configuration of this day is free of danger: do not drive this one fast as it stands."
            )
    return f"{chosen} All loads are stated at {both(matter, 'speed', matter.speed)}, {matter.speed_why}."


def car_section(matter: Matter) -> Section:
    """State what car it is, how it was measured, and what was done."""
    session, vehicle = matter.session, matter.session.vehicle
    front, rear = static_axle_weights(vehicle.mass, vehicle.front_share)
    facts = [
        ("Car", vehicle.name),
        ("About it", vehicle.note),
        ("Mass as it runs", both(matter, "mass", vehicle.mass)),
        (
            "Weight on the front axle at rest",
            f"{both(matter, 'force', front)}, {percent(vehicle.front_share)}",
        ),
        ("Weight on the rear axle at rest", both(matter, "force", rear)),
        ("Wheelbase", both(matter, "length", vehicle.wheelbase)),
        ("Driven axle", vehicle.driven or "not stated"),
        ("Power", both(matter, "power", vehicle.power) if vehicle.power else "not stated"),
        ("Top speed", both(matter, "speed", vehicle.top_speed) if vehicle.top_speed else "not stated"),
        ("Day", session.title),
        ("Date", session.date.isoformat() if session.date else "not stated"),
        (
            "Where",
            f"{session.facility.kind or 'kind not stated'}, floor {session.facility.floor or 'not stated'}",
        ),
        ("Tested at", both(matter, "speed", session.facility.speed)),
    ]
    return Section(
        (
            Lines(tuple(fact for fact in facts if fact[1]), short=True),
            Words(_done(matter)),
        ),
        ("front_weight_share", "configuration", "run", "void", "suspect"),
    )


def _done(matter: Matter) -> str:
    runs = matter.session.runs
    void, suspect = (sum(run.status == word for run in runs) for word in ("void", "suspect"))
    said = f"{len(runs)} run{'s' if len(runs) != 1 else ''}, {len(matter.day.configurations)} different configuration"
    said += "s" if len(matter.day.configurations) != 1 else ""
    if void:
        said += f"; {void} void and left out"
    if suspect:
        said += f"; {suspect} marked suspect"
    names = dict.fromkeys(run.configuration for run in matter.runs)
    listed = ", ".join(list(names)[:12]) + (f" and {len(names) - 12} more" if len(names) > 12 else "")
    return f"{said}. Tested: {listed}."


def baseline_section(matter: Matter) -> Section:
    """State where the car started, in loads and in words."""
    table, row, show = matter.table, matter.baseline, matter.show
    verdict, n = table.handling.verdicts[row], table.handling.nominal
    target, over = matter.session.vehicle.target, table.ranges[row]
    rows = matter.ends
    blocks: tuple[Block, ...] = (
        Words(
            f"{range_mark(over)} {range_sentence(over, matter.session.vehicle, show)}.", role=range_role(over)
        ),
        Words(explanation(verdict, matter.speed, target, show)),
        table_of(
            key="baseline",
            heading=f"{matter.name(row)}: what the air does at {show.speed(matter.speed)}",
            columns=(*words_columns("quantity"), *LOAD_HEADS[:3]),
            rows=(
                (
                    Cell("load"),
                    *load_cells(matter, row)[:3],
                ),
                (
                    Cell("share of the axle's weight at rest"),
                    Cell(added_text(float(n.front_added_load[row]))),
                    Cell(added_text(float(n.rear_added_load[row]))),
                    Cell(added_text(_whole_share(matter, row))),
                ),
            ),
        ),
        Words(
            f"Drag {both(matter, 'force', float(n.drag[row]), float(table.stds[DRAG, row]))}. "
            "Downforce presses an axle onto the road, LIFT takes load off it."
        ),
        Pictures(
            tuple(against_speed(matter, r, "axle_loads", y_range=loads_range(matter, rows)) for r in rows)
        ),
        letters_words(matter),
    )
    return Section(blocks, ("baseline", "lift", "downforce", "front_added_load", "place"))


def _whole_share(matter: Matter, row: int) -> float:
    front, rear = static_axle_weights(matter.session.vehicle.mass, matter.session.vehicle.front_share)
    return float(matter.table.handling.nominal.downforce[row]) / (front + rear)


def letters_words(matter: Matter) -> Words:
    """State which letter in the pictures stands for which place."""
    from balance.tell.report.curves_picture import place_letters  # noqa: PLC0415 - keeps this file's head short

    places = matter.session.places
    if not places:
        return Words(
            "No places are named in session.toml, so that none is marked in the pictures.", role="soft"
        )
    named = "; ".join(
        f"{letter} {place.name}, {matter.show.speed(place.speed)}"
        for letter, place in zip(place_letters(len(places)), places, strict=True)
    )
    return Words(f"Letters in pictures against speed: {named}.", role="soft")


def load_cells(matter: Matter, row: int) -> tuple[Cell, ...]:
    """Return the cells of front, rear, total and drag of a run."""
    n, stds = matter.table.handling.nominal, matter.table.stds
    return (
        load_cell(matter, float(n.front_downforce[row]), float(stds[FRONT, row])),
        load_cell(matter, float(n.rear_downforce[row]), float(stds[REAR, row])),
        load_cell(matter, float(n.downforce[row]), float(stds[TOTAL, row])),
        quantity_cell(matter, "force", float(n.drag[row]), float(stds[DRAG, row])),
    )


def runs_table(matter: Matter, rows: Sequence[int]) -> Table:
    """Return the table of the runs shown: loads, drag, surplus and verdict."""
    ranges, show = matter.table.ranges, matter.show
    unit = f" [{show.unit('speed')}]"
    return table_of(
        key="runs",
        heading=f"The configurations shown, means of their readings, at {show.speed(matter.speed)}",
        columns=(
            *words_columns("run"),
            *LOAD_HEADS,
            *figures_columns(f"in balance to{unit}", "then"),
        ),
        rows=tuple(
            (
                Cell(row_name(matter, row)),
                *load_cells(matter, row),
                Cell(balance_to(ranges[row], show), range_role(ranges[row])),
                Cell(range_short(ranges[row]), range_role(ranges[row])),
            )
            for row in rows
        ),
        note=" ".join(_under_the_table(matter, rows)),
    )


def _under_the_table(matter: Matter, rows: Sequence[int]) -> Iterator[str]:
    yield "“In balance to” and “then” hold for every speed the car sees, not for one."
    tested = BEYOND_TESTS * highest_tested(matter.session)
    for words in beyond_words([matter.table.ranges[row] for row in rows], tested, matter.show):
        yield f"{words}."
    if matter.some_left_out:
        more = f"{matter.some_left_out} more configuration{'s' if matter.some_left_out != 1 else ''}"
        yield f"{more} in the run sheet at the end."


def added_block(matter: Matter) -> Pictures:
    """Return the picture of added loads."""
    return Pictures((added_picture(matter),))
