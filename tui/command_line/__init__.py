"""One command a file; nothing heavy is loaded before a command runs."""

import sys


def main() -> None:
    """Run the command line, and end as it ends when it is stopped while it is still being loaded."""
    try:
        from tui.command_line.cli import main as run

        run()
    except KeyboardInterrupt:
        sys.stderr.write("axletrim: stopped\n")
        sys.exit(130)
