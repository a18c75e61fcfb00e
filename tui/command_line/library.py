"""`axletrim library`: many days, many cars, and what a part usually does."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from tui.command_line import options
from tui.command_line.log_options import ask, on_terminal

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from balance.files.library.confirming import Joining, Question
    from balance.files.library.joining import Step
    from balance.files.library.library import Library
    from balance.model.libraries import KeptDay

_YES, _NO, _ALL, _EQUAL = "y", "n", "a", "e"


_only_options = options.several(
    click.option("--body", metavar="KIND", help='Only cars of this kind of body, as "hatchback".'),
    click.option("--floor", type=click.Choice(["fixed", "moving", "road"]), help="Only days on this floor."),
)
"""Which of the rows are kept."""


@click.group(
    short_help="Keep parts of many days and cars side by side.",
    epilog="\b\nExamples:\n  axletrim library add my_car/spring_day other_car/autumn_day\n"
    '  axletrim library show "rear spoiler 25 mm" --speed "160 km/h"',
)
def library() -> None:
    """Keep what days measured of parts, car by car, so that the next customer hears what a part did before.

    Days stay where they are; a library keeps their effects, and who is who.
    """


@library.command(
    short_help="Add days; ask which car and parts they mean.",
    epilog="\b\nExamples:\n  axletrim library add my_car/spring_day --part 3=new\n  axletrim library add my_cars --same",
)
@click.argument("days", metavar="DAY...", nargs=-1, required=True, type=click.Path(readable=False))
@click.option(
    "--car",
    metavar="NAME|same|new",
    help="Which car of the library the day's car is, in place of what was confirmed; same: the proposal; one DAY alone.",
)
@click.option(
    "--part",
    "parts",
    metavar="NUMBER=NAME|same|new",
    multiple=True,
    help="Which part of the library a part of the day is, as with --car; one DAY alone; again for each.",
)
@click.option(
    "--same",
    is_flag=True,
    help="Answer same to every part without another answer; to a car only where its name or its file is the same.",
)
@options.library_option
@options.json_option
@click.pass_context
@options.gathered
def add(
    context: click.Context,
    asked: options.Asked,
    /,
    *,
    days: tuple[str, ...],
    car: str | None,
    parts: tuple[str, ...],
    same: bool,
) -> None:
    """Add each DAY to the library, once, however often it is added; the folder of a car, or of cars, adds all its days.

    What is like a car or a part that the library knows is asked about, never merged in silence; a car of another body,
    wheelbase, driven axle or mass is another one, unless it has the same name. A day with an open question is not added.
    Added again with --car or --part, a day is what these say.
    """
    from balance.files.library.joining import begin_library
    from balance.files.library.library_file import library_folder
    from balance.files.session_path import days_in
    from balance.model.errors import InputError, one_line

    answers = _answers(car, parts, same=same)
    days = tuple(str(folder) for given in days for folder in days_in(given))
    if len(days) > 1 and (car is not None or parts):
        raise click.UsageError("--car and --part: found several days, expected one alone")
    folder = library_folder(asked.place)
    begin_library(folder)
    told, failed = [], False
    for day in days:
        try:
            one, answers = _add(folder, day, answers)
        except InputError as fault:  # it is named, and the others are added all the same
            if len(days) == 1:
                raise
            for line in str(fault).splitlines():
                click.echo(f"axletrim: {one_line(day)}: {line}", err=True)
            failed = True
            continue
        told.append(one)
        failed |= bool(one.joining.questions)
    if asked.as_json:
        from balance.tell.library.library_record import FORMAT

        options.echo_json({"format": FORMAT, "library": str(folder), "added": [*map(_added_record, told)]})
    else:
        from balance.tell.library.joining_words import became_words

        click.echo(f"Library: {one_line(str(folder))}")
        for one in told:
            click.echo(became_words(one))
    if failed:
        context.exit(2)


@library.command(
    name="list", short_help="List the days.", epilog="\b\nExample:\n  axletrim library list --json"
)
@options.library_option
@options.json_option
@options.width_option
@options.gathered
def list_days(asked: options.Asked, /) -> None:
    """List the days of the library; what changed since is read again, what cannot be read is named."""
    with _opened(asked.place) as found:
        if asked.as_json:
            from balance.tell.library.library_record import days_record

            options.echo_json(days_record(found))
            return
        from tui.printing.library import print_days

        click.echo(print_days(found, asked.columns))


@library.command(
    short_help="Show one part on every car.",
    epilog='\b\nExamples:\n  axletrim library show "rear spoiler 25 mm" --speed "160 km/h"\n'
    '  axletrim library show "rear spoiler 25 mm" --body hatchback --floor fixed --sort rear_glass_angle\n'
    '  axletrim library show "rear spoiler 25 mm" -o spoiler.svg --channel drag',
)
@click.argument("part", metavar="PART")
@_only_options
@click.option(
    "--sort",
    "by",
    metavar="FACT",
    default="date",
    show_default=True,
    help="Sort its rows, lowest first: date, car, body, floor, with, rear_glass_angle, front_ride_height, "
    "rear_ride_height, mounting_height, front, rear or drag.",
)
@click.option(
    "-o", "--output", metavar="FILE", help="Write its picture to a file ending in .svg, .png or .pdf instead."
)
@click.option(
    "--channel",
    metavar="CHANNEL",
    help="What is drawn: front, rear or total downforce, or drag; default: that in which PART does most.",
)
@click.option("--no-names", is_flag=True, help="Number the cars of the picture in place of naming them.")
@options.bare_speed_option
@options.density_option
@options.units_option
@options.library_option
@options.json_option
@options.width_option
@options.gathered
def show(
    asked: options.Asked,
    /,
    *,
    part: str,
    body: str | None,
    floor: str | None,
    by: str,
    output: str | None,
    channel: str | None,
    no_names: bool,
) -> None:
    """Show what PART did on each car, and no more of the next car than so many cars allow.

    With --body or --floor both are of the cars that are left.
    """
    from balance.tell.library.car_facts import Only
    from balance.tell.library.part_picture import part_picture
    from balance.tell.library.part_rows import part_rows

    options.exclude(json=asked.as_json, output=output is not None)
    if no_names and output is None:
        raise click.UsageError("--no-names is of a picture: name its file by --output")
    path = None if output is None else options.output_path(output, options.PICTURES)
    at, density = asked.conditions()
    with _opened(asked.place) as found:
        only = Only(body=body or "", floor=floor or "")
        rows = part_rows(found, part, speed=at, air_density=density, only=only, by=by)
        if path is not None:
            from balance.tell.library.part_drawing import draw_part

            picture = part_picture(rows, channel, named=not no_names)
            options.write_picture(draw_part(picture, asked.show()), path, rows.name)
            return
        if asked.as_json:
            from balance.tell.library.library_record import part_record

            options.echo_json(part_record(rows))
            return
        from tui.printing.library import print_part

        picture = part_picture(rows, channel)
        click.echo(print_part(found, picture, asked.show(), asked.columns))


@library.command(
    name="parts",
    short_help="List the parts.",
    epilog='\b\nExample:\n  axletrim library parts --speed "160 km/h" --body hatchback',
)
@_only_options
@options.bare_speed_option
@options.density_option
@options.units_option
@options.library_option
@options.json_option
@options.width_option
@options.gathered
def list_parts(asked: options.Asked, /, *, body: str | None, floor: str | None) -> None:
    """List the parts of the library, with the cars that each was measured on."""
    from balance.tell.library.car_facts import Only
    from balance.tell.library.part_rows import part_rows

    at, density = asked.conditions()
    with _opened(asked.place) as found:
        only = Only(body=body or "", floor=floor or "")
        rows = [
            part_rows(found, name, speed=at, air_density=density, only=only) for name, *_ in found.parts()
        ]
        rows = [one for one in rows if one.rows]
        if asked.as_json:
            from balance.tell.library.library_record import parts_record

            options.echo_json(parts_record(rows))
            return
        from tui.printing.library import print_parts

        click.echo(print_parts(found, rows, only, asked.show(), asked.columns))


@library.command(
    short_help="Take a day out; its own files stay.",
    epilog="\b\nExample:\n  axletrim library forget my_car/spring_day",
)
@click.argument("day", metavar="DAY")
@options.library_option
@options.json_option
@options.gathered
def forget(asked: options.Asked, /, *, day: str) -> None:
    """Take DAY, a folder or a name from `axletrim library list`, out of the library; its own files stay as they are.

    Which car and parts it meant stays confirmed, should it be added again.
    """
    from balance.files.library.joining import forget_day
    from balance.model.errors import one_line

    with _opened(asked.place) as found:
        folder, library_place = forget_day(found, day), str(found.folder)
    if asked.as_json:
        from balance.tell.library.library_record import FORMAT

        options.echo_json({"format": FORMAT, "library": library_place, "forgotten": folder})
        return
    click.echo(f"Library: {one_line(library_place)}")
    click.echo(f"forgotten: {one_line(folder)}")
    click.echo(
        "added again, it means the car and the parts that it meant; --car and --part of library add say otherwise"
    )


def _opened(place: str | None) -> Library:
    """Open the library that was named."""
    from balance.files.library.library_file import library_folder

    return _open(library_folder(place))


def _open(folder: Path) -> Library:
    from balance.decide.library.kept import effects_of_day
    from balance.files.library.library import Library

    return Library(folder, effects_of_day)


def _answers(car: str | None, parts: Sequence[str], *, same: bool) -> dict[str, str]:
    """Read the answers given by options."""
    from balance.files.library.confirming import CAR, EVERY, SAME

    answers = {EVERY: SAME} if same else {}
    if car is not None:
        answers[CAR] = car
    for text in parts:
        number, mark, name = text.partition("=")
        if not mark or not number.strip().isdigit() or not name.strip():
            raise click.UsageError(f"--part: found {text!r}, expected NUMBER=NAME, NUMBER=same or NUMBER=new")
        answers[str(int(number))] = name.strip()
    return answers


def _add(folder: Path, day: str, given: dict[str, str]) -> tuple[Step, dict[str, str]]:
    """Add one day, asking what is open; give what became of it, and the answers that hold for other days too."""
    from balance.decide.library.kept import effects_of_day
    from balance.files.library.confirming import EQUAL
    from balance.files.library.joining import add_step, read_to_add

    read = read_to_add(day, effects_of_day)
    answers = dict(given)
    step = add_step(folder, read, answers, effects_of_day)
    if step.joining.questions and on_terminal():
        _head_questions(step)
    while step.joining.questions and on_terminal():
        answers |= _asked(step.joining.questions[0])
        step = add_step(folder, read, answers, effects_of_day)
    if step.joining.questions:
        _name_open(step.day, step.joining)
    return step, given | {key: answer for key, answer in answers.items() if key.startswith(EQUAL)}


def _added_record(step: Step) -> dict[str, Any]:
    """Return what became of a day as a record."""
    joining = step.joining
    return {
        "day": step.day.id,
        "folder": step.day.folder,
        "car": joining.confirmed.car or None,
        "state": "open" if joining.questions else step.state,
        "parts": len(joining.confirmed.parts),
        "known": list(joining.known),
        "new": list(joining.new),
        "open": [{"key": one.key, "said": one.said, "proposal": one.proposal} for one in joining.questions],
    }


def _head_questions(step: Step) -> None:
    """Name a day before what is asked of it, and what may be answered."""
    from balance.tell.library.joining_words import day_words

    click.echo(f"\n{day_words(step.day)}", err=True)
    if any(one.kind == "part" for one in step.joining.questions):
        click.echo(
            f"  of a part: {_YES} yes, {_NO} no, {_ALL} yes, on all days that say it so, {_EQUAL} yes, and so every part "
            "that is said in the words of a known one; or the name of another",
            err=True,
        )


def _asked(question: Question) -> dict[str, str]:
    """Ask whether a car or part is the one that is proposed; a name of another one may be typed too."""
    from balance.files.library.confirming import EQUAL, NEW, SAME
    from balance.tell.library.joining_words import question_lines

    first, *cars = question_lines(question)
    if question.kind == "car":
        click.echo("".join(f"\n  {line}" for line in cars), err=True)
        answer = ask(first, (_YES, _NO)).strip()
        click.echo("", err=True)
    else:
        answer = ask(first, (_YES, _NO, _ALL, _EQUAL)).strip()
        if answer.lower() == _ALL:
            return {EQUAL + question.said: question.proposal}
        if answer.lower() == _EQUAL:
            return {question.key: SAME, EQUAL: SAME}
    return {question.key: {_YES: SAME, _NO: NEW}.get(answer.lower(), answer)}


def _name_open(day: KeptDay, joining: Joining) -> None:
    """Name on stderr what has to be said before a day can be added."""
    from balance.model.errors import one_line, quoted
    from balance.tell.library.joining_words import day_words, question_lines

    click.echo(f"axletrim: {day_words(day)}", err=True)
    for one in joining.questions:
        for line in question_lines(one)[1:]:
            click.echo(f"axletrim:   {line}", err=True)
        option = "--car " if one.kind == "car" else f"--part {one.key}="
        text = (
            f"  {one.kind} {quoted(one.said)}: found {quoted(one.proposal)} in the library, expected to know "
            f"whether it is the same; {option}same, {option}new, or the name of another"
        )
        click.echo(f"axletrim: {one_line(text)}", err=True)
    parts = any(one.kind == "part" for one in joining.questions)
    more = ", or with --same, which answers parts so" if parts else ""
    click.echo(f"axletrim: {one_line(day.folder)}: not added; add it alone with these{more}", err=True)
