"""plan.toml beside the session: the hours, the times of changes, the aim, the runs that are wanted, what is expected."""

from __future__ import annotations

import datetime as dt
import re
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

from balance.files.formats.adjusters import in_unit, read_figure
from balance.files.formats.cells import not_fitted
from balance.files.formats.stated_text import StatedArea, read_change
from balance.files.toml.document import read_toml
from balance.files.toml.fields import Field, described, read_fields, read_flag, read_quantity, read_words
from balance.model.channels import CHANNELS
from balance.model.errors import FileFaults, UnitError, did_you_mean, quoted
from balance.model.kinds import NUMBER, clean_number
from balance.model.libraries import FromLibrary
from balance.model.plans import LABEL, Choose, DayPlan, ExpectedEffect, Hours, Know, WantedRun
from balance.model.records import Stated
from balance.units.stated import figure_of
from balance.units.text import dimension_of

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence
    from pathlib import Path

    from balance.files.toml.document import Document
    from balance.model.plans import Value
    from balance.model.records import Session

PLAN_FILE = "plan.toml"
WHAT = "a day's plan.toml"
_CLOCK = re.compile(r"([01]?\d|2[0-3]):([0-5]\d)")
_SPANS: Mapping[str, float] = MappingProxyType(
    {"s": 1.0, "min": 60.0, "minute": 60.0, "minutes": 60.0, "h": 3600.0, "hour": 3600.0, "hours": 3600.0}
)
_LONGEST = 24 * 3600.0
_KNOWN = ("front", "rear", "downforce", "drag")
FROM_LIBRARY, LIBRARY_KEY = "from library", "from_library"
"""What stands in place of loads that a library is to say: by the day's own words, or by the name of a part."""


def _refused(value: Any, expected: str, sample: str) -> UnitError:
    return UnitError(found=described(value), expected=expected, mend=f"write {sample}")


def _read_clock(one: Field, value: Any) -> float:
    """Read a time of day as seconds after midnight."""
    if isinstance(value, dt.time):
        return 3600.0 * value.hour + 60.0 * value.minute + value.second
    match = _CLOCK.fullmatch(value.strip()) if isinstance(value, str) else None
    if match is None:
        raise _refused(value, "a time of day from 00:00 to 23:59", f'{one.key} = "{one.example}"')
    return 3600.0 * int(match[1]) + 60.0 * int(match[2])


def _read_breaks(one: Field, value: Any) -> tuple[tuple[float, float], ...]:
    """Read breaks: pairs of times, or texts with a dash between the two."""
    sample = f"{one.key} = {one.example}"
    if not isinstance(value, list):
        raise _refused(value, "a list of breaks", sample)
    breaks = []
    for item in value:
        pair = re.split(r"\s*[-\u2013]\s*", item) if isinstance(item, str) else item
        if not isinstance(pair, list) or len(pair) != 2:
            raise _refused(item, "a break as two times of day", sample)
        begun, ended = (_read_clock(Field(key=one.key, kind="text", example="12:30"), end) for end in pair)
        if ended <= begun:
            raise UnitError(
                found=f"a break that ends at {clock_text(ended)} and begins at {clock_text(begun)}",
                expected="an end after its beginning",
            )
        breaks.append((begun, ended))
    return tuple(sorted(breaks))


def read_span(one: Field, value: Any) -> float:
    """Read how long something takes, in seconds."""
    plain = clean_number(value) if isinstance(value, str) else ""
    match = NUMBER.match(plain)
    unit = plain[match.end() :].strip() if match else ""
    if match is None or unit not in _SPANS:
        bare = isinstance(value, int | float) and not isinstance(value, bool)
        figure = described(value) if not isinstance(value, str) else match.group() if match else "5"
        raise UnitError(
            found=f"{described(value)} without a unit" if bare else described(value),
            expected="a time with its unit: min, s or h",
            mend=f'write {one.key} = "{figure} min"',
        )
    span = float(match.group()) * _SPANS[unit]
    if not 0.0 < span <= _LONGEST:
        raise UnitError(found=quoted(plain), expected="a time above 0 and at most 24 h")
    return span


def _read_count(one: Field, value: Any) -> int:
    if isinstance(value, bool) or not isinstance(value, int) or not 1 <= value <= 1000:
        raise _refused(value, "a whole number of runs, from 1 to 1000", f"{one.key} = {one.example}")
    return value


def _read_enough(one: Field, value: Any) -> tuple[str, float]:
    """Read below which gain nothing counts: a force, or for a lap a time."""
    unit = figure_of(value)[1] if isinstance(value, str) else ""
    if unit in ("s", "ms"):
        return "s", float(figure_of(value)[0]) * (1.0 if unit == "s" else 1e-3)
    force = Field(key=one.key, kind="force", example=one.example, low="0 N", high="100 kN", chosen=True)
    return "N", read_quantity(force, value).value


_WIDTH = Field(key="downforce", kind="force", example="15 N", low="0.1 N", high="10000 N", chosen=True)
AIM = Field(
    key="aim",
    kind="table",
    example="a table [aim]",
    fields=(
        Field(
            key="choose",
            kind="table",
            example="choose = { drag_worth = 5.0 }",
            fields=(
                Field(key="drag_worth", kind="number", example="5.0", low="0", high="100", chosen=True),
                Field(key="track", kind="text", example="club circuit"),
            ),
        ),
        Field(
            key="know",
            kind="table",
            example='know = { downforce = "15 N", drag = "6 N" }',
            fields=tuple(
                Field(key=key, kind="force", example="15 N", low=_WIDTH.low, high=_WIDTH.high, chosen=True)
                for key in _KNOWN
            ),
        ),
        Field(key="enough", kind="text", example="40 N", read=_read_enough),
    ),
)
HOURS = Field(
    key="hours",
    kind="table",
    example="a table [hours]",
    fields=(
        Field(key="start", kind="text", example="09:00", required=True, read=_read_clock),
        Field(key="end", kind="text", example="17:00", required=True, read=_read_clock),
        Field(key="breaks", kind="texts", example='[["12:30", "13:15"]]', read=_read_breaks),
    ),
)
ORDER = Field(
    key="order",
    kind="table",
    example="a table [order]",
    fields=(Field(key="baseline_every", kind="number", example="6", read=_read_count),),
)


class Units:
    """The units of settings: those of the columns, and of settings that the plan is the first to name."""

    def __init__(self, session: Session) -> None:
        held = [(name, one) for run in session.runs for name, one in run.settings.items()]
        self.units = {name: one.unit for name, one in held if one.numeric}
        self.texts = {name for name, one in held if not one.numeric} - self.units.keys()

    def read(self, one: Field, value: Any) -> Value | None:
        """Read the value of a setting in the unit of its column; nothing where it says not fitted."""
        name = one.key
        unit = self.units.get(name)
        if isinstance(value, int | float) and not isinstance(value, bool):
            if unit in ("", "1"):
                return float(value)
            unit = unit or "mm"
            raise UnitError(
                found=f"{described(value)} without a unit",
                expected="a setting with its unit",
                mend=f'write it in quotes, as in {name} = "{described(value)} {unit}"',
            )
        text = read_words(one, value)
        if not_fitted(text):
            return None
        if name in self.texts:
            return text
        figure, own = figure_of(text)
        if figure and own and dimension_of(own) is not None:
            stated = read_figure(Field(key=name, kind="text", example=f"9 {own}", chosen=True), text)
            return in_unit(stated, self.units.setdefault(name, own))
        if unit is None and not figure:
            self.texts.add(name)
            return text
        if unit in ("", "1") and figure and not own:
            return float(figure)
        raise UnitError(
            found=quoted(text),
            expected="a setting with its unit" + (f", as in '9 {unit}'" if unit else ""),
            mend=f'write {name} = "{figure or 9} {unit or "mm"}"',
        )


def plan_fields(session: Session, tree: Mapping[str, Any], units: Units | None = None) -> tuple[Field, ...]:
    """State what a plan may hold: the day's settings have keys of their own, and so do those that it is the first to name."""
    units = Units(session) if units is None else units
    names = list(dict.fromkeys([*session.setting_names, *_new_settings(session, tree)]))
    changes = list(dict.fromkeys([*names, *(name.partition("_")[0] for name in names)])) or [LABEL]
    return (
        HOURS,
        Field(
            key="minutes",
            kind="table",
            example="a table [minutes]",
            fields=tuple(
                Field(key=key, kind="text", example="5 min", read=read_span) for key in ("reading", *changes)
            ),
        ),
        ORDER,
        AIM,
        Field(
            key="wanted",
            kind="tables",
            example="[[wanted]]",
            fields=(
                Field(key="configuration", kind="text", example="wing"),
                *(Field(key=name, kind="text", example="8 deg", read=units.read) for name in names),
                Field(key="must", kind="flag", example="true", read=read_flag),
            ),
        ),
        Field(key="expected", kind="effects", example="[expected]", read=_as_it_stands),
    )


def _as_it_stands(_one: Field, value: Any) -> Any:
    return value if isinstance(value, dict) else None


def _new_settings(session: Session, tree: Mapping[str, Any]) -> Iterable[str]:
    """Name the settings that the plan is the first to name; what is nearly a known one is a slip, and is left out."""
    wanted = tree.get("wanted")
    tables = [one for one in wanted if isinstance(one, dict)] if isinstance(wanted, list) else []
    known = {"configuration", "must", *session.setting_names}
    for table in tables:
        for name, value in table.items():
            slip = not re.fullmatch(r"[A-Za-z]\w*", name) or did_you_mean(name, known - {name})
            if name not in known and isinstance(value, str) and not slip:
                yield name


def plan_from(document: Document, session: Session) -> DayPlan:
    """Read a plan that was parsed, adding every fault to the document."""
    units = Units(session)
    values = read_fields(document, plan_fields(session, document.tree, units))
    aim, enough = _aim(document, values["aim"] or {})
    minutes = {key: one for key, one in (values["minutes"] or {}).items() if one is not None}
    wanted = _wanted(document, session, values["wanted"] or [])
    return DayPlan(
        hours=_hours(document, values["hours"]),
        reading=minutes.pop("reading", None),
        changes=MappingProxyType(minutes),
        baseline_every=(values["order"] or {}).get("baseline_every"),
        aim=aim,
        enough=enough,
        wanted=wanted,
        expected=_expected(document, session, units),
        units=MappingProxyType(dict(units.units)),
    )


def read_plan(session: Session, folder: Path) -> DayPlan:
    """Read the plan of a day; one that states nothing where there is no file."""
    path = folder / PLAN_FILE
    if not path.exists():
        return DayPlan(units=MappingProxyType(dict(Units(session).units)))
    document = read_toml(path, shown_as=PLAN_FILE, what=WHAT)
    plan = plan_from(document, session)
    if document.faults:
        raise FileFaults(document.in_order)
    return plan


def _hours(document: Document, values: Mapping[str, Any] | None) -> Hours | None:
    if values is None or values["start"] is None or values["end"] is None:
        return None
    hours = Hours(start=values["start"], end=values["end"], breaks=values["breaks"] or ())
    if hours.end <= hours.start:
        expected = f"an end after {clock_text(hours.start)}"
        document.fault(("hours", "end"), clock_text(hours.end), expected, "check both times")
    last = hours.start
    for begun, ended in hours.breaks:
        if begun < last or ended > hours.end:
            found = f"a break from {clock_text(begun)} to {clock_text(ended)}"
            expected = "breaks within the hours, one after the other"
            document.fault(("hours", "breaks"), found, expected, "check its times")
        last = ended
    return hours


def _aim(document: Document, values: Mapping[str, Any]) -> tuple[Choose | Know, float | None]:
    choose, know = values.get("choose"), values.get("know")
    if choose is not None and know is not None:
        document.fault(("aim", "know"), "choose and know", "one of the two", "leave out one of them")
    if choose is not None and (choose["drag_worth"] is None) == (choose["track"] is None):
        document.fault(
            ("aim", "choose"),
            "neither drag_worth nor track" if choose["track"] is None else "drag_worth and track",
            "one of the two",
            "write choose = { drag_worth = 5.0 }",
        )
    if know is not None and all(one is None for one in know.values()):
        document.fault(("aim", "know"), "nothing to know", "at least one width", AIM.fields[1].example)
    track = choose["track"] if choose else None
    enough = values.get("enough")
    unit = "s" if track else "N"
    if enough is not None and know is not None:
        document.fault(
            ("aim", "enough"),
            "enough beside know",
            "it beside choose alone",
            "leave it out: the widths say what is enough",
        )
    elif enough is not None and enough[0] != unit:
        document.fault(
            ("aim", "enough"),
            "a time" if enough[0] == "s" else "a force",
            "a time, as a lap is" if unit == "s" else "a force, as downforce is",
            f'write enough = "{"0.1 s" if unit == "s" else "40 N"}"',
        )
    aim = Know(**know) if know else Choose(**(choose or {}))
    return aim, enough[1] if enough else None


def _wanted(
    document: Document, session: Session, values: Sequence[Mapping[str, Any]]
) -> tuple[WantedRun, ...]:
    wanted: list[WantedRun] = []
    first = session.runs[0].configuration if session.runs else None
    for k, value in enumerate(values):
        label = value["configuration"] or ""
        settings = {
            key: one for key, one in value.items() if key not in ("configuration", "must") and one is not None
        }
        if not settings and not session.setting_names and label and label != first:
            settings = {LABEL: label}
        if not settings and not document.tree["wanted"][k].keys() - {"must"}:
            document.fault(
                ("wanted", k),
                "a run without anything",
                "its configuration or settings",
                'as wing_angle = "8 deg"',
            )
        if any(dict(one.settings) == settings for one in wanted):
            document.fault(
                ("wanted", k), "the same settings twice", "each wanted run once", "take one of the two out"
            )
        wanted.append(
            WantedRun(configuration=label, settings=MappingProxyType(settings), must=bool(value["must"]))
        )
    return tuple(wanted)


def _expected(document: Document, session: Session, units: Units) -> tuple[ExpectedEffect, ...]:
    """Read what is expected of settings, value by value."""
    table = document.tree.get("expected")
    if table is None:
        return ()
    sample = 'splitter_length = { "60 mm" = { front = "+400 N ± 150 N" } }'
    if not isinstance(table, dict):
        document.fault(("expected",), described(table), "a table of settings", f"write {sample}")
        return ()
    found: list[ExpectedEffect] = []
    known = [*session.setting_names, *(name for name in units.units if name not in session.setting_names)]
    for name, values in table.items():
        here = ("expected", name)
        if not isinstance(values, dict):
            document.fault(here, described(values), "a table of its values", f"write {sample}")
            continue
        if known and name not in known and (mend := did_you_mean(name, known)):
            document.fault(here, f"the setting {quoted(name)}", "a setting of the day or of the plan", mend)
            continue
        for text, effect in values.items():
            one = _one_effect(document, session, units, (*here, text), effect)
            if one is not None:
                found.append(one)
    return tuple(found)


def _one_effect(
    document: Document, session: Session, units: Units, here: tuple[str, str, str], effect: Any
) -> ExpectedEffect | None:
    name, text = here[1:]
    try:
        value = _fitted_value(units, name, text)
    except UnitError as error:
        document.fault(here, error.found, error.expected, error.mend)
        return None
    if effect == FROM_LIBRARY or (isinstance(effect, dict) and LIBRARY_KEY in effect):
        library = _from_library(document, here, effect)
        if library is None:
            return None
        return ExpectedEffect(setting=name, value=value, mean=(None,) * 3, std=(None,) * 3, library=library)
    if not isinstance(effect, dict):
        document.fault(
            here,
            described(effect),
            f'a table of front, rear, drag, or "{FROM_LIBRARY}"',
            'as { front = "+400 N ± 150 N" }',
        )
        return None
    for key in effect:
        if key not in CHANNELS:
            mend = did_you_mean(key, CHANNELS) or f"known here: {', '.join(CHANNELS)}"
            document.fault((*here, key), "an unknown key", "a known one", mend)
    figures: list[Stated | None] = []
    for channel in CHANNELS:
        try:
            figures.append(_change_of_load(session, channel, effect.get(channel)))
        except UnitError as error:
            document.fault((*here, channel), error.found, error.expected, error.mend)
            figures.append(None)
    mean = tuple(None if one is None else one.value for one in figures)
    std = tuple(None if one is None else one.std for one in figures)
    return ExpectedEffect(setting=name, value=value, mean=mean, std=std)  # type: ignore[arg-type]  # three of each


def _from_library(document: Document, here: tuple[str, str, str], effect: Any) -> FromLibrary | None:
    """Read that a library is to say what is expected: of the part that it names, or of the one that the day says so."""
    if effect == FROM_LIBRARY:
        return FromLibrary()
    others = [key for key in effect if key != LIBRARY_KEY]
    if others:
        document.fault(
            (*here, others[0]),
            f"{others[0]} beside {LIBRARY_KEY}",
            "one of the two",
            f"leave out {others[0]}, or {LIBRARY_KEY}",
        )
        return None
    try:
        return FromLibrary(
            part=read_words(
                Field(key=LIBRARY_KEY, kind="text", example="Splitter, 60 mm", required=True),
                effect[LIBRARY_KEY],
            )
        )
    except UnitError as error:
        document.fault((*here, LIBRARY_KEY), error.found, error.expected, error.mend)
        return None


def _fitted_value(units: Units, name: str, text: str) -> Value:
    value = units.read(Field(key=name, kind="text", example="60 mm"), text)
    if value is None:
        raise UnitError(
            found=quoted(text), expected="a value that is fitted", mend="what is not fitted does nothing"
        )
    return value


def _change_of_load(session: Session, channel: str, value: Any) -> Stated | None:
    """Read a change of load as an area, at the facility's speed unless it names another."""
    if value is None:
        return None
    if not isinstance(value, str):
        raise _refused(value, "a force with its unit", f'{channel} = "+400 N ± 150 N"')
    facility = session.facility
    at = StatedArea(
        area=0.0, stated=Stated(value=0.0), speed=facility.speed, air_density=facility.air_density
    )
    stated = read_change(value, air_density=facility.air_density, at=at).stated
    if stated.exact or stated.std == 0.0:
        raise UnitError(
            found=quoted(value),
            expected="an uncertainty above 0: nothing is certain before it was tried",
            mend="write how far it may be off, as in '+400 N ± 150 N'",
        )
    return stated


def clock_text(seconds: float) -> str:
    """Write a time of day.

    Examples
    --------
    >>> clock_text(33300.0)
    '09:15'
    """
    minutes = round(seconds / 60.0)
    return f"{minutes // 60:02d}:{minutes % 60:02d}"


def span_text(seconds: float) -> str:
    """Write how long something takes.

    Examples
    --------
    >>> span_text(300.0), span_text(90.0)
    ('5 min', '1.5 min')
    """
    return f"{seconds / 60.0:.13g} min"
