"""The command line: arguments in, results on stdout, messages on stderr, exit code 0, 1 or 2."""

from __future__ import annotations

import os
import sys
from typing import TYPE_CHECKING

import click

from balance.errors import AxletrimError
from tui.commands.check import check
from tui.commands.explain import explain
from tui.commands.opening import choose, demo, open_session
from tui.commands.sweep import sweep
from tui.commands.table import table

if TYPE_CHECKING:
    from collections.abc import Sequence

_EPILOG = """\b
Examples:
  axletrim demo                            look round with an invented car
  axletrim table my_car/spring_day --speed "185 km/h"
  axletrim check my_car/spring_day

SESSION is a session's folder or its session.toml. Results go to stdout, messages to stderr.
Exit codes: 0 fine, 1 a finding that was asked to fail, 2 input that cannot be used."""


@click.group(
    invoke_without_command=True,
    epilog=_EPILOG,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
)
@click.version_option(package_name="axletrim", prog_name="axletrim", message="%(prog)s %(version)s")
@click.pass_context
def axletrim(context: click.Context) -> None:
    """Axle loads of a car's aerodynamic configurations: balance, verdicts, what each part did.

    Without a command, choose one of the sessions opened lately.
    """
    if context.invoked_subcommand is None:
        choose(context)


for _command in (open_session, demo, table, sweep, check, explain):
    axletrim.add_command(_command)


def main(arguments: Sequence[str] | None = None) -> None:
    """Run the command line, and turn every error that was foreseen into a plain message and an exit code.

    Parameters
    ----------
    arguments : sequence of str, optional
        In place of the process's own.
    """
    for stream in (sys.stdout, sys.stderr):
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure is not None:
            reconfigure(errors="replace")
    try:
        axletrim.main(args=arguments, prog_name="axletrim", standalone_mode=False)
    except click.exceptions.Exit as finished:
        sys.exit(finished.exit_code)
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
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())  # the reader has seen enough
        sys.exit(0)
