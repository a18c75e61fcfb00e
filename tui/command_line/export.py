"""`axletrim export`: a session as a workbook or as one CSV file."""

from __future__ import annotations

import click

from tui.command_line import options


@click.command(
    short_help="Write the day as a workbook or as CSV.",
    epilog="\b\nExamples:\n  axletrim export my_car/spring_day -o spring_day.xlsx"
    "\n  axletrim export my_car/spring_day -o spring_day.csv",
)
@options.session_argument
@click.option(
    "-o",
    "--output",
    metavar="FILE",
    help="File to write, by its ending: .xlsx, a workbook with readings, results and method in SI; .csv, facts and runs, "
    "which 'axletrim import' reads again.",
)
@click.option("--xlsx", metavar="FILE", hidden=True)
@click.option("--csv", metavar="FILE", hidden=True)
@click.option("--overwrite", is_flag=True, help="Replace a file that is there already.")
@click.option(
    "--speed", metavar="SPEED", help='Speed at which loads are shown in the workbook, as "185 km/h".'
)
@options.density_option
@options.draws_options
@options.gathered
def export(
    asked: options.Asked, /, *, output: str | None, xlsx: str | None, csv: str | None, overwrite: bool
) -> None:
    """Write DAY to a file for others.

    A text that a spreadsheet would take for a formula is written as text in the workbook, and with an
    apostrophe before it in the CSV.
    """
    if output is not None:
        ending = output.casefold().rpartition(".")[2]
        if ending not in ("xlsx", "csv"):
            raise click.UsageError(f"--output: found '{output}', expected a file ending in .xlsx or .csv")
        xlsx, csv = (output, csv) if ending == "xlsx" else (xlsx, output)
    if not xlsx and not csv:
        raise click.UsageError("give --output FILE, ending in .xlsx or .csv")
    from balance.decide.day.assessment import assess
    from balance.decide.day.day import reduce_day
    from balance.files.loader import load_session

    loaded = load_session(asked.session)
    if csv:
        from balance.tell.export.export_csv import session_csv

        _write(csv, session_csv(loaded).encode(), overwrite=overwrite)
    if xlsx:
        from balance.tell.export.export_xlsx import workbook

        day = reduce_day(loaded, draws=asked.draws, confidence=asked.confidence)
        speed, density = asked.conditions()
        _write(xlsx, workbook(assess(day, speed=speed, air_density=density)), overwrite=overwrite)


def _write(place: str, content: bytes, *, overwrite: bool) -> None:
    from pathlib import Path

    from balance.files.day.durable import write_atomically
    from balance.model.errors import InputError, one_line

    path = Path(place)
    if path.exists() and not overwrite:
        raise InputError(
            f"{one_line(place)}: found a file there already, expected none; --overwrite replaces it"
        )
    write_atomically(path, content, new=not overwrite)
    click.echo(f"axletrim: wrote {one_line(place)}", err=True)
