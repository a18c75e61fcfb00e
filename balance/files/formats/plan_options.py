"""A configuration as it is typed on the command line or into the plan: settings with their values, between commas."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from balance.files.formats.plan import Units
from balance.files.toml.fields import Field
from balance.model.errors import InputError, UnitError, UnknownName, quoted
from balance.model.plans import LABEL

if TYPE_CHECKING:
    from collections.abc import Mapping

    from balance.model.plans import DayPlan, Value
    from balance.model.records import Session

EXAMPLE = "wing_angle=8 deg, flap_height=10 mm"
_PAIR = re.compile(r"\s*([^=,]+?)\s*=\s*([^,]*?)\s*")


def settings_of_text(session: Session, plan: DayPlan, text: str) -> Mapping[str, Value]:
    """Read settings with their values; a setting that is not named is not fitted.

    A setting may go by its name with spaces, and by its first word where no other begins so.
    """
    units = Units(session)
    for name, unit in plan.units.items():
        units.units.setdefault(name, unit)
    known = [*session.setting_names, *(name for name in units.units if name not in session.setting_names)]
    known = known or [LABEL]
    found: dict[str, Value] = {}
    for part in text.split(","):
        if not part.strip():
            continue
        match = _PAIR.fullmatch(part)
        if match is None:
            raise InputError(
                f"found {quoted(part.strip())}, expected a setting and its value, as in '{EXAMPLE}'"
            )
        name = _named(match[1], known)
        try:
            value = units.read(Field(key=name, kind="text", example="8 deg"), match[2])
        except UnitError as fault:
            raise InputError(f"{name}: {fault}") from None
        if name in found:
            raise InputError(f"{name}: found it twice, expected each setting once")
        if value is not None:
            found[name] = value
    return found


def _named(typed: str, known: list[str]) -> str:
    name = typed.strip().replace(" ", "_")
    if name in known:
        return name
    begun = [one for one in known if one.partition("_")[0] == name]
    if len(begun) == 1:
        return begun[0]
    raise UnknownName("setting", typed.strip(), known)


def settings_text(settings: Mapping[str, Value], units: Mapping[str, str]) -> str:
    """Write settings as they are typed.

    Examples
    --------
    >>> settings_text({"wing_angle": 8.0, "vents": "open"}, {"wing_angle": "deg"})
    'wing_angle=8 deg, vents=open'
    """
    return ", ".join(
        f"{name}={value}"
        if isinstance(value, str)
        else f"{name}={f'{value:.10g} {units.get(name, str())}'.rstrip()}"
        for name, value in settings.items()
    )
