"""A driver's log as a table of somebody else's: its columns, units, laps, and whether they can be."""
