"""Results in words, tables and figures, rounded to what their uncertainty supports."""
