"""The load that the air adds to each axle: of the configurations shown, and from start to recommendation with the limits."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from balance.handling.axle_loads import static_axle_weights
from balance.handling.decisive_surplus import rear_downforce_at
from balance.model.channels import REAR
from balance.reduce.car_figures import figures_of
from balance.tell.figures import percent
from balance.tell.report.pictures.bars import Pair, draw_pairs

if TYPE_CHECKING:
    from balance.tell.report.pictures.canvas import Picture
    from balance.tell.report.report_data import ReportData

MOST_BARS = 10


def recommended_picture(report: ReportData) -> Picture:
    """Draw the added loads of start, dangerous step between, and recommendation, with the limits of the rear's."""
    middle = () if report.middle is None else (report.middle.row,)
    rows = tuple(dict.fromkeys((report.baseline, *middle, report.answer)))
    pairs = []
    for row in rows:
        front, rear = _shares(report, row)
        what = _stage(report, row)
        name = report.fitted_words(row)
        pairs.append(
            Pair(
                name=f"{what}: {name}" if what else name,
                front=front * 100.0,
                rear=rear * 100.0,
                front_text=added_text(front),
                rear_text=added_text(rear),
                limits=_limits(report, row),
            )
        )
    at = report.show.speed(report.speed)
    said = "; ".join(
        f"{pair.name}: front {pair.front_text}, rear {pair.rear_text}"
        + (f", limits for the rear {pair.limits[0]:.1f} and {pair.limits[1]:.1f} %" if pair.limits else "")
        for pair in pairs
    ).replace("-", "\N{MINUS SIGN}")
    judged = report.table.handling.verdicts
    drive = " The limits are those under power." if any(judged[row].with_drive for row in rows) else ""
    return draw_pairs(
        pairs,
        key="recommended",
        title=f"Added load of each axle at {at}",
        unit="% of the axle's static weight",
        alternative=f"Load that the air adds to front and rear at {at}, in per cent of static weight. {said}.",
        caption=(
            f"In balance where the rear's bar ends between its limits; short of them, OVERSTEER.{drive}"
        ),
    )


def _stage(report: ReportData, row: int) -> str:
    if report.middle is not None and row == report.middle.row:
        return "DANGEROUS"
    if row == report.answer:
        return "Recommended" if report.recommends else "Nearest"
    return "Start"


def _shares(report: ReportData, row: int) -> tuple[float, float]:
    n = report.table.handling.nominal
    return float(n.front_added_load[row]), float(n.rear_added_load[row])


def _limits(report: ReportData, row: int) -> tuple[float, float] | None:
    """Return the added loads of the rear, in per cent, between which the car is in balance; nothing off the ground."""
    n, vehicle = report.table.handling.nominal, report.session.vehicle
    if float(n.front_added_load[row]) <= -1.0:
        return None
    loads = rear_downforce_at(
        [-vehicle.target.front_tolerance, vehicle.target.rear_tolerance],
        n.front_downforce[row],
        n.drag[row],
        figures_of(vehicle),
        driven_axle=vehicle.driven,
    )
    rear_weight = static_axle_weights(vehicle.mass, vehicle.front_share)[REAR]
    low, high = (float(load) / rear_weight * 100.0 for load in loads)
    return (low, high) if math.isfinite(low + high) else None


def added_picture(report: ReportData) -> Picture:
    """Draw the added load of both axles for the runs shown."""
    n, rows = report.table.handling.nominal, report.shown[:MOST_BARS]
    pairs = []
    for row in rows:
        front, rear = float(n.front_added_load[row]), float(n.rear_added_load[row])
        pairs.append(
            Pair(
                name=row_name(report, row),
                front=front * 100.0,
                rear=rear * 100.0,
                front_text=added_text(front),
                rear_text=added_text(rear),
            )
        )
    at = report.show.speed(report.speed)
    said = "; ".join(f"{pair.name}: front {pair.front_text}, rear {pair.rear_text}" for pair in pairs)
    return draw_pairs(
        pairs,
        key="added",
        title=f"Load that the air adds to each axle at {at}",
        unit="% of the axle's static weight",
        alternative=f"Added load of each axle at {at}, in per cent of its static weight. {said}.",
        caption=(
            "Each bar is what the air adds to an axle, as a part of its static weight; LIFT goes to the left. "
            "Where both bars are equally long the axles stay matched; the longer one's axle gains grip on the other."
        ),
    )


def row_name(report: ReportData, row: int) -> str:
    """Name a row in few words: what is fitted, and its runs."""
    return f"{report.fitted_words(row)} ({report.runs_words(row)})"


def added_text(share: float) -> str:
    """Write an added load: its size, and LIFT where the air takes load off."""
    return f"{percent(abs(share))} LIFT" if share < 0.0 else percent(share)
