"""Configurations, changes and times as the plan of a day writes them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from balance.model.kinds import with_unit
from balance.model.plans import LABEL
from balance.tell.figures import number
from balance.tell.library.source_words import expected_source, named_source, weakest_source
from balance.tell.runs.run_table import shortened

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from balance.decide.plan.configuration import Configuration
    from balance.decide.plan.next_run import Need
    from balance.decide.plan.planned_day import PlannedDay
    from balance.model.libraries import FromLibrary
    from balance.model.plans import DayPlan, Value
    from balance.model.records import Session

_AN_HOUR = 60


class Names:
    """What configurations and changes of a day are called, and the units of its settings.

    ``called`` are the names of configurations that were run: they stand for a configuration in which nothing is set.
    ``sources`` name where what is expected of a setting comes from, where that is a library.
    """

    def __init__(
        self,
        settings: Sequence[str],
        units: Mapping[str, str],
        called: Mapping[Configuration, str],
        sources: Mapping[str, str] | None = None,
    ) -> None:
        self._order, self.units, self._called = tuple(settings), units, called
        self.sources = sources or {}
        self._short = {name: shortened(name, self._order) for name in self._order}

    @classmethod
    def of(cls, planned: PlannedDay) -> Names:
        """Return the names of a day with its plan."""
        return cls.of_plan(planned.session, planned.plan, planned.names)

    @classmethod
    def of_plan(cls, session: Session, plan: DayPlan, called: Mapping[Configuration, str]) -> Names:
        """Return the names of a day whose plan is not worked out."""
        order = setting_order(session.setting_names, plan.units)
        found: dict[str, list[FromLibrary]] = {}
        for one in plan.believed:
            if one.library is not None:
                found.setdefault(one.setting, []).append(one.library)
        sources = {name: expected_source(weakest_source(some)) for name, some in found.items()}
        return cls(order, plan.units, called, sources)

    def setting(self, name: str, value: Value) -> str:
        """Write a setting with its value."""
        if name == LABEL:
            return str(value)
        figure = setting_text(value)
        if not isinstance(value, str):
            figure = with_unit(figure, self.units.get(name, ""))
        return f"{self._short.get(name, name.replace('_', ' '))} {figure}"

    def part(self, name: str, value: Value | None) -> str:
        """Write a part that is put on or taken off, or a setting that is moved."""
        return self._short.get(name, name.replace("_", " ")) if value is None else self.setting(name, value)

    def fitted(self, one: Configuration) -> str:
        """Write what is fitted, in the order of the day's columns."""
        said = [self.setting(name, value) for name, value in self._sorted(one)]
        return ", ".join(said) or self._called.get(one, "baseline, nothing fitted")

    def needs(self, needs: Sequence[Need], *, none: str = "no change") -> str:
        """Write the changes that a run needs from the car as it stands."""
        return ", ".join(self._need(need) for need in needs) or none

    def changes(self, before: Configuration, after: Configuration) -> str:
        """Write the changes from one configuration to another."""
        said = [self._change(name, before.value(name), after.value(name)) for name in before.changed(after)]
        return ", ".join(said) or "no change"

    def instead(self, best: Configuration, other: Configuration) -> str:
        """Name a configuration by what it has instead of what the best has."""
        said = [self._instead(name, best.value(name), other.value(name)) for name in best.changed(other)]
        return f"as best, {', '.join(said)}"

    def _instead(self, name: str, best: Value | None, other: Value | None) -> str:
        if name == LABEL:
            return f"{other or 'baseline'} not {best or 'baseline'}"
        if best is None or other is None:
            return self._change(name, best, other)
        figure = setting_text(best)
        figure = figure if isinstance(best, str) else with_unit(figure, self.units.get(name, ""))
        return f"{self.setting(name, other)} not {figure}"

    def _sorted(self, one: Configuration) -> list[tuple[str, Value]]:
        place = {name: k for k, name in enumerate((LABEL, *self._order))}
        return sorted(one.settings, key=lambda pair: place.get(pair[0], len(place)))

    def _need(self, need: Need) -> str:
        return self._change(need.setting, need.before, need.after)

    def _change(self, name: str, before: Value | None, after: Value | None) -> str:
        if name == LABEL:
            return f"{before or 'baseline'} to {after or 'baseline'}"
        if before is None or after is None:
            held = after if before is None else before
            assert held is not None  # noqa: S101 - a change has a value on one side
            return f"{self.setting(name, held)} {'on' if before is None else 'off'}"
        called = self._short.get(name, name.replace("_", " "))
        if isinstance(before, str) or isinstance(after, str):
            return f"{called} {setting_text(before)} to {setting_text(after)}"
        return (
            f"{called} {setting_text(before)} to {with_unit(setting_text(after), self.units.get(name, ''))}"
        )


def plan_sources(plan: DayPlan, names: Names, *, missing: bool = False) -> list[str]:
    """State what comes from a library, and what does not although the plan asks for it; with ``missing`` that alone."""
    return [
        named_source(names.setting(one.setting, one.value), one.library)
        for one in plan.expected
        if one.library is not None and not (missing and one.known)
    ]


def lone_settings(session: Session, plan: DayPlan) -> list[str]:
    """Ask whether a setting is meant that one wanted run alone names: no run, no expected line, no time of a change."""
    named = {name for run in session.runs for name in run.settings}
    named |= {*session.setting_names, *(one.setting for one in plan.expected), *plan.changes, LABEL}
    wanted = [name for run in plan.wanted for name in run.settings]
    return [
        f"a setting that no run has: {name}; is it meant?"
        for name in dict.fromkeys(wanted)
        if wanted.count(name) == 1 and name not in named and name.split("_")[0] not in plan.changes
    ]


def setting_text(value: Value) -> str:
    """Write the value of a setting without its unit.

    Examples
    --------
    >>> setting_text(6.5), setting_text(-2.0), setting_text("open")
    ('6.5', '−2', 'open')
    """
    return value if isinstance(value, str) else f"{value:.6g}".replace("-", "\N{MINUS SIGN}")


def setting_order(names: Sequence[str], units: Mapping[str, str]) -> tuple[str, ...]:
    """Return the settings of a day, and behind them those that its plan is the first to name."""
    return (*names, *(name for name in units if name not in names))


def minutes_text(seconds: float) -> str:
    """Write a time in whole minutes, without its unit.

    Examples
    --------
    >>> minutes_text(290.0), minutes_text(20.0)
    ('5', '1')
    """
    return number(max(1.0, round(seconds / 60.0)), 0)


def hours_words(seconds: float) -> str:
    """Write how long something takes.

    Examples
    --------
    >>> hours_words(19200.0), hours_words(2400.0), hours_words(3600.0)
    ('5 h 20 min', '40 min', '1 h')
    """
    hours, minutes = divmod(round(seconds / 60.0), _AN_HOUR)
    if not hours:
        return f"{minutes} min"
    return f"{hours} h {minutes} min" if minutes else f"{hours} h"
