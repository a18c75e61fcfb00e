"""Lift with pitching moment into the lift of each axle.

Positions are those on the ground behind the front axle; a moment is positive nose-up.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import TYPE_CHECKING

from balance.files.tables.header.unit_words import moment_unit
from balance.model.errors import UnitError
from balance.units.text import parse_quantity, unit_scale

if TYPE_CHECKING:
    from balance.files.tables.importing.plan import Findings
    from balance.files.tables.rows.measures import Measure
    from balance.model.records import Vehicle

_EXTRA_DIGITS = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class Resolving:
    """How total lift, moment and drag become front and rear lift.

    Front lift is ``share`` of the total, plus ``arm`` times the moment, plus ``couple`` times the drag. Where
    the moment is after SAE J1594 these are 1/2, 1 and 0, and the arithmetic is exact.
    """

    share: Decimal
    arm: Decimal
    couple: Decimal
    total_sign: int
    exact: bool

    def axles(self, total: str, moment: str, drag: str) -> tuple[str, str]:
        """Return front and rear lift, positive up, from figures as text."""
        lift = self.total_sign * Decimal(total)
        front = self.share * lift + self.arm * Decimal(moment) + self.couple * Decimal(drag)
        rear = lift - front
        if not self.exact:
            places = min(_decimals(total), _decimals(moment)) - _EXTRA_DIGITS
            front, rear = round(front, -places), round(rear, -places)
        return f"{front:f}", f"{rear:f}"


def _decimals(text: str) -> int:
    exponent = Decimal(text).as_tuple().exponent
    return exponent if isinstance(exponent, int) else 0


def resolving(
    total: Measure,
    moment: Measure,
    drag: Measure,
    vehicle: Vehicle,
    findings: Findings,
) -> Resolving | None:
    """Find out how a moment is to be resolved to the axles.

    About mid-wheelbase at ground level CLF = CL/2 + CPM and CLR = CL/2 − CPM, nose-up positive, with the
    wheelbase as the reference length (SAE J1594). About a point at x behind the front axle and h above the
    ground, front lift = (M + L (Lw − x) + D h)/Lw.

    SAE J1594, "Vehicle aerodynamics terminology".
    """
    if total.form != moment.form or drag.form != total.form:
        findings.ask(
            "unit.pitching_moment",
            "lift, drag and pitching moment must be all coefficients or all forces",
            "--unit pitching_moment=1",
            "units",
        )
        return None
    sae = moment.column.name.strip().casefold().replace("_", "") == "cpm"
    if sae and findings.options.moment_about is None:
        findings.understood.append(
            "CPM after SAE J1594: about mid-wheelbase at ground level, nose-up positive"
        )
    about, height, length = (
        findings.options.moment_about,
        findings.options.moment_height,
        findings.options.moment_length,
    )
    if sae:
        about, height, length = about or "mid-wheelbase", height or "0 m", length or "wheelbase"
    turn = findings.options.moment_sign or ("nose-up" if sae else None)
    header = moment.column.header
    if about is None:
        findings.ask("moment_about", f"about which point is '{header}'? mid-wheelbase, front-axle, rear-axle, or its distance behind the front axle",
                     '--moment-about mid-wheelbase (or "1250 mm")', "moment_about", ("mid-wheelbase", "front-axle", "rear-axle"))  # fmt: skip
    if height is None:
        findings.ask(
            "moment_height",
            f"how high above the ground is the point of '{header}'?",
            '--moment-height "0 mm"',
            "moment_height",
        )
    if turn is None:
        text = f"is '{header}' positive nose-up or nose-down?"
        findings.ask_choice("moment_sign", text, ("nose-up", "nose-down"))
    if length is None and moment.form == "coefficient":
        findings.ask(
            "moment_length",
            f"which length is '{header}' referred to?",
            '--moment-length wheelbase (or "2600 mm")',
            "moment_length",
            ("wheelbase",),
        )
    if about is None or height is None or turn is None or (length is None and moment.form == "coefficient"):
        return None
    base = vehicle.wheelbase
    place = {"mid-wheelbase": base / 2, "front-axle": 0.0, "rear-axle": base}.get(about)
    x = _metres(about, "--moment-about") if place is None else place
    h = _metres(height, "--moment-height")
    per = _length_per_base(moment, total, length, base)
    exact = about == "mid-wheelbase" and h == 0 and per == 1
    sign = 1 if turn == "nose-up" else -1
    return Resolving(
        share=Decimal("0.5") if about == "mid-wheelbase" else Decimal(repr((base - x) / base)),
        arm=sign * (Decimal(1) if per == 1 else Decimal(repr(per))),
        couple=Decimal(repr(h / base * _drag_per_lift(drag, total))) if h else Decimal(0),
        total_sign=-1 if total.down else 1,
        exact=exact,
    )


def _length_per_base(moment: Measure, total: Measure, length: str | None, base: float) -> float:
    """Return what turns a figure of the moment into a figure of lift at an axle."""
    if moment.form == "coefficient":
        return 1.0 if length == "wheelbase" or length is None else _metres(length, "--moment-length") / base
    parts = moment_unit(moment.unit) or ("N", "m")
    force = unit_scale(parts[0], "force")[0] / unit_scale(total.unit, "force")[0]
    return force * unit_scale(parts[1], "length")[0] / base


def _drag_per_lift(drag: Measure, total: Measure) -> float:
    """Return what turns a figure of drag into the unit of lift."""
    if total.form != "force":
        return 1.0
    return unit_scale(drag.unit, "force")[0] / unit_scale(total.unit, "force")[0]


def _metres(text: str, option: str) -> float:
    try:
        return parse_quantity(text, "length")
    except UnitError as fault:
        raise UnitError(f"{option}: {fault.found}", fault.expected, fault.mend) from None
