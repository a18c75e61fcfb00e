"""A whole file planned, asked about, and written."""
