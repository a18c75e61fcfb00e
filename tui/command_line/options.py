"""Options that several commands share, and how their texts become figures."""

from __future__ import annotations

import shutil
from dataclasses import dataclass, fields
from functools import wraps
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from balance.decide.day.day import Day
    from balance.model.records import Session
    from balance.tell.figures import Show
    from balance.tell.report.blocks import Missing
    from balance.tell.report.pictures.canvas import Picture

_F = TypeVar("_F", bound="Callable[..., Any]")
PAPER_WIDTH = 100
"""Columns where there is no terminal to ask."""
NARROWEST = 40
"""Columns below which a table says nothing."""

PICTURES = (".svg", ".png", ".pdf")
"""Endings of files that hold a picture."""

_LEAST_DENSITY, _MOST_DENSITY = 0.5, 2.0
"""What session files allow too: 0.075 that was meant in lb/ft^3 is no density in kg/m^3."""


def several(*options: Callable[[_F], _F]) -> Callable[[_F], _F]:
    """Make one decorator of several options, which help lists in this order."""

    def add(command: _F) -> _F:
        for option in reversed(options):
            command = option(command)
        return command

    return add


session_argument = click.argument("session", metavar="DAY", type=click.Path(readable=False))
units_option = click.option(
    "--units",
    type=click.Choice(["si", "us", "kgf"]),
    help="Units shown; default: those that session.toml says are shown, else those that runs.csv is written in. --json is always SI.",
)


def _speed_option(also: str) -> Callable[[_F], _F]:
    """Make the option of the speed at which loads are shown."""
    return click.option(
        "--speed",
        metavar="SPEED",
        help=f'Speed at which loads are shown, as "185 km/h"{also}; default: the first named speed, else the day\'s; '
        "--json and --csv: the day's.",
    )


speed_option = _speed_option(", or a place of the day by its name")
bare_speed_option = _speed_option("")
"""Where no one day is asked about, whose places could be named."""
drift_option = click.option(
    "--correct-drift", is_flag=True, help="Remove drift, in blocks where it is significant."
)
json_option = click.option("--json", "as_json", is_flag=True, help="One JSON object, SI.")
limit_option = click.option(
    "--limit",
    type=float,
    default=1.0,
    show_default=True,
    help="Downforce that a step has to gain for its drag.",
)
density_option = click.option(
    "--air-density",
    metavar="DENSITY",
    help='Density at which loads are shown, as "1.18 kg/m^3"; default: the facility\'s.',
)
reading_option = click.option(
    "--reading",
    is_flag=True,
    help="A run's label means the run alone; without it the mean of its configuration's readings.",
)
full_option = click.option(
    "--full", is_flag=True, help="All notes, sentences and cautions; without it those that change a decision."
)
width_option = click.option(
    "--width",
    type=click.IntRange(NARROWEST, 1000),
    help="Width in characters; default: the terminal's, or 100.",
)


library_option = click.option(
    "--library",
    "place",
    metavar="FOLDER",
    help="The library; default: the folder in AXLETRIM_LIBRARY, else one in your own data.",
)


def confidence_option(words: str) -> Callable[[_F], _F]:
    """Make the option of the confidence of intervals."""
    share = click.FloatRange(0.5, 0.999)
    return click.option("--confidence", type=share, default=0.95, show_default=True, help=words)


draws_options = several(
    confidence_option("Share of the draws inside an interval."),
    click.option(
        "--draws",
        type=click.IntRange(100, 1_000_000),
        default=10_000,
        show_default=True,
        help="Draws behind intervals.",
    ),
)
table_options = several(
    click.option("--decimal", type=click.Choice(["point", "comma"]), help="The decimal mark."),
    click.option("--encoding", metavar="NAME", help="Encoding of a text, as cp1252."),
    click.option("--separator", metavar="NAME", help="comma, semicolon, tab or bar."),
    click.option("--sheet", metavar="NAME", help="Sheet of an XLSX file."),
    click.option("--header-line", type=click.IntRange(1), metavar="N", help="Line of the header."),
    click.option("--lines", metavar="A-B", help="Only these lines of the file, as 12-40, or 12- to its end."),
)  # fmt: skip
"""How a table of somebody else's is read."""
interval_option = confidence_option("Share of intervals that hold the truth.")


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What the shared options of a command say; those that it does not have stand as they do where nothing is said."""

    session: str = ""
    speed: str | None = None
    air_density: str | None = None
    units: str | None = None
    place: str | None = None
    reading: bool = False
    as_json: bool = False
    as_csv: bool = False
    full: bool = False
    width: int | None = None
    draws: int = 10_000
    confidence: float = 0.95

    @property
    def machine(self) -> bool:
        """Whether a program reads the answer, not a person."""
        return self.as_json or self.as_csv

    @property
    def columns(self) -> int:
        """The width asked for, or the terminal's, or that of a page."""
        return width_or(self.width)

    def conditions(self) -> tuple[float | None, float | None]:
        """Read --speed and --air-density into SI."""
        return (
            quantity(self.speed, "speed", "--speed"),
            quantity(self.air_density, "density", "--air-density"),
        )

    def day(self, *alone: str | None, draws: int | None = None) -> Day:
        """Read the day and reduce it; with --reading the runs named stand for themselves, not for their configuration."""
        from balance.decide.day.day import readings_alone, reduce_day
        from balance.files.loader import load_session
        from tui.host.kept_memory import keep_memory

        keep_memory()
        day = reduce_day(load_session(self.session), draws=draws or self.draws, confidence=self.confidence)
        named = {label for label in alone if label is not None} if self.reading else set()
        return readings_alone(day, named) if named else day

    def day_at(self, *alone: str | None) -> tuple[Day, float | None, float | None]:
        """Read the day, and the speed and the density at which it is shown."""
        density = quantity(self.air_density, "density", "--air-density")
        day = self.day(*alone)
        return day, self.speed_at(day.session), density

    def speed_at(self, session: Session) -> float | None:
        """Return the speed asked for, or that of the place named; without one the screen's, for programs the day's own."""
        if self.speed is None:
            return None if self.machine else session.speed_shown
        from balance.model.errors import InputError

        at = {place.name: place.speed for place in session.places}
        if self.speed in at:
            return at[self.speed]
        try:
            return quantity(self.speed, "speed", "--speed")
        except InputError as fault:
            known = f"; or name a place of this day: {', '.join(at)}" if at else ""
            raise InputError(f"{fault}{known}") from None

    def show(self, session: Session | None = None) -> Show:
        """Return the system of units asked for; without one, that in which the session is shown."""
        return show_in(self.units, session)


def gathered(command: _F) -> _F:
    """Hand a command what its shared options say as one `Asked`, before its own arguments and options."""

    @wraps(command)
    def run(*context: Any, **given: Any) -> Any:
        asked = {one.name: given.pop(one.name) for one in fields(Asked) if one.name in given}
        return command(*context, Asked(**asked), **given)

    return run  # type: ignore[return-value]


def echo_json(record: Mapping[str, Any]) -> None:
    """Print a record as JSON."""
    from balance.tell.export.records_csv import to_json

    click.echo(to_json(record))


def quantity(text: str | None, kind: Any, option: str) -> float | None:
    """Read an option's quantity into SI."""
    from balance.model.errors import InputError, UnitError, quoted
    from balance.units.stated import parse_chosen

    if text is None:
        return None
    try:
        value = parse_chosen(text, kind)
    except UnitError as fault:
        raise InputError(f"{option}: {fault}") from None
    if not value > 0.0:
        raise InputError(
            f"{option}: found {quoted(text)}, expected a {kind} above 0; check its sign and unit"
        )
    if kind == "density" and not _LEAST_DENSITY <= value <= _MOST_DENSITY:
        limits = f"{_LEAST_DENSITY:g} to {_MOST_DENSITY:g} kg/m^3"
        raise InputError(
            f"{option}: found {quoted(text)}, expected a density of air, {limits}; check its unit"
        )
    return value


def exclude(**given: bool) -> None:
    """Refuse two flags of which each says what is printed."""
    if all(given.values()):
        named = [f"--{name.replace('_', '-')}" for name in given]
        raise click.UsageError(f"{' and '.join(named)} exclude one another")


def row_of(day: Day, run: str) -> int:
    """Find a run by its label, or say which are near it."""
    from balance.model.errors import UnknownName

    labels = day.readings.labels
    if run not in labels:
        raise UnknownName("run", run, labels)
    return labels.index(run)


def rows_named(day: Day, named: Sequence[str]) -> set[int]:
    """Find the rows of configurations by their names, or by the labels of their runs."""
    from balance.model.errors import UnknownName

    labels, rows = day.readings.labels, day.rows.configurations
    names = {row: day.configuration_of(row) for row in rows}
    found: set[int] = set()
    for one in named:
        if one in labels:
            found.add(day.rows.standing[labels.index(one)])
            continue
        called = {row for row, own in names.items() if own == one}
        if not called:
            raise UnknownName("configuration", one, [*dict.fromkeys(names.values()), *labels])
        found |= called
    return found


def show_in(units: str | None, session: Session | None = None) -> Show:
    """Return the system of units by its short name; without one, that in which the session is shown."""
    from balance.tell.figures import show_of

    return show_of(session, units)


def width_or(width: int | None) -> int:
    """Return the width asked for, or the terminal's, or that of a page."""
    return width or max(NARROWEST, shutil.get_terminal_size((PAPER_WIDTH, 24)).columns)


def output_path(text: str, endings: Sequence[str]) -> Path:
    """Check where a file is to be written, so that no session file is ever written over."""
    from balance.model.errors import InputError, quoted

    path = Path(text)
    if path.suffix.lower() not in endings:
        raise InputError(f"--output: found {quoted(text)}, expected a file ending in {' or '.join(endings)}")
    if path.is_dir():
        raise InputError(f"--output: found {quoted(text)}, a folder, expected a file; add its name")
    if not path.parent.is_dir():
        raise InputError(f"--output: found no folder {quoted(str(path.parent))}, expected one; make it first")
    return path


def write_picture(drawn: Picture | Missing, path: Path, what: str) -> None:
    """Write a picture to a file, by its ending, and name it; say why there is none."""
    from balance.files.day.durable import write_atomically
    from balance.model.errors import InputError
    from balance.tell.report.blocks import Missing
    from balance.tell.report.pictures.written import picture_bytes

    if isinstance(drawn, Missing):
        raise InputError(f"{what}: nothing to draw, no {drawn.what}: {drawn.why}")
    write_atomically(path, picture_bytes(drawn, path.suffix.lower().removeprefix(".")))
    click.echo(str(path))


def echo_fitted(text: str, left_out: Sequence[str]) -> None:
    """Print a table, and name on stderr the columns that had no room."""
    click.echo(text)
    if left_out:
        click.echo(f"axletrim: left out for width: {', '.join(left_out)}; --width shows more", err=True)
