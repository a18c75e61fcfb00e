"""Rows of a day judged: at one speed, over all speeds, and what would overturn it."""
