"""`axletrim compare`: two runs or configurations."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from tui.command_line import options

if TYPE_CHECKING:
    from balance.decide.day.day import Day


@click.command(
    short_help="Show what changed from one configuration to another.",
    epilog='\b\nExample:\n  axletrim compare my_car/spring_day 4 15\n  axletrim compare my_car/spring_day "as delivered" 10',
)
@options.session_argument
@click.argument("before", metavar="[A]", required=False)
@click.argument("after", metavar="[B]", required=False)
@options.speed_option
@options.reading_option
@options.density_option
@options.units_option
@options.drift_option
@options.json_option
@click.option(
    "-o", "--output", metavar="FILE", help="Write a page in large type to a file ending in .html instead."
)
@options.full_option
@options.width_option
@options.draws_options
@options.gathered
def compare(
    asked: options.Asked, /, *, before: str | None, after: str | None, correct_drift: bool, output: str | None
) -> None:
    """Show what B changed against A: each a run, or a configuration's name; repeats of either are averaged.

    A may be two runs of one configuration around B, "3 and 9": what lies between them stands for A.

    Without A and B, the recommendation against the start.
    """
    from balance.decide.parts.two_configurations import compare_two

    options.exclude(json=asked.as_json, output=output is not None)
    page = None if output is None else options.output_path(output, (".html", ".htm"))
    day, at, density = asked.day_at(before, after)
    first, second = _two(day, before, after)
    result, row = compare_two(day, first, second, speed=at, air_density=density, correct_drift=correct_drift)
    show = asked.show(day.session)
    if page is not None:
        from balance.files.day.durable import write_atomically
        from balance.tell.report.side_by_side import side_by_side

        write_atomically(page, side_by_side(result, row, show).encode())
        click.echo(str(page))
        return
    if asked.as_json:
        from balance.tell.parts.parts_json import comparison_record

        options.echo_json(comparison_record(result, row))
        return
    from tui.printing.parts import print_comparison

    click.echo(print_comparison(result, row, show, asked.columns, full=asked.full))


def _two(day: Day, before: str | None, after: str | None) -> tuple[str, str]:
    """Find the two runs that were named, or those that the page of two opens on."""
    from tui.features.compare.two_view import opening_pair

    if before is not None and after is not None:
        return _run_named(day, before), _run_named(day, after)
    if before is not None:
        raise click.UsageError(
            "name two runs or configurations, or none for the recommendation against the start"
        )
    pair, _ = opening_pair(day)
    if pair is None:
        raise click.UsageError("the day has one configuration: nothing to compare")
    return pair


def _run_named(day: Day, name: str) -> str:
    """Find a run by its label, two around another, or a configuration by its name where that is one set of settings."""
    from balance.model.baseline_names import named_baselines
    from balance.model.errors import InputError, UnknownName, quoted

    runs, labels = day.readings.runs, day.readings.labels
    around = named_baselines(name, labels)
    if len(around) > 1 and set(around) <= set(labels):
        return name
    if name in labels:
        return name
    named = [run for run in runs if run.configuration.casefold() == name.strip().casefold()]
    if not named:
        raise UnknownName(
            "run or configuration", name, [*day.readings.labels, *(r.configuration for r in runs)]
        )
    if len({run.configuration_key for run in named}) > 1:
        raise InputError(
            f"configuration {quoted(name)}: found runs {', '.join(run.label for run in named)} with different "
            "settings, expected one set of settings; name the run"
        )
    return named[0].label
