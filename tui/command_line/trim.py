"""`axletrim trim`: what a setting should be after a change, and every way to balance."""

from __future__ import annotations

import click

from tui.command_line import options


@click.command(
    short_help="Find the setting that meets a target.",
    epilog="\b\nExample:\n  axletrim trim my_car/spring_day --from 16 --setting wing_angle \\\n"
    '    --front-change "120 N at 160 km/h" --front-change-std "20 N" --target-offset "3 points rearward"',
)
@options.session_argument
@click.option("--from", "run", metavar="RUN", required=True, help="The present configuration.")
@click.option("--setting", metavar="NAME", required=True, help="The setting to move, by its column's name.")
@click.option(
    "--front-change",
    metavar="LOAD",
    help='Front downforce gained, as "120 N ± 20 N at 160 km/h", ± being half of a 95 % interval; also "120(20) N", '
    '"120 N sd 20 N" (standard uncertainty), "120 N exactly". Without: 10 % assumed.',
)
@click.option("--front-change-std", metavar="LOAD", help='Its standard uncertainty, as "20 N".')
@click.option("--rear-change", metavar="LOAD", help="Rear downforce gained, likewise.")
@click.option("--rear-change-std", metavar="LOAD", help="Its standard uncertainty.")
@click.option("--drag-change", metavar="LOAD", help="Drag gained, likewise.")
@click.option("--drag-change-std", metavar="LOAD", help="Its standard uncertainty.")
@click.option(
    "--part", "on", metavar="RUN", multiple=True, help="Put on what this run changed against its baseline."
)
@click.option("--without", "off", metavar="RUN", multiple=True, help="Take off what this run changed.")
@click.option(
    "--target-offset", metavar="POINTS", help='Target aero balance, as "3 points rearward" of the weight.'
)
@click.option(
    "--target-surplus",
    metavar="SHARE",
    help='Target grip balance, as "1 %"; default: the car file\'s target.',
)
@click.option(
    "--speed",
    metavar="SPEED",
    help="Speed of loads and of a grip balance; default: the first named speed, else the day's; --json: the day's.",
)
@click.option("--air", metavar="AIR", help='Air there, as "29 degC, 940 hPa" or "500 m".')
@options.reading_option
@options.density_option
@click.option(
    "--family", metavar="RUN,RUN", help="Runs that make the curve; default: those that differ in it alone."
)
@options.limit_option
@options.units_option
@click.option(
    "--json", "as_json", is_flag=True, help="One JSON object; settings in the unit of their column, else SI."
)
@options.full_option
@options.width_option
@options.draws_options
@options.gathered
def trim(
    asked: options.Asked,
    /,
    *,
    run: str,
    setting: str,
    on: tuple[str, ...],
    off: tuple[str, ...],
    target_offset: str | None,
    target_surplus: str | None,
    air: str | None,
    family: str | None,
    limit: float,
    **changes: str | None,
) -> None:
    """Say what SETTING should be for the target, from RUN and what changes about its car."""
    from balance.decide.car.prepared_day import prepare_day
    from balance.decide.settings.trim_question import TrimQuestion, answer_trim
    from balance.decide.settings.ways import find_ways
    from tui.command_line.stated import air_density_of, labels_of, offset_of, stated_of, surplus_of

    options.exclude(target_offset=target_offset is not None, target_surplus=target_surplus is not None)
    options.exclude(air=air is not None, air_density=asked.air_density is not None)
    air_there, assumed = air_density_of(air)
    day, at, density = asked.day_at(run)
    question = TrimQuestion(
        run=run,
        setting=setting,
        offset=offset_of(target_offset),
        surplus=surplus_of(target_surplus),
        on=on,
        off=off,
        stated=stated_of(changes, day.session.facility.air_density),
        family=labels_of(family),
        limit=limit,
    )
    prepared = prepare_day(day)
    answers = answer_trim(prepared, question, speed=at, air_density=density if air is None else air_there)
    ways = find_ways(prepared, answers)
    if asked.as_json:
        from balance.tell.settings.trim_record import wing_record

        record = wing_record(answers, ways)
        record["assumptions"] += assumed
        options.echo_json(record)
        return
    from balance.tell.head import session_line
    from balance.tell.settings.trim_text import trim_doubts, wing_headline, wing_lines
    from balance.tell.settings.ways_table import ways_table
    from tui.printing.lines import folded, foot, grid, print_sections

    show, columns = asked.show(day.session), asked.columns
    table = ways_table(ways, answers.answer, show)
    drawn, _ = grid(table, range(len(table.rows)), columns)
    sections = wing_lines(answers, show)
    sections[-1][1].extend(assumed)
    heads = [session_line(day.session), wing_headline(answers, show), *trim_doubts(answers, show)]
    click.echo(print_sections(heads, sections[:2], columns, full=None))
    click.echo("\n".join(["", *folded(table.heading, columns), drawn]))
    others = 0 if asked.full else len(answers.alternatives) + 1  # with the assumptions, which stand last
    shown = len(sections) - others
    click.echo(print_sections([], sections[2:shown], columns, full=None))
    left = [line for _, lines in sections[shown:] for line in lines]
    click.echo("\n".join(foot([], left, columns, full=asked.full)))
