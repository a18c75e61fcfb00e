"""`python -m tui`: the command line where no script is installed."""

from tui.command_line import main

main()
