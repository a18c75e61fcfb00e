"""A car put together from what was measured and what was stated."""
