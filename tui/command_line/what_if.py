"""`axletrim what-if`: a car that was not measured."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from tui.command_line import options

if TYPE_CHECKING:
    from collections.abc import Sequence

    from balance.decide.laps.changed_laps import ChangedLap
    from balance.decide.what_if.what_if import WhatIfResult
    from balance.model.records import Session
    from balance.model.tracks import Track
    from balance.model.what_ifs import WhatIf

_MOST = 4


@click.command(
    name="what-if",
    short_help="Show a car that was not measured.",
    epilog='\b\nExamples:\n  axletrim what-if my_car/spring_day --set from=16 --set wing_angle="9 deg" --set on=5\n'
    '  axletrim what-if my_car/spring_day --set from=16 --set front="120 N at 160 km/h" --save "longer splitter"\n'
    '  axletrim what-if my_car/spring_day "longer splitter" "more wing"',
)
@options.session_argument
@click.argument("names", metavar="[NAME]...", nargs=-1)
@click.option(
    "--set",
    "sets",
    metavar="KEY=VALUE",
    multiple=True,
    help="As in what_if.toml: from, on, off, a setting, front, rear, drag (and front_std ...), mass, front_share, "
    "loading, air, speed, grip_load_exponent, target_surplus, masses.NAME, library (a part's name there).",
)
@click.option("--save", metavar="NAME", help="Save it in the day's what_if.toml.")
@click.option(
    "--speed",
    metavar="SPEED",
    help="Speed of start and result; default: the first named speed, else the day's; --json: the day's.",
)
@click.option(
    "--track", "on_track", metavar="NAME", help="Show what it is worth a lap on a track of the car."
)
@options.library_option
@options.reading_option
@options.density_option
@options.units_option
@options.json_option
@options.full_option
@options.width_option
@options.draws_options
@options.gathered
def what_if(
    asked: options.Asked,
    /,
    *,
    names: tuple[str, ...],
    sets: tuple[str, ...],
    save: str | None,
    on_track: str | None,
) -> None:
    """Show up to four named what-ifs of DAY beside their start, or one that --set describes; without either, list them."""
    from balance.decide.car.prepared_day import prepare_day
    from balance.decide.day.day import readings_alone
    from balance.decide.what_if.what_if import evaluate_what_if
    from balance.tell.library.other_cars import what_ifs_with_library

    if len(names) > _MOST:
        raise click.UsageError(f"at most {_MOST} what-ifs are compared at a time")
    if save is not None and not sets:
        raise click.UsageError("--save needs --set: there is nothing new to save")
    day, at, density = asked.day_at()
    chosen = what_ifs_with_library(day.session, _chosen(day.session, names, sets, save), asked.place)
    prepared = prepare_day(readings_alone(day, {one.start for one in chosen}) if asked.reading else day)
    results = [evaluate_what_if(prepared, one, speed=at, air_density=density) for one in chosen]
    laps = _laps(day.session, on_track, results, day.confidence)
    if save is not None:
        from pathlib import Path

        from balance.files.formats.what_if_save import save_what_if

        path = save_what_if(day.session, Path(day.session.folder), chosen[0])
        click.echo(f"axletrim: saved '{save}' in {path}", err=True)
    if asked.as_json:
        from balance.tell.what_if.what_if_record import what_ifs_record

        options.echo_json(what_ifs_record(prepared, results, laps))
        return
    from balance.tell.head import session_line
    from balance.tell.what_if.what_if_text import what_if_headline, what_if_lines
    from tui.printing.lines import print_sections

    show, heads = asked.show(day.session), [session_line(day.session)]
    if not results:
        heads.append("no what-if is saved on this day")
        click.echo(print_sections(heads, [], asked.columns, full=None))
        return
    heads += [what_if_headline(one, show) for one in results]
    sections = []
    if names or sets:
        for k, one in enumerate(results):
            name = f"{one.what_if.name}: " if len(results) > 1 else ""
            sections += [(f"{name}{title}", lines) for title, lines in what_if_lines(prepared, one, show)]
            if laps:
                from balance.tell.laps.changed_words import changed_lines

                sections.append((f"{name}A lap", list(changed_lines(*laps[k]))))
    click.echo(print_sections(heads, sections, asked.columns, full=asked.full))


def _laps(
    session: Session, name: str | None, results: Sequence[WhatIfResult], confidence: float
) -> list[tuple[Track, ChangedLap]]:
    """Lap each what-if and its start on a track, where one is named."""
    if name is None:
        return []
    from balance.decide.laps.changed_laps import lap_states
    from balance.files.formats.track import read_track
    from balance.files.track_path import track_of_session

    track = read_track(track_of_session(session, name))
    return [(track, lap_states(track, one.start, one.result, confidence=confidence)) for one in results]


def _chosen(
    session: Session, names: tuple[str, ...], sets: tuple[str, ...], save: str | None
) -> list[WhatIf]:
    """Pick the named what-ifs, or make the one that --set describes, on top of a named one where there is one."""
    from pathlib import Path

    from balance.files.formats.what_if import pick_what_if, read_what_ifs
    from balance.files.formats.what_if_options import what_if_of_options

    saved = read_what_ifs(session, Path(session.folder))
    picked = [pick_what_if(saved, name) for name in names]
    if not sets:
        return picked or list(saved)
    if len(picked) > 1:
        raise click.UsageError("--set changes one what-if: give one name, or none")
    return [what_if_of_options(session, sets, base=picked[0] if picked else None, name=save)]
