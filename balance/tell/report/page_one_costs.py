"""Page one: what the recommendation costs in drag, power and top speed, and what its mounts carry."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from balance.handling.axle_loads import drag_power
from balance.handling.top_speed import top_speed
from balance.model.channels import DRAG
from balance.tell.parts.change_text import amount_words
from balance.tell.report.cells import WITHIN_NOISE
from balance.tell.runs.run_table import shortened
from balance.units.shown import SI

if TYPE_CHECKING:
    from collections.abc import Iterator

    from balance.decide.recommendation.mounts import Mount
    from balance.tell.report.report_data import ReportData

_ROUND = 10.0
"""Newtons to which the load of a mount is rounded: what is estimated so is not known better."""


def cost_sentences(report: ReportData) -> Iterator[str]:
    """Return drag and power against the start, at the speed shown and at top speed, and what is lost of the top speed."""
    way, show = report.way, report.show
    if way is None:
        drag = float(report.table.handling.nominal.drag[report.answer])
        power = show.quantity("power", float(drag_power(drag, report.speed)))
        std = float(report.table.stds[DRAG, report.answer])
        yield f"Nothing beyond the car as it started: {show.quantity('force', drag, std=std)} of drag, {power} at {show.speed(report.speed)}."
        return
    change = way.whole.of(0, DRAG)
    more = "more" if change.change > 0.0 else "less"
    top, factor = report.top_speed, (report.top_speed / report.speed) ** 2
    amount, _, between = amount_words(change, show).partition(" (")
    between = between and f" ({between}"
    if not math.isfinite(change.std):
        yield f"{amount} {more} drag at {show.speed(report.speed)}, noise unknown."
        return
    if not change.resolved:
        yield f"Drag within noise: {WITHIN_NOISE}{amount} {more}{between} at {show.speed(report.speed)}."
        return
    here = abs(float(drag_power(change.change, report.speed)))
    there = abs(float(drag_power(change.change * factor, top)))
    yield (
        f"{amount} {more} drag{between}, {show.quantity('power', here, decimals=1)}; at {show.speed(top)} "
        f"{show.quantity('power', there, decimals=1)}{_top_speed_words(report)}."
    )


def _top_speed_words(report: ReportData) -> str:
    """State how much of the speed that power holds against drag is gained or lost, where the power is stated."""
    vehicle = report.session.vehicle
    if vehicle.power is None:
        return ""
    areas = report.day.areas([report.baseline, report.answer])[DRAG]
    held = top_speed(areas, power=vehicle.power, mass=vehicle.mass, air_density=report.table.air_density)
    change = float(held[1] - held[0])
    amount = report.show.speed(abs(change))
    if amount.startswith("0 "):
        return ", with no loss of top speed"
    return f", about {amount} {'of top speed' if change < 0.0 else 'more top speed'}"


def mount_sentences(report: ReportData) -> Iterator[str]:
    """Return what each fitted part pulls at its mounts at the top speed, in newtons whatever the units."""
    measured = [one for one in report.mounts if one.force is not None]
    unknown = [one for one in report.mounts if one.force is None]
    if not report.mounts:
        yield "No part is named as fitted, so no load of a mount is known."
    if measured:
        said = ", ".join(
            f"{'about ' if k == 0 else ''}{_force(report, one)} on the {_name(report, one)}"
            for k, one in enumerate(sorted(measured, key=lambda one: -(one.force or 0.0)))
        )
        yield f"{said[:1].upper()}{said[1:]}, plus bumps and gusts."
    if unknown:
        *first, last = (_name(report, one) for one in unknown)
        names = f"{', '.join(first)} and {last}" if first else last
        verb = "were" if len(unknown) > 1 else "was"
        load = float(report.table.handling.nominal.downforce[report.answer])
        whole = load * (report.top_speed / report.speed) ** 2
        known = f"; the whole car's downforce there is about {_newtons(report, whole)}" if whole > 0.0 else ""
        yield f"The {names} {verb} never run on and off alone, so that load is not known{known}."
    yield f"Have {'each' if len(report.mounts) > 1 else 'it' if report.mounts else 'every mount'} sized by somebody qualified."


def _name(report: ReportData, mount: Mount) -> str:
    return shortened(mount.name, report.session.setting_names)


def _force(report: ReportData, mount: Mount) -> str:
    """Write a mount's load rounded, in newtons too where others lead."""
    return _newtons(report, mount.force or 0.0)


def _newtons(report: ReportData, exact: float) -> str:
    force = _ROUND * round(exact / _ROUND)
    newtons = f"{force:,.0f} N"
    if report.show.system.name == SI.name:
        return newtons
    return f"{report.show.quantity('force', force)} ({newtons})"
