"""What the car does at each place, and what it costs in drag."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from balance.handling.axle_loads import drag_power
from balance.model.channels import DRAG, FRONT, REAR
from balance.tell.figures import NONE, interval, number, percent
from balance.tell.parts.change_text import change_words
from balance.tell.report.blocks import Block, Missing, Section, Words
from balance.tell.report.cells import load_cell, quantity_cell
from balance.tell.report.curves_picture import place_letters
from balance.tell.table import Cell, figures_columns, table_of, words_columns
from balance.tell.words import verdict_mark, verdict_role, verdict_words

if TYPE_CHECKING:
    from balance.decide.day.verdict import Verdict
    from balance.model.records import Target
    from balance.tell.report.report_data import ReportData


def places_section(report: ReportData) -> Section:
    """State what the answer does at each named place: loads, which axle gives up first, how far from the band."""
    places, target = report.session.places, report.session.vehicle.target
    if not places:
        return Section(
            (Missing("places", "none is named: add [[places]] with name and speed to session.toml"),)
        )
    at = report.at(report.answer, tuple(place.speed for place in places))
    n, stds = at.handling.nominal, at.stds
    rows = []
    for k, (letter, place) in enumerate(zip(place_letters(len(places)), places, strict=True)):
        verdict = at.handling.verdicts[k]
        rows.append(
            (
                Cell(
                    f"{letter}  {place.name}, {report.show.speed(place.speed)}",
                    other=report.other.speed(place.speed),
                ),
                load_cell(report, float(n.front_downforce[k]), float(stds[FRONT, k])),
                load_cell(report, float(n.rear_downforce[k]), float(stds[REAR, k])),
                surplus_cell(verdict),
                Cell(f"{verdict_mark(verdict)} {verdict_words(verdict)}", verdict_role(verdict)),
                Cell(band_distance(verdict, target)),
            )
        )
    return Section(
        (
            table_of(
                key="places",
                heading=f"{report.name(report.answer)}, at each named place",
                columns=(
                    *words_columns("place"),
                    *figures_columns("front axle", "rear axle", "grip surplus of the rear"),
                    *words_columns("which axle gives up first", "to the band"),
                ),
                rows=tuple(rows),
                note="The loads grow with the square of speed: what is right at one place is smaller at a slower one.",
            ),
        ),
        ("place", "grip_surplus", "tolerance", "rear_overpowers_front", "front_overpowers_rear"),
    )


def surplus_cell(verdict: Verdict) -> Cell:
    """Return a cell of the grip surplus that was judged, with its interval."""
    if not math.isfinite(verdict.surplus):
        return Cell(NONE, "muted")
    if verdict.low is None or verdict.high is None:
        return Cell(percent(verdict.surplus))
    std = (verdict.high - verdict.low) / 4.0
    return Cell(percent(verdict.surplus, std), between=f"({interval(verdict.low, verdict.high, std)})")


def band_distance(verdict: Verdict, target: Target) -> str:
    """State how far a grip surplus is from the nearer edge of the band, and on which side of it."""
    if not math.isfinite(verdict.surplus):
        return NONE
    rear, front = target.rear_tolerance - verdict.surplus, verdict.surplus + target.front_tolerance
    side, away = ("rear's", rear) if rear <= front else ("front's", front)
    where = "inside" if away >= 0.0 else "beyond"
    return f"{number(abs(away) * 100.0, 1)} points {where} the {side} edge"


def cost_section(report: ReportData) -> Section:
    """State what the answer costs in drag, as force and as power, at two speeds."""
    vehicle, show = report.session.vehicle, report.show
    fastest = max([float(report.day.readings.speed.max()), *(place.speed for place in report.session.places)])
    second = vehicle.top_speed or fastest
    named = "top speed" if vehicle.top_speed else "the fastest speed tested or named"
    speeds = [(report.speed, report.speed_why)]
    if abs(second - report.speed) > 0.01 * report.speed:
        speeds.append((second, named))
    rows = []
    for speed, why in speeds:
        factor = (speed / report.speed) ** 2
        drags = [float(report.table.handling.nominal.drag[row]) * factor for row in report.ends]
        stds = [float(report.table.stds[DRAG, row]) * factor for row in report.ends]
        rows.append(
            (
                Cell(f"{show.speed(speed)}, {why}", other=report.other.speed(speed)),
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
        words = "resolved" if change.resolved else "not resolved: the day cannot show it"
        at_two = " and ".join(
            f"{show.quantity('power', float(drag_power(change.change * (speed / report.speed) ** 2, speed)), decimals=1)} at "
            f"{show.speed(speed)}"
            for speed, _ in speeds
        )
        said.append(
            Words(
                f"Start to answer: {change_words(change, show)} of drag at "
                f"{show.speed(report.speed)}, {words}; that is {at_two}."
            )
        )
    return Section(tuple(said), ("drag",))
