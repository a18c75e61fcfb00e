"""Whether a reading is as expected, and what likely went wrong where it is not."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import permutations
from typing import TYPE_CHECKING, Literal, NamedTuple

import numpy as np

from balance.decide.day.day import reduce_day
from balance.decide.doubts.plausibility import is_for_axle
from balance.decide.plan.configuration import configurations_of_day
from balance.decide.plan.day_belief import DayBelief, belief_of_day
from balance.decide.plan.expected_reading import ExpectedReading, expected_readings
from balance.model.channels import AXLES, CHANNELS, DRAG, FRONT, MEASURED, REAR
from balance.model.errors import UnknownName
from balance.reduce.air import dynamic_pressure

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from balance.decide.day.day import Day
    from balance.model.plans import DayPlan
    from balance.model.records import Session

Inside = Literal["95", "99.7", "outside"]
NEARER = 3.0
"""Times nearer to the nearest configuration that a turned value has to lie before a sign is asked about; a compromise that
finds half of the turned signs and asks wrongly in 8 of 100, simulated. [1]"""
USUAL_DRAG = 0.4
"""Share by which drag may differ from the baseline's before units, columns or the speed are asked about; no source. [1]"""
TOTAL_APART = 0.02
"""Share of the larger axle that a total may differ from both axles together where no scatter is known. [1]"""
SLIPS = ("sign", "swapped", "speed", "typed again")
"""Causes that are slips of typing."""
_SCALE = (1.08, 4.0)
_EACH = (FRONT, REAR, DRAG)
_FEW = 100
"""Draws of a day of which none is asked."""


class Cause(NamedTuple):
    """A likely cause: "sign", "swapped", "speed", "typed again", "total", "drag", "part loose" or "wrong setting".

    ``channels`` are the places of those that it concerns, as of `balance.model.channels`; ``factor`` is that of a speed cause: forces read over
    forces expected; ``run`` the run whose values were typed again.
    """

    kind: str
    channels: tuple[int, ...] = ()
    factor: float | None = None
    run: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class JudgedReading:
    """A reading against what the runs before it expect.

    ``read`` is front downforce, rear downforce, drag and total downforce, (4,) [m²], ``pressure`` the dynamic pressure
    at which its forces stand in the file [Pa]; ``expected`` is nothing where no run came before. ``by_channel`` says of
    each "95" inside the 95 % range, "99.7" inside that, or "outside". ``unseen`` are settings whose first fit this is: what they do cannot be judged yet. ``likely`` are what would explain
    it, the likeliest first; none inside 95 %.
    """

    run: str
    read: NDArray[np.float64]
    pressure: float
    expected: ExpectedReading | None
    by_channel: tuple[Inside, ...]
    unseen: tuple[str, ...]
    likely: tuple[Cause, ...]

    @property
    def inside(self) -> Inside:
        """The worst of front, rear and drag."""
        return _worst(self.by_channel)

    @property
    def asked(self) -> bool:
        """Whether it is asked about.

        Outside its 99.7 % range; outside 95 % where one slip of typing alone would explain it; of a first fit, whose range
        says little, where drag or a sign cannot well be right; and a total that does not agree.
        """
        if self.unseen or any(one.kind == "total" for one in self.likely):
            return bool(self.likely)
        return self.inside == "outside" or any(one.kind in SLIPS for one in self.likely)


def judge_run(session: Session, plan: DayPlan, label: str) -> JudgedReading:
    """Hold a run's reading against what the runs before it expect.

    The run and those after it count as not yet made, in the scatter as well: a wrong reading must not excuse itself. A
    cause is named where it alone would bring the reading inside its 95 % range, or its 99.7 % range where it is outside
    that. The first fit of a setting is judged by its total, its drag and the sign alone.
    """
    used = [run.label for run in session.used]
    if label not in used:
        raise UnknownName("run", label, used)
    place = [run.label for run in session.runs].index(label)
    until = reduce_day(replace(session, runs=session.runs[: place + 1]), draws=_FEW)
    row = until.readings.index(label)
    areas = until.readings.areas[row]
    read = np.append(areas, areas[FRONT] + areas[REAR])
    pressure = float(until.readings.force_pressure[row])
    before = reduce_day(replace(session, runs=session.runs[:place]), draws=_FEW) if row else until
    likely = _total_apart(until, row, before)
    expected: ExpectedReading | None = None
    unseen: tuple[str, ...] = ()
    by_channel: tuple[Inside, ...] = ("95", "95", "95", "95")
    if row:
        own = configurations_of_day(until)[row]
        stand = belief_of_day(before, plan, others=[own])
        facility = session.facility
        over = float(dynamic_pressure(facility.speed, facility.air_density)) / pressure
        (expected,) = expected_readings(stand, [own], over=over)
        by_channel = tuple(_inside(expected, read))
        known = {effect.setting for effect in plan.believed}
        unseen = tuple(name for name in expected.first_of if name not in known)
        if unseen:
            likely += _first_fit(stand, until, row, unseen, read)
        elif (inside := _worst(by_channel)) != "95":
            likely += _causes(until, row, read, expected, 0.997 if inside == "outside" else 0.95)
    return JudgedReading(
        run=label,
        read=read,
        pressure=pressure,
        expected=expected,
        by_channel=by_channel,
        unseen=unseen,
        likely=tuple(likely),
    )


def _worst(by_channel: Sequence[Inside]) -> Inside:
    return max(by_channel[MEASURED], key=("95", "99.7", "outside").index)


def _inside(expected: ExpectedReading, read: NDArray[np.float64]) -> list[Inside]:
    away = np.abs(read - expected.mean)
    near, far = expected.half_width(0.95), expected.half_width(0.997)
    return [
        "95" if away[k] <= near[k] else "99.7" if away[k] <= far[k] else "outside" for k in range(len(away))
    ]


def _explains(expected: ExpectedReading, areas: NDArray[np.float64], confidence: float) -> bool:
    """Return whether a reading mended in some way would be inside its range in every channel."""
    return bool(np.all(np.abs(areas - expected.mean[MEASURED]) <= expected.half_width(confidence)[MEASURED]))


def _causes(
    day: Day, row: int, read: NDArray[np.float64], expected: ExpectedReading, confidence: float
) -> list[Cause]:
    """Name what would explain a reading outside its range: what alone would bring it inside that range again."""
    areas = read[MEASURED]
    found: list[Cause] = []
    for earlier in (row - 1, row - 2):
        before = day.readings.areas[earlier] if earlier >= 0 else None
        if before is not None and np.allclose(before, areas, rtol=1e-4, atol=1e-9):
            found.append(Cause("typed again", run=day.readings.labels[earlier]))
            break
    for channels in ((FRONT,), (REAR,), (FRONT, REAR)):
        turned = areas.copy()
        turned[list(channels)] *= -1.0
        if _explains(expected, turned, confidence):
            found.append(Cause("sign", channels))
            break
    for order in list(permutations(_EACH))[1:]:
        if _explains(expected, areas[list(order)], confidence):
            found.append(Cause("swapped", tuple(k for k in _EACH if order[k] != k)))
            break
    weights = 1.0 / np.square(expected.std[MEASURED])
    scale = float(
        weights @ (areas * expected.mean[MEASURED]) / (weights @ np.square(expected.mean[MEASURED]))
    )
    if _SCALE[0] <= max(scale, 1.0 / scale if scale > 0.0 else np.inf) <= _SCALE[1] and _explains(
        expected, areas / scale, confidence
    ):
        found.append(Cause("speed", _EACH, factor=scale))
    if not found:
        outside = tuple(k for k in _EACH if abs(areas[k] - expected.mean[k]) > expected.half_width()[k])
        found = [Cause("part loose", outside), Cause("wrong setting", outside)]
    return found


def _first_fit(
    stand: DayBelief, day: Day, row: int, unseen: tuple[str, ...], read: NDArray[np.float64]
) -> list[Cause]:
    """Look at the first fit of a setting: its drag, and whether the turned value of an axle lies far nearer.

    A part that is for an axle by its name may well turn the load there: a first wing does.
    """
    found = []
    usual = stand.belief.prior.drag_area
    if not (1.0 - USUAL_DRAG) * usual <= read[DRAG] <= (1.0 + USUAL_DRAG) * usual:
        found.append(Cause("drag", (DRAG,), factor=float(read[DRAG] / usual)))
    tried = stand.belief.mean(stand.tried)
    scatter = np.sqrt(stand.belief.noise.of_mean(1, 1))
    run = day.readings.runs[row]
    told = " ".join((*unseen, *(str(run.settings[name].value) for name in unseen if name in run.settings)))
    for channel in (FRONT, REAR):
        if is_for_axle(told, CHANNELS[channel]):
            continue
        apart = np.abs(tried[:, channel] - read[channel]).min(initial=np.inf)
        turned = np.abs(tried[:, channel] + read[channel]).min(initial=np.inf)
        if turned * NEARER < apart and apart > NEARER * scatter[channel]:
            found.append(Cause("sign", (channel,)))
    return found


def _total_apart(day: Day, row: int, before: Day) -> list[Cause]:
    """Hold a total that was read as well against both axles together, by the scatter of the runs before."""
    run = day.readings.runs[row]
    if run.total is None:
        return []
    front, rear = run.reading.front, run.reading.rear
    scatter = before.repeatability.deviation[AXLES]
    allowed = TOTAL_APART * max(abs(front), abs(rear))
    if np.all(np.isfinite(scatter)) and day.session.columns["front"].form == "force":
        allowed = max(allowed, 4.0 * float(np.hypot(*scatter)))
    return [Cause("total", (FRONT, REAR))] if abs(run.total - front - rear) > allowed else []
