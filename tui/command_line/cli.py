"""The command line: arguments in, results on stdout, messages on stderr, exit code 0, 1 or 2."""

from __future__ import annotations

import shlex
import sys
from collections.abc import Mapping
from importlib import import_module
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from balance.model.errors import AxletrimError
from tui.printing.streams import abandon_output, prepare_streams

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

_EPILOG = """\b
Examples:
  axletrim demo                            look round with an invented car
  axletrim table my_car/spring_day --speed "185 km/h"
  axletrim check my_car/spring_day

DAY is the folder of a day, or its session.toml. Results go to stdout, messages to stderr.
Exit codes: 0 fine, 1 a finding that was asked to fail, 2 input that cannot be used."""


_HOMES = {
    "demo": "opening:demo",
    "new": "new:new",
    "import": "import_table:import_table",
    "open": "opening:open_session",
    "check": "check:check",
    "table": "table:table",
    "parts": "parts:parts",
    "repeatability": "repeatability:repeatability",
    "trim": "trim:trim",
    "what-if": "what_if:what_if",
    "compare": "compare:compare",
    "report": "report:report",
    "plan": "plan:plan",
    "track": "track:track",
    "lap": "lap:lap",
    "join": "join:join",
    "library": "library:library",
    "response": "response:response",
    "speeds": "speeds:speeds",
    "chart": "chart:chart",
    "export": "export:export",
    "explain": "explain:explain",
    "cautions": "cautions:cautions",
}
"""File and function of each command, in the order in which a day asks for them."""
_OLD_NAMES = {
    "brief": "report",
    "scatter": "repeatability",
    "sweep": "speeds",
    "curve": "response",
    "wing": "trim",
}
"""Names that commands had before: they keep working, and are not listed."""


class _ReaderGoneError(Exception):
    """Nobody reads the output any more, as behind ``| head``."""


class _Commands(Mapping[str, click.Command]):
    """The commands by their names, of which none is loaded before it is asked for."""

    def __getitem__(self, name: str) -> click.Command:
        file, function = _HOMES[_OLD_NAMES.get(name, name)].split(":")
        command: click.Command = getattr(import_module(f"tui.command_line.{file}"), function)
        return command

    def __iter__(self) -> Iterator[str]:
        return iter((*_HOMES, *_OLD_NAMES))

    def __len__(self) -> int:
        return len(_HOMES) + len(_OLD_NAMES)


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
        return list(_HOMES)

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
    commands=_Commands(),
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
        from tui.command_line.opening import choose

        choose(context)


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
