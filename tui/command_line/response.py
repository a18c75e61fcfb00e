"""`axletrim response`: how the car answers to a setting."""

from __future__ import annotations

import click

from tui.command_line import options


@click.command(
    short_help="Show loads and drag against a setting.",
    epilog="\b\nExample:\n  axletrim response my_car/spring_day --setting wing_angle --csv",
)
@options.session_argument
@click.option("--setting", metavar="NAME", required=True, help="The setting, by its column's name.")
@click.option(
    "--family", metavar="RUN,RUN", help="Runs that make one curve; default: every family that has it."
)
@click.option(
    "--speed",
    metavar="SPEED",
    help="Speed at which loads are shown; default: the first named speed, else the day's; --json and --csv: the day's.",
)
@options.density_option
@options.limit_option
@options.units_option
@click.option("--json", "as_json", is_flag=True, help="One JSON object: a list of curves.")
@click.option("--csv", "as_csv", is_flag=True, help="Comma-separated, one row a setting of each curve.")
@options.width_option
@options.draws_options
@options.gathered
def response(asked: options.Asked, /, *, setting: str, family: str | None, limit: float) -> None:
    """Show front, rear and drag against SETTING: what was tested and seen, each step's gain, the useful range."""
    from balance.decide.car.prepared_day import prepare_day
    from balance.decide.day.conditions import reference_conditions
    from balance.decide.settings.families import family_from, find_families
    from balance.decide.settings.response import fit_response
    from balance.model.errors import InputError
    from balance.reduce.air import dynamic_pressure
    from tui.command_line.stated import labels_of

    options.exclude(json=asked.as_json, csv=asked.as_csv)
    day, at, density = asked.day_at()
    prepared = prepare_day(day)
    own_speed, own_density = reference_conditions(day.session, at, density)
    pressure = float(dynamic_pressure(own_speed, own_density))
    labels = labels_of(family)
    families = (family_from(prepared, labels, setting),) if labels else find_families(prepared, setting)
    if not families:
        raise InputError(
            f"{setting}: found no two runs that differ in it alone, expected a sweep; or name its runs with --family RUN,RUN"
        )
    responses = [fit_response(prepared, one, limit=limit) for one in families]
    runs = day.readings.runs
    if asked.machine:
        from balance.tell.export.records_csv import rows_csv, to_json
        from balance.tell.settings.trim_record import curve_record, curve_rows

        records = [
            curve_record(one, runs, speed=own_speed, dynamic_pressure=pressure, confidence=asked.confidence)
            for one in responses
        ]
        if asked.as_json:
            click.echo(to_json({"format": "axletrim-curves/1", "curves": records}))
        else:
            click.echo(rows_csv([row for record in records for row in curve_rows(record)]), nl=False)
        return
    from balance.tell.head import session_line
    from balance.tell.settings.setting_words import curve_lines
    from tui.printing.lines import print_sections

    show = asked.show(day.session)
    sections = []
    for one in responses:
        title, *lines = curve_lines(one, runs, speed=own_speed, dynamic_pressure=pressure, show=show)
        sections.append((title, lines))
    click.echo(print_sections([session_line(day.session)], sections, asked.columns, full=None))
