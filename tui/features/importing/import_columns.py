"""The columns of a table that is imported, said by hand on the page that a watched file has as well."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from balance.model.columns import CONDITIONS, TEXTS, columns
from tui.host.mapping_page import FileColumns, MappingPage
from tui.host.questions import Choice, Pick

if TYPE_CHECKING:
    from collections.abc import Callable

    from balance.files.formats.runs_header import ColumnPlan
    from balance.files.tables.importing.plan import ImportOptions, ImportPlan, PlannedColumn
    from tui.host.host import Host

_READINGS = {"front": "front_lift", "rear": "rear_lift", "drag": "drag"}
_NAMES = (
    "run",
    "configuration",
    *_READINGS,
    *CONDITIONS,
    *(n for n in TEXTS if n not in ("run", "configuration")),
)
_NEEDED = ("configuration", *_READINGS)


class ImportColumns(FileColumns):
    """The columns that runs.csv knows, in a table that is imported."""

    def __init__(
        self,
        app: Host,
        plan: ImportPlan,
        options: ImportOptions,
        again: Callable[[ImportOptions, Callable[[ImportPlan, ImportOptions], None]], None],
    ) -> None:
        self._app, self._plan, self._options, self._again = app, plan, options, again

    @property
    def title(self) -> str:
        """What stands above the list."""
        return f"Columns of {self._plan.source.name}: which one is what"

    @property
    def lines(self) -> tuple[str, ...]:
        """What is to be known."""
        return (
            "Pick one, and say which column of the file it is. Every other column becomes a setting or a record.",
        )

    def wanted(self) -> list[tuple[str, str, str]]:
        """Return what can be said, each with what it is by now."""
        return [(name, _title(name), self._state(name)) for name in _NAMES]

    def suggested(self) -> list[tuple[str, str]]:
        """Return what is not found, with what it seems to be."""
        return [
            (name, near[0]) for name in _NAMES if self._found(name) is None and (near := self._near(name))
        ]

    def missing(self) -> bool:
        """Return whether a column that every day has is not found."""
        return bool(self._plan.columns) and any(self._found(name) is None for name in _NEEDED)

    def question(self, name: str) -> str:
        """Return the question for a header."""
        return f"Which column of {self._plan.source.name} is the {_title(name)}?"

    def headers(self, name: str) -> list[tuple[str, str]]:
        """Return the headers of the file, those likely first."""
        near = self._near(name)
        every = {column.header: column for column in self._plan.columns}
        rest = [header for header in every if header not in near]
        known = {
            header: f"now {column.becomes}" if column.becomes else "" for header, column in every.items()
        }
        return [*((header, "perhaps") for header in near), *((header, known[header]) for header in rest)]

    def chosen(self, name: str) -> str:
        """Return the header that it has by now."""
        found = self._found(name)
        return found.header if found else ""

    def settle(self, name: str, header: str, then: Callable[[], None] | None = None) -> None:
        """Take a header for a column; where a lift's sign is not said by it, ask."""
        from balance.files.tables.header.meanings import meaning_of  # noqa: PLC0415 - only when asked

        meaning = meaning_of(header)[0]
        form = "_coefficient" if meaning.coefficient and name in _READINGS else ""
        if name not in ("front", "rear"):
            self._call(name, f"{name}{form}", header, then)
        elif meaning.sign in ("up", "down"):
            self._call(name, f"{name}_{'lift' if meaning.sign == 'up' else 'downforce'}{form}", header, then)
        else:
            choices = (
                Choice("1", "up: lift is positive", value=f"{name}_lift{form}"),
                Choice("2", "down: downforce is positive", value=f"{name}_downforce{form}"),
            )

            def take(target: str | None) -> None:
                if target is None:
                    MappingPage(self._app, self).ask(name)
                else:
                    self._call(name, target, header, then)

            self._app.push_screen(Pick(f"What do positive figures of '{header}' mean?", choices), take)

    def leave_out(self, name: str) -> None:
        """Take it that the file has no such column: the one that is taken for it becomes a record."""
        found = self._found(name)
        kept = {ours: header for ours, header in self._options.columns.items() if not _is(ours, name)}
        recorded = self._options.recorded
        if found is not None and found.header not in recorded:
            recorded = (*recorded, found.header)
        self._read(replace(self._options, columns=kept, recorded=recorded), name, None)

    def _call(self, name: str, target: str, header: str, then: Callable[[], None] | None) -> None:
        kept = {
            ours: theirs
            for ours, theirs in self._options.columns.items()
            if not _is(ours, name) and theirs != header
        }
        recorded = tuple(one for one in self._options.recorded if one != header)
        self._read(replace(self._options, columns={**kept, target: header}, recorded=recorded), name, then)

    def _read(self, options: ImportOptions, name: str, then: Callable[[], None] | None) -> None:
        def take(plan: ImportPlan, taken: ImportOptions) -> None:
            self._plan, self._options = plan, taken
            if then is None:
                MappingPage(self._app, self).show(name)
            else:
                then()

        self._again(options, take)

    def _found(self, name: str) -> PlannedColumn | None:
        return next(
            (column for column in self._plan.columns if _is(column.becomes.partition(" [")[0], name)), None
        )

    def _state(self, name: str) -> str:
        found = self._found(name)
        if found is not None:
            return f"the file's '{found.header}'" + (f", {found.why}" if found.why else "")
        near = self._near(name)
        need = "NEEDED" if name in _NEEDED else "not found"
        return f"{need}: '{near[0]}' perhaps" if near else need

    def _near(self, name: str) -> tuple[str, ...]:
        from balance.files.tables.header.mapping import likely  # noqa: PLC0415 - only when asked

        free = [c.header for c in self._plan.columns if c.outcome not in ("reading", "text", "condition")]
        return likely(_usual(name), free)


def _title(name: str) -> str:
    return f"{name} reading" if name in ("front", "rear") else columns()[name].title


def _is(column: str, name: str) -> bool:
    """Return whether a column of runs.csv is what stands on the page."""
    known = columns().get(column)
    return known is not None and (known.channel == name if name in _READINGS else column == name)


def _usual(name: str) -> ColumnPlan:
    """Return a column of runs.csv in its usual unit."""
    from balance.files.formats.runs_header import plan_columns  # noqa: PLC0415 - only when asked

    one = columns()[_READINGS.get(name, name)]
    unit = "N" if one.channel else one.unit
    (plan,), _ = plan_columns(
        [f"{one.name} [{unit}]" if unit else one.name], line=1, file="runs.csv", recorded=()
    )
    return plan
