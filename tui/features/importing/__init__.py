"""A table of somebody else's into a day."""
