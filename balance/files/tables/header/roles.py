"""Which column becomes what: readings, texts, conditions, settings, records; and what must be asked about them."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from balance.files.tables.header.head import placed
from balance.files.tables.header.meanings import Meaning, words_of
from balance.files.tables.header.unit_words import spelled
from balance.files.tables.importing.plan import AS_RECORD
from balance.files.tables.reading.grid import cell_text
from balance.model.columns import CONDITIONS, READINGS, TEXTS
from balance.model.errors import InputError, UnknownName
from balance.units.text import dimension_of, known_unit

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from balance.files.tables.header.head import Head, HeadColumn
    from balance.files.tables.importing.plan import Findings, ImportOptions

_EXTRA = {
    "total_lift": Meaning(quantity="total", sign="up"),
    "total_downforce": Meaning(quantity="total", sign="down"),
    "lift_coefficient": Meaning(quantity="total", sign="up", coefficient=True),
    "pitching_moment": Meaning(quantity="moment"),
    "pitching_moment_coefficient": Meaning(quantity="moment", coefficient=True),
    "air_density": Meaning(quantity="density"),
}
CHANNEL_WORDS = {"front": "front reading", "rear": "rear reading", "drag": "drag"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Roles:
    """Columns by what they are: texts and conditions by name, readings by quantity, the rest in order."""

    texts: dict[str, HeadColumn]
    conditions: dict[str, HeadColumn]
    readings: dict[str, HeadColumn]
    recorded: tuple[HeadColumn, ...]
    others: tuple[HeadColumn, ...]

    @property
    def measured(self) -> tuple[HeadColumn, ...]:
        """The reading columns."""
        return tuple(self.readings.values())


def target_meaning(name: str) -> Meaning | None:
    """Return the meaning of one of our own column names, or nothing where it is none."""
    if name in TEXTS:
        return Meaning(quantity="text", name=name)
    if name in CONDITIONS:
        return Meaning(quantity="condition", name=name)
    if name in READINGS:
        known = READINGS[name]
        sign = "" if known.channel == "drag" else "up" if known.positive_up else "down"
        return Meaning(quantity=known.channel, sign=sign, coefficient=known.coefficient)  # type: ignore[arg-type]
    return _EXTRA.get(name)


def find_roles(  # noqa: C901 - each column to its place
    head: Head, findings: Findings, recorded_as_said: Sequence[str] = ()
) -> Roles:
    """Decide what each column is; the file itself may say which ones are recorded."""
    columns, chosen = _with_answers(head.columns, findings.options)
    groups: dict[tuple[str, str], list[HeadColumn]] = {}
    others, recorded = [], []
    for column in columns:
        meaning = column.meaning
        if not column.header:
            continue
        if _listed(column, findings.options.settings):
            others.append(column)
        elif meaning.quantity == "recorded" or _listed(
            column, (*findings.options.recorded, *recorded_as_said)
        ):
            recorded.append(column)
        elif meaning.quantity:
            groups.setdefault((meaning.quantity, meaning.name), []).append(column)
        else:
            others.append(column)
    texts: dict[str, HeadColumn] = {}
    conditions: dict[str, HeadColumn] = {}
    reading_groups = {
        q: found for (q, _), found in groups.items() if q in ("front", "rear", "drag", "total", "moment")
    }
    kept, spare = _one_form(reading_groups, chosen, findings)
    recorded += spare
    for (quantity, name), found in groups.items():
        if quantity in reading_groups:
            continue
        one = _one_of(quantity, name, found, chosen, findings)
        recorded += [c for c in found if c is not one]
        if one is None:
            continue
        if quantity == "text":
            texts[name] = one
        elif quantity == "condition":
            conditions[name] = one
        else:
            recorded.append(one)
            findings.assumed.append(
                f"'{one.header}' is kept as a record: a run's own air is its temperature and pressure, and "
                "without them every run has the density of the day"
            )
    _ask_speed((*others, *recorded), conditions, recorded_as_said, findings)
    return Roles(
        texts=texts, conditions=conditions, readings=kept,
        recorded=tuple(sorted(recorded, key=lambda c: c.index)), others=tuple(others),
    )  # fmt: skip


def _ask_speed(
    columns: Sequence[HeadColumn],
    conditions: Mapping[str, HeadColumn],
    recorded_as_said: Sequence[str],
    findings: Findings,
) -> None:
    """Ask whether a column in a unit of speed is the speed of the runs, where none is called so."""
    settled = (*findings.options.settings, *findings.options.recorded, *recorded_as_said)
    found = [c.header for c in columns if of_speed(c.unit) and not _listed(c, settled)]
    if not found or "speed" in conditions:
        return
    listed = " or ".join(f"'{header}'" for header in found)
    findings.ask_column(
        "speed",
        f"no column is called a speed: is {listed} the speed of each run, or a record only?",
        (*found, *(f"{AS_RECORD}{header}" for header in found)),
        or_else=f', or --recorded "{found[0]}" if it is not',
    )


def of_speed(unit: str) -> bool:
    """Return whether a unit, as the file writes it, is one of speed."""
    written = spelled(unit, "speed")
    return bool(unit) and known_unit(written) and dimension_of(written) == "speed"


def _with_answers(columns: Sequence[HeadColumn], options: ImportOptions) -> tuple[list[HeadColumn], set[int]]:
    """Return the columns with what the person says of them, and which of them the person named."""
    given: dict[int, Meaning] = {}
    for target, header in options.columns.items():
        meaning = target_meaning(target)
        if meaning is None:
            raise UnknownName("--column", target, (*TEXTS, *CONDITIONS, *READINGS, *_EXTRA))
        wanted = " ".join(header.split())
        found = [c for c in columns if c.header == wanted] or [
            c for c in columns if words_of(c.header) == words_of(wanted)
        ]
        found = found or [c for c in columns if words_of(c.name) == words_of(wanted)]
        found = found or [c for c in columns if wanted.casefold() == placed(c.index)]
        if not found:
            raise UnknownName(f"--column {target}", header, [c.header for c in columns if c.header])
        if len(found) > 1:
            raise UnknownName(f"--column {target}", header, [placed(c.index) for c in found])
        if found[0].index in given:
            raise InputError(
                f"--column: found '{cell_text(header)}' given for two readings, expected a column for each"
            )
        given[found[0].index] = replace(meaning, area=found[0].meaning.area)
    taken = {(m.quantity, m.name) for m in given.values()}
    out = []
    for column in columns:
        if column.index in given:
            header = column.header or placed(column.index)
            out.append(replace(column, header=header, meaning=given[column.index]))
        elif (column.meaning.quantity, column.meaning.name) in taken:
            out.append(replace(column, meaning=Meaning(quantity="recorded")))
        else:
            out.append(column)
    return out, set(given)


def _listed(column: HeadColumn, names: Sequence[str]) -> bool:
    return any(words_of(name) in (words_of(column.header), words_of(column.name)) for name in names)


def _one_of(
    quantity: str, name: str, found: Sequence[HeadColumn], chosen: set[int], findings: Findings
) -> HeadColumn | None:
    if len(found) == 1:
        return found[0]
    picked = [c for c in found if c.index in chosen]
    if len(picked) == 1:
        return picked[0]
    target = name or {"density": "air_density"}.get(quantity, quantity)
    _ask_which(target, found, findings)
    return None


def _ask_which(target: str, found: Sequence[HeadColumn], findings: Findings) -> None:
    alike = len({c.header for c in found}) < len(found)
    headers = tuple(placed(c.index) if alike else c.header for c in found)
    listed = ", ".join(f"'{header}'" for header in headers)
    listed += f", all called '{found[0].header}'" if alike else ""
    findings.ask_column(target, f"which column is {target}: {listed}?", headers)


def _one_form(
    groups: dict[str, list[HeadColumn]], chosen: set[int], findings: Findings
) -> tuple[dict[str, HeadColumn], list[HeadColumn]]:
    """Keep one set of readings: forces before coefficients where both are complete."""
    every = [c for found in groups.values() for c in found]
    best: dict[str, list[HeadColumn]] = {}
    for form in (False, True):
        best = {q: [c for c in found if c.meaning.coefficient is form] for q, found in groups.items()}
        if _complete(best):
            break
    else:
        best = groups
    wanted = (
        ("front", "rear", "drag")
        if best.get("front") and best.get("rear")
        else ("total", "moment", "drag", "front", "rear")
    )
    kept: dict[str, HeadColumn] = {}
    for quantity in wanted:
        found = best.get(quantity) or []
        picked = [c for c in found if c.index in chosen] if len(found) > 1 else found
        if len(picked) == 1:
            kept[quantity] = picked[0]
        elif found:
            target = {
                "front": "front_lift",
                "rear": "rear_lift",
                "total": "total_lift",
                "moment": "pitching_moment",
            }.get(quantity, quantity)
            _ask_which(target + ("_coefficient" if found[0].meaning.coefficient else ""), found, findings)
    spare = [c for c in every if c not in kept.values()]
    forms = {c.meaning.coefficient for c in every}
    if len(forms) == 2 and spare and kept:
        words = "coefficients" if next(iter(kept.values())).meaning.coefficient else "forces"
        findings.assumed.append(
            f"the file has forces and coefficients: the {words} are used, the others kept as a record"
        )
    return kept, spare


def _complete(groups: dict[str, list[HeadColumn]]) -> bool:
    axles = bool(groups.get("front") and groups.get("rear"))
    return bool(groups.get("drag")) and (axles or bool(groups.get("total") and groups.get("moment")))
