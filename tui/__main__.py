"""`python -m tui`: the command line where no script is installed."""

from tui.cli import main

main()
