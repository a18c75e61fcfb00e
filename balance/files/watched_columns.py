"""Which column of a watched file is which of the session: as somebody has said, with its unit and its sign."""

from __future__ import annotations

from dataclasses import asdict, astuple, dataclass, replace
from decimal import Decimal
from typing import TYPE_CHECKING, Any

from balance.columns import CONDITIONS, columns
from balance.errors import InputError, one_line
from balance.files.cells import read_cell
from balance.files.foreign.converting import converted
from balance.files.foreign.head import HeadColumn
from balance.files.foreign.meanings import meaning_of
from balance.files.foreign.measures import SCALES, ask_drag_sign, measure_conditions, measure_reading
from balance.files.foreign.numerals import tidy
from balance.files.foreign.plan import Findings
from balance.files.foreign.roles import Roles
from balance.files.foreign.unit_words import spelled
from balance.files.tray import columns_found
from balance.kinds import KINDS, clean_number
from balance.units import dimension_of, known_unit

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from balance.files.foreign.meanings import Quantity
    from balance.files.foreign.plan import ImportOptions, Question
    from balance.files.run_sheet import RunSheet
    from balance.files.runs_header import ColumnPlan
    from balance.files.watched_header import Heads
    from balance.kinds import Kind

_FORMS = {"force": "a force", "area": "an area", "coefficient": "a coefficient"}
_SCALES = ("1", *SCALES)


@dataclass(frozen=True, slots=True, kw_only=True)
class FileColumn:
    """What is known of a column of the file once somebody has said which one of the session it is.

    ``unit`` is that of its figures, as our files write it; ``positive`` says where positive figures point, ``up``
    or ``down``, ``rearward`` or ``forward``, empty where there is no such question; ``scale`` turns a figure into
    one of the unit.
    """

    header: str
    unit: str = ""
    positive: str = ""
    scale: str = "1"

    @property
    def name(self) -> str:
        """What the file calls it, without its unit."""
        return meaning_of(self.header)[1] if self.unit else self.header

    def turned(self, plan: ColumnPlan) -> bool:
        """Tell whether its sign is the other one of the session's column."""
        if plan.role not in ("reading", "total"):
            return False
        ours = "rearward" if plan.channel == "drag" else "up" if columns()[plan.name].positive_up else "down"
        return self.positive != ours

    def restated(self, plan: ColumnPlan) -> bool:
        """Tell whether its figures are brought to another unit for the session's column."""
        kind = _kind(plan)
        return self.scale != "1" or (kind is not None and self.unit != plan.unit)

    def cell(self, text: str, plan: ColumnPlan) -> str:
        """Bring a cell to the unit and the sign of the session's column.

        Parameters
        ----------
        text : str
            As the file has it.
        plan : ColumnPlan
            The session's column.

        Returns
        -------
        str
            The text itself where unit and sign are the same; empty where it is no number and they are not.

        Raises
        ------
        UnitError
            If the session's column measures something else by now.
        """
        turned = self.turned(plan)
        if not turned and not self.restated(plan):
            return text
        if read_cell(text) is None:
            return ""
        figure = Decimal(clean_number(text)) * Decimal(self.scale)
        kind = _kind(plan) if self.unit != plan.unit else None
        plain = f"{-figure if turned else figure:f}"
        return plain if kind is None else converted(plain, self.unit, plan.unit, kind)


def column_of(
    plan: ColumnPlan, header: str, heads: Heads, figures: Sequence[str], options: ImportOptions
) -> FileColumn | Question:
    """Find unit and sign of the column of a file that somebody has picked for a column of the session.

    Parameters
    ----------
    plan : ColumnPlan
        The session's column.
    header : str
        The header that was picked.
    heads : Heads
        Of the file.
    figures : sequence of str
        What stands in the column so far.
    options : ImportOptions
        The answers about this column given so far, as an import takes them.

    Returns
    -------
    FileColumn or Question
        The column; or what has to be asked first, in the words of an import.

    Raises
    ------
    InputError
        If it cannot be this column: it is a coefficient and the session has forces, or the other way round.
    """
    meaning, name, unit = meaning_of(header)
    column = HeadColumn(index=0, header=header, name=name, unit=unit, meaning=meaning)
    if plan.role == "text":
        return FileColumn(header=header)
    findings = Findings()
    quantity = _quantity(plan)
    if quantity:
        if quantity == "drag":
            _doubt_drag(column, figures, options, findings)
        else:
            sign = meaning.sign or "unknown"
            column = replace(column, meaning=replace(meaning, quantity=quantity, name="", sign=sign))
        measure = measure_reading(quantity, column, heads.facts, options, findings)
        if findings.questions or measure is None:
            return findings.questions[0]
        if measure.form != plan.form:
            raise InputError(
                one_line(
                    f"found {_FORMS[measure.form]} under '{header}', expected {_FORMS[plan.form]} as in "
                    f"'{plan.header}'; pick another column"
                )
            )
        lift = "down" if measure.down else "up"
        positive = lift if quantity != "drag" else options.drag_sign or "rearward"
        return FileColumn(header=header, unit=measure.unit, positive=positive, scale=measure.scale)
    if plan.role == "condition":
        roles = Roles(texts={}, conditions={plan.name: column}, readings={}, recorded=(), others=())
        measures = measure_conditions(roles, options, findings)
        if findings.questions:
            return findings.questions[0]
        return FileColumn(header=header, unit=measures[plan.name].unit)
    return _setting(plan, column, options, findings)


def _doubt_drag(
    column: HeadColumn, figures: Sequence[str], options: ImportOptions, findings: Findings
) -> None:
    """Ask which way drag points where the header does not name it, or most figures are negative."""
    if options.drag_sign is not None:
        return
    negative = sum(tidy(text).startswith("-") for text in figures)
    if 2 * negative > len(figures):
        ask_drag_sign(f"{negative} of {len(figures)} are negative", findings)
    elif column.meaning.quantity != "drag":
        ask_drag_sign(f"'{column.header}' does not say", findings)


def _setting(
    plan: ColumnPlan, column: HeadColumn, options: ImportOptions, findings: Findings
) -> FileColumn | Question:
    kind = _kind(plan)
    unit = spelled(options.units.get(plan.name, column.unit), kind)
    if not plan.unit or unit == plan.unit or (kind and known_unit(unit) and dimension_of(unit) == kind):
        return FileColumn(header=column.header, unit=unit)
    choices = tuple(dict.fromkeys((plan.unit, *(KINDS[kind].common if kind else ()))))
    known = f"has the unit '{unit}', which is none of {plan.name}" if unit else "has no unit"
    findings.ask(
        f"unit.{plan.name}",
        f"'{column.header}' {known}: {', '.join(choices)}?",
        f"--unit {plan.name}={plan.unit}",
        "units",
        choices,
    )
    return findings.questions[0]


def _quantity(plan: ColumnPlan) -> Quantity:
    """Give what was read in a column, as headers of others mean it; empty where it is no reading."""
    return plan.channel or ("total" if plan.role == "total" else "")


def _kind(plan: ColumnPlan) -> Kind | None:
    """Give what the figures of a column measure; nothing where one unit is all that they can have."""
    if plan.role in ("reading", "total"):
        return None if plan.form == "coefficient" else "area" if plan.form == "area" else "force"
    if plan.role == "condition":
        return CONDITIONS[plan.name].measures
    return dimension_of(plan.unit) if plan.unit else None


def likely(plan: ColumnPlan, headers: Sequence[str]) -> tuple[str, ...]:
    """Give the headers that seem to be a column of the session, by the words in them.

    Parameters
    ----------
    plan : ColumnPlan
        The session's column.
    headers : sequence of str
        Of the file.

    Returns
    -------
    tuple of str
        To be offered first, and never taken unasked; those that say most first.
    """
    words = "".join(plan.name.split("_"))
    found: list[tuple[int, str]] = []
    for header in headers:
        meaning, name, _ = meaning_of(header)
        same = (meaning.coefficient or meaning.area) == (plan.form != "force")
        named = plan.role in ("text", "condition") and meaning.name == plan.name
        named = named or (plan.name == "speed" and speed_like(header))
        bare = _plain(name)
        spelled_so = (
            plan.role in ("setting", "recorded") and len(bare) > 2 and (bare in words or words in bare)
        )
        if meaning.quantity and meaning.quantity == _quantity(plan):
            found.append((0 if same else 1, header))
        elif named or spelled_so:
            found.append((0, header))
    return tuple(header for _, header in sorted(found, key=lambda one: one[0]))


def speed_like(header: str) -> bool:
    """Tell whether a header calls its column a speed, or its unit is one of speed."""
    meaning, _, unit = meaning_of(header)
    if meaning.quantity not in ("", "condition", "recorded"):
        return False
    written = spelled(unit, "speed")
    return meaning.name == "speed" or bool(unit and known_unit(written) and dimension_of(written) == "speed")


def unsaid_speed(sheet: RunSheet, header: Iterable[str], called: Mapping[str, FileColumn]) -> str:
    """Find a column of speeds of which nobody has said whether it is that of the runs.

    Parameters
    ----------
    sheet, header, called
        As for `balance.files.tray.columns_found`; a column called by an empty header was said to be in none.

    Returns
    -------
    str
        Its header; empty where there is none, or the speed is known.
    """
    found = columns_found(sheet, header, called)
    if "speed" in called or "speed" in found.values():
        return ""
    return next((text for text in header if text not in found and speed_like(text)), "")


def speed_header(header: str) -> str:
    """Name the column that a speed gets in runs.csv, with the unit that it has in the file."""
    unit = spelled(meaning_of(header)[2], "speed")
    return f"speed [{unit if unit and known_unit(unit) and dimension_of(unit) == 'speed' else CONDITIONS['speed'].unit}]"


def _plain(name: str) -> str:
    return "".join(character for character in name.casefold() if character.isalnum())


def columns_record(called: Mapping[str, FileColumn]) -> dict[str, dict[str, str]]:
    """Give columns as plain values, for the journal."""
    return {name: asdict(column) for name, column in called.items()}


def columns_from(record: Mapping[str, Mapping[str, Any]]) -> dict[str, FileColumn]:
    """Read columns from plain values, as `columns_record` gives them; `TypeError` where they are none."""
    columns = {name: FileColumn(**values) for name, values in record.items()}
    for column in columns.values():
        if column.scale not in _SCALES or not all(isinstance(text, str) for text in astuple(column)):
            raise TypeError("a column that is not as it was written")
    return columns
