"""The figures that the results give for the sentences of the section of limits, rounded by tell/."""

from dataclasses import dataclass

import numpy as np

from balance.decide.doubts.plausibility import doubts
from balance.tell.figures import number, percent

USUAL = ("30 to 70 %", "300 to 3500 kg", "1.5 to 4 m", "0.3 to 2", "20 %", "3 %", "5 %", "0 %")
"""Limits of what is usual, common practice without a source, as `plausibility.doubts` names them; and fixed words."""


@dataclass(frozen=True)
class Assumed:
    """What stands for a load exponent that nobody stated: its value, its range, and how far the axles may differ."""

    value: float
    low: float
    high: float
    apart: float
    within: float
    """How far one that was stated may be from what is stated."""


STIFFNESS = Assumed(0.75, 0.6, 0.9, 0.1, 0.075)  # common practice, no source
GRIP = Assumed(0.86, 0.8, 0.95, 0.05, 0.0375)  # common practice, no source
SHARE = "0.3 points"
"""Standard uncertainty of a front weight share: common practice, no source."""
HEIGHT = "50 mm"
"""How far the height that reacts drag may be from what is stated: common practice, no source."""
FRICTION = 1.1  # common practice, no source
FREEDOM = 4  # degrees of freedom of a stated scatter; common practice, no source


TESTS_REACH = 1.22
"""Times the highest tested speed, as far as loads are taken as tested: common practice, no source."""


def of_tests(report):
    """Give the speed up to which loads are taken as tested."""
    facility = report.session.facility.speed
    return report.show.speed(TESTS_REACH * max(run.speed or facility for run in report.session.used))


def of_limits(report):
    """Gather what the section may say."""
    table, vehicle, show = report.table, report.session.vehicle, report.show
    said = [*USUAL, "5 times", number(FRICTION, 1), str(FREEDOM), SHARE, HEIGHT]
    for verdict in table.handling.verdicts:
        shares = [*(verdict.shares or {}).values(), verdict.probability]
        said += [f"{number(share * 100.0, 0)} %" for share in shares if share is not None]
    said += ["99 %", "1 %"]  # more than, less than: what is not certain is never 100 % or 0 %
    said.append(of_tests(report))
    for one in (STIFFNESS, GRIP):
        said += [f"{one.value:g}", f"{one.low:g} to {one.high:g}", f"{one.apart:g}", f"{one.within:g}"]
    if vehicle.top_speed is not None:
        said.append(show.speed(vehicle.top_speed))
    speeds = table.onsets.lift_off_speed[np.isfinite(table.onsets.lift_off_speed)]
    said += [show.speed(float(speed)) for speed in speeds]
    tested = report.day.readings.dynamic_pressure
    said += [number(table.dynamic_pressure / float(one), 1) for one in tested]
    said += [percent(vehicle.target.rear_tolerance), percent(vehicle.target.front_tolerance)]
    for doubt in doubts(report.day):
        said += [doubt.run or "", doubt.other or "", doubt.unit]
        for key, value in doubt.values.items():
            said += _of_doubt(show, key, value)
    return said


KINDS = {
    "mass": "mass", "left": "mass", "right": "mass", "wheelbase": "length", "height": "length", "area": "area", "force": "force",
    "weight": "force", "change": "force", "usual": "force", "slope": "force", "density": "density",
}  # fmt: skip


def _of_doubt(show, key, value):
    """Say a figure of a doubt as what it is, its sign either way."""
    if key in ("share", "margin", "tolerance"):
        return [percent(value)]
    if key in ("of", "hanging"):
        return []  # counts of configurations, told in words
    if key == "factor":
        return [percent(abs(value - 1.0), decimals=0)]
    if key in ("speed", "slow", "fast", "perhaps"):
        return [show.speed(value)]
    if key == "facility":
        return [show.speed(value), show.quantity("density", value)]
    said = [show.quantity(KINDS[key], value), show.quantity(KINDS[key], -value)]
    return said + ([f"{show.bare('area', value)} {show.unit('area')}"] if key == "change" else [])
