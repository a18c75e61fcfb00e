"""The command line: arguments in, results on stdout, messages on stderr, exit code 0, 1 or 2."""

from __future__ import annotations

import copy
import shlex
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from balance.model.errors import AxletrimError
from tui.command_line.cautions import cautions
from tui.command_line.chart import chart
from tui.command_line.check import check
from tui.command_line.compare import compare
from tui.command_line.explain import explain
from tui.command_line.export import export
from tui.command_line.import_table import import_table
from tui.command_line.join import join
from tui.command_line.lap import lap
from tui.command_line.library import library
from tui.command_line.new import new
from tui.command_line.opening import choose, demo, open_session
from tui.command_line.parts import parts
from tui.command_line.plan import plan
from tui.command_line.repeatability import repeatability
from tui.command_line.report import report
from tui.command_line.response import response
from tui.command_line.speeds import speeds
from tui.command_line.table import table
from tui.command_line.track import track
from tui.command_line.trim import trim
from tui.command_line.what_if import what_if
from tui.printing.streams import abandon_output, prepare_streams

if TYPE_CHECKING:
    from collections.abc import Sequence

_EPILOG = """\b
Examples:
  axletrim demo                            look round with an invented car
  axletrim table my_car/spring_day --speed "185 km/h"
  axletrim check my_car/spring_day

DAY is the folder of a day, or its session.toml. Results go to stdout, messages to stderr.
Exit codes: 0 fine, 1 a finding that was asked to fail, 2 input that cannot be used."""


class _ReaderGoneError(Exception):
    """Nobody reads the output any more, as behind ``| head``."""


class _CommandLine(click.Group):
    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """Find a command; of a folder in its place say how a session is opened."""
        try:
            return super().resolve_command(ctx, args)
        except click.UsageError as fault:
            if not Path(args[0]).exists():
                raise
            how = f"It is a file or folder; open a day by: axletrim open {shlex.quote(args[0])}"
            raise click.UsageError(f"{fault.message} {how}", ctx) from None

    def list_commands(self, ctx: click.Context) -> list[str]:  # noqa: ARG002 - click's own call
        """List commands in the order in which a day asks for them."""
        return list(self.commands)

    def invoke(self, ctx: click.Context) -> Any:
        """Run a command; a reader that has seen enough is no failure, as it would be to click."""
        try:
            return super().invoke(ctx)
        except BrokenPipeError:
            raise _ReaderGoneError from None


def _show_version(context: click.Context, _option: click.Parameter, wanted: bool) -> None:  # noqa: FBT001 - click's own call
    if not wanted or context.resilient_parsing:
        return
    from importlib.metadata import PackageNotFoundError, version

    try:
        click.echo(f"axletrim {version('axletrim')}")
    except PackageNotFoundError:
        click.echo("axletrim, version unknown: run from its source, not installed")
    context.exit()


@click.group(
    cls=_CommandLine,
    invoke_without_command=True,
    epilog=_EPILOG,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
)
@click.option(
    "--version",
    is_flag=True,
    is_eager=True,
    expose_value=False,
    callback=_show_version,
    help="Show the version and exit.",
)
@click.pass_context
def axletrim(context: click.Context) -> None:
    """Axle loads of a car's aerodynamic configurations: balance, verdicts, what each part did.

    Without a command, choose one of the days opened lately.
    """
    if context.invoked_subcommand is None:
        choose(context)


for _command in (
    demo,
    new,
    import_table,
    open_session,
    check,
    table,
    parts,
    repeatability,
    trim,
    what_if,
    compare,
    report,
    plan,
    track,
    lap,
    join,
    library,
    response,
    speeds,
    chart,
    export,
    explain,
    cautions,
):
    axletrim.add_command(_command)

_OLD_NAMES = {"brief": report, "scatter": repeatability, "sweep": speeds, "curve": response, "wing": trim}
"""Names that commands had before: they keep working, and are not listed."""
for _name, _command in _OLD_NAMES.items():
    _old = copy.copy(_command)
    _old.name, _old.hidden = _name, True
    axletrim.add_command(_old)


def main(arguments: Sequence[str] | None = None) -> None:
    """Run the command line, and turn every error that was foreseen into a plain message and an exit code."""
    prepare_streams()
    try:
        # what a command exits with comes back as a number; what it returns is nothing
        code = axletrim.main(args=arguments, prog_name="axletrim", standalone_mode=False)
        sys.exit(code or 0)
    except click.ClickException as fault:
        fault.show()
        sys.exit(fault.exit_code)
    except (click.Abort, KeyboardInterrupt):
        click.echo("axletrim: stopped", err=True)
        sys.exit(130)
    except AxletrimError as fault:
        for line in str(fault).splitlines():
            click.echo(f"axletrim: {line}", err=True)
        sys.exit(2)
    except _ReaderGoneError:
        abandon_output()
        sys.exit(0)
    except OSError as fault:
        abandon_output()
        click.echo(f"axletrim: cannot go on: {fault.strerror or fault}", err=True)
        sys.exit(2)
