"""Names of a table's rows where there is little room: two rows never look alike, whatever columns had to go."""

from __future__ import annotations

from collections import defaultdict
from typing import TYPE_CHECKING

from balance.tell.figures import number
from balance.tell.parts.part_names import settings_words

if TYPE_CHECKING:
    from collections.abc import Collection, Hashable, Mapping, Sequence

    from balance.decide.day.assessment import Assessment
    from balance.decide.day.day import Day
    from balance.model.records import Setting

_LEAST_NAME = 3
"""Characters of a name that stay when it gives way to what tells it from others."""


def configurations_listed(day: Day) -> list[tuple[str, str, str]]:
    """List the day's configurations to pick from: label of the first run, words, and what is fitted."""
    runs = (day.readings.runs[day.rows.members[row][0]] for row in day.rows.configurations)
    return [
        (run.label, f"run {run.label}  {run.configuration}", settings_words(run.settings)) for run in runs
    ]


def row_title(table: Assessment, row: int) -> str:
    """Name a row: a run and its configuration, or the mean of which runs."""
    rows, members = table.day.rows, table.day.rows.members[table.rows[row]]
    run = table.runs[row]
    if len(members) > 1:
        labels = ", ".join(table.day.readings.labels[one] for one in members)
        return f"{run.configuration} (mean of runs {labels})"
    several = rows.standing[members[0]] != table.rows[row]
    others = len(rows.members[rows.standing[members[0]]])
    return f"Run {run.label}  {run.configuration}" + (f" · one reading of {others}" if several else "")


def telling_settings(day: Day, rows: Sequence[int], names: Sequence[str]) -> tuple[str, ...]:
    """Choose the settings that it takes to tell rows of a day apart, those with most values first."""
    kinds: list[Hashable] = [day.configuration_of(row) for row in rows]
    settings = [day.readings.runs[day.rows.members[row][0]].settings for row in rows]
    whole = len(
        {(kind, *(_value(own, name) for name in names)) for kind, own in zip(kinds, settings, strict=True)}
    )
    kept: list[str] = []
    for name in names:
        if len(set(kinds)) == whole:
            break
        finer = [(kind, _value(own, name)) for kind, own in zip(kinds, settings, strict=True)]
        if len(set(finer)) > len(set(kinds)):
            kinds = list(finer)
            kept.append(name)
    return tuple(kept)


def row_names(
    table: Assessment, rows: Sequence[int], shown: Collection[str], width: int, short: Mapping[str, str]
) -> dict[int, str]:
    """Name rows so that no two look alike with the columns that have room."""
    hidden = [name for name in short if name not in shown]
    alike: dict[Hashable, list[int]] = defaultdict(list)
    for row in rows:
        name, settings = table.configuration(row), table.runs[row].settings
        seen = name if len(name) <= width else name[: width - 1]
        alike[(seen, *(_value(settings, one) for one in shown))].append(row)
    named: dict[int, str] = {}
    for group in alike.values():
        differ = [one for one in hidden if len({_value(table.runs[row].settings, one) for row in group}) > 1]
        for row in group:
            name, run = table.configuration(row), table.runs[row]
            extras = [_said(short[one], run.settings[one]) for one in differ if one in run.settings]
            if name != run.configuration:
                extras.insert(0, run.block or "no block")
            if not extras:
                continue
            said = [run.configuration, *extras]
            if extras[0].startswith(f"{run.configuration.casefold()} "):
                said = extras  # a configuration that goes by its part
            whole = ", ".join(said)
            if len(group) > 1 or len(whole) > width:
                named[row] = whole if len(whole) <= width else _squeezed(said[0], said[1:], width)
    return named


def _squeezed(name: str, extras: Sequence[str], width: int) -> str:
    """Cut a name for what tells it from others."""
    tail = f"… {', '.join(extras)}"
    return f"{name[: max(width - len(tail), _LEAST_NAME)].rstrip(' ,')}{tail}"


def _value(settings: Mapping[str, Setting], name: str) -> float | str | None:
    held = settings.get(name)
    return None if held is None else held.value


def setting_text(value: float | str) -> str:
    """Write a setting's value as it was typed."""
    return value if isinstance(value, str) else number(value, 0 if value == round(value) else 2).rstrip()


def _said(called: str, setting: Setting) -> str:
    return f"{called} {setting_text(setting.value)}"
