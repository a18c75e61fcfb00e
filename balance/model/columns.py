"""The registry of the columns of runs.csv: each one's name, kind, unit, meaning and place in a run.

Reader, entry, import, watched file, workbook, detail and appendix are made from it. A column is added here, and as a
field of `balance.model.records.Run`.
"""

from __future__ import annotations

from functools import cache
from types import MappingProxyType
from typing import TYPE_CHECKING, Literal, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Mapping

    from balance.model.channels import Channel
    from balance.model.kinds import Kind

FORMAT = 2
"""The newest format of session.toml and vehicle.toml, and of the runs.csv beside it; absent means 1."""
ColumnKind = Literal["label", "link", "text", "mark", "condition", "reading", "total"]
"""What names a run, names another run, is free text, says whether a run counts, is its speed or air, is what was read
of a channel, or of both axles together."""
WORDS: tuple[ColumnKind, ...] = ("label", "link", "text", "mark")
"""The kinds that are written without a unit. A table that lacks such a column gets it when a cell needs it."""


class RunsColumn(NamedTuple):
    """One column that runs.csv knows by name.

    ``measures`` is its kind of unit (a plain number where it has none), ``unit`` the usual one, ``low`` and ``high``
    [SI] what is credible, ``expected`` the same in words; a reading's limits go with its form. ``positive_up`` says
    that it counts lift. What is ``carried`` is the same in the next run until it is changed; what is ``offered`` can be filled in where
    the table has no such column yet. ``remark`` is how the page for the customer tells a cell, empty where it is told
    elsewhere or not at all. It has its meaning from the format ``since``; before that it is a setting like any other.
    """

    name: str
    kind: ColumnKind
    term: str
    measures: Kind = "number"
    unit: str = ""
    low: float = 0.0
    high: float = 0.0
    expected: str = ""
    channel: Channel | None = None
    coefficient: bool = False
    positive_up: bool = False
    required: bool = False
    carried: bool = False
    offered: bool = False
    remark: str = ""
    since: int = 1

    @property
    def title(self) -> str:
        """What people call it."""
        return self.name.replace("_", " ")

    @property
    def held(self) -> str:
        """The field of `balance.model.records.Run` that holds it."""
        if self.kind in ("reading", "total"):
            return self.kind
        return "label" if self.name == "run" else self.name


_TEXTS = (
    RunsColumn(name="run", kind="label", term="run", required=True),
    RunsColumn(name="configuration", kind="label", term="configuration", required=True, carried=True),
    RunsColumn(name="baseline", kind="link", term="baseline", remark="against {}"),
    RunsColumn(name="repeat_of", kind="link", term="repeat", remark="repeats {}"),
    RunsColumn(name="block", kind="label", term="block", carried=True, offered=True, remark="block {}"),
    RunsColumn(name="time", kind="text", term="run"),
    RunsColumn(name="operator", kind="text", term="run", carried=True),
    RunsColumn(name="loading", kind="text", term="loading", carried=True, remark="loading {}"),
    RunsColumn(name="note", kind="text", term="run", offered=True, remark="{}"),
    RunsColumn(name="status", kind="mark", term="suspect"),
    RunsColumn(name="reason", kind="mark", term="suspect"),
)  # fmt: skip
_CONDITIONS = (  # what is credible: common practice, no source
    RunsColumn(
        name="speed", kind="condition", term="speed_of_run", measures="speed", unit="km/h", low=1.0, high=200.0,
        expected="a speed from 3.6 to 720 km/h",
    ),
    RunsColumn(
        name="temperature", kind="condition", term="air_density", measures="temperature", unit="degC",
        low=150.0, high=400.0, expected="a temperature from -123 to 127 °C",
    ),
    RunsColumn(
        name="pressure", kind="condition", term="air_density", measures="pressure", unit="hPa", low=30e3, high=130e3,
        expected="an absolute pressure from 300 to 1300 hPa",
    ),
    RunsColumn(
        name="humidity", kind="condition", term="air_density", measures="fraction", unit="%", low=0.0, high=1.0,
        expected="a relative humidity from 0 to 100 %",
    ),
)  # fmt: skip


def _readings(*, coefficient: bool) -> tuple[RunsColumn, ...]:
    """Return the columns of the three channels; an axle's is called by its sign."""
    end = "_coefficient" if coefficient else ""
    measures: Kind = "number" if coefficient else "force"
    axles: tuple[Channel, ...] = ("front", "rear")
    return (
        *(
            RunsColumn(
                name=f"{axle}_{sign}{end}",
                kind="reading",
                term=f"{axle}_lift_coefficient" if coefficient else sign,
                measures=measures,
                channel=axle,
                coefficient=coefficient,
                positive_up=sign == "lift",
            )
            for axle in axles
            for sign in ("lift", "downforce")
        ),
        RunsColumn(
            name=f"drag{end}",
            kind="reading",
            term=f"drag{end}",
            measures=measures,
            channel="drag",
            coefficient=coefficient,
        ),
    )


_TOTALS = (
    RunsColumn(name="total_lift", kind="total", term="lift", measures="force", positive_up=True, since=2),
    RunsColumn(name="total_downforce", kind="total", term="downforce", measures="force", since=2),
)
_REGISTRY = (
    *_TEXTS,
    *_CONDITIONS,
    *_readings(coefficient=False),
    *_readings(coefficient=True),
    *_TOTALS,
)


@cache
def columns(file_format: int = FORMAT) -> Mapping[str, RunsColumn]:
    """Return every column that runs.csv knows, by its name.

    Examples
    --------
    >>> columns()["humidity"].unit, "total_lift" in columns(1), columns()["total_lift"].kind
    ('%', False, 'total')
    """
    return MappingProxyType({one.name: one for one in _REGISTRY if one.since <= file_format})


def _of_kind(*kinds: ColumnKind) -> Mapping[str, RunsColumn]:
    return MappingProxyType({name: one for name, one in columns().items() if one.kind in kinds})


TEXTS = _of_kind(*WORDS)
"""The columns of words."""
LINKS = _of_kind("link")
"""The columns that name another run."""
CONDITIONS = _of_kind("condition")
"""The columns of speed and air."""
READINGS = _of_kind("reading")
"""The columns of the three channels."""
TOTALS = _of_kind("total")
"""The columns of what both axles read together."""
