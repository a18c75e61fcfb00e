"""`axletrim import`: a table of somebody else's into a session."""

from __future__ import annotations

import shlex
from dataclasses import replace
from typing import TYPE_CHECKING, Any

import click

from tui.command_line.options import several, table_options, width_option, width_or

if TYPE_CHECKING:
    from collections.abc import Sequence

    from balance.files.tables.importing.plan import ImportOptions, ImportPlan, Question

_EPILOG = """\b
Example:
  axletrim import runs_from_tunnel.csv --vehicle my_car/vehicle.toml --to my_car/spring_day \\
      --column front_lift="Lift F" --lift-sign up --unit drag=lbf --speed "160 km/h" \\
      --air-density "1.225 kg/m^3" --drop-rows "Avg*" --dry-run

What the file leaves open is asked, never guessed: the message names the option that answers it."""

_PAIRS = ("columns", "units", "status", "names")
_answer_options = several(
    click.option("--column", "columns", metavar="OURS=HEADER", multiple=True,
                 help='What a column is, as front_lift="Lift F" or drag="column 6"; again for each.'),
    click.option("--unit", "units", metavar="OURS=UNIT", multiple=True,
                 help="Unit of a column, as drag=lbf; 1 for a coefficient; again for each."),
    click.option("--lift-sign", type=click.Choice(["up", "down"]), help="What positive figures of lift mean."),
    click.option("--drag-sign", type=click.Choice(["rearward", "forward"]),
                 help="Where positive figures of drag point."),
    table_options,
    click.option("--drop-rows", metavar="PATTERN", multiple=True,
                 help='Rows to leave out, by label, configuration, first cell or "line 14"; again for more.'),
    click.option("--keep-rows", metavar="PATTERN", multiple=True,
                 help="Rows that are runs whatever they look like."),
    click.option("--void-rows", metavar="PATTERN", multiple=True,
                 help="Runs that do not count: kept, and marked void."),
    click.option("--zero-means", type=click.Choice(["reading", "missing"]),
                 help="What a reading of exactly 0 means."),
    click.option("--status", metavar="WORD=STATUS", multiple=True,
                 help="A word of theirs as good, suspect or void."),
    click.option("--name", "names", metavar="NAME=NAME", multiple=True,
                 help="The name that a configuration is to have; NAME=NAME keeps it, whose settings another has too."),
    click.option("--same-settings", type=click.Choice(["one", "apart"]),
                 help="Runs of the same settings and other names: one configuration, by its first name, or apart."),
    click.option("--labels", type=click.Choice(["number", "suffix"]),
                 help="Number the runs, or tell equal labels apart."),
    click.option("--fill-down", is_flag=True, help="A blank configuration means the one above."),
    click.option("--configuration", metavar="TEXT", help="Configuration of every run, where no column says it."),
    click.option("--recorded", metavar="HEADER", multiple=True, help="A column that is measured, not set."),
    click.option("--setting", "settings", metavar="HEADER", multiple=True,
                 help="A column that is set, not measured."),
    click.option("--not-fitted", metavar="SETTING", multiple=True,
                 help="With --into: a setting of the day that none of the runs has; again for each."),
    click.option("--moment-about", metavar="POINT",
                 help="mid-wheelbase, front-axle, rear-axle, or a distance behind the front axle."),
    click.option("--moment-height", metavar="LENGTH", help="Height of that point above the ground."),
    click.option("--moment-length", metavar="LENGTH",
                 help="Reference length of a moment coefficient, or wheelbase."),
    click.option("--moment-sign", type=click.Choice(["nose-up", "nose-down"]),
                 help="What a positive moment does."),
    click.option("--title", metavar="TEXT", help="Title of the day; default: the file's name."),
    click.option("--date", metavar="DATE", help="Day of the runs, as 2026-05-14."),
    click.option("--kind", type=click.Choice(["wind tunnel", "straight"]), help="Kind of facility."),
    click.option("--floor", type=click.Choice(["fixed", "moving", "road"]), help="Floor under the car."),
    click.option("--speed", metavar="SPEED", help='Speed of the runs without their own, as "160 km/h".'),
    click.option("--air-density", metavar="DENSITY", help='Air density of the day, as "1.225 kg/m^3".'),
    click.option("--forces", type=click.Choice(["as read", "restated"]),
                 help="Whether forces were brought to one speed and density."),
    click.option("--reference-area", metavar="AREA",
                 help="Area of the facility's coefficients; default: the car's frontal area."),
)  # fmt: skip


@click.command(name="import", short_help="Bring in a table of runs: CSV, text or XLSX.", epilog=_EPILOG)
@click.argument("file", metavar="FILE")
@click.option(
    "--vehicle", metavar="VEHICLE.toml", help="The car that was measured; with --into that of the day."
)
@click.option("--to", "folder", metavar="FOLDER", help="The folder of the day to make; absent or empty.")
@click.option("--into", metavar="DAY", help="The day that gets the runs as rows of its own, instead of --to.")
@_answer_options
@click.option("--same-as-last", is_flag=True, help="Answer as for the last file with the same columns.")
@click.option("--dry-run", is_flag=True, help="Show what would be done, and write nothing.")
@width_option
@click.pass_context
def import_table(
    context: click.Context,
    /,
    *,
    file: str,
    vehicle: str | None,
    folder: str | None,
    into: str | None,
    same_as_last: bool,
    dry_run: bool,
    width: int | None,
    **given: Any,
) -> None:
    """Bring FILE, a table of runs as CSV, text or XLSX, into the folder of a day of its own, or into a day that is there.

    A new day keeps the file beside it as it came. Every row that is left out is listed with its reason.
    """
    from balance.files.tables.importing.remembered import remember
    from balance.files.tables.importing.writing import write_import
    from balance.tell.import_text import import_page

    options = _options(given)
    if into is not None:
        if folder is not None or vehicle is not None:
            raise click.UsageError("--into: found --to or --vehicle as well, expected the day alone")
        _join(context, file, into, options, same_as_last=same_as_last, dry_run=dry_run, width=width_or(width))
        return
    if vehicle is None or folder is None:
        lacking = [flag for flag, value in (("--vehicle", vehicle), ("--to", folder)) if value is None]
        raise click.UsageError(
            f"Missing {' and '.join(lacking)}, as in: axletrim import {shlex.quote(file)} "
            f"--vehicle {shlex.quote(vehicle or 'my_car/vehicle.toml')} --to {shlex.quote(folder or 'my_car/spring_day')}; "
            "what the file leaves open is asked then, all at once. Or --into DAY"
        )
    plan, options, last_helps = _planned(file, vehicle, options, same_as_last=same_as_last)
    if plan.questions:
        _ask(context, plan, plan.questions, last_helps=last_helps, page=dry_run, width=width_or(width))
        return
    session = write_import(plan, folder, dry_run=dry_run)
    click.echo(import_page(plan, width_or(width)))
    if dry_run:
        click.echo("axletrim: nothing was written (--dry-run)", err=True)
        return
    remember(plan.shape, options)
    click.echo(
        f"axletrim: wrote {len(session.runs)} run{'s' if len(session.runs) != 1 else ''}; next: axletrim check {_shown(folder)}",
        err=True,
    )


def _planned(
    file: str, vehicle: str, options: ImportOptions, *, same_as_last: bool
) -> tuple[ImportPlan, ImportOptions, bool]:
    """Understand the file; give the plan, the answers it rests on, and whether those of last time would help."""
    from balance.files.tables.importing.planning import plan_import
    from balance.files.tables.importing.remembered import filled, recall
    from balance.model.errors import InputError

    plan = plan_import(file, vehicle=vehicle, options=options)
    last = recall(plan.shape) if plan.shape else None
    if not same_as_last:
        return plan, options, last is not None
    if last is None:
        raise InputError("--same-as-last: found no earlier import of a file with these columns, expected one")
    options = filled(options, last)
    return plan_import(file, vehicle=vehicle, options=options), options, False


def _join(
    context: click.Context,
    file: str,
    into: str,
    options: ImportOptions,
    *,
    same_as_last: bool,
    dry_run: bool,
    width: int,
) -> None:
    """Add the runs to a day that is there, as one step of it."""
    from balance.files.day.opening import open_day
    from balance.files.tables.importing.into_a_day import join
    from balance.files.tables.importing.remembered import remember
    from balance.tell.import_text import import_page

    with open_day(into) as day:
        ours = {
            name: header for name, header in options.columns.items() if name in day.sheet.names("setting")
        }
        theirs = {name: header for name, header in options.columns.items() if name not in ours}
        plan, options, last_helps = _planned(
            file, str(day.car_file), replace(options, columns=theirs), same_as_last=same_as_last
        )
        joined = join(day.sheet, plan, replace(options, columns=ours))
        if joined.questions or joined.sheet is None:
            _ask(context, plan, joined.questions, last_helps=last_helps, page=dry_run, width=width)
            return
        if not dry_run and joined.added:
            day.change(f"{len(joined.added)} runs imported from {plan.source.name}", joined.sheet)
    click.echo(import_page(replace(plan, questions=()), width))
    for words, names in (
        ("in the day already", joined.there),
        ("records without a column in the day", joined.left),
    ):
        if names:
            click.echo(f"axletrim: left out, {words}: {_shown(', '.join(names))}", err=True)
    if dry_run:
        click.echo("axletrim: nothing was written (--dry-run)", err=True)
        return
    remember(plan.shape, options)
    click.echo(f"axletrim: added {len(joined.added)} runs; next: axletrim check {_shown(into)}", err=True)


def _ask(
    context: click.Context,
    plan: ImportPlan,
    questions: Sequence[Question],
    *,
    last_helps: bool,
    page: bool,
    width: int,
) -> None:
    """Show what must be answered, and end with nothing written."""
    from balance.model.errors import one_line
    from balance.tell.import_text import import_page

    if page:
        click.echo(import_page(plan, width))
    for question in questions:
        click.echo(f"axletrim: {one_line(str(question))}", err=True)
    if last_helps:
        click.echo(
            "axletrim: a file with these columns was imported before; --same-as-last answers as then",
            err=True,
        )
    more = "" if page else "; --dry-run shows all that was understood"
    click.echo(f"axletrim: nothing was written{more}", err=True)
    context.exit(2)


def _shown(folder: str) -> str:
    from balance.model.errors import one_line

    return one_line(folder)


def _options(given: dict[str, Any]) -> ImportOptions:
    from balance.files.tables.importing.plan import ImportOptions

    values: dict[str, Any] = {
        key: pairs(key, value) if key in _PAIRS else value for key, value in given.items()
    }
    values["lines"] = line_span(given["lines"])
    return ImportOptions(**values)


def pairs(name: str, given: Sequence[str]) -> dict[str, str]:
    """Read options of the form NAME=VALUE."""
    found = {}
    for text in given:
        key, mark, value = text.partition("=") if name != "status" else text.rpartition("=")
        if not mark or not key.strip() or not value.strip():
            raise click.UsageError(
                f"--{name.rstrip('s') if name != 'status' else name}: found {text!r}, expected NAME=VALUE"
            )
        found[key.strip()] = value.strip()
    return found


def line_span(text: str | None) -> tuple[int, int] | None:
    """Read --lines."""
    from balance.files.tables.importing.plan import wanted_lines
    from balance.model.errors import InputError

    try:
        return None if text is None else wanted_lines(text)
    except InputError as fault:
        raise click.UsageError(f"--lines: {fault}") from None
