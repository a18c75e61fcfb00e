"""What the car does at each named speed, and drag and power of start and recommendation."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from balance.decide.day.verdict import VerdictWord
from balance.handling.axle_loads import drag_power
from balance.model.channels import DRAG, FRONT, REAR
from balance.tell.figures import NONE, number, percent
from balance.tell.parts.change_text import change_words
from balance.tell.report.blocks import Block, Missing, Section, Words
from balance.tell.report.cells import WITHIN_NOISE, forces_at, load_cells, quantity_cell, second
from balance.tell.report.pictures.curves import place_letters
from balance.tell.table import Cell, figures_columns, table_of, words_columns
from balance.tell.words import (
    CLASSES,
    MUCH_AS_AT_REST,
    surplus_range,
    surplus_std,
    verdict_mark,
    verdict_role,
)

if TYPE_CHECKING:
    from balance.decide.day.verdict import Verdict
    from balance.model.records import Target
    from balance.tell.report.report_data import ReportData


def places_section(report: ReportData) -> Section:
    """State what the answer does at each named place: loads, which axle gives up first, how far from the band."""
    places, target = report.session.places, report.session.vehicle.target
    if not places:
        return Section((Missing(what="places", why="no speed is named for this day"),))
    at = report.at(report.answer, tuple(place.speed for place in places))
    rows = []
    for k, (letter, place) in enumerate(zip(place_letters(len(places)), places, strict=True)):
        verdict = at.handling.verdicts[k]
        rows.append(
            (
                Cell(
                    text=f"{letter}  {place.name}, {report.show.speed(place.speed)}",
                    other=second(report, "speed", place.speed),
                ),
                *load_cells(report, forces_at(at.handling.nominal, k), at.stds[:, k], (FRONT, REAR)),
                surplus_cell(verdict),
                Cell(text=place_verdict(verdict), role=verdict_role(verdict)),
                Cell(text=limit_distance(verdict, target)),
            )
        )
    return Section(
        (
            table_of(
                key="places",
                heading=f"{report.name(report.answer)}, at each named place",
                columns=(
                    *words_columns("place"),
                    *figures_columns("front axle", "rear axle", "grip balance"),
                    *words_columns("verdict there", "to the limit"),
                ),
                rows=tuple(rows),
                note="The loads grow with the square of speed: what is right at one place is smaller at a slower one.",
            ),
        ),
    )


def surplus_cell(verdict: Verdict) -> Cell:
    """Return a cell of the grip surplus that was judged, with its interval."""
    if not math.isfinite(verdict.surplus):
        return Cell(text=NONE, role="muted")
    ends = surplus_range(verdict)
    text = percent(verdict.surplus, surplus_std(verdict))
    return Cell(text=text, between=f"({ends})" if ends else "")


def place_verdict(verdict: Verdict) -> str:
    """Name a verdict at one speed, with its mark; what the driver feels follows the grip balance, not the limits."""
    if verdict.word is VerdictWord.AT_THE_EDGE:
        side = "understeer" if verdict.edge is VerdictWord.REAR_OVERPOWERS else "OVERSTEER"
        return f"◐ at the {side} limit"
    if verdict.light:
        return "○ small load"
    if verdict.word in _PAST and abs(verdict.surplus) < MUCH_AS_AT_REST:
        return f"{verdict_mark(verdict)} past the {_PAST[verdict.word]} limit"
    if verdict.word is VerdictWord.OFF_THE_GROUND:
        return f"{verdict_mark(verdict)} AXLE UNLOADED"
    return f"{verdict_mark(verdict)} {CLASSES[verdict.word].turns}"


_PAST = {VerdictWord.REAR_OVERPOWERS: "understeer", VerdictWord.FRONT_OVERPOWERS: "OVERSTEER"}


def limit_distance(verdict: Verdict, target: Target) -> str:
    """State how far a grip balance is from the nearer limit, and on which side of it."""
    if not math.isfinite(verdict.surplus):
        return NONE
    rear, front = target.rear_tolerance - verdict.surplus, verdict.surplus + target.front_tolerance
    side, away = ("understeer", rear) if rear <= front else ("OVERSTEER", front)
    where = "short of" if away >= 0.0 else "past"
    return f"{number(abs(away) * 100.0, 1)} points {where} the {side} limit"


def cost_section(report: ReportData) -> Section:
    """State what the answer costs in drag, as force and as power, at two speeds."""
    vehicle, show = report.session.vehicle, report.show
    fastest = max([float(report.day.readings.speed.max()), *(place.speed for place in report.session.places)])
    faster = vehicle.top_speed or fastest
    named = "top speed" if vehicle.top_speed else "the fastest speed tested or named"
    speeds = [(report.speed, report.speed_why)]
    if abs(faster - report.speed) > 0.01 * report.speed:
        speeds.append((faster, named))
    rows = []
    for speed, why in speeds:
        factor = (speed / report.speed) ** 2
        drags = [float(report.table.handling.nominal.drag[row]) * factor for row in report.ends]
        stds = [float(report.table.stds[DRAG, row]) * factor for row in report.ends]
        rows.append(
            (
                Cell(text=f"{show.speed(speed)}, {why}", other=second(report, "speed", speed)),
                *(quantity_cell(report, "force", *pair) for pair in zip(drags, stds, strict=True)),
                *(quantity_cell(report, "power", float(drag_power(drag, speed))) for drag in drags),
            )
        )
    said: list[Block] = [
        table_of(
            key="cost",
            heading="Drag, and the power that it takes",
            columns=(
                *words_columns("at"),
                *figures_columns(
                    *(
                        f"{what}, {report.runs_words(row)}"
                        for what in ("drag", "power")
                        for row in report.ends
                    )
                ),
            ),
            rows=tuple(rows),
            note="Drag force grows with the square of speed, the power that it takes with the cube.",
        )
    ]
    if report.way is not None:
        change = report.way.whole.of(0, DRAG)
        mark = "" if change.resolved else WITHIN_NOISE
        at_two = " and ".join(
            f"{show.quantity('power', float(drag_power(change.change * (speed / report.speed) ** 2, speed)), decimals=1)} at "
            f"{show.speed(speed)}"
            for speed, _ in speeds
        )
        said.append(
            Words(
                text=(
                    f"Start to recommendation: {mark}{change_words(change, show)} of drag at "
                    f"{show.speed(report.speed)}; that is {at_two}."
                )
            )
        )
    return Section(tuple(said))
