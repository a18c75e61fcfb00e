"""Options of a driver's log, and the questions that it leaves open: asked on a terminal, else named with their options."""

from __future__ import annotations

import sys
from dataclasses import replace
from typing import TYPE_CHECKING, Any

import click

from tui.command_line.import_table import line_span, pairs
from tui.command_line.options import several, table_options

if TYPE_CHECKING:
    from balance.files.tables.importing.plan import ImportOptions, Question
    from balance.files.tables.logs.log_reading import ReadLog

log_options = several(
    click.option("--column", "columns", metavar="OURS=HEADER", multiple=True,
                 help='What a column is, as speed="GPS Speed [km/h]" or lap="column 6", none to leave it out; ours are time, distance, '
                      "speed, yaw_rate, lateral_acceleration, roll, x, y, latitude, longitude, lap; again for each."),
    click.option("--unit", "column_units", metavar="OURS=UNIT", multiple=True,
                 help="Unit of a column, as lateral_acceleration=g; again for each."),
    click.option("--laps", metavar="TIMES",
                 help='Where laps begin, as "62.1 s, 1:55.3, 2:48.0", the last one the end; whole: the file is one lap.'),
    table_options,
)  # fmt: skip
"""The options that say how a log is read."""


def read_asked(context: click.Context, file: str, given: dict[str, Any]) -> ReadLog:
    """Read a log; ask on a terminal what it leaves open, else name what answers it and end."""
    from balance.files.tables.importing.plan import ImportOptions
    from balance.files.tables.logs.log_reading import read_log

    laps = given["laps"]
    options = ImportOptions(
        columns=pairs("columns", given["columns"]),
        units=pairs("units", given["column_units"]),
        lines=line_span(given["lines"]),
        **{name: given[name] for name in ("decimal", "encoding", "separator", "sheet", "header_line")},
    )
    read = read_log(file, options, laps=laps)
    while read.questions:
        if not on_terminal():
            refuse(context, [str(question) for question in read.questions])
        question = read.questions[0]
        answer = ask(question.text, question.choices)
        if question.field == "laps":
            laps = answer
        else:
            options = _answered(options, question, answer)
        read = read_log(file, options, laps=laps)
    return read


def on_terminal() -> bool:
    """Return whether somebody is there to be asked."""
    return sys.stdin.isatty() and sys.stderr.isatty()


def ask(text: str, choices: tuple[str, ...]) -> str:
    """Ask on the terminal; one of the choices may be typed, or anything else that the option takes."""
    from balance.model.errors import one_line

    shown = f" [{', '.join(choices)}]" if choices else ""
    return str(click.prompt(f"{one_line(text)}{one_line(shown)}", err=True))


def refuse(context: click.Context, questions: list[str]) -> None:
    """Name what must be answered, and end with nothing written."""
    from balance.model.errors import one_line

    for question in questions:
        click.echo(f"axletrim: {one_line(question)}", err=True)
    click.echo("axletrim: nothing was written", err=True)
    context.exit(2)


def _answered(options: ImportOptions, question: Question, answer: str) -> ImportOptions:
    name = question.key.partition(".")[2]
    if question.field == "columns":
        return replace(options, columns={**options.columns, name: answer})
    if question.field == "units":
        return replace(options, units={**options.units, name: answer})
    value: Any = int(answer) if question.field == "header_line" and answer.isdigit() else answer
    return replace(options, **{question.field: value})
