"""The header of runs.csv: what each column is, and how its cells become SI."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from difflib import SequenceMatcher
from types import MappingProxyType
from typing import TYPE_CHECKING, Literal

from balance.files.text_file import clean_text
from balance.model.channels import CHANNELS
from balance.model.columns import READINGS, WORDS, RunsColumn, columns
from balance.model.errors import Fault, UnitError, did_you_mean, quoted
from balance.units.text import dimension_of, known_unit, suggest_unit, unit_scale

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from balance.model.channels import Channel
    from balance.model.records import Form

Role = Literal["text", "condition", "reading", "total", "setting", "recorded", "nameless"]
_SETTING_LIMIT = 1e9
_PLAUSIBLE = ("front_lip", "rear_lip")  # near a known name, and a fitting all the same
_HEADER = re.compile(r"([^\[\]]*?)\s*(?:\[([^\[\]]*)\])?")
_NEAR = 0.8
FORMS = {"force": "a force", "area": "an area", "coefficient": "a coefficient"}
"""What a column of readings is, by its form."""
_LIMITS: Mapping[Form, tuple[float, str]] = MappingProxyType(
    {
        "force": (1e5, "a force within 100 kN"),
        "area": (100.0, "an area within 100 m²"),
        "coefficient": (100.0, "a coefficient within 100"),
    }
)


@dataclass(frozen=True, slots=True, kw_only=True)
class ColumnPlan:
    """One column: its place, header, name, unit, role, and the way from its figures to SI."""

    index: int
    header: str
    name: str
    unit: str
    role: Role
    factor: float = 1.0
    offset: float = 0.0
    low: float = -_SETTING_LIMIT
    high: float = _SETTING_LIMIT
    expected: str = "a number within a thousand million"
    channel: Channel | None = None
    form: Form = "force"


def plan_columns(
    cells: Sequence[str], *, line: int, file: str, recorded: Sequence[str], file_format: int = 1
) -> tuple[list[ColumnPlan], list[Fault]]:
    """Find out what each column of a header is."""
    header = _Header(file, line, recorded, columns(file_format))
    for index, cell in enumerate(cells):
        header.add(index, cell)
    header.check_names()
    return header.plans, header.faults


class _Header:
    def __init__(
        self, file: str, line: int, recorded: Sequence[str], known: Mapping[str, RunsColumn]
    ) -> None:
        self.file, self.line, self.recorded, self.known = file, line, recorded, known
        self.plans: list[ColumnPlan] = []
        self.faults: list[Fault] = []
        self.seen: set[str] = set()

    def fault(self, column: str | None, found: str, expected: str, mend: str = "") -> None:
        self.faults.append(
            Fault(file=self.file, line=self.line, column=column, found=found, expected=expected, mend=mend)
        )

    def add(self, index: int, cell: str) -> None:
        text = clean_text(cell)
        if text is None:
            self.fault(
                f"column {index + 1}", quoted(cell), "a name without control characters", "type it again"
            )
            return
        match = _HEADER.fullmatch(text)
        if match is None or (match[2] is not None and not (match[1] and match[2].strip())):
            self.fault(
                quoted(text).strip("'"), "brackets out of place", "name [unit]", "write as in 'drag [N]'"
            )
            return
        name, unit = match[1], (match[2] or "").strip()
        header = quoted(text).strip("'")
        if name in self.seen and name:
            self.fault(header, "the same name again", "one column of each name", "rename or leave out one")
            return
        self.seen.add(name)
        try:
            self.plans.append(self.plan(index, header, name, unit))
        except UnitError as error:
            self.fault(header, error.found, error.expected, error.mend)

    def plan(self, index: int, header: str, name: str, unit: str) -> ColumnPlan:
        plan = ColumnPlan(index=index, header=header, name=name, unit=unit, role="setting")
        known = self.known.get(name)
        if known is None and not name:
            return replace(plan, header=f"column {index + 1}", unit="", role="nameless")
        if known is None:
            if unit and not known_unit(unit):
                raise UnitError(
                    f"the unknown unit {quoted(unit)}",
                    "a known unit such as mm, deg, N/mm, or 1 for a plain number",
                    suggest_unit(unit),
                )
            return replace(plan, role="recorded") if name in self.recorded else plan
        if known.kind in ("reading", "total"):
            return self.reading(plan, known)
        if known.kind != "condition":
            if unit:
                raise UnitError(f"the unit {quoted(unit)}", "no unit: it is text", f"write '{name}'")
            return replace(plan, role="text")
        if not unit:
            mend = f"write '{name} [{known.unit}]' if it is in {known.unit}"
            raise UnitError("no unit", "one in square brackets", mend)
        factor, offset = unit_scale(unit, known.measures)
        plan = replace(plan, role="condition", factor=factor, offset=offset)
        return replace(plan, low=known.low, high=known.high, expected=known.expected)

    def reading(self, plan: ColumnPlan, known: RunsColumn) -> ColumnPlan:
        name, unit = plan.name, plan.unit
        factor = 1.0
        form: Form = "coefficient"
        if known.coefficient:
            if unit not in ("", "1"):
                raise UnitError(
                    f"the unit {quoted(unit)}",
                    "no unit: it is a coefficient",
                    f"write '{name}', or '{name.removesuffix('_coefficient')} [N]' for a force",
                )
        elif not unit or unit == "1":
            raise UnitError(
                "no unit",
                "a force or area unit in square brackets",
                f"write '{name} [N]' if it is in N"
                + (f", or '{name}_coefficient' for a coefficient" if known.kind == "reading" else ""),
            )
        else:
            form = "area" if dimension_of(unit) == "area" else "force"
            try:
                factor = unit_scale(unit, form)[0]
            except UnitError as error:
                mend = error.mend
                if mend.startswith("write '"):
                    mend = f"write '{name} [{mend.removeprefix('write ').strip(chr(39))}]'"
                expected = "a force unit such as N, lbf, kgf, or an area unit such as m^2"
                raise UnitError(error.found, expected, mend) from None
        limit, expected = _LIMITS[form]
        return replace(
            plan,
            role="total" if known.kind == "total" else "reading",
            factor=-factor if known.positive_up else factor,
            low=-limit,
            high=limit,
            expected=expected,
            channel=known.channel,
            form=form,
        )

    def check_names(self) -> None:
        claimed = self.near_misses()
        for name in (name for name, known in self.known.items() if known.required):
            if name not in self.seen | claimed:
                mend = did_you_mean(name, self.strangers()) or f"add a column '{name}'"
                self.fault(None, f"no column '{name}'", "one", mend)
        for channel in CHANNELS:
            names = [name for name, known in READINGS.items() if known.channel == channel]
            wanted = " or ".join(f"{name} [N]" for name in names if not READINGS[name].coefficient)
            there = [name for name in names if name in self.seen]
            if len(there) > 1:
                self.fault(
                    there[1], f"'{there[0]}' as well", "one of them", "leave out one of the two columns"
                )
            elif not there and not claimed.intersection(names):
                near = next((hint for name in names if (hint := did_you_mean(name, self.strangers()))), "")
                mend = near or "is it under another name?"
                self.fault(None, f"no {channel} {'reading' if channel != 'drag' else 'column'}", wanted, mend)
        self.check_total()
        if not self.faults:
            for name in self.recorded:
                if name in self.known or name not in self.seen:
                    self.missing_record(name)

    def check_total(self) -> None:
        totals = [plan for plan in self.plans if plan.role == "total"]
        if len(totals) > 1:
            self.fault(
                totals[1].header,
                f"'{totals[0].header}' as well",
                "one of them",
                "leave out one of the two columns",
            )
        for plan in totals[:1]:
            other = next(
                (one for one in self.plans if one.channel in ("front", "rear") and one.form != plan.form),
                None,
            )
            if other is not None:
                self.fault(
                    plan.header,
                    f"{FORMS[plan.form]}",
                    f"{FORMS[other.form]} as '{other.header}' has, for it is held against the sum of the axles",
                    "bring it to that, or give the column another name",
                )

    def strangers(self) -> list[str]:
        return [plan.name for plan in self.plans if plan.role == "setting"]

    def missing_record(self, name: str) -> None:
        if name in self.known:
            found, mend = "a name with a meaning of its own listed as recorded", "take it off the list"
        else:
            found, mend = "no such column, listed as recorded", did_you_mean(name, self.strangers())
        self.fault(
            quoted(name).strip("'"),
            found,
            "the name of a column that is not a known one",
            mend or "check [columns] recorded in session.toml",
        )

    def near_misses(self) -> set[str]:
        """Report names that are a letter or two off a known one, and give the known ones they stand for."""
        claimed = set()
        for plan in self.plans:
            if plan.role != "setting" or plan.name in _PLAUSIBLE:
                continue
            near = self.nearest(plan)
            if near:
                claimed.add(near)
                self.fault(
                    plan.header,
                    f"a name close to '{near}'",
                    f"'{near}', or a setting with a name further off",
                    f"did you mean '{near}'?",
                )
        return claimed

    def nearest(self, plan: ColumnPlan) -> str:
        name = plan.name.casefold()
        measured = dimension_of(plan.unit) if plan.unit else None
        best, near = _NEAR, ""
        for known, column in self.known.items():
            if known in self.seen:
                continue
            if column.kind in WORDS or column.coefficient:
                fits = plan.unit in ("", "1")
            else:
                of_force = column.kind in ("reading", "total")
                kinds = ("force", "area", "mass") if of_force else (column.measures,)
                fits = not plan.unit or measured in kinds
            ratio = SequenceMatcher(None, name, known).ratio() if fits else 0.0
            if ratio >= best:
                best, near = ratio, known
        return near
