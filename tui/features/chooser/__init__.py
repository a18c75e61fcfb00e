"""Which day is opened, and what is wrong with its files."""
