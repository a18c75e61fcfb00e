"""One car over several days: days tied by what was run on each, and compared across."""
