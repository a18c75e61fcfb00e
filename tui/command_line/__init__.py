"""One command a file; nothing heavy is loaded before a command runs."""
