"""`axletrim open`, `axletrim demo` and the chooser of recent sessions."""

from __future__ import annotations

import gc
import sys

import click

from tui.command_line.options import session_argument


@click.command(
    name="open",
    short_help="Open a day on the screen.",
    epilog="\b\nExample:\n  axletrim open my_car/spring_day",
)
@session_argument
@click.option("--look", is_flag=True, help="Follow a running day on a second screen; nothing is written.")
def open_session(*, session: str, look: bool) -> None:
    """Open DAY on the screen."""
    from balance.files.session_path import session_folder

    _run(str(session_folder(session)), looking=look)


@click.command(
    short_help="Open an invented car's tunnel day, or copy it.",
    epilog="\b\nExample:\n  axletrim demo --copy my_cars",
)
@click.option(
    "--copy",
    "folder",
    type=click.Path(file_okay=False),
    metavar="DIR",
    help="Copy the invented cars and days to DIR (absent or empty), and open no screen.",
)
def demo(*, folder: str | None) -> None:
    """Open an invented car's tunnel day on a copy of your own, or copy it as a template."""
    from tui.host.demo import copy_demo, demo_session

    if folder is not None:
        for path in copy_demo(folder):
            click.echo(str(path))
        return
    _need_terminal()
    _run(str(demo_session()))


def choose(context: click.Context) -> None:
    """Let one of the sessions opened lately be chosen; without a terminal, print the help."""
    if not (sys.stdin.isatty() and sys.stdout.isatty()):
        click.echo(context.get_help())
        return
    _run(None)


def _need_terminal() -> None:
    from balance.model.errors import InputError

    if not (sys.stdin.isatty() and sys.stdout.isatty()):
        raise InputError("the screen needs a terminal; 'axletrim table DAY' prints the same tables")


def keep_for_good() -> None:
    """Take what is there for what stays, and look for garbage seldom: each whole search holds a key up for 0.1 s."""
    gc.freeze()
    gc.set_threshold(50_000, 20, 50)
    gc.enable()


def _run(session: str | None, *, looking: bool = False) -> None:
    _need_terminal()
    gc.disable()  # what starts the interface is no garbage: looking for some there holds up the first picture
    from tui.app.app import AxletrimApp

    app = AxletrimApp(session, at_rest=keep_for_good, looking=looking)
    app.run()
    for said in app.parting:
        click.echo(f"axletrim: {said}", err=True)
