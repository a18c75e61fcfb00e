"""What was changed between a run and its baseline, by the names that stand in the file."""

from __future__ import annotations

from types import MappingProxyType
from typing import TYPE_CHECKING

from balance.model.kinds import with_unit

if TYPE_CHECKING:
    from collections.abc import Mapping

    from balance.compare.fitted import Fitted
    from balance.compare.increments import Increments
    from balance.model.records import Setting


def setting_words(name: str, setting: Setting | None) -> str:
    """Write one setting with its value.

    Examples
    --------
    >>> from balance.model.records import Setting
    >>> setting_words("wing_angle", Setting(value=5.0, unit="deg"))
    'wing angle 5°'
    """
    value = "" if setting is None or setting.on else _value(setting)
    return f"{name.replace('_', ' ')} {value}".strip()


def settings_words(settings: Mapping[str, Setting]) -> str:
    """Write all settings of a run with their values."""
    return ", ".join(setting_words(name, held) for name, held in settings.items())


def change_words(fitted: Fitted, run: int, baseline: int, name: str, called: str = "") -> str:
    """State how one setting of a run differs from its baseline's."""
    column = fitted.names.index(name)
    now = fitted.values[column][fitted.codes[run, column]]
    before = fitted.values[column][fitted.codes[baseline, column]]
    called = called or name
    if before is None or (before.off and now is not None):
        return setting_words(called, now)
    if now is None or now.off:
        return f"{setting_words(called, before)} off"
    if before.numeric and now.numeric and before.unit == now.unit:
        return f"{called.replace('_', ' ')} {before.value:g} to {_value(now)}"
    return f"{setting_words(called, before)} to {_value(now)}"


def differing(
    increments: Increments, row: int, *, shortened: Mapping[str, str] = MappingProxyType({})
) -> tuple[str, ...]:
    """State in what a run differs from its baseline, setting by setting."""
    pair, fitted, runs = increments.pairs[row], increments.fitted, increments.readings.runs
    if pair.differs == ("configuration",) and "configuration" not in fitted.names:
        return (f"{runs[pair.baseline].configuration} to {runs[pair.run].configuration}",)
    return tuple(
        change_words(fitted, pair.run, pair.baseline, name, shortened.get(name, "")) for name in pair.differs
    )


def part_name(increments: Increments, row: int) -> str:
    """Name a part by what differs; several changes at once are a package."""
    clauses = differing(increments, row)
    if not clauses:
        return "the same configuration again"
    return clauses[0] if len(clauses) == 1 else f"package of {', '.join(clauses[:-1])} and {clauses[-1]}"


def runs_words(labels: tuple[str, ...]) -> str:
    """Name the runs on one side of a comparison.

    Examples
    --------
    >>> runs_words(("4",)), runs_words(("15", "17"))
    ('run 4', 'mean of runs 15, 17')
    """
    return f"run {labels[0]}" if len(labels) == 1 else f"mean of runs {', '.join(labels)}"


def _value(setting: Setting | None) -> str:
    if setting is None:
        return ""
    if isinstance(setting.value, str):
        return setting.value
    return with_unit(f"{setting.value:g}", setting.unit)
